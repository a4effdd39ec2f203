"""Driving a workbook in a real browser: servers to open, and hands for sliders and cells."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import psutil
from axe_core_python.sync_playwright import Axe
from places import CHECKOUT
from playwright.sync_api import Locator, Page

from mytakeoff.resources import starting_job_folder

START_LIMIT_S = 60
WAIT_MS = 60_000
ADDRESS = re.compile(r"https?://[\w.-]+:\d+/\S*token=\w+")

_EVERY_CELL_RAN = """() => {
  const panel = window.jupyterapp?.shell.currentWidget;
  const cells = panel?.content?.model?.cells;
  if (!cells || !panel.node.dataset.mytakeoffOwn) return false;
  const code = Array.from(cells).filter((cell) => cell.type === "code" && cell.sharedModel.source.trim());
  return code.length > 0 && code.every((cell) => cell.executionCount !== null);
}"""
_KERNEL_IDLE = """() =>
  window.jupyterapp?.shell.currentWidget?.sessionContext?.session?.kernel?.status === "idle"
"""
_SHOWN = "() => window.jupyterapp?.shell.currentWidget?.context?.path"
_DECIDED = """() => {
  const panel = window.jupyterapp?.shell.currentWidget;
  return panel?.node.dataset.mytakeoffOwn !== undefined && panel.sessionContext.isReady;
}"""


@dataclass(frozen=True)
class JobServer:
    """A server that `mytakeoff open` started on a job folder.

    Attributes
    ----------
    folder : Path
        The job folder.
    address : str
        The page that the command gave, token and all.
    log : Path
        What the server wrote.
    pid : int
        Its process.
    """

    folder: Path
    address: str
    log: Path
    pid: int

    @property
    def root(self) -> str:
        """Address of the server itself."""
        return "http://" + urlsplit(self.address).netloc

    @property
    def token(self) -> str:
        """The token that the command printed."""
        return parse_qs(urlsplit(self.address).query)["token"][0]

    def workbook_address(self, name: str) -> str:
        """Address of a workbook in a JupyterLab layout of its own, without tabs of an earlier test."""
        return f"{self.root}/lab/workspaces/{uuid.uuid4().hex}/tree/{name}?reset&token={self.token}"

    @contextmanager
    def kernels_asleep(self) -> Iterator[None]:
        """Every kernel of the server stands still, and answers nothing, while this lasts."""
        below = psutil.Process(self.pid).children(recursive=True)
        starts = ("ipykernel", "mytakeoff.launch.kernel")
        kernels = [
            each for each in below if any(start in word for word in each.cmdline() for start in starts)
        ]
        assert kernels, "the server runs no kernel"
        for kernel in kernels:
            kernel.suspend()
        try:
            yield
        finally:
            for kernel in kernels:
                kernel.resume()

    def stop_kernels(self) -> None:
        """Shut down every kernel of a JupyterLab server, so that the next test starts afresh."""
        for session in json.loads(self._ask("GET", "/api/sessions") or "[]"):
            self._ask("DELETE", f"/api/sessions/{session['id']}")

    def _ask(self, method: str, path: str) -> bytes:
        """Send the server a request, with the token."""
        headers = {"Authorization": f"token {self.token}"}
        request = urllib.request.Request(self.root + path, headers=headers, method=method)
        with urllib.request.urlopen(request, timeout=START_LIMIT_S) as answer:
            body: bytes = answer.read()
        return body


@contextmanager
def serving(
    folder: Path, scratch: Path, *flags: str, cwd: Path | None = None, **environment: str
) -> Iterator[JobServer]:
    """Run `mytakeoff open` on a job folder until the block ends.

    Parameters
    ----------
    folder : Path
        The job folder.
    scratch : Path
        An empty folder for Jupyter's own files, so that nobody's settings take part.
    flags : str
        Further flags of the command ("--app").
    cwd : Path or None
        Where the command is given; in `scratch` unless given.
    environment : str
        Variables of the environment, beside those that keep other settings out.
    """
    log = scratch / "server.log"
    command = [*console_script(scratch), "open", str(folder), "--no-browser", *flags]
    variables = {**own_environment(scratch), **environment}
    with log.open("wb") as written:
        process = subprocess.Popen(
            command, cwd=cwd or scratch, env=variables, stdout=written, stderr=subprocess.STDOUT
        )
        try:
            yield JobServer(folder, waited_for_address(process, log), log, process.pid)
        finally:
            process.send_signal(signal.SIGTERM)
            try:
                process.wait(timeout=30)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()


@contextmanager
def sheet_of(job: str, room: Path) -> Iterator[JobServer]:
    """The job sheet, as a page without code, of a job that is no more than this text and the starting prices.

    Parameters
    ----------
    job : str
        What its job.toml says.
    room : Path
        An empty folder for it and for Jupyter's own files.
    """
    folder, scratch = room / "job", room / "scratch"
    for each in (folder, scratch):
        each.mkdir()
    (folder / "job.toml").write_text(job, "utf-8")
    shutil.copy(starting_job_folder() / "prices.csv", folder)
    with serving(folder, scratch, "--workbook", "job", "--app") as server:
        yield server


def console_script(scratch: Path) -> list[str]:
    """Write what an installed `mytakeoff` is; return the command that runs it."""
    script = scratch / "mytakeoff"
    script.write_text("import sys\nfrom mytakeoff.launch.command import main\nsys.exit(main())\n")
    return [sys.executable, str(script)]


def own_environment(scratch: Path) -> dict[str, str]:
    """Give the server empty Jupyter folders, and JupyterLab the settings that tests need."""
    config, settings = scratch / "config", scratch / "settings"
    config.mkdir()
    (config / "jupyter_lab_config.json").write_text('{"LabApp": {"expose_app_in_browser": true}}')
    notebook = settings / "@jupyterlab" / "notebook-extension"
    notebook.mkdir(parents=True)
    # Cells off the screen are otherwise not in the page, and tests could not read them.
    (notebook / "tracker.jupyterlab-settings").write_text('{"windowingMode": "none"}')
    places = {
        "JUPYTER_CONFIG_DIR": config,
        "JUPYTER_DATA_DIR": scratch / "data",
        "JUPYTER_RUNTIME_DIR": scratch / "runtime",
        "JUPYTERLAB_SETTINGS_DIR": settings,
        "JUPYTERLAB_WORKSPACES_DIR": scratch / "workspaces",
        "IPYTHONDIR": scratch / "ipython",
    }
    path = os.pathsep.join(filter(None, (str(CHECKOUT), os.environ.get("PYTHONPATH"))))
    # compiled files are kept, as an installed package has them
    compiled = {"PYTHONDONTWRITEBYTECODE": ""}
    return {
        **os.environ,
        "PYTHONPATH": path,
        **compiled,
        **{name: str(place) for name, place in places.items()},
    }


def waited_for_address(process: subprocess.Popen[bytes], log: Path) -> str:
    """Wait for the address that a server writes when it listens."""
    deadline = time.monotonic() + START_LIMIT_S
    while time.monotonic() < deadline:
        if found := ADDRESS.search(log.read_text(errors="replace")):
            return found[0]
        if process.poll() is not None:
            break
        time.sleep(0.05)
    raise AssertionError(f"the server did not start:\n{log.read_text(errors='replace')}")


def open_workbook(page: Page, server: JobServer, name: str = "budget.ipynb") -> None:
    """Open a workbook in JupyterLab and wait for its kernel, and until it is known whether it may run."""
    page.goto(server.workbook_address(name))
    page.wait_for_function(_DECIDED, timeout=WAIT_MS)


def start_workbook(page: Page, server: JobServer, name: str = "budget.ipynb") -> None:
    """Have a workbook run from its job folder as it is now: opened, or run again where it is open."""
    if page.evaluate(_SHOWN) == name:
        run_all_cells(page)
    else:
        open_workbook(page, server, name)
        wait_until_run(page)


def show_app(page: Page, server: JobServer) -> None:
    """Have the page without code on the page: loaded, unless it is there already."""
    if not page.url.startswith(server.root):
        page.goto(server.address)


def runs_by_itself(page: Page) -> bool:
    """Tell whether the open workbook was found to be the package's own."""
    found: bool = page.evaluate(
        "() => window.jupyterapp.shell.currentWidget.node.dataset.mytakeoffOwn === 'true'"
    )
    return found


def wait_for_kernel_idle(page: Page) -> None:
    """Wait until the open workbook's kernel has nothing left to do."""
    page.wait_for_function(_KERNEL_IDLE, timeout=WAIT_MS)


def wait_until_run(page: Page) -> None:
    """Wait until every cell of the open workbook has run."""
    page.wait_for_function(_EVERY_CELL_RAN, timeout=WAIT_MS)
    wait_for_kernel_idle(page)


def cells_run(page: Page) -> int:
    """Count the cells of the open workbook that have run in this page."""
    counted: int = page.evaluate(
        """() => Array.from(window.jupyterapp.shell.currentWidget.content.model.cells)
             .filter((cell) => cell.type === "code" && cell.executionCount !== null).length"""
    )
    return counted


def run_all_cells(page: Page) -> None:
    """Run the open workbook as its user would with Run All, once its kernel answers: nothing is lost then."""
    wait_for_kernel_idle(page)
    page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')")
    wait_until_run(page)


def save_workbook(page: Page) -> None:
    """Save the open workbook as Ctrl+S does."""
    page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")


def slider(page: Page, css_class: str) -> Locator:
    """Return the handle of the slider that a widget class marks."""
    return page.locator(f".{css_class} .noUi-handle").first


def slider_step(page: Page, css_class: str, *keys: str) -> None:
    """Move a slider by keys: ArrowRight and ArrowLeft are one step each."""
    handle = slider(page, css_class)
    handle.focus()
    for key in keys:
        handle.press(key)


def slider_drag(page: Page, css_class: str, share: float, moves: int = 20) -> None:
    """Drag a slider's handle to a share of its track, 0 at the left end and 1 at the right."""
    track = page.locator(f".{css_class} .noUi-base").first.bounding_box()
    handle = slider(page, css_class).bounding_box()
    assert track is not None, f"the slider {css_class} is not on the page"
    assert handle is not None, f"the slider {css_class} is not on the page"
    page.mouse.move(handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2)
    page.mouse.down()
    page.mouse.move(track["x"] + share * track["width"], track["y"] + track["height"] / 2, steps=moves)
    page.mouse.up()


def read_text(page: Page, css_class: str) -> str:
    """Read the text of the widget that a class marks."""
    return page.locator(f".{css_class}").first.inner_text().strip()


def assert_accessible(page: Page, panel: str) -> None:
    """axe finds nothing wrong in a panel, and nothing in it scrolls sideways.

    Parameters
    ----------
    page : Page
    panel : str
        CSS selector of the panel.
    """
    found = Axe().run(page, context=panel)
    told = [
        f"{violation['id']} ({violation['impact']}): {violation['help']}: "
        + "; ".join(node["html"][:160] for node in violation["nodes"][:3])
        for violation in found["violations"]
    ]
    assert found["passes"], "axe looked at nothing"
    assert not told, "\n".join(told)
    assert page.locator(panel).evaluate("panel => panel.scrollWidth - panel.clientWidth") <= 1
