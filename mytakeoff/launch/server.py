"""Start JupyterLab or Voila on a job folder, bound to this machine and asking nothing of the network.

A job folder may come from anybody, and one may well be in it when a server is started. What looks for
settings where it is started: nbconvert (templates, which run, and their `conf.json`), Voila (`voila.json`,
`jupyter_config.json`, `custom/custom.css`), matplotlib (`matplotlibrc`), yarn and git, which JupyterLab
asks. So the servers go to a folder of the package before they load anything, and stay there.
"""

from __future__ import annotations

import hashlib
import os
import re
from pathlib import Path
from urllib.parse import SplitResult, urlsplit

from jupyter_core.paths import jupyter_config_path
from traitlets.config import Config

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.launch.own_workbooks import is_own, own_hashes
from mytakeoff.resources import (
    JOBS_SHOWN,
    JOBS_WORKBOOK,
    app_templates_folder,
    lab_extensions_folder,
    neutral_folder,
)

THIS_MACHINE = "127.0.0.1"
_CONNECTION = "mytakeoff.launch.connection.PromptConnection"
_KERNELS = "mytakeoff.launch.connection.KernelsThatIgnoreTheFolder"
_CONTENTS = "mytakeoff.launch.contents.NotebooksUnrun"
_READY = "mytakeoff.launch.ready.ReadyKernels"
PATH = re.compile(r"(/[\w.~@-]+)*/?", re.ASCII)  # of a public address: nothing that one may read in two ways
# A page without code ends its kernel as it is left; one that vanished without a word is noticed later.
MOST_PAGES = 12
_LEFT_S, _LOOK_S = 600, 60
# A survey that is brought from the device comes in one message; the servers' own limit is 10 MB.
_LARGE_MESSAGES = {"websocket_max_message_size": 256 * 2**20}
_KEEP_OWN = "mytakeoff.launch.own_workbooks.keep_own_bytes"

# Server extensions that the workbook has no use for. Voila's would run any notebook whose address is
# visited; the language servers look for programs in the folder that is open.
_LEFT_OUT = {"voila": False, "voila.server_extension": False, "jupyter_lsp": False}


def lab_arguments(workbook: Path, browser: bool = True, port: int = 8888, public: str = "") -> list[str]:
    """Return the arguments JupyterLab is started with.

    Parameters
    ----------
    workbook : Path
        What opens first; its folder is the one that JupyterLab shows.
    browser : bool
        Open a browser window.
    port : int
        First port to try.
    public : str
        See `check_public`; "" where no proxy stands before the server.
    """
    page = {"mytakeoffOwnWorkbooks": list(own_hashes())}
    settings = {
        "ServerApp.ip": THIS_MACHINE,
        "ServerApp.port": port,
        "ServerApp.open_browser": browser,
        # Containers and rescue systems know no other user; the server hears this machine only.
        "ServerApp.allow_root": True,
        "ServerApp.root_dir": str(workbook.parent),
        "ServerApp.jpserver_extensions": _LEFT_OUT,
        "ServerApp.contents_manager_class": _CONTENTS,
        "ServerApp.kernel_spec_manager_class": _KERNELS,
        "ServerApp.kernel_websocket_connection_class": _CONNECTION,
        "ServerApp.kernel_manager_class": _READY,
        "ServerApp.tornado_settings": {"page_config_data": page, **_LARGE_MESSAGES},
        "FileContentsManager.pre_save_hook": _KEEP_OWN,
        "LabApp.default_url": f"/lab/workspaces/{workspace_name(workbook.parent)}/tree/{workbook.name}",
        "LabApp.extra_labextensions_path": [str(lab_extensions_folder())],
        "LabApp.extension_manager": "readonly",
        "LabApp.news_url": None,
        "LabApp.check_for_updates_class": "jupyterlab.handlers.announcements.NeverCheckForUpdate",
    }
    return _as_arguments(settings | _behind(public, "ServerApp", "ServerApp.local_hostnames"))


def app_arguments(workbook: Path, browser: bool = True, port: int = 8866, public: str = "") -> list[str]:
    """Return the arguments Voila is started with: the workbooks of a folder, as pages without code.

    Parameters
    ----------
    workbook : Path
        What opens first.
    browser : bool
        Open a browser window.
    port : int
        First port to try.
    public : str
        See `check_public`; "" where no proxy stands before the server.
    """
    settings = {
        "Voila.ip": THIS_MACHINE,
        "Voila.port": port,
        "Voila.open_browser": browser,
        "Voila.auto_token": True,
        "Voila.tornado_settings": _LARGE_MESSAGES,
        "Voila.kernel_websocket_connection_class": _CONNECTION,
        # Voila's own list starts with the folder it is started from, which may be a job folder.
        "Voila.config_file_paths": jupyter_config_path(),
        "VoilaConfiguration.kernel_spec_manager_class": _KERNELS,
        "VoilaConfiguration.multi_kernel_manager_class": _READY,
        "ReadyKernels.most": MOST_PAGES,
        "MappingKernelManager.cull_idle_timeout": _LEFT_S,
        "MappingKernelManager.cull_interval": _LOOK_S,
        "VoilaConfiguration.template": "mytakeoff",
        "VoilaConfiguration.allow_template_override": "NO",
        "VoilaConfiguration.allow_theme_override": "NO",
        "VoilaConfiguration.strip_sources": True,
    }
    settings |= _behind(public, "Voila", "JobApp.hostnames")
    return [*_as_arguments(settings), str(workbook)]


def _behind(public: str, server: str, hostnames: str) -> dict[str, object]:
    """Settings of a server that a proxy on this machine passes on to what is asked at a public address.

    It listens to this machine all the same, and to no other name than that address has.
    """
    if not public:
        return {}
    address = check_public(public)
    return {
        f"{server}.base_url": address.path,
        f"{server}.custom_display_url": address.geturl(),
        hostnames: [address.hostname],
        "IdentityProvider.secure_cookie": address.scheme == "https",
    }


def check_public(public: str) -> SplitResult:
    """The address that a proxy is asked at, in its parts, its path between slashes.

    Raises
    ------
    TakeoffError
        No address of a page, or one with more than host, port and path.

    Examples
    --------
    >>> check_public("https://office.example/takeoff").geturl()
    'https://office.example/takeoff/'
    """
    found = urlsplit(public)
    more = found.query or found.fragment or "@" in found.netloc
    if found.scheme not in ("http", "https") or not found.hostname or more or not PATH.fullmatch(found.path):
        rule = "a proxy is asked at http or https, its host, and perhaps a path of letters and digits"
        remedy = "as --public-address https://office.example/takeoff/"
        raise TakeoffError(Mistake(f"--public-address {public}", rule, remedy))
    return found._replace(path=f"{found.path.rstrip('/')}/")


def serve_lab(workbook: Path, browser: bool = True, port: int = 8888, public: str = "") -> None:
    """Run JupyterLab on the workbook's folder until it is stopped."""
    _say_where(workbook)
    os.chdir(neutral_folder())
    from jupyterlab.labapp import LabApp

    LabApp.launch_instance(argv=lab_arguments(workbook, browser, port, public))


def serve_app(workbook: Path, browser: bool = True, port: int = 8866, public: str = "") -> None:
    """Run Voila on the package's own workbooks of a folder, one of them first, until it is stopped.

    Raises
    ------
    TakeoffError
        If the workbook is not the package's own (opening the page runs it, unseen), or Voila is missing.
    """
    if not is_own(workbook):
        raise _changed_workbook(workbook)
    _say_where(workbook)
    os.chdir(neutral_folder())
    try:
        from mytakeoff.launch.app_server import JobApp, check_own
    except ImportError as error:
        raise _no_voila() from error
    os.environ["JUPYTER_PATH"] = os.pathsep.join(
        filter(None, (str(app_templates_folder()), os.environ.get("JUPYTER_PATH")))
    )
    settings = Config({"VoilaConfiguration": {"prelaunch_hook": check_own}})
    JobApp.launch_instance(argv=app_arguments(workbook, browser, port, public), config=settings)


def _say_where(workbook: Path) -> None:
    """Tell the kernels whether the server shows many jobs: the workbooks of each then lead back to them."""
    os.environ[JOBS_SHOWN] = str(workbook.parent) if workbook.stem == JOBS_WORKBOOK else ""


def workspace_name(folder: Path) -> str:
    """Name of a folder's own JupyterLab layout, so that one job's tabs don't open in another.

    Examples
    --------
    >>> workspace_name(Path("/jobs/flat 3")) == workspace_name(Path("/jobs/flat 4"))
    False
    """
    return "mytakeoff-" + hashlib.sha256(str(folder).encode()).hexdigest()[:10]


def _as_arguments(settings: dict[str, object]) -> list[str]:
    """Write settings as Jupyter reads them from a command line: a list's items one by one."""
    return [
        f"--{name}={item}"
        for name, value in settings.items()
        for item in (value if isinstance(value, list) else [value])
    ]


def _changed_workbook(workbook: Path) -> TakeoffError:
    """Say why a changed workbook isn't shown as an app."""
    return TakeoffError(
        Mistake(
            "this workbook is not the package's own",
            "a page without code runs only a workbook that came with mytakeoff, unchanged",
            f"open it without --app, or move it away and {workbook.name} is put back the next time",
            str(workbook),
        )
    )


def _no_voila() -> TakeoffError:
    """Say how to get what --app needs."""
    return TakeoffError(
        Mistake(
            "Voila is not installed", "--app shows the workbook through it", "pip install 'mytakeoff[app]'"
        )
    )
