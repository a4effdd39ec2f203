"""Finish grades: what a standard allows, as data with its source. How a wall is measured is in `judging`.

All figures are from secondary copies of standards that are sold: check the contract's own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.flatness.edge_lines import EdgeRule

SECONDARY = "secondary copy: check the contract's own standard"
OWN = "own"
JUST_UNDER = 1.0 - 1e-6  # a limit that rises at a distance does not hold there any more
HALF_UP = 0.5 + 1e-9  # 7.5 mm computed as 7.499999… is still half

Steps = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class GapByDistance:
    """The gap between two points on which an edge rests, allowed by the distance between them.

    Parameters
    ----------
    limits : tuple of (distance, limit)
        Rising; between two distances linear, rounded half up to whole millimetres; below the first and
        beyond the last as there [m, mm].
    """

    limits: Steps

    def limit_mm(self, distance_m: float) -> int:
        """The gap allowed between two contact points [mm].

        Examples
        --------
        >>> GapByDistance(((1.0, 5.0), (4.0, 10.0))).limit_mm(2.5)
        8
        """
        low = next((pair for pair in reversed(self.limits) if pair[0] <= distance_m), self.limits[0])
        high = next((pair for pair in self.limits if pair[0] >= distance_m), self.limits[-1])
        share = (distance_m - low[0]) / (high[0] - low[0]) if high[0] > low[0] else 0.0
        return math.floor(low[1] + share * (high[1] - low[1]) + HALF_UP)

    def edge_rules(self, longest_m: float) -> tuple[EdgeRule, ...]:
        """The same as edges with one tolerance each, up to a distance [m].

        A gap breaks the limit of its own distance if and only if it breaks that of the longest distance with
        the same limit, so one edge for each whole millimetre says it all.
        """
        rules = []
        for (near, low), (far, high) in pairwise(self.limits):
            for limit in range(math.floor(low + HALF_UP), math.floor(high + HALF_UP)):
                rises_m = near + (limit + 0.5 - low) / (high - low) * (far - near)
                if rises_m < longest_m:
                    rules.append(EdgeRule(rises_m * JUST_UNDER, float(limit)))
        return (*rules, EdgeRule(longest_m, float(self.limit_mm(longest_m))))


@dataclass(frozen=True)
class GapUnderEdge:
    """The gap under an edge of one length.

    Parameters
    ----------
    length_m : float
        [m]
    limit_mm : float
        [mm]
    both_ways : bool
        Bulges count as hollows do (equal packers at the ends of the edge).
    most_per_4_m2 : int or None
        How many uneven places may lie on any 2 × 2 m; None: any number [-].
    counted_from_mm : float
        A place is uneven from here; the standard leaves it open: common practice, no source [mm].
    """

    length_m: float
    limit_mm: float
    both_ways: bool = False
    most_per_4_m2: int | None = None
    counted_from_mm: float = 1.0

    def edge_rules(self, longest_m: float) -> tuple[EdgeRule, ...]:
        """The edge with its tolerance, whatever the wall's size [m]."""
        return (EdgeRule(self.length_m, self.limit_mm),)


@dataclass(frozen=True)
class PlumbLimits:
    """How far a wall may be out of plumb.

    Parameters
    ----------
    by_height : tuple of (height, limit)
        Up to that height of the wall, the last for any; empty: no such limit [m, mm].
    apart_m, apart_mm : float or None
        Between any two places that far apart, one above the other; None: no such limit [m, mm].
    """

    by_height: Steps = ()
    apart_m: float | None = None
    apart_mm: float | None = None

    def limit_mm(self, height_m: float) -> float | None:
        """What is allowed over the height of a wall [mm]."""
        return next((limit for most, limit in self.by_height if height_m <= most + 1e-9), None)


@dataclass(frozen=True)
class Grade:
    """A finish grade.

    Parameters
    ----------
    name : str
    flatness : GapByDistance or GapUnderEdge
        What is allowed, and how it is measured.
    plumb : PlumbLimits or None
        None where the grade says nothing about it.
    source, edition, status : str
        Where the figures come from, and how far to trust them.
    """

    name: str
    flatness: GapByDistance | GapUnderEdge
    plumb: PlumbLimits | None
    source: str
    edition: str
    status: str = SECONDARY

    def edge_rules(self, longest_m: float) -> tuple[EdgeRule, ...]:
        """Edges and tolerances that hollows are straightened to, up to a distance [m]."""
        return self.flatness.edge_rules(longest_m)


DIN_TABLE_3_M = (0.1, 1.0, 4.0, 10.0, 15.0)
# DIN 18202, table 2, angular deviations by nominal size; beaplan.de (secondary)
DIN_TABLE_2 = ((0.5, 3.0), (1.0, 6.0), (3.0, 8.0), (6.0, 12.0), (15.0, 16.0), (30.0, 20.0), (math.inf, 30.0))


def _din(line: int, words: str, limits_mm: Sequence[float]) -> Grade:
    return Grade(
        f"DIN 18202 line {line}",
        GapByDistance(tuple(zip(DIN_TABLE_3_M, limits_mm, strict=True))),
        PlumbLimits(DIN_TABLE_2),
        f"table 3 line {line} ({words}) and table 2; seomun1003.com, klb-klimaleichtblock.de, beaplan.de",
        "2019-07",
    )


def _nhbc(edition: str, limit_mm: float, by_height: Steps) -> Grade:
    return Grade(
        f"NHBC {edition}",
        GapUnderEdge(2.0, limit_mm, both_ways=True),
        PlumbLimits(by_height),
        "NHBC Standards, chapter 9.1.3: a 2 m straightedge with equal offsets; nhbc-standards.co.uk",
        edition,
        "read on the publisher's page: check the contract's own standard",
    )


def _snip(name: str, depth_mm: float, most: int, per_m_mm: float, height_mm: float) -> Grade:
    return Grade(
        f"SNiP 3.04.01-87 {name}",
        GapUnderEdge(2.0, depth_mm, both_ways=True, most_per_4_m2=most),
        PlumbLimits(((math.inf, height_mm),), 1.0, per_m_mm),
        "table 10; homemasters.ru, perekos.net",
        "1987; its successor SP 71.13330.2017 may be stricter",
    )


GRADES: tuple[Grade, ...] = (
    _din(5, "unfinished walls", (5, 10, 15, 25, 30)),
    _din(6, "finished walls, as plastered", (3, 5, 10, 20, 25)),
    _din(7, "finished walls, stricter; must be agreed", (2, 3, 8, 15, 20)),
    _nhbc("2019", 5.0, ((2.5, 8.0), (math.inf, 12.0))),
    _nhbc("2020", 3.0, ((3.0, 8.0), (math.inf, 12.0))),
    _snip("simple", 5.0, 3, 3.0, 15.0),
    _snip("improved", 3.0, 2, 2.0, 10.0),
    _snip("high-quality", 2.0, 2, 1.0, 5.0),
    Grade(
        "IS 1661",
        GapUnderEdge(2.0, 3.0),
        None,
        "clause 15, trueness; a plaster inspection checklist, clause headings at mydoc.pub",
        "1972",
    ),
)
PLACE = "compare, grade"
GRADE_NAMES = tuple(grade.name for grade in GRADES)


def grade_of(name: str) -> Grade:
    """A grade by its name.

    Raises
    ------
    TakeoffError
        No grade is called so; the message lists those there are.

    Examples
    --------
    >>> grade_of("IS 1661").flatness.limit_mm
    3.0
    """
    for grade in GRADES:
        if grade.name == name:
            return grade
    known = ", ".join(GRADE_NAMES)
    raise TakeoffError(
        Mistake(f"grade {name!r}", "the grade is one of a list", f"choose from {known}", PLACE)
    )


def own_grade(
    tolerance_mm: float, straightedge_m: float, plumb_mm: float | None = None, over_m: float = 1.0
) -> Grade:
    """The user's own grade: a gap under an edge, and how far out of plumb over a height.

    Parameters
    ----------
    tolerance_mm, straightedge_m : float
        More than 0 [mm, m].
    plumb_mm : float or None
        Between two places `over_m` one above the other, 0 or more; None: plumb is not judged [mm].
    over_m : float
        More than 0 [m].

    Raises
    ------
    TakeoffError
        A figure out of range.

    Examples
    --------
    >>> own_grade(3.0, 2.0).edge_rules(5.0)
    (EdgeRule(length_m=2.0, tolerance_mm=3.0),)
    """
    check = Check("own grade")
    for word, value, unit in (
        ("gap", tolerance_mm, "mm"),
        ("edge", straightedge_m, "m"),
        ("height", over_m, "m"),
    ):
        check.that(
            0 < value < math.inf,
            f"{word} {value:g} {unit}",
            f"the {word} is more than 0",
            "3 mm under 2 m is usual",
        )
    check.that(
        plumb_mm is None or 0 <= plumb_mm < math.inf,
        f"{plumb_mm} mm out of plumb",
        "it is 0 or more",
        "leave it out where plumb does not matter",
    )
    check.done()
    plumb = None if plumb_mm is None else PlumbLimits((), over_m, plumb_mm)
    return Grade(
        OWN, GapUnderEdge(straightedge_m, tolerance_mm), plumb, "entered by the user", "", "own figures"
    )
