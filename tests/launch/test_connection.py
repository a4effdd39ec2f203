"""Kernels leave the folder that they run in alone, and answers are sent at once."""

from __future__ import annotations

import pytest
from jupyter_client.kernelspec import NATIVE_KERNEL_NAME
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection

from mytakeoff.launch.connection import KernelsThatIgnoreTheFolder, PromptConnection


def test_the_python_kernel_is_told_to_leave_its_folder_alone() -> None:
    spec = KernelsThatIgnoreTheFolder().get_kernel_spec(NATIVE_KERNEL_NAME)
    assert spec.env["PYTHONSAFEPATH"] == "1"
    assert "--InteractiveShellApp.ignore_cwd=True" in spec.argv
    again = KernelsThatIgnoreTheFolder().get_kernel_spec(NATIVE_KERNEL_NAME)
    assert again.argv == spec.argv, "nothing is added a second time"


def test_small_answers_are_not_held_back(monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[object] = []

    class Handler:
        def set_nodelay(self, value: bool) -> None:
            done.append(value)

    monkeypatch.setattr(ZMQChannelsWebsocketConnection, "connect", lambda self: done.append("connected"))
    connection = PromptConnection.__new__(PromptConnection)
    monkeypatch.setattr(PromptConnection, "websocket_handler", Handler())
    PromptConnection.connect(connection)
    assert done == [True, "connected"]
