"""A finished wall as it was measured again, and each round in which it was checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from mytakeoff.bounds import Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.finished.numbered_snag import NumberedSnag
from mytakeoff.survey.as_taken import MOST_OFF_MM

Mean = Annotated[float, Within(0.0, 1000.0, above=True, usual="take it from a second survey")]
Spread = Annotated[float, Within(0.0, 100.0, usual="a standard deviation; 0 where it is not known")]
Settles = Annotated[float, Within(-100.0, 100.0, usual="below 0 where the face has gone back")]
Again = Annotated[float, Within(-MOST_OFF_MM, MOST_OFF_MM, usual="read towards the room, in millimetres")]
Count = Annotated[int, Within(0, 100_000, usual="count them")]
Area = Annotated[float, Within(0.0, 10_000.0, usual="the area that was looked over")]
Ratio = Annotated[float, Within(0.01, 100.0, usual="1 where places strayed as far as was said")]


@dataclass(frozen=True)
class SettledCoat:
    """How far the face of a mix went back while it dried: a later survey against the one right after.

    Parameters
    ----------
    change_mm : float
        Mean, below 0 where the face has gone back [mm].
    uncertainty_mm : float
        As a standard deviation [mm].
    mix : str
        Whose coat was bare then; "": all that is on the wall.
    """

    change_mm: Settles
    uncertainty_mm: Spread
    mix: str = ""

    def __post_init__(self) -> None:
        check = Check(f"what settled of {self.mix or 'a wall'!r}")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class FixedAgain:
    """A fixed place of the first survey, read again off the planes of the later ones.

    Parameters
    ----------
    name : str
        As the wall's own list of fixed places has it.
    after_mm : float or None
        Off the plane of the survey of the finished face, towards the room; None: not read then [mm].
    later_mm : float or None
        Off that of the same face later [mm].
    """

    name: str
    after_mm: Again | None = None
    later_mm: Again | None = None

    def __post_init__(self) -> None:
        check = Check(f"fixed place {self.name!r}, read again")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class FinishedWall:
    """One wall as it was measured again.

    Parameters
    ----------
    name : str
        Of one of the job's walls.
    mean_mm : float or None
        Mean thickness over its priced area, from a survey before and one after; None: not measured [mm].
    uncertainty_mm : float
        Of that, as a standard deviation [mm].
    settled : tuple of SettledCoat
    spots_found : int or None
        Small high spots found that no reading had shown; None: nobody looked [-].
    looked_over_m2 : float or None
        Where; None: over all of it [m²].
    strayed_ratio : float or None
        How far places that were not read strayed from what was said of them, as a ratio of standard
        deviations, seen to stated; None: nobody looked [-].
    strayed_places : int
        How many places that was worked out from [-].
    after, later : str
        Survey files of the finished face and of the same face later, beside the job; "": none.
    plumb : bool
        Whether what these were read from was plumb.
    fixed_again : tuple of FixedAgain
        What ties them to the first survey.
    rounds : tuple of CheckRound
        In the order of their days; the surveys that they name are files beside the job.
    snags : tuple of NumberedSnag
        Which places the numbers in `rounds` mean; the others are numbered as they are found.
    """

    name: str
    mean_mm: Mean | None = None
    uncertainty_mm: Spread = 0.0
    settled: tuple[SettledCoat, ...] = ()
    spots_found: Count | None = None
    looked_over_m2: Area | None = None
    strayed_ratio: Ratio | None = None
    strayed_places: Count = 0
    after: str = ""
    later: str = ""
    plumb: bool = True
    fixed_again: tuple[FixedAgain, ...] = ()
    rounds: tuple[CheckRound, ...] = ()
    snags: tuple[NumberedSnag, ...] = ()

    def __post_init__(self) -> None:
        check = Check(f"finished wall {self.name!r}")
        check_numbers(self, check)
        check.done()
