"""What a panel sets in its own boxes is not taken for the user's doing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any


@contextmanager
def quiet(panel: Any) -> Iterator[None]:
    """While it lasts, the panel's observers look away: `_busy` is true, also when it is nested."""
    before, panel._busy = panel._busy, True
    try:
        yield
    finally:
        panel._busy = before
