"""Kernels that are ready before the page is: one is always started ahead, with what the workbooks import.

The first starts with the server, while the browser still loads; the next when the page that took one has come
to rest. What is made ready has loaded the package's panels and run nothing else, so any notebook may have it.
"""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta
from queue import Empty
from typing import Any

from jupyter_client.asynchronous.client import AsyncKernelClient
from jupyter_client.kernelspec import NATIVE_KERNEL_NAME
from jupyter_core.utils import ensure_async
from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from tornado.ioloop import IOLoop
from tornado.web import HTTPError
from traitlets import Integer

from mytakeoff.resources import WORKBOOK_PANELS

LOADED_S = 60.0  # the longest that a kernel may take to start and import
LOOK_S = 1.0
REST = timedelta(seconds=3)  # without a message: nobody waits for this kernel
JUST_LEFT = timedelta(seconds=60)  # a page that still loads has no connection yet
TOO_MANY = "Too many pages of this job are open: close one and load this page again"


class ReadyKernels(AsyncMappingKernelManager):
    """Kernels of a job folder, one of them ready, and no more than a page can need.

    Attributes
    ----------
    most : int
        How many may run; 0 for any number. Whatever no page is connected to makes room first.
    """

    most = Integer(0, config=True, help="How many kernels may run, 0 for any number")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._ready: asyncio.Task[str] | None = None
        self._watch: asyncio.Task[None] | None = None
        self._loading: asyncio.Task[None] | None = None
        IOLoop.current().add_callback(self._make_ready)

    async def start_kernel(  # type: ignore[override]  # theirs is typed as if it did not wait
        self, *, kernel_id: str | None = None, path: Any = None, **asked: Any
    ) -> str:
        """Hand over the kernel that is ready, or start one as Jupyter does; returns its id."""
        fits = asked.get("kernel_name") in (None, NATIVE_KERNEL_NAME)
        taken = await self._taken() if kernel_id is None and not path and fits else ""
        if not taken:
            await self._make_room()
            taken = await super().start_kernel(kernel_id=kernel_id, path=path, **asked)
        self._watch = asyncio.ensure_future(self._make_another(taken))
        return taken

    async def cull_kernel_if_idle(self, kernel_id: str) -> None:
        """End a kernel that no page has any more; the one that is ready waits for its page."""
        if not self._is_ready(kernel_id):
            await super().cull_kernel_if_idle(kernel_id)

    async def shutdown_all(self, now: bool = False) -> None:  # type: ignore[override]
        """End all of them, and make no more."""
        for task in filter(None, (self._watch, self._loading)):
            task.cancel()
        await super().shutdown_all(now)

    async def _taken(self) -> str:
        """The kernel that is ready, which is somebody's from now on; empty where there is none."""
        task, self._ready = self._ready, None
        try:
            kernel_id = await task if task else ""
        except Exception:
            self.log.exception("no kernel could be made ready")
            return ""
        return kernel_id if kernel_id in self and await ensure_async(self.is_alive(kernel_id)) else ""

    def _is_ready(self, kernel_id: str) -> bool:
        task = self._ready
        return task is not None and task.done() and not task.exception() and task.result() == kernel_id

    def _make_ready(self) -> None:
        self._ready = asyncio.ensure_future(self._started())

    async def _started(self) -> str:
        """Start a kernel that imports the workbooks' panels while nobody has it yet."""
        here: Any = ""
        kernel_id = await super().start_kernel(path=here, kernel_name=NATIVE_KERNEL_NAME)
        # with a name of its own: the page's client has the manager's, and a kernel hears one of a name
        client = AsyncKernelClient()
        client.load_connection_info(self.get_kernel(kernel_id).get_connection_info())
        self._loading = asyncio.ensure_future(self._load(client))
        return str(kernel_id)

    async def _load(self, client: AsyncKernelClient) -> None:
        """Have a kernel import the workbooks' panels: hung up on before it answers, it may not hear."""
        client.start_channels()
        client.execute(f"import {', '.join(WORKBOOK_PANELS.values())}", silent=True, store_history=False)
        try:
            await client.get_shell_msg(timeout=LOADED_S)
        except Empty:
            self.log.warning("a kernel did not answer while it was made ready")
        finally:
            client.stop_channels()

    async def _make_another(self, after: str) -> None:
        """Make the next kernel ready once the last one has come to rest: two cores serve one page best."""
        while after in self and not self._rests(after):
            await asyncio.sleep(LOOK_S)
        if self._ready is None and not (self.most and len(self) >= self.most):
            self._make_ready()

    def _rests(self, kernel_id: str) -> bool:
        kernel: Any = self.get_kernel(kernel_id)
        return kernel.execution_state == "idle" and datetime.now(UTC) - self._last_activity(kernel_id) > REST

    def _last_activity(self, kernel_id: str) -> datetime:
        kernel: Any = self.get_kernel(kernel_id)  # which is told of it from outside
        last: datetime = kernel.last_activity
        return last

    async def _make_room(self) -> None:
        """End kernels that no page is connected to, the longest left first, where there are too many.

        Raises
        ------
        HTTPError
            503 where all of them are in use.
        """
        while self.most and len(self) >= self.most:
            kernels = {each: self.kernel_model(each) for each in self.list_kernel_ids()}
            since = {each: datetime.now(UTC) - self._last_activity(each) for each in kernels}
            left = [
                each
                for each in sorted(kernels, key=since.__getitem__, reverse=True)
                if not kernels[each]["connections"] and not self._is_ready(each) and since[each] > JUST_LEFT
            ]
            if not left:
                raise HTTPError(503, reason=TOO_MANY)
            await ensure_async(self.shutdown_kernel(left[0]))
