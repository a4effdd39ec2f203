"""Take the README's pictures of the panels anew: `python tests/browser/pictures.py`."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from mytakeoff import evaluate, open_job, set_out
from mytakeoff.charts.drawing.canvas import png_bytes
from mytakeoff.charts.settingout.sheet import make_pages
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.resources import demo_folder

sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))  # run by itself, not by pytest
from driving import CHECKOUT, WAIT_MS, serving

PICTURES = CHECKOUT / ".pictures"
SIZE = {"width": 1440, "height": 1000}


def take(target: Path, flags: Sequence[str], shown: Callable[[Page], None]) -> None:
    """A panel on the demo job, as Voila shows it, once what `shown` waits for is there."""
    browser_path = os.environ.get("MYTAKEOFF_CHROMIUM") or shutil.which("chromium")
    with tempfile.TemporaryDirectory() as room, sync_playwright() as playwright:
        folder, scratch = Path(room) / "flat", Path(room) / "server"
        new_job_folder(folder, demo=True)
        scratch.mkdir()
        browser = playwright.chromium.launch(
            executable_path=browser_path, args=["--no-sandbox", "--disable-gpu", "--disable-quic"]
        )
        with serving(folder, scratch, *flags, "--app") as server:
            page = browser.new_page(viewport=SIZE)
            page.goto(server.address)
            shown(page)
            page.wait_for_timeout(1500)
            page.screenshot(path=target)
        browser.close()


def budget_shown(page: Page) -> None:
    """Table, map and the range are there."""
    page.locator(".mt-cost tbody tr").first.wait_for(timeout=WAIT_MS)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    page.get_by_text("8 in 10").first.wait_for(timeout=WAIT_MS)


def options_shown(page: Page) -> None:
    """Every row has its pictures and its range."""
    page.get_by_text("with the ranges of their prices").wait_for(timeout=2 * WAIT_MS)


def snags_shown(page: Page) -> None:
    """The party wall as it stood after the first round, which found snags."""
    panel = page.locator(".mt-finished-panel")
    panel.locator(".mt-causes-wide svg").wait_for(timeout=2 * WAIT_MS)
    panel.locator(".mt-stood select").select_option(index=1)
    panel.get_by_text("party wall fails").first.wait_for(timeout=WAIT_MS)


def draw_sheet(target: Path) -> None:
    """The first setting-out sheet of the demo job; it needs no browser."""
    setting = set_out(evaluate(open_job(demo_folder())))
    page = make_pages(setting, (setting.names[0],), day="1 March 2027")[0]
    target.write_bytes(png_bytes(page, 80))


if __name__ == "__main__":
    draw_sheet(PICTURES / "setting-out.png")
    take(PICTURES / "panel.png", (), budget_shown)
    take(PICTURES / "options.png", ("--workbook", "options"), options_shown)
    take(PICTURES / "finished-wall.png", ("--workbook", "finished-wall"), snags_shown)
