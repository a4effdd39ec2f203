"""A kernel that is ready before the page is: it starts and imports while the browser still loads."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

from jupyter_client.kernelspec import NATIVE_KERNEL_NAME
from jupyter_server.services.sessions.sessionmanager import KernelName, ModelName, SessionManager
from tornado.ioloop import IOLoop
from traitlets import Unicode

from mytakeoff.launch.own_workbooks import is_own
from mytakeoff.resources import WORKBOOK_PANELS

SENT_S = 2.0  # long enough for the request to have left


class ReadySessions(SessionManager):
    """Sessions of JupyterLab, one of them started with the server.

    The page that opens the workbook finds the session by its path and takes it, as JupyterLab takes up a
    session that an earlier page left. Only the package's own workbook is made ready, and only what the
    package itself would import is imported.
    """

    workbook = Unicode("", config=True, help="Path of the workbook to make ready, none if empty")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        if self.workbook and is_own(Path(self.workbook)):
            IOLoop.current().add_callback(self.make_ready)

    async def make_ready(self) -> None:
        """Start the workbook's session and let its kernel import what the workbook needs."""
        name = Path(self.workbook).name
        session = await self.create_session(
            path=name, name=ModelName(name), type="notebook", kernel_name=KernelName(NATIVE_KERNEL_NAME)
        )
        panel = WORKBOOK_PANELS.get(Path(name).stem)
        if panel is None:
            return
        kernel = self.kernel_manager.get_kernel(session["kernel"]["id"])
        client = kernel.client()
        client.start_channels()
        client.execute(f"import {panel}", silent=True, store_history=False)
        await asyncio.sleep(SENT_S)
        client.stop_channels()
