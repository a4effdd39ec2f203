"""What a job promised of a wall: flat under an edge, and how far it may lean."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from mytakeoff.bounds import Within, check_number, check_numbers
from mytakeoff.errors import Check
from mytakeoff.flatness.edge_lines import EdgeRule
from mytakeoff.flatness.grades import OWN, GapUnderEdge, Grade
from mytakeoff.job.job import Job
from mytakeoff.survey.wall import Wall
from mytakeoff.treatment.treat import chosen_grade
from mytakeoff.treatment.wall_result import WallResult

LEAN_SAID = "agree on more than 0: nothing that is measured is exactly plumb"
Lean = Annotated[float, Within(-600.0, 600.0)]
LeanLimit = Annotated[float, Within(0.0, 1000.0, above=True, usual=LEAN_SAID)]
GAP = Within(0.0, 200.0, above=True, usual="3 mm under 2 m is a usual grade")
EDGE = Within(0.0, 100.0, above=True, usual="2 m is usual")


@dataclass(frozen=True)
class Promised:
    """What one finished wall is held to.

    Parameters
    ----------
    wall : Wall
    edges : tuple of EdgeRule
        Under none of them more than its tolerance, each more than 0; one, or as many as a limit by distance
        has.
    both_ways : bool
        Bulges under a balanced edge count as hollows do.
    lean_mm_per_m : float
        Of the promised plane, into the room at the top positive; 0 is plumb [mm/m].
    lean_limit_mm : float or None
        How far from that it may be over the wall's height, more than 0; None: nothing was agreed [mm].
    by : str
        Where it stands: the grade's name.

    Raises
    ------
    TakeoffError
        No edge, or a length, a tolerance or a limit that is not more than 0.

    Examples
    --------
    >>> Promised(Wall("A", 4.0, 2.5), (EdgeRule(2.0, 3.0),), lean_limit_mm=8.0).lean_mm_per_m
    0.0
    """

    wall: Wall
    edges: tuple[EdgeRule, ...]
    both_ways: bool = False
    lean_mm_per_m: Lean = 0.0
    lean_limit_mm: LeanLimit | None = None
    by: str = OWN

    def __post_init__(self) -> None:
        object.__setattr__(self, "edges", tuple(self.edges))
        check = Check(f"wall {self.wall.name!r}, what was promised")
        check_numbers(self, check)
        check.that(
            bool(self.edges), "no edge", "a finished wall is held to an edge", "3 mm under 2 m is usual"
        )
        for each in self.edges:
            check_number(check, EDGE, straightedge_m=each.length_m)
            check_number(check, GAP, gap_mm=each.tolerance_mm)
        check.done()

    def gap_limit_mm(self, reach_m: float) -> float | None:
        """The gap allowed under an edge that reaches so far [m]; None where it says nothing of it [mm].

        Examples
        --------
        >>> held = Promised(Wall("A", 4.0, 2.5), (EdgeRule(1.0, 2.0), EdgeRule(2.0, 3.0)))
        >>> held.gap_limit_mm(0.8), held.gap_limit_mm(2.0), held.gap_limit_mm(3.0)
        (2.0, 3.0, None)
        """
        reached = [each.tolerance_mm for each in self.edges if each.length_m >= reach_m * (1 - 1e-5)]
        return min(reached, default=None)


def promised_by(job: Job, wall: WallResult) -> Promised:
    """What a job promises of one of its walls: by the grade it is judged by, on the plane it is brought to.

    Parameters
    ----------
    job : Job
    wall : WallResult
        As it is priced.

    Raises
    ------
    TakeoffError
        A limit that is not more than 0: a lean of 0 that was agreed can never be shown.
    """
    grade, ground = chosen_grade(job.compare), wall.surface.wall
    flatness = grade.flatness
    return Promised(
        ground,
        grade.edge_rules(math.hypot(ground.width_m, ground.height_m)),
        isinstance(flatness, GapUnderEdge) and flatness.both_ways,
        wall.plane.c_mm_per_m if wall.floated else 0.0,
        _lean_limit_mm(grade, ground.height_m),
        grade.name,
    )


def _lean_limit_mm(grade: Grade, height_m: float) -> float | None:
    """What a grade allows over a height [m]: the stricter of its limits [mm]."""
    if grade.plumb is None:
        return None
    limits = [grade.plumb.limit_mm(height_m)]
    if grade.plumb.apart_m is not None and grade.plumb.apart_mm is not None:
        limits.append(grade.plumb.apart_mm * height_m / grade.plumb.apart_m)
    return min((limit for limit in limits if limit is not None), default=None)
