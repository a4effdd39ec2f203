"""Work in steps: an iterator that gives None after each step and at the end what was found."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Generator, Hashable, Iterator
from typing import Generic, TypeVar

Found = TypeVar("Found")
Key = TypeVar("Key", bound=Hashable)


def found_by(steps: Iterator[Found | None]) -> Generator[None, None, Found]:
    """Pass each step on and return what was found, for ``found = yield from found_by(steps)``."""
    for found in steps:
        if found is not None:
            return found
        yield None
    raise AssertionError("the last step is what was found")


def at_once(steps: Iterator[Found | None]) -> Found:
    """All steps at once, and what was found.

    Examples
    --------
    >>> at_once(iter([None, None, 7]))
    7
    """
    return next(found for found in steps if found is not None)


class Kept(Generic[Key, Found]):
    """What was found lately, by what it was found from, so that it is not worked out twice.

    Parameters
    ----------
    most : int
        So many are kept; the one that was asked for longest ago goes first [-].
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._found: OrderedDict[Key, Found] = OrderedDict()

    def steps(self, key: Key, make: Callable[[], Iterator[Found | None]]) -> Iterator[Found | None]:
        """Step by step what belongs to a key: made where it is not kept."""
        found = self._found.get(key)
        if found is None:
            found = yield from found_by(make())
        self._found[key] = found
        self._found.move_to_end(key)
        while len(self._found) > self._most:
            self._found.popitem(last=False)
        yield found

    def clear(self) -> None:
        """Forget all of it."""
        self._found.clear()
