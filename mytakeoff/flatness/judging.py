"""A finished face held to a grade, each grade measured in its own way.

Notes
-----
A limit that grows with the distance between the points of contact (DIN) is judged by one edge for each whole
millimetre of it: a gap breaks the limit of its own distance if and only if it breaks that of the longest
distance with the same limit.

What an instrument may have bent a wall by is no gap of the wall: a gap that lies within so much of its limit,
either side, is not judged. Below that it passes and beyond it fails, whatever the instrument did: guard bands
on either side of a limit, as in JCGM 106:2012 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from mytakeoff.flatness.grades import GapByDistance, GapUnderEdge, Grade, PlumbLimits
from mytakeoff.flatness.straightedge import bulge_and_hollow, straightedge_gap, worst_gap
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

READ_MM = 0.01  # nothing on a wall is read finer
WINDOW_M = 2.0  # 2 × 2 m are the 4 m² of a count
LEAST_OF_HEIGHT = 0.5  # a column tells the wall's plumb only if it reaches over this share of the height
CORNERS_TOUCH = np.ones((3, 3), dtype=int)

HOLLOW = "hollow gap"
BELLY = "belly"
UNEVEN = "uneven places on 4 m²"
PLUMB = "out of plumb over the height"
PLUMB_APART = "out of plumb"


@dataclass(frozen=True)
class Finding:
    """One thing that a grade asks for.

    Parameters
    ----------
    what : str
        "hollow gap", "belly", "uneven places on 4 m²", "out of plumb over the height" or "out of plumb".
    found, allowed : float
        In `unit`.
    unit : str
        "mm", or "" for a count.
    x_m, z_m : float
        The worst place; NaN where there is none [m].
    edge_m : float
        Length of the edge that it was found under; 0 where no edge asks for it [m].
    untold_mm : float
        How much of it may be the instrument's own bow [mm].
    """

    what: str
    found: float
    allowed: float
    unit: str
    x_m: float
    z_m: float
    edge_m: float = 0.0
    untold_mm: float = 0.0

    @property
    def over_by(self) -> float:
        """How much more than allowed; negative: how much is to spare."""
        return self.found - self.allowed

    @property
    def judged(self) -> bool:
        """Whether it passes or fails whatever the instrument's own bow is; a count of places is not then."""
        return self.untold_mm <= READ_MM or (bool(self.unit) and abs(self.over_by) > self.untold_mm)

    @property
    def passes(self) -> bool:
        """Whether it is surely within what is allowed, read to 0.01 mm."""
        return self.judged and self.over_by <= READ_MM


@dataclass(frozen=True)
class Verdict:
    """What a grade says of a face.

    Parameters
    ----------
    grade : Grade
    flatness, plumb : tuple of Finding
        `plumb` is empty where the grade does not ask for it, or the readings cannot tell.
    note : str
        Why plumb was not judged though the grade asks for it.
    """

    grade: Grade
    flatness: tuple[Finding, ...]
    plumb: tuple[Finding, ...]
    note: str = ""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All of them."""
        return (*self.flatness, *self.plumb)

    @property
    def passes(self) -> bool:
        """Whether everything that was judged passes."""
        return all(finding.passes for finding in self.findings)

    @property
    def untold(self) -> bool:
        """Whether it neither passes nor fails: nothing that was judged fails, and something was not."""
        return not self.passes and all(finding.passes or not finding.judged for finding in self.findings)

    @property
    def worst(self) -> Finding:
        """The finding that is most over, or has least to spare, as a share of what is allowed.

        Of those that fail if any does, else of those that were not judged.
        """
        fail = [finding for finding in self.findings if finding.judged and not finding.passes]
        among = fail or [finding for finding in self.findings if not finding.judged] or self.findings
        return max(among, key=lambda finding: finding.over_by / max(finding.allowed, READ_MM))


def judge(surface: Surface, grade: Grade, plumb: bool = True) -> Verdict:
    """Hold a face to a grade.

    Parameters
    ----------
    surface : Surface
        The finished face (or the bare wall).
    grade : Grade
    plumb : bool
        Whether the plane measured off was plumb; without that plumb is not judged.

    Returns
    -------
    Verdict
        The gap by distance is judged over every distance that the wall has room for. Out of plumb is read
        as with a plumb line: in each column the difference between its highest and its lowest known cell
        (columns over at least half of the wall's height), and between cells a given height apart.

    Raises
    ------
    TakeoffError
        Uneven cells.

    Examples
    --------
    >>> from mytakeoff.flatness.grades import own_grade
    >>> from mytakeoff.survey.wall import Wall
    >>> dip = Surface.from_grid(Wall("A", 3.0, 1.0), [0.5, 1.5, 2.5], [0.5], [[0.0, -5.0, 0.0]])
    >>> verdict = judge(dip, own_grade(3.0, 2.0))
    >>> verdict.passes, verdict.worst.over_by
    (False, 2.0)
    """
    flatness = grade.flatness
    if isinstance(flatness, GapByDistance):
        found = _gap_by_distance(surface, flatness)
    else:
        found = _under_edge(surface, flatness)
    asked = grade.plumb is not None
    note = "" if plumb or not asked else "plumb is not judged: what was measured from was not plumb"
    upright = _plumb(surface, grade.plumb) if plumb and grade.plumb is not None else ()
    return Verdict(grade, found, upright, note)


def _worst(surface: Surface, values: Floats) -> tuple[float, float, float]:
    """Greatest of the values, 0 or more, and its place (x, z) [m]."""
    if np.isnan(values).all() or np.nanmax(values) <= 0:
        return 0.0, float("nan"), float("nan")
    row, column = np.unravel_index(int(np.nanargmax(values)), values.shape)
    return float(values[row, column]), float(surface.x_m[column]), float(surface.z_m[row])


def _gap_by_distance(surface: Surface, flatness: GapByDistance) -> tuple[Finding, ...]:
    """The worst gap against the limit of its distance."""
    longest_m = float(np.hypot(surface.wall.width_m, surface.wall.height_m))
    rule, gap = worst_gap(surface, flatness.edge_rules(longest_m))
    return (Finding(HOLLOW, *_split(surface, gap, rule.tolerance_mm), rule.length_m, surface.bow_mm),)


def _under_edge(surface: Surface, flatness: GapUnderEdge) -> tuple[Finding, ...]:
    """Hollow gap, belly and count under an edge of one length, as far as the grade asks."""
    length, limit = flatness.length_m, flatness.limit_mm
    gap = straightedge_gap(surface, length)
    untold_mm = surface.bow_mm
    findings = [Finding(HOLLOW, *_split(surface, gap, limit), length, untold_mm)]
    if flatness.both_ways:
        bulge = bulge_and_hollow(surface, length)[0]
        findings.append(Finding(BELLY, *_split(surface, bulge, limit), length, untold_mm))
        gap = np.fmax(gap, bulge)
    if flatness.most_per_4_m2 is not None:
        count, x, z = most_uneven_places(surface, gap, flatness.counted_from_mm)
        findings.append(Finding(UNEVEN, count, flatness.most_per_4_m2, "", x, z, untold_mm=untold_mm))
    return tuple(findings)


def _split(surface: Surface, values: Floats, allowed: float) -> tuple[float, float, str, float, float]:
    found, x, z = _worst(surface, values)
    return found, allowed, "mm", x, z


def most_uneven_places(
    surface: Surface, departure_mm: Floats, counted_from_mm: float
) -> tuple[int, float, float]:
    """How many uneven places lie on the worst 2 × 2 m, and the middle of that square.

    An uneven place is a connected area that departs by more than `counted_from_mm`; it lies where it departs
    most. A wall smaller than the square is its own square.

    Parameters
    ----------
    surface : Surface
    departure_mm : (nz, nx) float
        [mm]
    counted_from_mm : float
        [mm]
    """
    departure = np.nan_to_num(departure_mm)
    numbers, count = ndimage.label(departure > counted_from_mm, CORNERS_TOUCH)
    if not count:
        return 0, float("nan"), float("nan")
    places = np.zeros(departure.shape, dtype=int)
    tops = np.array(ndimage.maximum_position(departure, numbers, range(1, count + 1)))
    places[tops[:, 0], tops[:, 1]] = 1
    steps = surface.wall.width_m / surface.x_m.size, surface.wall.height_m / surface.z_m.size
    wide, high = (
        min(max(1, int(WINDOW_M / step + 1e-9)), size)
        for step, size in zip(steps, (surface.x_m.size, surface.z_m.size), strict=True)
    )
    sums = np.pad(places.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    inside = sums[high:, wide:] - sums[:-high, wide:] - sums[high:, :-wide] + sums[:-high, :-wide]
    low, left = divmod(int(inside.argmax()), inside.shape[1])
    x = surface.x_m[left : left + wide].mean()
    return int(inside.max()), float(x), float(surface.z_m[low : low + high].mean())


def _plumb(surface: Surface, limits: PlumbLimits) -> tuple[Finding, ...]:
    height, findings = surface.wall.height_m, []
    limit = limits.limit_mm(height)
    if limit is not None:
        findings.append(_end_to_end(surface, limit))
    if limits.apart_m is not None and limits.apart_mm is not None:
        findings.append(_apart(surface, limits.apart_m, limits.apart_mm))
    return tuple(findings)


def _end_to_end(surface: Surface, limit_mm: float) -> Finding:
    """The worst column between its highest and its lowest known cell."""
    known, each = ~np.isnan(surface.proud_mm), np.arange(surface.x_m.size)
    low, high = known.argmax(axis=0), len(known) - 1 - known[::-1].argmax(axis=0)
    lean = np.abs(surface.proud_mm[high, each] - surface.proud_mm[low, each])
    # a cell's own height is part of the column, so that one row of cells still tells
    reach = surface.z_m[high] - surface.z_m[low] + surface.wall.height_m / surface.z_m.size
    lean[reach < LEAST_OF_HEIGHT * surface.wall.height_m - 1e-9] = np.nan
    if np.isnan(lean).all():
        return Finding(PLUMB, 0.0, limit_mm, "mm", float("nan"), float("nan"))
    worst = int(np.nanargmax(lean))
    place = float(surface.x_m[worst]), float(surface.z_m[high[worst]])
    return Finding(PLUMB, float(lean[worst]), limit_mm, "mm", *place)


def _apart(surface: Surface, apart_m: float, limit_mm: float) -> Finding:
    """The worst difference between two cells a height apart; on a lower wall between its ends."""
    step_m = surface.wall.height_m / surface.z_m.size
    steps = min(int(np.floor(apart_m / step_m + 1e-9)), surface.z_m.size - 1)
    if steps == 0:
        return Finding(PLUMB_APART, 0.0, limit_mm, "mm", float("nan"), float("nan"))
    lean = np.full(surface.proud_mm.shape, np.nan)
    lean[steps:] = np.abs(surface.proud_mm[steps:] - surface.proud_mm[:-steps])
    return Finding(PLUMB_APART, *_split(surface, lean, limit_mm))
