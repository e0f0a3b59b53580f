"""Pictures of the page, made in a real Chromium: ``PYTHONPATH=. python gallery/page.py``."""

from __future__ import annotations

import io
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from PIL import Image
from selenium.webdriver import Chrome, ChromeOptions
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.support.ui import Select

HERE = Path(__file__).parent
SHAPES = [sys.executable, "-c", "from shapes.cli.app import main; main()"]
SIZE = (1280, 900)


def until(what: Callable[[], Any], seconds: float = 60) -> Any:
    """Wait for something."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if found := what():
            return found
        time.sleep(0.1)
    raise SystemExit("the page does not come to it")


def main() -> None:
    """Draw boards, open the page, go through its steps."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            [*SHAPES, "generate", brief(Path(folder)), "--plain", "--out", "harvest"],
            cwd=folder,
            check=True,
        )
        run = subprocess.Popen(
            [*SHAPES, "open", "--no-browser"], cwd=folder, stderr=subprocess.PIPE, text=True
        )
        assert run.stderr is not None
        found = re.search(r"http://\S+", run.stderr.readline())
        assert found
        try:
            pictures(found[0])
        finally:
            run.kill()


def brief(folder: Path) -> str:
    """Write the brief of a preset, for boards of a size that the piece on the page takes."""
    text = (HERE.parent / "presets" / "carry-boards.toml").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^length = .*", "length = 430", text, count=1)
    text = re.sub(r"(?m)^width = .*", "width = 200", text, count=1)
    (folder / "brief.toml").write_text(text, encoding="utf-8")
    return "brief.toml"


def pictures(address: str) -> None:
    """Take the pictures."""
    options = ChromeOptions()
    options.binary_location = "/usr/bin/chromium"
    for argument in (
        "--headless=new",
        "--no-sandbox",
        "--disable-dev-shm-usage",
        f"--window-size={SIZE[0]},{SIZE[1] + 140}",
        "--hide-scrollbars",
    ):
        options.add_argument(argument)
    browser = Chrome(options=options, service=Service("/usr/bin/chromedriver"))
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": SIZE[0], "height": SIZE[1], "deviceScaleFactor": 1, "mobile": False},
    )

    def every(css: str) -> list[Any]:
        return list(browser.find_elements("css selector", css))

    def press(says: str, within: str = "body") -> None:
        until(lambda: [b for b in every(f"{within} button") if b.text == says])[0].click()

    def shown() -> bool:
        """Whether every picture in sight is there."""
        return bool(
            browser.execute_script(
                "return [...document.images].every(i => { const r = i.getBoundingClientRect();"
                " return i.complete && i.naturalWidth || !r.height || r.top > innerHeight"
                " || r.bottom < 0; })"
            )
        )

    def taken(name: str) -> None:
        until(shown)
        time.sleep(2.5)
        until(shown)
        picture = Image.open(io.BytesIO(browser.get_screenshot_as_png())).convert("RGB")
        picture.save(HERE / f"page-{name}.jpg", quality=86)

    browser.get(address + "#wall?folder=harvest")
    until(lambda: len(every("figure.board")) == 12)
    for i, says in ((1, "Keep"), (2, "Set aside"), (3, "Keep"), (5, "Keep")):
        press(says, f"figure.board:nth-child({i})")
    taken("choose")
    press("Shape", "figure.board:nth-child(1)")
    knob = until(lambda: every(".knob"))[1]
    moves = ActionChains(browser, duration=30).move_to_element(knob).click_and_hold()
    for _ in range(8):
        moves = moves.move_by_offset(5, 3)
    moves.perform()
    taken("shape")
    ActionChains(browser).release().perform()
    time.sleep(1)
    browser.get(address + "#piece?folder=harvest")
    until(lambda: [o for o in every(".tools option") if o.get_attribute("value") == "walnut-end"])
    Select(every(".tools select")[0]).select_by_value("walnut-end")
    until(lambda: every(".timber"))
    press("Lay the kept ones")
    until(lambda: every(".lying"))
    taken("piece")
    browser.quit()


if __name__ == "__main__":
    main()
