"""The line between browser and kernel: answers sent at once, and nothing run out of a job folder."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from jupyter_client.kernelspec import NATIVE_KERNEL_NAME, KernelSpec, KernelSpecManager
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """A kernel connection that sends each small answer at once.

    TCP otherwise holds a small packet back until the one before it was acknowledged (Nagle's algorithm),
    which a moving slider shows as a stutter.
    """

    def connect(self) -> Any:
        """Connect as Jupyter does, without holding packets back."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()


class KernelsThatIgnoreTheFolder(KernelSpecManager):
    """Python kernels that obey nothing that lies in the folder they run in.

    A job folder holds data. Python would otherwise take `numpy.py` in it for numpy, and run it; matplotlib
    would take a `matplotlibrc` in it for settings, which can start programs.
    """

    def get_kernel_spec(self, kernel_name: str) -> KernelSpec:
        """Return the kernel that was asked for; the Python kernel is told to leave its folder alone."""
        spec = super().get_kernel_spec(kernel_name)
        if kernel_name == NATIVE_KERNEL_NAME:
            safe = {"PYTHONSAFEPATH": "1", "PYTHONPATH": _named_places(os.environ.get("PYTHONPATH", ""))}
            spec.env = {**spec.env, **safe, "JUPYTER_WIDGETS_ECHO": "0"}
            spec.argv = [*_started_elsewhere(spec.argv), "--InteractiveShellApp.ignore_cwd=True"]
        return spec


def _named_places(search_path: str) -> str:
    """Those folders of a search path that are named in full: an empty entry means the folder one is in.

    Examples
    --------
    >>> _named_places(os.pathsep.join(("", "src", "/opt/more")))
    '/opt/more'
    """
    return os.pathsep.join(place for place in search_path.split(os.pathsep) if Path(place).is_absolute())


def _started_elsewhere(command: list[str]) -> list[str]:
    """The command of a kernel, through `launch/kernel.py` where it is run by the server's own Python.

    Examples
    --------
    >>> _started_elsewhere(["python", "-m", "ipykernel_launcher", "-f", "{connection_file}"])
    ['python', '-m', 'mytakeoff.launch.kernel', '-f', '{connection_file}']
    """
    # Jupyter runs what is named without a folder with the server's own Python.
    if Path(command[0]).is_absolute() and command[0] != sys.executable:
        return command
    return ["mytakeoff.launch.kernel" if word == "ipykernel_launcher" else word for word in command]
