"""Take the README's picture of the panel anew: `python tests/browser/pictures.py`."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from driving import CHECKOUT, WAIT_MS, serving
from playwright.sync_api import sync_playwright

from mytakeoff.launch.folder import new_job_folder

TARGET = CHECKOUT / ".pictures" / "panel.png"
SIZE = {"width": 1440, "height": 1000}


def take_panel(target: Path) -> None:
    """The budget panel on the demo job, as Voila shows it."""
    browser_path = os.environ.get("MYTAKEOFF_CHROMIUM") or shutil.which("chromium")
    with tempfile.TemporaryDirectory() as room, sync_playwright() as playwright:
        folder, scratch = Path(room) / "flat", Path(room) / "server"
        new_job_folder(folder, demo=True)
        scratch.mkdir()
        browser = playwright.chromium.launch(
            executable_path=browser_path, args=["--no-sandbox", "--disable-gpu", "--disable-quic"]
        )
        with serving(folder, scratch, "--app") as server:
            page = browser.new_page(viewport=SIZE)
            page.goto(server.address)
            page.locator(".mt-cost tbody tr").first.wait_for(timeout=WAIT_MS)
            page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
            page.wait_for_timeout(1500)
            page.screenshot(path=target)
        browser.close()


if __name__ == "__main__":
    take_panel(TARGET)
