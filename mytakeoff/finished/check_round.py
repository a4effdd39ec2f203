"""One round of checking a finished wall, as it was written down."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mytakeoff.bounds import check_numbers
from mytakeoff.errors import Check
from mytakeoff.finished.hand_mark import HandMark
from mytakeoff.finished.numbered_snag import SnagNumber


@dataclass(frozen=True)
class CheckRound:
    """One round of checking one wall.

    Parameters
    ----------
    on : date
    survey : str
        Survey that was taken then, by its file beside the job or another name; "": there was none.
    marks : tuple of HandMark
        What a straightedge showed then.
    done : tuple of int
        Numbers of the snags that were touched up since the round before [-].

    Raises
    ------
    TakeoffError
        A number that no snag has.

    Examples
    --------
    >>> CheckRound(date(2027, 3, 1), marks=(HandMark(1.2, 0.4, "rocks", 7.0),)).survey
    ''
    """

    on: date
    survey: str = ""
    marks: tuple[HandMark, ...] = ()
    done: tuple[SnagNumber, ...] = ()

    def __post_init__(self) -> None:
        for name in ("marks", "done"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        check = Check(self.where)
        check_numbers(self, check)
        check.done()

    @property
    def where(self) -> str:
        """What to call it in a message."""
        return f"round of {self.on.isoformat()}"
