"""The Python kernel that a workbook runs in, started away from its job folder.

A job folder holds data, and may come from anybody. Libraries look into the working folder for settings when
they are loaded, and some settings name programs to start: so the kernel is set up elsewhere, loads what
would look, and only then goes to its folder. Of what it loads, that is matplotlib (`matplotlibrc`); older
versions of IPython looked for a profile. The server stays away altogether (`launch/server.py`).
"""

from __future__ import annotations

from contextlib import chdir
from importlib import import_module

from ipykernel.kernelapp import IPKernelApp

from mytakeoff.resources import neutral_folder


def main() -> None:
    """Run the kernel that the command line describes, until it is shut down."""
    app = IPKernelApp.instance()
    with chdir(neutral_folder()):
        app.initialize()
        import_module("matplotlib")
    app.start()


if __name__ == "__main__":
    main()
