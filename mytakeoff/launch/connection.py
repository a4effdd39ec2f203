"""The line between browser and kernel: answers sent at once, and nothing run out of a job folder."""

from __future__ import annotations

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
    """Python kernels that never import a module lying in the folder they run in.

    A job folder holds data. Python would otherwise take `numpy.py` in it for numpy, and run it.
    """

    def get_kernel_spec(self, kernel_name: str) -> KernelSpec:
        """Return the kernel that was asked for; the Python kernel is told to leave its folder alone."""
        spec = super().get_kernel_spec(kernel_name)
        if kernel_name == NATIVE_KERNEL_NAME:
            spec.env = {**spec.env, "PYTHONSAFEPATH": "1", "JUPYTER_WIDGETS_ECHO": "0"}
            spec.argv = [*spec.argv, "--InteractiveShellApp.ignore_cwd=True"]
        return spec
