"""A real Chromium, and job folders served to it as `mytakeoff open` serves them.

The servers run for the whole session. A test that asserts a fresh start gets a page and a kernel of its own;
the others of a file share one page: its workbook runs again from a fresh job folder, in the kernel that is
there. A page fails its test when anything on it complained, was missing, or asked for another machine.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

import pytest
from driving import WAIT_MS, JobServer, serving
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Page,
    Playwright,
    Request,
    expect,
    sync_playwright,
)

from mytakeoff.launch.folder import new_job_folder

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP office.example 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
)
HOW_TO_GET_ONE = (
    "no Chromium found: install it from your distribution's packages (apt-get install chromium), "
    "or name one in MYTAKEOFF_CHROMIUM"
)

expect.set_options(timeout=WAIT_MS)  # the library's five seconds are short on a machine that does other work


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test of this folder as one that needs a browser."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium() -> str:
    """Path of a Chromium; without one the test is skipped, or fails where a browser is required."""
    named = os.environ.get("MYTAKEOFF_CHROMIUM")
    found = named or next(filter(None, map(shutil.which, NAMES)), None)
    if found is None or not Path(found).exists():
        _no_browser(HOW_TO_GET_ONE if named is None else f"MYTAKEOFF_CHROMIUM names {named}: no such file")
    return found


def _no_browser(reason: str) -> NoReturn:
    """Skip, unless MYTAKEOFF_BROWSER=required."""
    if os.environ.get("MYTAKEOFF_BROWSER") == "required":
        pytest.fail(reason)
    pytest.skip(reason)


@pytest.fixture(scope="module")
def _playwright(chromium: str) -> Iterator[Playwright]:
    """Playwright for one module: its event loop would be in the way of other tests in this process."""
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="module")
def browser(_playwright: Playwright, chromium: str) -> Iterator[Browser]:
    """A Chromium that can reach this machine and no other, by the name of an invented office too."""
    browser = _playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
    yield browser
    browser.close()


@pytest.fixture(scope="module")
def _context(browser: Browser) -> Iterator[BrowserContext]:
    """One browser window for the module, so that JupyterLab's own files are fetched once."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, accept_downloads=True)
    yield context
    context.close()


@pytest.fixture
def page(_context: BrowserContext) -> Iterator[Page]:
    """A page of 1440 by 900; anything that it complains of fails the test."""
    page = _context.new_page()
    trouble = _listen(page)
    yield page
    complaints = list(trouble)
    page.close()
    _check_quiet(complaints)


@pytest.fixture(scope="module")
def _kept_page(_context: BrowserContext) -> Iterator[tuple[Page, list[str]]]:
    """A page that stays open for the module, and what it complained of."""
    yield from _kept(_context)


@pytest.fixture(scope="module")
def _kept_app_page(_context: BrowserContext) -> Iterator[tuple[Page, list[str]]]:
    """Another: leaving JupyterLab would break off what it asks its server for."""
    yield from _kept(_context)


def _kept(context: BrowserContext) -> Iterator[tuple[Page, list[str]]]:
    """A page listened to from its beginning."""
    page = context.new_page()
    yield page, _listen(page)
    page.close()


@pytest.fixture
def shared_page(_kept_page: tuple[Page, list[str]]) -> Iterator[Page]:
    """The module's page, as the test before left it but for its size; what it complains of fails the test."""
    yield from _same_page(*_kept_page)


@pytest.fixture
def shared_app_page(_kept_app_page: tuple[Page, list[str]]) -> Iterator[Page]:
    """The same for a page without code, in a module that has a page of JupyterLab too."""
    yield from _same_page(*_kept_app_page)


def _same_page(page: Page, trouble: list[str]) -> Iterator[Page]:
    """The page in its usual size; what it complains of while it is in use fails the test."""
    page.set_viewport_size({"width": 1440, "height": 900})
    yield page
    complaints = list(trouble)
    trouble.clear()
    _check_quiet(complaints)


def _check_quiet(complaints: list[str]) -> None:
    """Fail with what a page complained of."""
    assert not complaints, "the page complained:\n" + "\n".join(complaints)


# A widget that is shown before its state has come, once in some hundred loads on a busy machine: the page
# loads itself once more, which `test_links.py` sees to; where it does not, the test misses its panel.
LOST = "Error: widget model not found"


def _listen(page: Page) -> list[str]:
    """Collect what goes wrong on a page, from here on."""
    trouble: list[str] = []

    def asked(request: Request) -> None:
        if not request.url.startswith(("http://127.0.0.1:", "ws://127.0.0.1:", "data:", "blob:")):
            trouble.append(f"asked another machine for {request.url}")

    page.on("request", asked)

    def unanswered(request: Request) -> None:
        # a page's farewell, and where JupyterLab keeps its layout: nobody is there to hear the answer
        if request.resource_type != "ping" and "/lab/api/workspaces/" not in request.url:
            trouble.append(f"no answer from {request.url}: {request.failure}")

    page.on("requestfailed", unanswered)
    page.on("response", lambda got: got.status >= 400 and trouble.append(f"{got.status} from {got.url}"))
    page.on(
        "console",
        lambda said: (
            said.type == "error" and LOST not in said.text and trouble.append(f"console: {said.text}")
        ),
    )
    page.on("pageerror", lambda error: trouble.append(f"error: {error}"))
    return trouble


@pytest.fixture(scope="session")
def _lab_server(chromium: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobServer]:
    """JupyterLab on a copy of the demo job, for the whole session."""
    folder = new_job_folder(tmp_path_factory.mktemp("lab") / "job", demo=True)
    with serving(folder, tmp_path_factory.mktemp("lab-server")) as server:
        yield server


@pytest.fixture
def lab(_lab_server: JobServer) -> JobServer:
    """JupyterLab on a fresh copy of the demo job, with no kernel running yet.

    The kernels of the test before end here and not with that test: its page would complain of it.
    """
    _lab_server.stop_kernels()
    _make_fresh(_lab_server.folder)
    return _lab_server


@pytest.fixture(scope="module")
def _module_lab(_lab_server: JobServer) -> JobServer:
    """JupyterLab with no kernel of an earlier module."""
    _lab_server.stop_kernels()
    return _lab_server


@pytest.fixture
def shared_lab(_module_lab: JobServer) -> JobServer:
    """JupyterLab on a fresh copy of the demo job; the kernels of the module run on.

    Not in one module with `lab`, which ends the kernel below the shared page.
    """
    _make_fresh(_module_lab.folder)
    return _module_lab


@pytest.fixture(scope="session")
def _app_server(chromium: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobServer]:
    """Voila on a copy of the demo job, for the whole session."""
    folder = new_job_folder(tmp_path_factory.mktemp("app") / "job", demo=True)
    with serving(folder, tmp_path_factory.mktemp("app-server"), "--app") as server:
        yield server


@pytest.fixture
def app(_app_server: JobServer) -> JobServer:
    """Voila on a fresh copy of the demo job."""
    _make_fresh(_app_server.folder)
    return _app_server


def _make_fresh(folder: Path) -> None:
    """Put a job folder back to what `mytakeoff new --demo` makes, without moving the folder itself."""
    for path in folder.iterdir():
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink()
    new_job_folder(folder, demo=True)
