"""Mistakes as the package tells them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from mytakeoff import TakeoffError


def check_told(error: TakeoffError) -> None:
    """Each says what was found and where, which rule it breaks, and what to do."""
    assert error.mistakes
    assert all(one.found and one.rule and one.remedy and one.place for one in error.mistakes)


@contextmanager
def read_or_told() -> Iterator[None]:
    """What is done below may end in mistakes as they are to be told, and in no other error."""
    try:
        yield
    except TakeoffError as error:
        check_told(error)
