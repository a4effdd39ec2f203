"""A second survey that was read from the other end, in another unit or the other way, known by its shape.

Where a wall keeps some of its shape under the plaster, the second survey resembles the first. Does it
resemble the first one seen in a mirror, or is it so many times as large as one unit is of another, then it
was entered so. Nothing is turned or scaled here: it is said.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mytakeoff.errors import Mistake
from mytakeoff.survey.survey import Floats

FEWEST_READINGS = 12  # of either survey: fewer resemble anything
MIRRORED_ALIKE, MIRRORED_MORE = 0.85, 0.5  # correlation, and by how much its square is above the plain one's
SHOWS = 2.0  # standard deviations of a reading that the second shape has at least, to be known in a mirror
SCALED_ALIKE, SCALED_NEAR = 0.97, 0.1  # correlation, and what a factor may be off as a share
FIXED_ALIKE, FIXED_SPARE, FIXED_SHOWS = 0.99, 2, 5.0
UNITS = {  # the second survey's numbers over the first one's, and what it was then read in
    0.1: "centimetres", 0.001: "metres", 1 / 25.4: "inches", 1 / 304.8: "feet",
    10.0: "millimetres, and the first one in centimetres",
    25.4: "millimetres, and the first one in inches",
    304.8: "millimetres, and the first one in feet",
    1000.0: "millimetres, and the first one in metres",
}  # fmt: skip
OTHER_WAY = -1.0


@dataclass(frozen=True)
class Likeness:
    """How one set of numbers resembles another.

    Parameters
    ----------
    correlation : float
        -1 to 1 [-].
    factor : float
        How many times as large the second is [-].
    """

    correlation: float
    factor: float


def likeness(first: Floats, second: Floats) -> Likeness:
    """How the second (n,) resembles the first (n,), both about 0 [same unit].

    Examples
    --------
    >>> likeness(np.array([1.0, -2.0, 1.0]), np.array([0.1, -0.2, 0.1])).factor
    0.1
    """
    own, other, both = float(first @ first), float(second @ second), float(first @ second)
    if min(own, other) <= 0.0:
        return Likeness(0.0, 1.0)
    alike = both / np.sqrt(own * other)
    return Likeness(float(alike), round(float(np.sqrt(other / own) * np.sign(alike)), 12))


def unit_meant(found: Likeness, alike: float) -> Mistake | None:
    """What is wrong with numbers that are so many times as large, if they are as alike as that [-]."""
    if abs(found.correlation) < alike:
        return None
    if abs(found.factor - OTHER_WAY) < SCALED_NEAR * 2:
        return Mistake(
            "what is proud in the first survey is as hollow in the second",
            "both are read the same way",
            "head the second with off_line_mm where it was read back to the wall, proud_mm where towards you",
        )
    for factor, unit in UNITS.items():
        if abs(found.factor / factor - 1.0) <= SCALED_NEAR:
            return Mistake(
                f"ups and downs {found.factor:.3g} times those of the first survey",
                "both are in millimetres",
                f"the second looks as if it was read in {unit}: head its columns with that unit",
            )
    return None


def shape_mistake(first: Floats, second: Floats, off_mm: float) -> Mistake | None:
    """What is wrong with a second shape, if it can be told by the first.

    Parameters
    ----------
    first, second : (nz, nx) float
        What either face has besides a plane; NaN where it is not known [mm].
    off_mm : float
        Standard deviation of a reading [mm].
    """
    plain, turned = (_alike(each, second) for each in (first, first[:, ::-1]))
    found = unit_meant(plain, SCALED_ALIKE)
    if found is not None or float(np.nanstd(second)) < SHOWS * off_mm:
        return found
    more = turned.correlation * abs(turned.correlation) - plain.correlation**2
    if turned.correlation < MIRRORED_ALIKE or more < MIRRORED_MORE:
        return None
    return Mistake(
        f"it resembles the first survey seen in a mirror ({turned.correlation:.2f} of 1, "
        f"{plain.correlation:.2f} as it stands)",
        "x runs from the wall's left end, seen from inside the room",
        "measure its x from the other end, or say that it was taken from the other side",
    )


def _alike(first: Floats, second: Floats) -> Likeness:
    both = np.isfinite(first) & np.isfinite(second)
    return likeness(*(each[both] - each[both].mean() for each in (first, second)))


def fixed_mistake(columns: Floats, before_mm: Floats, after_mm: Floats, off_mm: float) -> Mistake | None:
    """What is wrong with second readings at fixed places, if the first ones tell.

    Parameters
    ----------
    columns : (n, k) float
        Of the plane between the two surveys.
    before_mm, after_mm : (n,) float
        [mm]
    off_mm : float
        Standard deviation of a reading [mm].
    """
    if columns.shape[0] < columns.shape[1] + 1 + FIXED_SPARE:
        return None
    first, second = (
        values - columns @ np.linalg.lstsq(columns, values, rcond=None)[0] for values in (before_mm, after_mm)
    )
    if float(np.sqrt(first @ first / columns.shape[0])) < FIXED_SHOWS * off_mm:
        return None
    return unit_meant(likeness(first, second), FIXED_ALIKE)
