"""How long a start takes: our command to a live panel, plain JupyterLab to an idle kernel."""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "helpers"))

from driving import JobServer, own_environment, serving, wait_for_kernel_idle, waited_for_address  # noqa: E402
from playwright.sync_api import Browser, Page  # noqa: E402

from mytakeoff.launch.folder import new_job_folder  # noqa: E402

WAIT_MS = 120_000
_ALIVE = """() => document.querySelector('.mt-panel .wallmap[data-paints]')
  && document.querySelector('.mt-cost tfoot td')?.textContent && document.querySelector('.mt-total')"""
_QUIET = (
    "--ServerApp.open_browser=False",
    "--ServerApp.allow_root=True",
    "--LabApp.news_url=None",
    "--LabApp.extension_manager=readonly",
    "--LabApp.check_for_updates_class=jupyterlab.handlers.announcements.NeverCheckForUpdate",
)


def panel_start_s(browser: Browser) -> float:
    """From `mytakeoff open` on the demo job to its panel alive on the page [s]."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = new_job_folder(Path(scratch) / "job", demo=True)
        began = time.monotonic()
        with serving(folder, empty(scratch)) as server, _fresh_page(browser) as page:
            page.goto(server.address)
            page.wait_for_function(_ALIVE, timeout=WAIT_MS)
            return time.monotonic() - began


def empty_start_s(browser: Browser) -> float:
    """From `jupyter lab` to an idle kernel on an empty notebook [s]."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "job"
        folder.mkdir()
        shutil.copy(HERE / "notebooks" / "empty.ipynb", folder)
        began = time.monotonic()
        with plain_lab(folder, empty(scratch)) as server, _fresh_page(browser) as page:
            page.goto(f"{server.root}/lab/tree/empty.ipynb?token={server.token}")
            wait_for_kernel_idle(page)
            return time.monotonic() - began


def empty(scratch: str) -> Path:
    """A folder for a server's own files."""
    place = Path(scratch) / "server"
    place.mkdir()
    return place


@contextmanager
def _fresh_page(browser: Browser) -> Iterator[Page]:
    """A window that has nothing of an earlier start in its cache."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    yield context.new_page()
    context.close()


@contextmanager
def plain_lab(folder: Path, scratch: Path) -> Iterator[JobServer]:
    """JupyterLab as anybody starts it, asking nothing of the network."""
    log = scratch / "server.log"
    command = [sys.executable, "-m", "jupyterlab", *_QUIET, f"--ServerApp.root_dir={folder}"]
    with log.open("wb") as written:
        process = subprocess.Popen(
            command, cwd=scratch, env=own_environment(scratch), stdout=written, stderr=subprocess.STDOUT
        )
        try:
            yield JobServer(folder, waited_for_address(process, log), log, process.pid)
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(timeout=60)
