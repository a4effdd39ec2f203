"""What a finished wall may hide between its readings, and how likely all of it conforms.

The face through the readings says nothing of what lies between them. Two things are told of that: how wide a
hollow may be that has no reading in it, which is geometry, and what is likely. For that faces are drawn at
random that the wall may have, as rough as its readings make likely and each as near to them as they are exact
(`simulation/faces.py`), and the edge is laid on every one of them: a Monte Carlo evaluation in the sense of
JCGM 101:2008.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.acceptance.promised import Promised
from mytakeoff.flatness.edge_lines import EdgeRule, edge_lines
from mytakeoff.flatness.straightedge import over_tolerance
from mytakeoff.job.backgrounds import FLOATED
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.repair.spot_repair import OVER_MM
from mytakeoff.simulation.faces import DrawnFaces
from mytakeoff.simulation.wall_range import Measured, faces_steps
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.edges import from_edge_m
from mytakeoff.survey.interpolate import distance_m, readings_of, step_m
from mytakeoff.survey.survey import Floats, Survey

# What is likely on a wall that was finished lately, before it is read: common practice, no source. Small
# marks that stand up are no matter of readings: the hand finds them.
FINISHED = replace(FLOATED, relief_mm=1.5, length_m=0.6, short_mm=0.2, nibs_per_m2=0.0, nib_mm=0.0)
NEARLY_ALL = 0.95
EDGE_ON_SITE_M = 2.0  # a limit by distance names none: what is laid on a wall; common practice, no source
HIDES_SHARE = 0.5  # of the edge: what is as wide shall have a reading in it; common practice, no source
AT_ONCE = 50  # faces in one step
ANY_GAP_MM = 1e-9


@dataclass(frozen=True)
class BetweenReadings:
    """What lies between the readings of a finished wall, as far as they make it likely.

    Parameters
    ----------
    step_m : float
        How far the readings are apart, typically [m].
    hides_m : float
        Across the widest round place of the plaster in which nobody read and no edge was laid [m].
    chance : float
        How likely no gap anywhere is over what its edge allows [-].
    gap_95_mm : float
        The greatest gap under the longest promised edge that 95 of 100 such walls stay within [mm].
    """

    step_m: float
    hides_m: float
    chance: float
    gap_95_mm: float

    def unseen_m(self, promised: Promised) -> float:
        """The same where it is wider than half the edge, 0 where it is not [m]."""
        edge_m = min(max(rule.length_m for rule in promised.edges), EDGE_ON_SITE_M)
        return self.hides_m if self.hides_m > HIDES_SHARE * edge_m else 0.0


def between_steps(
    promised: Promised, survey: Survey, surface: Surface, reading_mm: float, reach_m: float
) -> Generator[None, None, BetweenReadings | None]:
    """What may lie between readings, step by step; None where they leave nothing open, as a scan does.

    Parameters
    ----------
    promised : Promised
    survey : Survey
        Of the finished wall.
    surface : Surface
        Its height field.
    reading_mm : float
        Standard uncertainty of one reading [mm].
    reach_m : float
        How far the survey is trusted beyond its readings [m].
    """
    likely: LikelyWall = replace(FINISHED, reading_mm=reading_mm)
    measured = Measured(survey, reach_m=reach_m, likely=likely)
    if not measured.is_uncertain:
        return None
    drawn = yield from faces_steps(measured)
    longest = max(promised.edges, key=lambda rule: rule.length_m)
    over_mm = yield from _worst_steps(drawn, promised.edges)
    gap_mm = yield from _worst_steps(drawn, (replace(longest, tolerance_mm=ANY_GAP_MM),))
    chance = float(drawn.weights[over_mm <= OVER_MM].sum())
    order = np.argsort(gap_mm)
    nth = int(np.searchsorted(np.cumsum(drawn.weights[order]), NEARLY_ALL).clip(max=order.size - 1))
    hides_m, gap_95_mm = _widest_unread_m(survey, surface), float(gap_mm[order[nth]])
    return BetweenReadings(step_m(readings_of(survey)), hides_m, min(chance, 1.0), gap_95_mm)


def _widest_unread_m(survey: Survey, surface: Surface) -> float:
    """Across the widest round place of the plaster without a reading and without a laid edge [m]."""
    row, column = np.nonzero(surface.cell_area_m2 > 0)
    x_m, z_m = surface.x_m[column], surface.z_m[row]
    away = distance_m(readings_of(survey), x_m, z_m)
    for sweep in survey.sweeps:
        away = np.minimum(away, from_edge_m(sweep, x_m, z_m))
    return 2.0 * float(away.max())


def _worst_steps(drawn: DrawnFaces, rules: Sequence[EdgeRule]) -> Generator[None, None, Floats]:
    """How far the worst gap of each face is over what its edge allows, 0 where it is not (n,) [mm]."""
    lines, off_wall = edge_lines(drawn.surface), np.isnan(drawn.surface.proud_mm)
    faces_mm = np.where(off_wall, np.nan, drawn.proud_mm)
    worst = []
    for start in range(0, len(faces_mm), AT_ONCE):
        over = over_tolerance(faces_mm[start : start + AT_ONCE], lines, rules)
        worst.append(np.nan_to_num(over).max(axis=(-2, -1)))
        yield
    return np.concatenate(worst)
