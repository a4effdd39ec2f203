"""Snags of a finished wall: what to fill or take down so that it is as promised, place by place.

They are those of the least repair that the wall would have had before the job, with the places beside them
where a straightedge showed what no reading saw.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from typing import Annotated, Literal

import numpy as np

from mytakeoff.acceptance.hand_marks import check_marks
from mytakeoff.acceptance.promised import Promised
from mytakeoff.acceptance.resting_edge import worst_bulge
from mytakeoff.bounds import Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.finished.hand_mark import SHOWS, HandMark, SnagKind
from mytakeoff.flatness.edge_lines import edge_lines
from mytakeoff.flatness.straightedge import straightedge_notices
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.rates import LabourRates
from mytakeoff.labour.pieces import patch_hours
from mytakeoff.repair.spot_repair import (
    OVER_MM,
    RepairBuildUp,
    fill_after,
    finished_face,
    spot_repair,
    without_thin,
)
from mytakeoff.surface.patches import FILLED_MM, Patch, patches_of
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import distance_m, readings_of
from mytakeoff.survey.survey import Survey, read_only
from mytakeoff.survey.wall import Rectangle

SnagState = Literal["open", "done", "checked"]
SeenBy = Literal["readings", "edge"]
OPEN: SnagState = "open"
DONE: SnagState = "done"
CHECKED: SnagState = "checked"
NEAR_M = 0.3  # two places nearer to one another than this are one snag; common practice, no source
LEAST_CUT_MM = 0.5  # nobody scrapes off less; common practice, no source
LEAST_RADIUS_M = 0.05  # no smaller place is touched up by itself
MINUTES = 60.0
KEPT = 16  # repairs: each round of checking asks again for those of the rounds before it
PLACES = 6  # decimals by which places are sorted
SEEN_BOTH: tuple[SeenBy, ...] = ("readings", "edge")


@dataclass(frozen=True)
class TouchUp:
    """How snags are put right (common practice, no source).

    Parameters
    ----------
    left_share : float
        Gap left in a hollow that is filled, of what is allowed, more than 0; 1: no more is filled than has to
        be, and a reading's error brings it back on the list [-].
    cut_limit_mm : float
        Most that is taken down anywhere, 0 or more; high spots are taken down to what is allowed, and none by
        less than half a millimetre [mm].
    cut_to_fill_price : float
        Price of taking down a litre over that of filling one, 0 or more [-].

    Raises
    ------
    TakeoffError
        A figure out of its range.
    """

    left_share: Annotated[float, Within(0.0, 1.0, above=True, usual="0.5 is usual")] = 0.5
    cut_limit_mm: Annotated[float, Within(0.0, 200.0, usual="5 mm is usual")] = 5.0
    cut_to_fill_price: Annotated[float, Within(0.0, 1000.0, usual="1 is usual")] = 1.0

    def __post_init__(self) -> None:
        check = Check("touching up")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class SnagEvent:
    """What a round of checking found of one snag: found, still there, done, checked or reopened; the day."""

    on: date
    what: str


@dataclass(frozen=True)
class Snag:
    """One place to fill or to take down.

    Parameters
    ----------
    number : int
        From 1, kept through all rounds [-].
    kind : "hollow" or "high"
    place : Rectangle
        The smallest rectangle around it; where only an edge showed it, as large as it can be [m].
    x_m, z_m : float
        Its middle, from the wall's left end and up from the floor [m].
    area_m2 : float
        [m²]
    depth_mm : float
        Most that is filled or taken down [mm].
    litres : float
        Filled or taken down [l].
    minutes : float
        A plasterer's, by the job's own rates [min].
    seen_by : tuple of "readings", "edge"
    marks : tuple of HandMark
        Made by hand at this place.
    state : "open", "done" or "checked"
        Found; said to be touched up; shown to be gone.
    history : tuple of SnagEvent
        What each round found of it.
    found_at : (float, float) or None
        Its middle as it was first found; None where no round found it [m].
    """

    number: int
    kind: SnagKind
    place: Rectangle
    x_m: float
    z_m: float
    area_m2: float
    depth_mm: float
    litres: float
    minutes: float
    seen_by: tuple[SeenBy, ...]
    marks: tuple[HandMark, ...] = ()
    state: SnagState = OPEN
    history: tuple[SnagEvent, ...] = ()
    found_at: tuple[float, float] | None = None

    def away_m(self, x_m: float, z_m: float) -> float:
        """How far a place is from its rectangle, 0 inside [m]."""
        box = self.place
        across = max(box.x_m - x_m, 0.0, x_m - box.x_m - box.width_m)
        up = max(box.z_m - z_m, 0.0, z_m - box.z_m - box.height_m)
        return math.hypot(across, up)


@dataclass(frozen=True, eq=False)
class SnagList:
    """The snags of one wall.

    Parameters
    ----------
    promised : Promised
        What the wall is held to.
    snags : tuple of Snag
        From the wall's left end to its right, from the floor up.
    surface : Surface or None
        The finished wall; None: it was only checked by hand.
    repair : RepairBuildUp or None
        What its readings ask to be filled and taken down.
    notices : tuple of str
        What touching up does not cure, and what the edge could not show.
    known_after : tuple of tuple of int
        The numbers that were given after each round; empty without rounds [-].
    """

    promised: Promised
    snags: tuple[Snag, ...]
    surface: Surface | None = None
    repair: RepairBuildUp | None = None
    notices: tuple[str, ...] = field(default=())
    known_after: tuple[tuple[int, ...], ...] = ()

    @property
    def to_do(self) -> tuple[Snag, ...]:
        """Those that are not checked yet."""
        return tuple(snag for snag in self.snags if snag.state != CHECKED)

    @property
    def litres(self) -> float:
        """To fill, of those that are not checked [l]."""
        return sum(snag.litres for snag in self.to_do if snag.kind == "hollow")

    @property
    def minutes(self) -> float:
        """A plasterer's, of those that are not checked [min]."""
        return sum(snag.minutes for snag in self.to_do)


def snag_list(
    promised: Promised,
    surface: Surface | None = None,
    survey: Survey | None = None,
    marks: Sequence[HandMark] = (),
    touch_up: TouchUp | None = None,
    rates: LabourRates | None = None,
    formats: Formats = HOUSE,
) -> SnagList:
    """What is to be filled or taken down on a finished wall.

    Parameters
    ----------
    promised : Promised
    surface : Surface or None
        The finished wall; None: there are only marks.
    survey : Survey or None
        What it was read by: a hollow that no reading saw is no wider than they are apart there.
    marks : sequence of HandMark
        What a straightedge showed.
    touch_up : TouchUp or None
        None: what is usual.
    rates : LabourRates or None
        None: the usual ones.
    formats : Formats
        Of its notices.

    Returns
    -------
    SnagList
        Numbered from 1 in the order of their places. What is filled and taken down at those that readings
        saw is that of `spot_repair`; done so, no gap is above what was promised.

    Raises
    ------
    TakeoffError
        Marks beside the plaster of the wall, or of edges that tell nothing of what was promised.

    Notes
    -----
    A mark confirms the nearest snag of its kind within 0.3 m. If there is none, and it departs by more than
    what was promised, it is a snag itself, taken for a dish (paraboloid) that reaches to the nearest reading,
    or half the edge: ``V = ½ π r² depth``.

    Each snag takes the time of going to it, as a patch does, and that of its area by its own rate.

    Examples
    --------
    A hollow of 5 mm and light of 4 mm at a place that nobody read:

    >>> from mytakeoff.flatness.edge_lines import EdgeRule
    >>> from mytakeoff.survey.wall import Wall
    >>> row = [[0.0, -5.0, 0.0, 0.0, 0.0, 0.0]]
    >>> wall = Surface.from_grid(Wall("A", 6.0, 1.0), [0.5, 1.5, 2.5, 3.5, 4.5, 5.5], [0.5], row)
    >>> held = Promised(wall.wall, (EdgeRule(2.0, 3.0),))
    >>> light = [HandMark(4.2, 0.6, "light", 4.0)]
    >>> found = snag_list(held, wall, marks=light, touch_up=TouchUp(cut_limit_mm=0.0))
    >>> [(snag.number, snag.kind, round(snag.depth_mm, 2), snag.seen_by) for snag in found.snags]
    [(1, 'hollow', 3.5, ('readings',)), (2, 'hollow', 2.5, ('edge',))]
    """
    touch_up, rates = touch_up or TouchUp(), rates or LabourRates()
    check_marks(marks, promised, f"wall {promised.wall.name!r}")
    repair = None if surface is None else _repair(surface, promised, touch_up)
    snags = [] if repair is None else _read_snags(repair, rates)
    for mark in marks:
        snags = _with_mark(snags, mark, promised, survey, touch_up, rates)
    notices = () if repair is None else tuple(_notices(repair, promised, formats))
    first_to_last = (replace(snag, number=nth) for nth, snag in enumerate(by_place(snags), start=1))
    return SnagList(promised, tuple(first_to_last), surface, repair, notices)


@lru_cache(KEPT)
def _repair(surface: Surface, promised: Promised, touch_up: TouchUp) -> RepairBuildUp:
    """The repair, without what would be taken down by a hair; hollows are filled for what is left of it."""
    tolerances = [rule.tolerance_mm for rule in promised.edges]
    lengths = [rule.length_m for rule in promised.edges]
    left_mm = touch_up.left_share * min(tolerances)
    repair = spot_repair(
        surface, tolerances, lengths, left_mm, touch_up.cut_limit_mm, touch_up.cut_to_fill_price
    )
    cut = without_thin(repair.cut_mm, LEAST_CUT_MM)
    if np.array_equal(cut, repair.cut_mm, equal_nan=True):
        return repair
    fill = fill_after(surface, cut, edge_lines(surface), repair.rules, left_mm)
    fill = np.where(fill < FILLED_MM, 0.0, fill)
    for array in (fill, cut):
        array.flags.writeable = False
    return replace(repair, thickness_mm=fill, cut_mm=cut, patches=patches_of(surface, fill))


def by_place(snags: Iterable[Snag]) -> list[Snag]:
    """Snags from the wall's left end to its right, from the floor up."""
    return sorted(snags, key=lambda snag: (round(snag.x_m, PLACES), round(snag.z_m, PLACES)))


def _read_snags(repair: RepairBuildUp, rates: LabourRates) -> list[Snag]:
    """A snag for each patch that is filled and for each that is taken down."""
    filled, cut = (patches_of(repair.surface, mm) for mm in (repair.thickness_mm, repair.cut_mm))
    return [
        *(_snag("hollow", patch, ("readings",), rates) for patch in filled),
        *(_snag("high", patch, ("readings",), rates) for patch in cut),
    ]


def _snag(kind: SnagKind, patch: Patch, seen_by: tuple[SeenBy, ...], rates: LabourRates) -> Snag:
    each = rates if kind == "hollow" else replace(rates, patch_h_per_m2=rates.take_down_h_per_m2)
    minutes = MINUTES * patch_hours(1, patch.area_m2, each)
    at = patch.x_m, patch.z_m
    return Snag(0, kind, patch.place, *at, patch.area_m2, patch.deepest_mm, patch.volume_l, minutes, seen_by)


def nearest_to(snags: Iterable[Snag], mark: HandMark) -> Snag | None:
    """The snag that a mark speaks of: of its kind, the nearest within `NEAR_M`."""
    near = [each for each in snags if each.kind == SHOWS[mark.kind]]
    near = [each for each in near if each.away_m(mark.x_m, mark.z_m) <= NEAR_M]
    return min(near, key=lambda each: each.away_m(mark.x_m, mark.z_m), default=None)


def over_limit(mark: HandMark, promised: Promised) -> bool:
    """Whether a mark shows more than was promised."""
    limit = promised.gap_limit_mm(mark.edge_m)
    return limit is not None and mark.departs_mm > limit


def _with_mark(
    snags: list[Snag],
    mark: HandMark,
    promised: Promised,
    survey: Survey | None,
    touch_up: TouchUp,
    rates: LabourRates,
) -> list[Snag]:
    """The snags once a mark has confirmed one of them or made one."""
    near = nearest_to(snags, mark)
    if near is None:
        return (
            [*snags, _marked(mark, promised, survey, touch_up, rates)]
            if over_limit(mark, promised)
            else snags
        )
    if "readings" in near.seen_by:
        told = replace(near, seen_by=SEEN_BOTH, marks=(*near.marks, mark))
    else:
        deeper = max((*near.marks, mark), key=lambda each: each.departs_mm)
        told = replace(_marked(deeper, promised, survey, touch_up, rates), marks=(*near.marks, mark))
    return [told if each is near else each for each in snags]


def _marked(
    mark: HandMark, promised: Promised, survey: Survey | None, touch_up: TouchUp, rates: LabourRates
) -> Snag:
    """A snag that an edge alone has shown."""
    limit = promised.gap_limit_mm(mark.edge_m) or 0.0
    depth = max(mark.departs_mm - touch_up.left_share * limit, 0.0)
    radius, wall = _radius_m(mark, survey), promised.wall
    left, low = max(mark.x_m - radius, 0.0), max(mark.z_m - radius, 0.0)
    right, top = min(mark.x_m + radius, wall.width_m), min(mark.z_m + radius, wall.height_m)
    area = math.pi * radius**2
    place = Rectangle(left, low, right - left, top - low)
    dish = Patch(place, mark.x_m, mark.z_m, area, depth, area * depth / 2.0)
    return replace(_snag(SHOWS[mark.kind], dish, ("edge",), rates), marks=(mark,))


def _radius_m(mark: HandMark, survey: Survey | None) -> float:
    """How far a place that no reading saw can reach [m]."""
    most = mark.edge_m / 2.0
    if survey is not None and survey.x_m.size:
        away = distance_m(readings_of(survey), read_only([mark.x_m]), read_only([mark.z_m]))
        most = min(most, float(away[0]))
    return max(most, LEAST_RADIUS_M)


def _notices(repair: RepairBuildUp, promised: Promised, formats: Formats) -> Iterator[str]:
    """What the edge could not show, and what touching up does not cure.

    A limit by distance ends at the wall's own diagonal: that is no edge that is too long for it.
    """
    wall, longest = promised.wall, max(rule.length_m for rule in promised.edges)
    by_distance = len(promised.edges) > 1
    edge_m = min(longest, max(wall.width_m, wall.height_m)) if by_distance else longest
    yield from straightedge_notices(repair.surface, edge_m, formats)
    yield from _not_cured(repair, promised, formats)


def _not_cured(repair: RepairBuildUp, promised: Promised, formats: Formats) -> tuple[str, ...]:
    """A bulge that stays once everything is touched up."""
    if not promised.both_ways:
        return ()
    bulge = worst_bulge(finished_face(repair), promised.edges[0])
    if bulge.over_mm <= OVER_MM:
        return ()
    edge, allowed = formats.length(bulge.rule.length_m), formats.depth(bulge.rule.tolerance_mm)
    return (
        f"A bulge of {formats.mm(bulge.gap_mm)} under a balanced edge of {edge} stays at "
        f"{formats.place(bulge.x_m, bulge.z_m)}, {allowed} allowed: it is cut back or covered, not touched "
        "up.",
    )
