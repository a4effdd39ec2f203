"""Two surveys of one wall tied by places that the plaster did not move.

The second survey's plane stands ``a + b x + c z`` off the first one's. The fixed places give it by least
squares; where both planes were plumb, c is 0 but for what an instrument is out of plumb by.

References
----------
W. Baarda, "A Testing Procedure for Use in Geodetic Networks", Netherlands Geodetic Commission, Publications
on Geodesy 2(5), Delft 1968 (from memory): a reading's residual over its own standard deviation is normal if
no reading is wrong; beyond 3.29, which one in a thousand passes by chance, it is taken for wrong, one at a
time.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import log, sqrt

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.as_taken import FEWEST, in_a_line
from mytakeoff.survey.survey import Floats

PASSED_BY_ONE_IN_1000 = 3.29
ODDS = 2.0 * log(20.0)  # between squared residuals: one place 20 times likelier to have moved than the next
MOVED_SHARE = 0.25  # of the places that may be put aside; are there more, all of them disagree (no source)
# Degrees of freedom of the error that a reading is given: JCGM 100:2008, G.4.2 (from memory), half the square
# of one over what it may be off itself, a quarter (no source).
GIVEN_FREEDOM = 8.0
NOTHING = 1e-9
PLUMB_APART_M = 0.1  # two places nearer to one another along the wall tell no turn (no source)
PLUMB_MM_PER_M = (
    0.3  # what a plane called plumb is out at most: 3 mm on 10 m is usual of line lasers (no source)
)


@dataclass(frozen=True, eq=False)
class Solved:
    """Unknowns by least squares, all readings of one weight.

    Parameters
    ----------
    columns : (n, k) float
        What each unknown counts for in each reading.
    unknowns : (k,) float
    residual : (n,) float
        Readings less what the unknowns make of them [their unit].
    spare : int
        Readings beyond the unknowns [-].
    noise : float
        Standard deviation of a reading [its unit].
    freedom : float
        Degrees of freedom that it is known by [-].
    """

    columns: Floats
    unknowns: Floats
    residual: Floats
    spare: int
    noise: float
    freedom: float

    @cached_property
    def cofactors(self) -> Floats:
        """Covariance of the unknowns for readings of variance 1 (k, k)."""
        return np.asarray(np.linalg.inv(self.columns.T @ self.columns))

    @property
    def covariance(self) -> Floats:
        """Covariance of the unknowns (k, k)."""
        return self.noise**2 * self.cofactors

    @property
    def checked(self) -> Floats:
        """How much of what a reading is wrong by shows in its own residual (n,), 0 to 1 [-]."""
        reach = np.einsum("ni,ij,nj->n", self.columns, self.cofactors, self.columns)
        return np.asarray(np.clip(1.0 - reach, 0.0, 1.0))

    def standing_off(self, noise: float) -> Floats:
        """Residuals over their own standard deviations, readings so exact (n,); 0 of unchecked ones [-]."""
        checked = self.checked
        own = noise * np.sqrt(np.where(checked > NOTHING, checked, 1.0))
        return np.where(checked > NOTHING, self.residual / own, 0.0)

    def off_at(self, columns: Floats) -> Floats:
        """Standard deviation of what the unknowns make of other readings (m, k), (m,) [their unit]."""
        return np.asarray(np.sqrt(np.einsum("mi,ij,mj->m", columns, self.covariance, columns)))


def solved(columns: Floats, readings: Floats, noise: float | None = None) -> Solved:
    """Unknowns by least squares, and how exact readings are: as given, as they miss, or both pooled.

    Parameters
    ----------
    columns : (n, k) float
        Of full rank, n at least k.
    readings : (n,) float
    noise : float or None
        Standard deviation of a reading as it is given; None: by the residuals alone, of which there must be
        spare ones.

    Examples
    --------
    A line through 0, 1 and 5 at 0, 1 and 2:

    >>> line = solved(np.array([[1.0, 0.0], [1.0, 1.0], [1.0, 2.0]]), np.array([0.0, 1.0, 5.0]))
    >>> line.unknowns.round(6).tolist(), round(line.noise, 6)
    ([-0.5, 2.5], 1.224745)
    """
    found = np.asarray(np.linalg.lstsq(columns, readings, rcond=None)[0])
    residual = readings - columns @ found
    spare = columns.shape[0] - columns.shape[1]
    given = 0.0 if noise is None else GIVEN_FREEDOM
    squares = given * (noise or 0.0) ** 2 + float(residual @ residual)
    return Solved(columns, found, residual, spare, sqrt(squares / (given + spare)), given + spare)


@dataclass(frozen=True, eq=False)
class Registration:
    """The plane of a second survey against that of the first.

    Parameters
    ----------
    fit : Solved
        Over the places that count.
    plumb : bool
        Both planes were plumb: offset and turn alone were unknown.
    residual_mm : (n,) float
        How much further each place has come towards the room than the plane says; all places [mm].
    counts : (n,) bool
        Which places it rests on; the others were moved.
    agree : bool
        Whether those agree within what their readings may be off.
    fixed_z_m : (n,) float
        Heights of all places [m].
    """

    fit: Solved
    plumb: bool
    residual_mm: Floats
    counts: NDArray[np.bool_]
    agree: bool
    fixed_z_m: Floats

    def at(self, x_m: Floats, z_m: Floats) -> Floats:
        """How far the second plane stands off the first at places (m,) [mm]."""
        return np.asarray(terms(x_m, z_m, self.plumb) @ self.fit.unknowns)

    def off_at(self, x_m: Floats, z_m: Floats) -> Floats:
        """What the fixed places leave open there, as a standard deviation (m,) [mm].

        Of several places together: at their middle, since the plane is straight between them.
        """
        return self.fit.off_at(terms(x_m, z_m, self.plumb))

    def plumb_off_at(self, x_m: Floats, z_m: Floats) -> Floats:
        """What two planes called plumb may be out of plumb makes there, as a standard deviation (m,) [mm]."""
        if not self.plumb:
            return np.zeros(x_m.size)
        among = terms(x_m, z_m, True) @ self.fit.cofactors @ self.fit.columns.T
        lever_m = z_m - among @ self.fixed_z_m[self.counts]
        return np.asarray(np.abs(lever_m) * PLUMB_MM_PER_M * sqrt(2.0 / 3.0))


def terms(x_m: Floats, z_m: Floats, plumb: bool) -> Floats:
    """What offset, turn and, unless plumb, lean count for at places (n, 2 or 3) [-, m, m]."""
    level = [np.ones_like(x_m), x_m]
    return np.column_stack(level if plumb else [*level, z_m])


def enough(x_m: Floats, z_m: Floats, plumb: bool) -> bool:
    """Whether places can tie two surveys: three, or two where both are plumb.

    Examples
    --------
    >>> enough(np.array([0.0, 3.0]), np.array([1.0, 1.0]), plumb=True)
    True
    """
    return x_m.size >= (FEWEST - 1 if plumb else FEWEST)


def tells_all(x_m: Floats, z_m: Floats, plumb: bool) -> bool:
    """Whether enough places stand so that they tell offset, turn and lean."""
    return bool(np.ptp(x_m) >= PLUMB_APART_M) if plumb else not in_a_line(x_m, z_m)


def registered(x_m: Floats, z_m: Floats, moved_mm: Floats, noise_mm: float, plumb: bool) -> Registration:
    """The second plane by the places that did not move.

    Parameters
    ----------
    x_m, z_m : (n,) float
        Fixed places that `tells_all` holds of [m].
    moved_mm : (n,) float
        Second reading less the first [mm].
    noise_mm : float
        Standard deviation of that difference, as it is given, more than 0 [mm].
    plumb : bool
        Both planes were plumb.

    Returns
    -------
    Registration
        Places that moved against all others are put aside, one after the other, as long as it is plain which
        and the others check one another; where that leaves places that disagree, all count and their misses
        say how much they are off.

    Examples
    --------
    Set up 20 mm nearer and turned by 2 mm a metre:

    >>> x, z = np.array([0.0, 3.0, 0.0, 3.0]), np.array([0.0, 0.0, 2.0, 2.0])
    >>> registered(x, z, 20.0 + 2.0 * x, 0.85, plumb=False).fit.unknowns.round(6).tolist()
    [20.0, 2.0, 0.0]
    """
    columns = terms(x_m, z_m, plumb)
    counts = _unmoved(columns, moved_mm, noise_mm, x_m, z_m, plumb)
    agree = counts is not None
    counts = np.ones(x_m.size, dtype=bool) if counts is None else counts
    fit = solved(columns[counts], moved_mm[counts], noise_mm)
    if not agree:
        alone = solved(columns, moved_mm)
        fit = alone if alone.noise > fit.noise else fit
    return Registration(fit, plumb, moved_mm - columns @ fit.unknowns, counts, agree, z_m)


def _unmoved(
    columns: Floats, moved_mm: Floats, noise_mm: float, x_m: Floats, z_m: Floats, plumb: bool
) -> NDArray[np.bool_] | None:
    """Which places agree once those that plainly moved are put aside; None where that cannot be told."""
    counts = np.ones(moved_mm.size, dtype=bool)
    most = max(1, int(MOVED_SHARE * moved_mm.size))
    while True:
        fit = solved(columns[counts], moved_mm[counts], noise_mm)
        off = np.abs(fit.standing_off(noise_mm))
        if off.max(initial=0.0) <= PASSED_BY_ONE_IN_1000:
            return counts
        second, first = np.sort(off)[-2:]
        plain = first**2 - second**2 > ODDS
        if fit.spare < 2 or not plain or int((~counts).sum()) >= most:
            return None
        counts[np.flatnonzero(counts)[int(np.argmax(off))]] = False
        if not tells_all(x_m[counts], z_m[counts], plumb):
            return None
