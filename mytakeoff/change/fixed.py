"""Places that the plaster does not move, read in both surveys."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from mytakeoff.bounds import ROUNDING_M
from mytakeoff.change.registration import enough, tells_all
from mytakeoff.errors import Check
from mytakeoff.job.job_wall import FixedPlace
from mytakeoff.survey.as_taken import MOST_OFF_MM
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Wall

FixedRow = Sequence[float] | tuple[float, float, float, float, str]
NUMBERS = 4


@dataclass(frozen=True, eq=False)
class ReadTwice:
    """Fixed places with both readings.

    Parameters
    ----------
    names : tuple of str
        As each is called; "" for none.
    x_m, z_m : (n,) float
        On the wall [m].
    before_mm, after_mm : (n,) float
        Towards the room from either survey's own plane [mm].
    """

    names: tuple[str, ...]
    x_m: Floats
    z_m: Floats
    before_mm: Floats
    after_mm: Floats

    @property
    def moved_mm(self) -> Floats:
        """Second reading less the first (n,) [mm]."""
        return self.after_mm - self.before_mm

    def called(self, nth: int) -> str:
        """One of them in words, counted from 0."""
        name = self.names[nth]
        return f"fixed place {nth + 1} ({name})" if name else f"fixed place {nth + 1}"


def read_again(places: Sequence[FixedPlace], proud_mm: Mapping[str, float]) -> tuple[FixedRow, ...]:
    """The fixed places kept with a wall, as rows for `change_between`, those that were read again.

    Parameters
    ----------
    places : sequence of FixedPlace
        As they were read in the first survey.
    proud_mm : mapping of str to float
        What was read at each in the second one, by its name, towards the room [mm].

    Raises
    ------
    TakeoffError
        Readings of places that the wall does not have, or of which it has two.

    Examples
    --------
    >>> read_again([FixedPlace("door frame", 3.1, 1.0, -212.0)], {"door frame": -251.0})
    ((3.1, 1.0, -212.0, -251.0, 'door frame'),)
    """
    names, check = [place.name for place in places], Check("fixed places")
    for name in proud_mm:
        check.that(names.count(name) == 1, f"{names.count(name)} places called {name!r}",
                   "a second reading belongs to one place of the first survey",
                   f"write one of {', '.join(dict.fromkeys(names))}" if names else "mark some places first",
                   )  # fmt: skip
    check.done()
    return tuple(
        (place.x_m, place.z_m, place.proud_mm, float(proud_mm[place.name]), place.name)
        for place in places if place.name in proud_mm
    )  # fmt: skip


def read_twice(rows: Sequence[FixedRow], wall: Wall, check: Check) -> ReadTwice | None:
    """The rows as arrays, with every mistake in them noted; None where there is one."""
    before = len(check.mistakes)
    names = tuple(str(row[NUMBERS]) if len(row) > NUMBERS else "" for row in rows)
    for nth, row in enumerate(rows, start=1):
        check.that(NUMBERS <= len(row) <= NUMBERS + 1, f"{len(row)} values",
                   "a fixed place has x, z, the reading before and the reading after",
                   "give those four, and a name behind them if you like", f"fixed place {nth}")  # fmt: skip
    if len(check.mistakes) > before:
        return None
    table = np.array([row[:NUMBERS] for row in rows], dtype=np.float64).reshape(-1, NUMBERS)
    twice = ReadTwice(names, *table.T)
    for nth in range(len(names)):
        _check_row(twice, nth, wall, check)
    return twice if len(check.mistakes) == before else None


def _check_row(twice: ReadTwice, nth: int, wall: Wall, check: Check) -> None:
    x, z = float(twice.x_m[nth]), float(twice.z_m[nth])
    there = -ROUNDING_M <= x <= wall.width_m + ROUNDING_M and -ROUNDING_M <= z <= wall.height_m + ROUNDING_M
    check.that(there, f"x {x:g} m, z {z:g} m",
               f"a fixed place is on the wall or at its rim, {wall.width_m:g} × {wall.height_m:g} m",
               "measure x from the wall's left end, z from the floor, in metres",
               twice.called(nth))  # fmt: skip
    for word, mm in (("before", twice.before_mm[nth]), ("after", twice.after_mm[nth])):
        check.that(bool(np.abs(mm) <= MOST_OFF_MM), f"{mm:g} mm {word}",
                   f"a reading is a number within {MOST_OFF_MM:g} mm",
                   "read it again, or leave the place out", twice.called(nth))  # fmt: skip


def check_not_in_line(twice: ReadTwice, plumb: bool, check: Check) -> None:
    """Note enough fixed places that stand in line."""
    line = "one above the other" if plumb else "on one straight line"
    check.that(
        not enough(twice.x_m, twice.z_m, plumb) or tells_all(twice.x_m, twice.z_m, plumb),
        f"{twice.x_m.size} fixed places {line}",
        "places in line leave open how the second plane was turned about that line",
        "read one more, well beside the others",
        "fixed places",
    )
