"""What a stranger may leave in a job folder: settings, modules and templates that anything could obey.

Each leaves a mark outside the folder when it is run; those that only set something set what can be seen.
"""

from __future__ import annotations

import json
from pathlib import Path

MARKS = "CANARY_MARKS"  # the variable that names the folder of the marks
TOKEN = "canary"
LINE_WIDTH = 7.25  # of matplotlib's lines, 1.5 by itself
STYLE = ".canary { color: red }"

# Python files that a library takes for its settings.
SETTINGS = (
    "jupyter_config.py", "jupyter_server_config.py", "jupyter_lab_config.py", "jupyter_notebook_config.py",
    "jupyter_nbconvert_config.py", "voila.py", "ipython_config.py", "ipython_kernel_config.py",
    "profile_default/ipython_config.py", "profile_default/ipython_kernel_config.py",
    "profile_default/startup/00.py", ".ipython/profile_default/startup/00.py",
    ".jupyter/jupyter_server_config.py", ".jupyter/jupyter_lab_config.py", "setup.py", "conftest.py",
)  # fmt: skip

# Modules that Python and its libraries import by themselves, and some that the package does.
MODULES = (
    "sitecustomize", "usercustomize", "runpy", "numpy", "scipy", "pandas", "matplotlib", "ipywidgets",
    "anywidget",
    "ipykernel", "ipykernel_launcher", "IPython", "jupyterlab", "jupyter_server", "nbconvert", "tornado",
    "traitlets", "zmq", "babel", "tomlkit", "icalendar", "python_calamine", "threadpoolctl", "laspy", "lazrs",
    "pye57", "PIL", "psutil", "mytakeoff", "argparse", "logging", "json", "random", "canary",
)  # fmt: skip

_JUPYTER = {
    "IdentityProvider": {"token": TOKEN},
    "ServerApp": {"token": TOKEN, "jpserver_extensions": {"canary": True}},
    "IPKernelApp": {"extensions": ["canary"], "exec_lines": ["import canary"]},
    "InteractiveShellApp": {"extensions": ["canary"], "exec_lines": ["import canary"]},
    "VoilaConfiguration": {"strip_sources": False, "template": "lab"},
}
_JSON_SETTINGS = (
    "jupyter_config.json", "jupyter_server_config.json", "jupyter_server_config.d/canary.json",
    "jupyter_lab_config.json", "jupyter_notebook_config.json", "voila.json", "ipython_config.json",
    "ipython_kernel_config.json", ".jupyter/jupyter_server_config.json", "jupyter_nbconvert_config.json",
)  # fmt: skip

_MARK = "import os, pathlib; pathlib.Path(os.environ['{variable}'], '{name}').touch()"
_IN_TEMPLATE = "{{% set _ = cycler.__init__.__globals__.os.system('touch \"$CANARY_MARKS/{name}\"') %}}canary"


def lay_out(folder: Path) -> None:
    """Leave everything in a folder that is there; nothing of a job is written over."""
    for name in SETTINGS:
        _write(folder / name, _python(name))
    for name in MODULES:
        _write(folder / f"{name}.py", _python(f"{name}.py"))
    for name in _JSON_SETTINGS:
        _write(folder / name, json.dumps(_JUPYTER))
    _matplotlib(folder)
    _nbconvert(folder)
    _other_programs(folder)


def marks_of(folder: Path) -> set[str]:
    """What ran."""
    return {path.name for path in folder.iterdir()}


def _python(name: str) -> str:
    """A Python file that leaves a mark of its name."""
    return _MARK.format(variable=MARKS, name=name.replace("/", "-")) + "\n"


def _matplotlib(folder: Path) -> None:
    """Settings of matplotlib that can start programs."""
    wild = f"lines.linewidth: {LINE_WIDTH}\ntext.usetex: True\nfont.size: 31\nbackend: module://canary\n"
    _write(folder / "matplotlibrc", wild)


def _nbconvert(folder: Path) -> None:
    """Templates of every name that nbconvert looks for, which run what stands in them."""
    loads = {"preprocessors": {"500-canary": {"type": "canary.Canary", "enabled": True}}}
    for name in (
        "lab",
        "base",
        "classic",
        "basic",
        "python",
        "script",
        "markdown",
        "latex",
        "mytakeoff",
        ".",
    ):
        _write(folder / name / "conf.json", json.dumps(loads))
        for template in ("index.html.j2", "index.py.j2", "index.md.j2", "base.html.j2", "voila.tpl"):
            _write(folder / name / template, _IN_TEMPLATE.format(name=f"template-{name}-{template}"))
        _write(folder / "templates" / name / "index.html.j2", _IN_TEMPLATE.format(name=f"templates-{name}"))
    _write(folder / "custom" / "custom.css", STYLE)


def _other_programs(folder: Path) -> None:
    """Settings of programs that a server may start, and kernels of the folder's own."""
    touch = {name: ["sh", "-c", f'touch "${MARKS}/{name}"'] for name in ("kernel", "git", "yarn")}
    kernel = {"argv": touch["kernel"], "display_name": "Python 3", "language": "python"}
    for place in ("kernels", "share/jupyter/kernels", ".local/share/jupyter/kernels"):
        _write(folder / place / "python3" / "kernel.json", json.dumps(kernel))
    _write(folder / ".git" / "HEAD", "ref: refs/heads/main\n")
    _write(
        folder / ".git" / "config", f"[core]\n\tfsmonitor = {touch['git'][2]}\n\tpager = {touch['git'][2]}\n"
    )
    for inside in (".git/objects", ".git/refs"):
        (folder / inside).mkdir(parents=True)
    javascript = "require('fs').writeFileSync(process.env.CANARY_MARKS + '/yarn', '')\n"
    _write(folder / "canary.cjs", javascript)
    _write(folder / ".pnp.cjs", javascript)
    _write(folder / ".yarnrc.yml", "yarnPath: ./canary.cjs\n")
    _write(folder / ".yarnrc", "yarn-path ./canary.cjs\n")
    _write(folder / "package.json", json.dumps({"scripts": {"preinstall": touch["yarn"][2]}}))
    _write(folder / "canary.pth", _python("pth"))
    _write(folder / "pyvenv.cfg", "home = .\n")
    _write(folder / ".env", f"MPLCONFIGDIR=.\nPYTHONPATH=.\nPYTHONSTARTUP={folder / 'setup.py'}\n")
    _write(folder / ".pdbrc", _python("pdbrc"))
    _write(folder / "page_config.json", json.dumps({"canary": TOKEN}))
    _write(folder / "labconfig" / "page_config.json", json.dumps({"canary": TOKEN}))
    _write(folder / "overrides.json", json.dumps({"@jupyterlab/apputils-extension:themes": {"theme": TOKEN}}))


def _write(place: Path, text: str) -> None:
    """Write a file that must not be there yet."""
    place.parent.mkdir(parents=True, exist_ok=True)
    with place.open("x", encoding="utf-8") as file:
        file.write(text)
