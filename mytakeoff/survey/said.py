"""Places of a wall that ask for a word of the user's, and what the user has said: of them, and of a scan."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray

from mytakeoff.bounds import Across, Up, Within, check_numbers
from mytakeoff.errors import Check

Said = Literal["left out", "plaster", "hollow", "sound"]
FoundNumber = Annotated[int, Within(1, 1000, usual="1 is the largest")]
SAID_M = 0.006  # a place this near to a reading's is meant: places are written down to the centimetre


@dataclass(frozen=True)
class SaidOf:
    """What the user has said of the reading at one place.

    Parameters
    ----------
    x_m, z_m : float
        Where it was taken, from the wall's left end and the floor [m].
    said : "left out", "plaster", "hollow" or "sound"
        Left out: something stood in front of the wall, so it counts nowhere. Plaster: it stands far off its
        neighbours, and is the wall all the same. Hollow: the sound face lies before it. Sound: it lies on
        the sound face, however low.

    Raises
    ------
    TakeoffError
        A place that is on no wall.
    """

    x_m: Across
    z_m: Up
    said: Said

    def __post_init__(self) -> None:
        check = Check("what is said of a reading")
        check_numbers(self, check)
        check.done()


def where_said(
    said: Sequence[SaidOf], word: Said, x_m: NDArray[np.float64], z_m: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Of which readings a word was said (n,).

    Examples
    --------
    >>> where_said([SaidOf(1.0, 0.5, "left out")], "left out", np.array([0.5, 1.0]), np.array([0.5, 0.5]))
    array([False,  True])
    """
    found = np.zeros(x_m.size, dtype=bool)
    for one in said:
        if one.said == word:
            found |= np.hypot(x_m - one.x_m, z_m - one.z_m) <= SAID_M
    return found


@dataclass(frozen=True)
class ScanChoice:
    """What the user said about a scan, or of what a sheet's first cell does not say.

    Parameters
    ----------
    unit : str or None
        What its numbers are: m, cm, mm, in or ft.
    up : str or None
        The axis that is up: x, y, z, -x, -y or -z.
    found : int or None
        Which of the walls in it, 1 for the largest.
    other_side : bool
        The wall is seen from the other side than was told.
    bow_out : bool
        The bow that the instrument makes on all walls of the scan is taken out.
    headings : str or None
        Of a sheet: what its first cell might have said, "off_line_in x_ft z_ft" say.
    """

    unit: str | None = None
    up: str | None = None
    found: FoundNumber | None = None
    other_side: bool = False
    bow_out: bool = field(default=False, repr=False)  # readings and `Survey.bow_mm` tell it
    headings: str | None = field(default=None, repr=False)  # readings tell it too

    def __post_init__(self) -> None:
        check = Check("scan")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class StandsOff:
    """One place that stands far off what is round it.

    Parameters
    ----------
    x_m, z_m : float
        Where it is: a reading's place, or one within a scan's patch [m].
    mm : float
        How far towards the room of what is round it; below 0 behind it [mm].
    around_m : float
        Over what distance it was compared [m].
    width_m, height_m : float
        Size of a scan's patch, 0 for a reading [m].
    share : float
        Of the wall that it covers, 0 for a reading [-].
    left_out : bool
        Whether it counts nowhere.
    answered : bool
        Whether the user has said so, or that it is plaster.
    """

    x_m: float
    z_m: float
    mm: float
    around_m: float
    width_m: float = 0.0
    height_m: float = 0.0
    share: float = 0.0
    left_out: bool = False
    answered: bool = False

    @property
    def at(self) -> tuple[float, float]:
        """x and z [m]."""
        return self.x_m, self.z_m


def answered(said: Sequence[SaidOf], at: tuple[float, float], word: Said) -> tuple[SaidOf, ...]:
    """What is said of readings once a word was said of the one at x, z [m]: any other for it is gone.

    Examples
    --------
    >>> answered(answered([], (1.0, 0.5), "left out"), (1.0, 0.5), "plaster")
    (SaidOf(x_m=1.0, z_m=0.5, said='plaster'),)
    """
    others = (one for one in said if math.hypot(one.x_m - at[0], one.z_m - at[1]) > SAID_M)
    return (*others, SaidOf(*at, word))
