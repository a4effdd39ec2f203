"""Long work as generators that return what they made: each step is short, so that who waits can stop.

Notes
-----
What follows a scan's last point (walls, openings, the same points twice, the mean plane, the face) is done a
million points at a time, so that Stop waits for one step and not for a stage: with 6.6 million points on the
wall the longest took a quarter of a second of the processor.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Generator, Hashable, Iterator
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

Made = TypeVar("Made")
Step = TypeVar("Step")
Out = TypeVar("Out")
Key = TypeVar("Key", bound=Hashable)

AT_ONCE = 1 << 20  # numbers that one step handles: some tenth of a second in the slowest of them
BAND_BITS = 16


def run(steps: Generator[Any, None, Made]) -> Made:
    """All steps one after the other, and what they made.

    Examples
    --------
    >>> def two():
    ...     yield
    ...     return 2
    >>> run(two())
    2
    """
    while True:
        try:
            next(steps)
        except StopIteration as end:
            made: Made = end.value
            return made


def relabel(steps: Generator[Step, None, Made], say: Callable[[Step], Out]) -> Generator[Out, None, Made]:
    """The same steps, each told in another way.

    Examples
    --------
    >>> def two():
    ...     yield 0.5
    ...     return 2
    >>> list(relabel(two(), lambda share: share / 2))
    [0.25]
    """
    try:
        while True:
            try:
                step = next(steps)
            except StopIteration as end:
                made: Made = end.value
                return made
            yield say(step)
    finally:
        steps.close()


def blocks(size: int) -> Iterator[slice]:
    """A long array piece by piece.

    Examples
    --------
    >>> list(blocks(2**20 + 1))
    [slice(0, 1048576, None), slice(1048576, 2097152, None)]
    """
    return (slice(start, start + AT_ONCE) for start in range(0, size, AT_ONCE))


def banded(bands: NDArray[np.uint16]) -> Generator[None, None, list[NDArray[np.intp]]]:
    """The places of numbers, in rising order within each piece: a number's places are all in one piece.

    Parameters
    ----------
    bands : (n,) whole numbers
        Pieces hold about a million places, more only where one number is commoner than that.
    """
    order = np.argsort(bands, kind="stable")  # of such short numbers by their digits, so it is quick
    yield
    ends = np.cumsum(np.bincount(bands, minlength=1))
    pieces, start = [], 0
    for end, following in zip(ends, [*ends[1:], np.inf], strict=True):
        if following - start > AT_ONCE and end > start:
            pieces.append(order[start:end])
            start = int(end)
    return pieces


def firsts(numbers: NDArray[np.uint64]) -> Generator[None, None, NDArray[np.bool_]]:
    """Which of some numbers, evenly spread over all that 64 bits can say, did not come before.

    Examples
    --------
    >>> run(firsts(np.array([7, 1 << 60, 7], dtype=np.uint64))).tolist()
    [True, True, False]
    """
    first = np.zeros(numbers.size, dtype=np.bool_)
    pieces = yield from banded((numbers >> np.uint64(64 - BAND_BITS)).astype(np.uint16))
    for piece in pieces:
        _, at = np.unique(numbers[piece], return_index=True)
        first[piece[at]] = True
        yield
    return first


class Cache(Generic[Key, Made]):
    """What was found lately, by what it was found from, so that it is not worked out twice.

    Parameters
    ----------
    most : int
        So many are kept; the one that was asked for longest ago goes first [-].
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._found: OrderedDict[Key, Made] = OrderedDict()

    def steps(self, key: Key, make: Callable[[], Generator[None, None, Made]]) -> Generator[None, None, Made]:
        """Step by step what belongs to a key: made where it is not kept."""
        found = self._found.get(key)
        if found is None:
            found = yield from make()
        self._found[key] = found
        self._found.move_to_end(key)
        while len(self._found) > self._most:
            self._found.popitem(last=False)
        return found

    def latest(self) -> Iterator[tuple[Key, Made]]:
        """What is kept with its keys, the last asked for first."""
        return reversed(self._found.items())

    def clear(self) -> None:
        """Forget all of it."""
        self._found.clear()
