"""An offer as a customer opens it and a maker gets it back.

One file, a real browser, no network.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.cli.app import run
from shapes.errors import InputError
from shapes.files.offer import Answer, Offered, offer_html, offer_pdf, read_answer
from shapes.files.recipe import digest, read_recipe, write_recipe

if TYPE_CHECKING:
    from selenium.webdriver import Chrome

SHOP = Path(__file__).parents[2] / "presets" / "workshop.toml"
NASTY = "</script><img src=x onerror=alert(1)> \"&' {name}"


@pytest.fixture(scope="module")
def offer(collection_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("offer") / "offer.html"
    boards = [str(p) for p in sorted(collection_folder.glob("0[1-4]-*"))]
    assert (
        run(
            [
                "offer",
                *boards,
                "--out",
                str(out),
                "--workshop",
                str(SHOP),
                "--title",
                f"Boards {NASTY}",
            ]
        )
        == 0
    )
    return out


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Chrome]:
    driver, found = shutil.which("chromedriver"), shutil.which("chromium")
    if driver is None or found is None:
        assert not os.environ.get("CI"), "the offer is to be opened in a real browser"
        pytest.skip("no Chromium with its driver is here")
    from selenium.webdriver import Chrome, ChromeOptions
    from selenium.webdriver.chrome.service import Service

    options = ChromeOptions()
    options.binary_location = found
    for flag in (
        "headless=new",
        "no-sandbox",
        "disable-gpu",
        "disable-background-networking",
        "no-first-run",
    ):
        options.add_argument(f"--{flag}")
    options.add_argument(f"--user-data-dir={tmp_path_factory.mktemp('chrome')}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    made = Chrome(options=options, service=Service(driver))
    made.execute_cdp_cmd("Network.enable", {})
    made.execute_cdp_cmd(
        "Network.emulateNetworkConditions",
        {"offline": True, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0},
    )
    try:
        yield made
    finally:
        made.quit()


def logged(browser: Chrome, kind: str) -> list[dict[str, Any]]:
    """Return what a browser has logged since it was asked last."""
    return list(browser.get_log(kind))  # type: ignore[no-untyped-call]


@pytest.mark.parametrize(("wide", "high"), [(390, 844), (1280, 900)])
def test_marked_copied_and_taken_back(
    browser: Chrome,
    offer: Path,
    collection_folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    wide: int,
    high: int,
) -> None:
    from selenium.webdriver.common.by import By
    from selenium.webdriver.common.keys import Keys
    from selenium.webdriver.support.ui import WebDriverWait

    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": wide < 600},
    )
    logged(browser, "performance")  # what came before is none of the offer's
    browser.get(offer.as_uri())
    # Nothing is wider than the screen, every picture is there and whole, every target large enough
    # to hit.
    assert browser.execute_script("return document.documentElement.scrollWidth") <= wide
    sizes = browser.execute_script(
        "return [...document.images].map(i => [i.complete, i.naturalWidth, i.clientWidth])"
    )
    assert len(sizes) == 4
    assert all(done and shown > 0.75 * min(wide, 500) for done, _, shown in sizes)
    assert max(natural for _, natural, _ in sizes) == 1400
    shares = [shown / natural for _, natural, shown in sizes]  # all to one scale
    assert max(shares) / min(shares) < 1.02
    assert browser.find_element(By.ID, "says").is_displayed()
    assert not browser.find_element(By.ID, "wish").is_displayed()  # nothing to send yet
    marks = browser.find_elements(By.CSS_SELECTOR, "label.mark")
    assert all(m.size["height"] >= 44 for m in marks)
    line = browser.find_element(By.ID, "line")
    assert line.get_attribute("value") == ""
    for i in (0, 2, 3):
        browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", marks[i])
        marks[i].click()
    marks[3].click()
    wish = browser.find_element(By.ID, "wish")
    wish.send_keys("a little longer; <b>please</b>" + Keys.TAB)
    sent = line.get_attribute("value")
    assert sent is not None
    folders = sorted(p.name for p in collection_folder.glob("0[1-4]-*"))
    codes = [f.rsplit("-", 1)[1] for f in folders]
    assert sent == f"boards {codes[0]} {codes[2]}; wish: a little longer; <b>please</b>"
    button = browser.find_element(By.TAG_NAME, "button")
    assert button.size["height"] >= 44
    button.click()
    answer = browser.find_element(By.ID, "says")
    WebDriverWait(browser, 10).until(lambda _: answer.text.startswith(("Copied", "Press and hold")))
    assert (
        browser.execute_script(
            "return document.getSelection().toString() || document.activeElement.value"
        )
        == sent
    )
    # Nothing was fetched, nothing is stored, no script of the title ran.
    asked = [json.loads(e["message"])["message"] for e in logged(browser, "performance")]
    urls = [
        m["params"]["request"]["url"] for m in asked if m["method"] == "Network.requestWillBeSent"
    ]
    assert all(u.startswith(("file:", "data:")) for u in urls)
    assert not [e for e in logged(browser, "browser") if e["level"] == "SEVERE"]
    assert browser.execute_script("return document.cookie") == ""
    assert NASTY in browser.find_element(By.TAG_NAME, "h1").text
    # And the maker goes on from the line.
    out = tmp_path / "boards"
    shutil.copytree(collection_folder, out)
    asked_for = [
        "generate",
        "--preset",
        "cheese-board",
        "--count",
        "4",
        "--pool",
        "60",
        "--out",
        str(out),
        "--force",
    ]
    assert run([*asked_for, "--keep-from", sent]) == 0
    said = capsys.readouterr().err
    assert "yours to answer: a little longer; <b>please</b>" in said
    assert "kept: " in said
    made = sorted(p.name for p in out.glob("0*"))
    assert len(made) == 4
    assert {codes[0], codes[2]} <= {m.rsplit("-", 1)[1] for m in made}


def test_an_offer_says_what_a_customer_asks_and_no_machine_words(
    offer: Path, collection_folder: Path
) -> None:
    text = re.sub(
        r"<style>.*?</style>|<script>.*?</script>|data:[^\"]*", "", offer.read_text(), flags=re.S
    )
    figures = [
        json.loads((p / "figures.json").read_text())
        for p in sorted(collection_folder.glob("0[1-4]-*"))
    ]
    for f in figures:
        o = f["outline"]
        assert f"{o['length_mm']:.0f} x {o['width_mm']:.0f} x 18 mm" in text
        assert f"about {f['mass_kg']:.2g} kg" in text
    assert text.count("black walnut") == 4
    assert len(re.findall(r"price \d+\.\d\d", text)) == 4
    assert "Never in a dishwasher" in text
    for word in ("cutter", "router", "rpm", "pass", "tab", "dxf", "round-over", "bearing", "datum"):
        assert not re.search(rf"\b{word}\b", text, re.I), word
    assert "<img src=x" not in text
    assert not re.search(r"(src|href)=\"(?!data:)", offer.read_text().replace("src=x", ""))


def test_prices_are_those_of_the_board_ordered_alone(
    offer: Path, collection_folder: Path, tmp_path: Path
) -> None:
    """The batch of one board has the same sum in its prices."""
    first = min(collection_folder.glob("01-*"))
    assert (
        run(
            [
                "prepare",
                str(first),
                "--to",
                str(tmp_path / "b"),
                "--workshop",
                str(SHOP),
                "--pixels",
                "200",
            ]
        )
        == 0
    )
    total = json.loads((tmp_path / "b" / "batch.json").read_text())["total"]
    assert f"price {total:.2f}" in offer.read_text()


def test_no_price_without_rates(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = min(collection_folder.glob("01-*"))
    shop = tmp_path / "shop.toml"
    shop.write_text(SHOP.read_text().replace("bench = 36", ""))
    for asked in ([], ["--workshop", str(shop)]):
        out = tmp_path / f"o{len(asked)}.html"
        assert run(["offer", str(board), "--out", str(out), *asked]) == 0
        assert "price" not in re.sub(
            r"<style>.*", "", out.read_text().split("<body>")[1].split("<script>")[0]
        )
    assert "bench time" in capsys.readouterr().err


def test_pages_of_the_printed_offer(collection_folder: Path, tmp_path: Path) -> None:
    import pypdfium2 as pdfium

    out = tmp_path / "offer.pdf"
    boards = [str(p) for p in sorted(collection_folder.glob("0[1-5]-*"))]
    assert run(["offer", *boards, "--out", str(out), "--beside", "plate"]) == 0
    document = pdfium.PdfDocument(out)
    assert len(document) == 3
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    for path in boards:
        board = read_recipe(Path(path) / "board.toml")
        assert board.name in text
        assert digest(board) in text
    assert "Never in a dishwasher" in text
    images = [
        len(list(page.get_objects(filter=[pdfium.raw.FPDF_PAGEOBJ_IMAGE]))) for page in document
    ]
    assert images == [2, 2, 1]


def test_a_board_that_fails_is_offered_to_nobody(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = read_recipe(min(collection_folder.glob("01-*")) / "board.toml")
    heavy = replace(board, brief=replace(board.brief, max_mass=0.1))
    (tmp_path / "board.toml").write_bytes(write_recipe(heavy))
    out = tmp_path / "o.html"
    assert run(["offer", str(tmp_path / "board.toml"), "--out", str(out)]) == 2
    assert "fails weight" in capsys.readouterr().err
    assert not out.exists()


@pytest.mark.parametrize("name", ["offer.txt", "offer", "offer.htm"])
def test_what_is_no_offer_is_refused(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    board = min(collection_folder.glob("01-*"))
    assert run(["offer", str(board), "--out", str(tmp_path / name)]) == 2
    assert "name a .html or a .pdf" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_an_offer_is_not_replaced_unasked(collection_folder: Path, tmp_path: Path) -> None:
    board, out = str(min(collection_folder.glob("01-*"))), tmp_path / "o.html"
    out.write_text("mine")
    assert run(["offer", board, "--out", str(out)]) == 2
    assert out.read_text() == "mine"
    assert run(["offer", board, "--out", str(out), "--force"]) == 0
    assert out.read_text() != "mine"


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("", "names no board"),
        ("I like the second one", "names no board"),
        ("boards ffffff", "holds no board ffffff"),
        ("boards GOOD a3c1o2; wish: longer", "'a3c1o2' is no code"),
        ("boards GOOD 95oo84", "'95oo84' is no code"),
        ("boards GOOD 9753d", "'9753d' is no code"),
        ("> boards GOOD 97\n> 53d8", "'97' is no code"),
    ],
)
def test_a_line_that_names_nothing_is_told(
    collection_folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    line: str,
    says: str,
) -> None:
    out = tmp_path / "boards"
    shutil.copytree(collection_folder, out)
    good = min(p.name for p in out.glob("01-*")).rsplit("-", 1)[1]
    line = line.replace("GOOD", good)
    before = {p: p.read_bytes() for p in out.rglob("*") if p.is_file()}
    assert (
        run(
            [
                "generate",
                "--preset",
                "cheese-board",
                "--out",
                str(out),
                "--force",
                "--keep-from",
                line,
            ]
        )
        == 2
    )
    assert says in capsys.readouterr().err
    assert {p: p.read_bytes() for p in out.rglob("*") if p.is_file()} == before
    assert (
        run(
            [
                "generate",
                "--out",
                str(out),
                "--force",
                "--keep",
                "1",
                "--keep-from",
                "boards abcdef",
            ]
        )
        == 2
    )
    assert "goes without --keep" in capsys.readouterr().err


@given(st.text(max_size=700))
def test_any_line_is_read_or_refused(line: str) -> None:
    answer = None
    with contextlib.suppress(InputError):
        answer = read_answer(line)
    if answer is not None:
        assert all(re.fullmatch("[0-9a-f]{6}", c) for c in answer.codes)
        assert not answer.wish or answer.wish.isprintable()
        assert len(answer.wish) <= 500


@pytest.mark.parametrize(
    ("line", "codes", "wish"),
    [
        ("boards 7b56bd 4400d9; wish: longer", ("7b56bd", "4400d9"), "longer"),
        ("> boards 7B56BD,\n> 4400d9 ;  wish:  a\tb", ("7b56bd", "4400d9"), "a b"),
        ("boards 7b56bd 7b56bd", ("7b56bd",), ""),
    ],
)
def test_lines_as_letters_mangle_them(line: str, codes: tuple[str, ...], wish: str) -> None:
    assert read_answer(line) == Answer(codes, wish)


def test_names_are_only_words() -> None:
    bad = Offered("abcdef", NASTY, (NASTY,), b"\xff\xd8", (10, 5))
    text = offer_html([bad], NASTY, NASTY).decode()
    assert text.count("<script>") == text.count("</script>") == 1
    assert text.count("<img ") == 1
    assert "onerror=alert(1)>" not in text


def test_a_long_name_stands_on_its_line() -> None:
    import io

    import pypdfium2 as pdfium
    from PIL import Image

    held = io.BytesIO()
    Image.new("RGB", (40, 20)).save(held, "JPEG")
    long = Offered("abcdef", "long " * 80, ("x" * 300,), held.getvalue(), (40, 20))
    page = pdfium.PdfDocument(offer_pdf([long], "t" * 400, "a" * 400))[0]
    for obj in page.get_objects():
        left, _, right, _ = obj.get_bounds()
        assert left >= 0
        assert right <= page.get_width()
