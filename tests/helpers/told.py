"""Mistakes as the package tells them."""

from __future__ import annotations

from mytakeoff import TakeoffError


def check_told(error: TakeoffError) -> None:
    """Each says what was found and where, which rule it breaks, and what to do."""
    assert error.mistakes
    assert all(one.found and one.rule and one.remedy and one.place for one in error.mistakes)
