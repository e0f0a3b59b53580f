"""The page in a real browser: from a brief to files, shaped and laid by hand.

And for everyone who reads it.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from shapes.files.recipe import read_recipe
from shapes.folders.bench import Bench

chromium = shutil.which("chromium") or shutil.which("google-chrome")
driver = shutil.which("chromedriver")
pytestmark = pytest.mark.skipif(not (chromium and driver), reason="there is no Chromium")
AXE = Path(str(find_spec("axe_core_python").origin)).parent / "axe.min.js"  # type: ignore[union-attr]


class Server:
    """The command itself, in a folder."""

    def __init__(self, folder: Path, *names: str) -> None:
        """Start it and wait for its address."""
        self.run = subprocess.Popen(
            [
                sys.executable,
                "-c",
                "from shapes.cli.app import main; main()",
                "open",
                "--no-browser",
                *names,
            ],
            cwd=folder,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self.run.stderr is not None
        found = re.search(r"http://\S+", self.run.stderr.readline())
        assert found
        self.address = found[0]

    def kill(self) -> str:
        """End it at once, as a plug does; return what else it said."""
        self.run.kill()
        self.run.wait()
        assert self.run.stderr is not None
        with self.run.stderr:
            return self.run.stderr.read()


@pytest.fixture(scope="module")
def place(collection_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("bench")
    shutil.copytree(collection_folder, made / "boards")
    return made


@pytest.fixture(scope="module")
def server(place: Path) -> Iterator[Server]:
    made = Server(place)
    yield made
    assert "Traceback" not in made.kill()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    from selenium.webdriver import Chrome, ChromeOptions
    from selenium.webdriver.chrome.service import Service

    options = ChromeOptions()
    options.binary_location = str(chromium)
    for argument in (
        "--headless=new",
        "--no-sandbox",
        "--disable-dev-shm-usage",
        "--window-size=1400,1000",
    ):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    made = Chrome(options=options, service=Service(str(driver)))
    yield made
    made.quit()


def until(what: Callable[[], Any], seconds: float = 90) -> Any:
    """Wait until something is there; what is not found yet is nothing."""
    from selenium.common.exceptions import WebDriverException

    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            if found := what():
                return found
        except (WebDriverException, IndexError):  # IndexError: the first of what is not there yet
            pass
        time.sleep(0.1)
    raise AssertionError("it did not come")


WHERE = """
const found = document.querySelector(arguments[0]);
if (!found) return null;
found.scrollIntoView({block: "center"});
const box = found.getBoundingClientRect();
return [box.x + box.width / 2, box.y + box.height / 2];
"""


class Hand:
    """What a maker does: presses what is called so, types where it is said."""

    def __init__(self, browser: Any, address: str) -> None:
        """Take a browser to a page."""
        self.browser, self.address = browser, address

    def open(self, at: str) -> None:
        """Go to a step."""
        self.browser.get("about:blank")
        self.browser.get(self.address + at)

    def all(self, css: str) -> list[Any]:
        """Return what there is of a kind."""
        return list(self.browser.find_elements("css selector", css))

    def press(self, says: str, within: str = "body") -> None:
        """Press what is called so, once it may be."""

        def click() -> bool:
            for button in self.all(f"{within} button"):
                if button.text == says and button.is_enabled():
                    self.browser.execute_script(
                        "arguments[0].scrollIntoView({block: 'center'})", button
                    )
                    button.click()
                    return True
            return False

        until(click)

    def with_first(self, css: str, act: Callable[[Any], Any]) -> None:
        """Do something with the first of a kind, anew where the page drew it again meanwhile."""
        until(lambda: [act(found) for found in self.all(css)[:1]])

    def choose(self, css: str, value: str) -> None:
        """Choose from a list."""
        from selenium.webdriver.support.ui import Select

        self.with_first(css, lambda found: Select(found).select_by_value(value))

    def type(self, css: str, text: str) -> None:
        """Write in place of what stands in a field."""

        def write(field: Any) -> None:
            self.browser.execute_script("arguments[0].select()", field)
            field.send_keys(text + "\t")

        self.with_first(css, write)

    @property
    def said(self) -> str:
        """What the page says below."""
        return str(self.all("#told")[0].text)

    def drag(self, css: str, x: float, y: float) -> None:
        """Drag the first of a kind by so many pixels.

        The pointer goes to where it lies: the page draws what it shows anew when a folder
        changes, so what was found a moment ago may be gone, but not its place.
        """
        from selenium.webdriver.common.action_chains import ActionChains

        at_x, at_y = until(lambda: self.browser.execute_script(WHERE, css))
        moves = ActionChains(self.browser, duration=30)
        pointer: Any = moves.w3c_actions.pointer_action
        pointer.move_to_location(round(at_x), round(at_y))
        moves = moves.click_and_hold()
        for _ in range(5):
            moves = moves.move_by_offset(round(x / 5), round(y / 5))
        moves.release().perform()


@pytest.fixture
def hand(browser: Any, server: Server) -> Iterator[Hand]:
    made = Hand(browser, server.address)
    yield made
    wrong = [
        e["message"]
        for e in browser.get_log("browser")
        if e["level"] == "SEVERE" and "status of 400" not in e["message"]
    ]
    assert wrong == []


def test_from_a_brief_to_boards(hand: Hand, place: Path) -> None:
    hand.open("")
    hand.choose("#b-preset", "cheese-board")
    hand.type("#b-length", "391")
    hand.type("#b-count", "3")
    hand.type("#b-name", "At the bench")
    hand.press("Draw boards")
    figures = until(
        lambda: hand.all("figure.board") if "#wall" in hand.browser.current_url else None
    )
    assert len(figures) == 3
    made = json.loads((place / "At-the-bench" / "collection.json").read_text())
    assert made["brief"]["length"] == 391
    assert (place / "At-the-bench" / "contact-sheet.png").exists()


def test_yes_and_no_and_more(hand: Hand, place: Path) -> None:
    hand.open("#wall?folder=boards")
    until(lambda: len(hand.all("figure.board")) == 12)
    bench = Bench(place / "boards")
    keys = bench.every_key()
    for i in (0, 2):
        hand.press("Keep", f"figure.board:nth-child({i + 1})")
    hand.with_first("figure.board:nth-child(2) .picture", lambda found: found.send_keys("x"))
    until(lambda: bench.choice().opinions == {keys[0]: "keep", keys[2]: "keep", keys[1]: "aside"})
    # Another page, or a command, says a word: this one shows it without being asked.
    bench.say(keys[4], "aside")
    until(lambda: hand.all("figure.board:nth-child(5)")[0].get_attribute("data-say") == "aside", 10)
    hand.press("More")
    until(lambda: len(bench.rounds()) == 2)
    until(lambda: len(hand.all("figure.board")) == len(bench.rounds()[1][1]))
    until(lambda: len(hand.all(".rounds button")) == 3)


def some_draft(hand: Hand, place: Path, wall: str = "#wall?folder=boards") -> str:
    """Name a draft of the folder; one is begun where no test before this one did."""
    bench = Bench(place / "boards")
    if not bench.drafts():
        hand.open(wall)
        hand.press("Shape", "figure.board:nth-child(1)")
    return str(until(bench.drafts)[0])


def test_a_board_is_shaped_undone_and_kept(hand: Hand, place: Path) -> None:
    bench = Bench(place / "boards")
    hand.open("#wall?folder=boards")
    hand.press("Shape", "figure.board:nth-child(1)")
    until(lambda: hand.all(".knob"))
    name = until(bench.drafts)[0]
    before = bench.draft(name).board.sketch.edge.copy()
    path = until(lambda: hand.all(".shaping .wood")[0].get_attribute("d"))
    hand.drag(".knob", 0, 15)
    until(lambda: bench.draft(name).at == 1)
    pulled = bench.draft(name).board
    assert pulled.sketch.edge != pytest.approx(before, abs=1)
    until(lambda: hand.all(".shaping .wood")[0].get_attribute("d") != path)
    hand.press("Undo")
    until(lambda: bench.draft(name).at == 0)
    until(lambda: hand.all(".shaping .wood")[0].get_attribute("d") == path)
    hand.press("Redo")
    until(lambda: bench.draft(name).at == 1)
    # By keys alone: a knob is taken with Tab and pulled with an arrow.
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    until(lambda: "step 2 of 2" in hand.all(".tools")[0].text)
    hand.browser.execute_script("document.querySelectorAll('.knob')[2].focus()")
    ActionChains(hand.browser).send_keys(Keys.ARROW_UP).perform()
    until(lambda: bench.draft(name).at == 2 and "step 3 of 3" in hand.all(".tools")[0].text)
    hand.type("#s-thickness", "44")
    until(lambda: bench.draft(name).board.brief.thickness == 44)
    # Pulled, it may be wider than its brief too: each remedy has its button.
    until(lambda: any("thinner" in found.text for found in hand.all(".fix")))

    def mended() -> bool:
        if hand.all(".findings h2")[0].text.startswith("No check fails"):
            return True
        for found in hand.all(".fix")[:1]:
            found.click()
        return False

    until(mended)
    hand.press("Keep this board")
    until(lambda: "#wall" in hand.browser.current_url)
    shaped = bench.rounds()[-1]
    assert shaped[0] == "bench/shaped"
    assert (
        read_recipe(bench.path(shaped[1][0]) / "board.toml").sketch.edge.shape
        == bench.draft(name).board.sketch.edge.shape
    )


def test_a_server_that_is_killed_loses_nothing_that_was_done(place: Path, browser: Any) -> None:
    own = Server(place / "boards")
    hand = Hand(browser, own.address)
    bench = Bench(place / "boards")
    name = some_draft(hand, place, "#wall?folder=")
    at = bench.draft(name).at
    hand.open(f"#shape?folder=&draft={name}")
    until(lambda: hand.all(".knob"))
    hand.type("#s-name", "Plover")
    until(lambda: bench.draft(name).at == at + 1)
    own.kill()
    again = Server(place / "boards")
    hand = Hand(browser, again.address)
    hand.open(f"#shape?folder=&draft={name}")
    until(lambda: hand.all("#s-name") and hand.all("#s-name")[0].get_attribute("value") == "Plover")
    browser.get("about:blank")
    again.kill()
    time.sleep(0.5)
    browser.get_log("browser")  # what it missed while there was no server


def test_laid_on_a_piece_dragged_off_and_settled(hand: Hand, place: Path) -> None:
    hand.open("#piece?folder=boards")
    hand.choose(".tools select", "walnut-end")
    until(lambda: hand.all(".timber"))
    hand.press("Lay the kept ones")
    until(lambda: hand.all(".lying"))
    assert not hand.all(".lying.bad")
    hand.drag(".lying .wood", 0, 170)
    until(lambda: hand.all(".lying.bad"))
    (said,) = until(lambda: {o.text for o in hand.all(".side span.fail")})
    assert re.match(r"short by \d|over (knot|check|screw) \d", said)
    hand.press("Settle")
    until(lambda: hand.all(".lying") and not hand.all(".lying.bad"))
    laid = json.loads((place / "boards" / "bench" / "laid.json").read_text())
    assert laid["piece"] == "walnut-end"


def test_everything_for_the_machines_by_one_press(hand: Hand, place: Path) -> None:
    bench = Bench(place / "boards")
    if "keep" not in bench.choice().opinions.values():
        bench.say(bench.every_key()[0], "keep")
    hand.open("#wall?folder=boards")
    hand.press("Hand over the kept ones")
    until(lambda: hand.all(".order"))
    for key, _ in bench.choice().orders[1:]:
        bench.order(key, 0)
    until(lambda: sum(int(o.text) for o in hand.all(".order output")) == 1, 20)
    hand.type("#h-text", "Mill Lane")
    until(lambda: hand.all(".engraved[d]"))
    assert "capitals 12 mm" in until(lambda: hand.all(".orders")[0].text)
    hand.press("Write everything for the machines and the bench")
    until(lambda: hand.all(".made iframe"))
    (batch,) = (place / "boards" / "bench").glob("batch-*")
    names = {p.name for p in batch.rglob("*") if p.is_file()}
    assert {"cut.dxf", "worksheet.html", "engrave-UNDERSIDE.dxf", "prices.csv"} <= names
    hand.browser.switch_to.frame(until(lambda: hand.all("iframe"))[0])
    assert "Blank" in hand.browser.page_source
    hand.browser.switch_to.default_content()


STEPS = [
    "",
    "#wall?folder=boards",
    "#shape?folder=boards&draft={draft}",
    "#piece?folder=boards&piece=walnut-end",
    "#hand?folder=boards",
]


@pytest.mark.parametrize(
    ("size", "darks"),
    [((360, 740), (False,)), ((1400, 1000), (False, True)), ((2560, 1300), ())],
    ids=str,
)
def test_every_step_stands_at_any_width_and_no_serious_barrier_is_found(
    hand: Hand, place: Path, size: tuple[int, int], darks: tuple[bool, ...]
) -> None:
    draft = some_draft(hand, place)
    hand.browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": False},
    )
    try:
        for step in STEPS:
            for dark in darks or (False,):
                hand.browser.execute_cdp_cmd(
                    "Emulation.setEmulatedMedia",
                    {
                        "features": [
                            {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
                        ]
                    },
                )
                hand.open(step.format(draft=draft))
                until(lambda: hand.all("main > *"))
                time.sleep(0.4)
                wide = hand.browser.execute_script("return document.documentElement.scrollWidth")
                assert wide <= size[0], f"{step} is {wide} wide"
                if not darks:
                    continue
                hand.browser.execute_script(AXE.read_text(encoding="utf-8"))
                found = hand.browser.execute_async_script(
                    "const done = arguments[0]; axe.run().then((r) => done(r.violations))"
                )
                serious = [
                    (v["id"], v["nodes"][0]["html"][:160])
                    for v in found
                    if v["impact"] in ("serious", "critical")
                ]
                assert serious == [], step
    finally:
        hand.browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
        hand.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
