"""Work done in slices: a newer one drops the older, messages go between, a failure is told."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator

from mytakeoff.errors import TakeoffError
from mytakeoff.panels.parts.slices import Steps


def test_a_newer_piece_of_work_drops_the_older() -> None:
    steps, seen = Steps(), []

    def work(name: str, follow: bool = False) -> Iterator[bool | None]:
        for number in range(3):
            seen.append((name, number))
            if follow and number == 1:
                steps.start(work("new"), lambda: seen.append(("new", "shown")), seen.append)
            yield None

    steps.start(work("old", follow=True), lambda: seen.append(("old", "shown")), seen.append)
    assert ("new", "shown") in seen
    assert ("old", 2) not in seen
    assert ("old", "shown") not in seen


def test_on_a_loop_messages_are_taken_between_two_slices() -> None:
    seen: list[str] = []

    def work() -> Iterator[bool | None]:
        for number in range(3):
            seen.append(f"work {number}")
            yield True

    async def kernel() -> None:
        steps = Steps()
        steps.start(work(), lambda: seen.append("shown"), lambda error: seen.append(str(error)))
        asyncio.get_running_loop().call_soon(seen.append, "message")
        await asyncio.sleep(0.2)

    asyncio.run(kernel())
    assert seen[:3] == ["work 0", "shown", "message"]
    assert seen.count("shown") == 4


def test_a_step_that_fails_is_told() -> None:
    def work() -> Iterator[bool | None]:
        raise TakeoffError()
        yield None

    told: list[Exception] = []
    Steps().start(work(), lambda: None, told.append)
    assert isinstance(told[0], TakeoffError)
