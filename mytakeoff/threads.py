"""Small matrices on one thread: where the cores are busy, the threads of a library wait for one another.

Where other programs have the cores, a hundred small products on two threads were seen to take twenty times as
long as on one.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from functools import lru_cache, wraps
from typing import Any, ParamSpec, TypeVar

Given = ParamSpec("Given")
Made = TypeVar("Made")
Step = TypeVar("Step")


@lru_cache(maxsize=1)
def _libraries() -> Any:
    """The loaded libraries that have threads; looking for them takes some milliseconds, so once."""
    from threadpoolctl import ThreadpoolController  # type: ignore[import-untyped]

    return ThreadpoolController()


def on_one_thread(work: Callable[Given, Made]) -> Callable[Given, Made]:
    """A function whose linear algebra runs on one thread."""

    @wraps(work)
    def limited(*args: Given.args, **kwargs: Given.kwargs) -> Made:
        with _libraries().limit(limits=1):
            return work(*args, **kwargs)

    return limited


def steps_on_one_thread(
    work: Callable[Given, Generator[Step, None, Made]],
) -> Callable[Given, Generator[Step, None, Made]]:
    """A generator each of whose steps runs on one thread; between two steps nothing is limited."""

    @wraps(work)
    def limited(*args: Given.args, **kwargs: Given.kwargs) -> Generator[Step, None, Made]:
        steps = work(*args, **kwargs)
        while True:
            with _libraries().limit(limits=1):
                try:
                    step = next(steps)
                except StopIteration as end:
                    made: Made = end.value
                    return made
            yield step

    return limited
