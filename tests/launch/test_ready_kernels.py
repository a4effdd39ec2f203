"""One kernel is ready before the page that takes it, and no more run than are allowed."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from datetime import timedelta
from pathlib import Path

import pytest
from tornado.web import HTTPError

from mytakeoff.launch import ready
from mytakeoff.launch.ready import ReadyKernels

PATIENCE_S = 120
PYTHON = "python3"


@pytest.fixture
def used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Use a manager of kernels on a loop, and end all that it started."""
    monkeypatch.setattr(ready, "LOOK_S", 0.05)
    monkeypatch.setattr(ready, "REST", timedelta(0))

    def run(doing: Callable[[ReadyKernels], Awaitable[None]], most: int = 0) -> None:
        async def on_a_loop() -> None:
            manager = ReadyKernels(root_dir=str(tmp_path), connection_dir=str(tmp_path), most=most)
            try:
                await doing(manager)
            finally:
                await manager.shutdown_all(now=True)

        asyncio.run(on_a_loop())

    return run


async def has(manager: ReadyKernels, number: int) -> None:
    """Wait until so many kernels run, none of which still loads."""
    for _ in range(10 * PATIENCE_S):
        begun = (manager._ready, manager._loading)
        if len(manager) == number and all(task is None or task.done() for task in begun):
            return
        await asyncio.sleep(0.1)
    raise AssertionError(f"{len(manager)} kernels, not {number}")


def test_the_page_takes_the_one_that_is_ready_and_the_next_is_made_ready(used: Callable[..., None]) -> None:
    async def doing(manager: ReadyKernels) -> None:
        await has(manager, 1)
        first = manager.list_kernel_ids()[0]
        assert await manager.start_kernel(path="", kernel_name=PYTHON) == first
        await has(manager, 2)
        manager.cull_idle_timeout = 0
        await manager.cull_kernels()
        assert first not in manager, "it was left: no page is connected"
        (waiting,) = manager.list_kernel_ids()
        assert await manager.start_kernel(path="", kernel_name=PYTHON) == waiting

    used(doing)


def test_what_no_page_has_makes_room_and_what_one_has_does_not(
    used: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    async def doing(manager: ReadyKernels) -> None:
        await has(manager, 1)
        first = await manager.start_kernel(path="", kernel_name=PYTHON)
        await has(manager, 2)
        second = await manager.start_kernel(path="", kernel_name=PYTHON)
        with pytest.raises(HTTPError, match="close one"):  # both pages may still be loading
            await manager.start_kernel(path="", kernel_name=PYTHON)
        monkeypatch.setattr(ready, "JUST_LEFT", timedelta(0))
        manager.notify_connect(first)
        third = await manager.start_kernel(path="", kernel_name=PYTHON)
        assert set(manager.list_kernel_ids()) == {first, third}
        assert second not in manager
        manager.notify_connect(third)
        with pytest.raises(HTTPError, match="close one"):
            await manager.start_kernel(path="", kernel_name=PYTHON)

    used(doing, most=2)
