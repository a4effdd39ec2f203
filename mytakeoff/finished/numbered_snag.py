"""The number of a snag and the place that it stands for, as it was written down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from mytakeoff.bounds import Across, Up, Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.finished.hand_mark import SHOWS, SnagKind

SnagNumber = Annotated[int, Within(1, 10_000, usual="write the numbers of snags that are on the list")]


@dataclass(frozen=True)
class NumberedSnag:
    """A snag that was said to be touched up keeps its number, whatever is found out about earlier rounds.

    Parameters
    ----------
    number : int
        [-]
    kind : "hollow" or "high"
    x_m, z_m : float
        Its middle, from the wall's left end and up from the floor [m].

    Raises
    ------
    TakeoffError
        A kind that is not known, or a figure out of its range.

    Examples
    --------
    >>> NumberedSnag(2, "hollow", 1.2, 0.4).number
    2
    """

    number: SnagNumber
    kind: SnagKind
    x_m: Across
    z_m: Up

    def __post_init__(self) -> None:
        check = Check(f"snag {self.number}")
        check_numbers(self, check)
        kinds = tuple(SHOWS.values())
        check.that(
            self.kind in kinds, f"{self.kind!r}", f"a snag is {' or '.join(kinds)}", "write one of them"
        )
        check.done()
