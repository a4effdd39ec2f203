"""A clear width of a finished room, as a tape read it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from mytakeoff.bounds import Within, check_numbers
from mytakeoff.corners.clear_width import BY_TAPE_MM
from mytakeoff.errors import Check

Taped = Annotated[float, Within(100.0, 100_000.0, usual="measure it again, in millimetres")]
Known = Annotated[float, Within(0.1, 100.0, usual="a tape across a room is known to 2 mm")]


@dataclass(frozen=True)
class TapedWidth:
    """What was measured between two finished faces where something has to fit.

    Parameters
    ----------
    room : str
        One of the job's.
    name : str
        Of one of its clear widths.
    mm : float
        Where it is narrowest [mm].
    known_mm : float
        It is known to ± this [mm].

    Raises
    ------
    TakeoffError
        Every figure out of its range.

    Examples
    --------
    >>> TapedWidth("kitchen", "run of units", 3004.0).known_mm
    2.0
    """

    room: str
    name: str
    mm: Taped
    known_mm: Known = BY_TAPE_MM

    def __post_init__(self) -> None:
        check = Check(f"clear width {self.name!r} of room {self.room!r}, taped")
        check_numbers(self, check)
        check.done()
