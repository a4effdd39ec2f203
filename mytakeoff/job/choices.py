"""What the user chooses for the whole job: rooms, plane, rails, margins, what goes with it, its quotation."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Annotated, Literal

from mytakeoff.bounds import Within, check_numbers
from mytakeoff.corners.clear_width import ClearWidth
from mytakeoff.corners.diagonals import Diagonals
from mytakeoff.corners.room_corner import RoomCorner
from mytakeoff.corners.round_room import check_round
from mytakeoff.errors import Check
from mytakeoff.job.packs import Buying, Chosen, PackList
from mytakeoff.job.prices import PriceList

FOUR_WALLS, CLOSES_M = 4, 0.05
PlaneKind = Literal["plumb", "square", "room", "free"]
CORNER_TOLERANCE = Within(0.0, 100.0, usual="0 is exactly square, 1 or 2 mm/m are usual")
Slope = Annotated[float, Within(0.0, 600.0, usual="0 for none, or leave it out")]
Depth = Annotated[float, Within(0.0, 300.0)]
Screw = Annotated[float, Within(0.0, 1000.0, above=True, usual="write what is at hand")]


@dataclass(frozen=True)
class Room:
    """A room: protection and set-up are priced by the room.

    Parameters
    ----------
    name : str
    floor_area_m2 : float
        Floor to protect, 0 or more [m²].
    storey : int
        Floors to carry up, 0 at street level [-].
    corners : tuple of RoomCorner
        How its walls join, in any order: they say which wall is next to which.
    clear_widths : tuple of ClearWidth
        What must remain between finished walls that face each other.
    parallel : tuple of (str, str)
        Walls whose finished faces shall be parallel.
    diagonals : Diagonals or None
        Of a room with four walls: they measure its four corners.
    """

    name: str
    floor_area_m2: Annotated[float, Within(0.0, 5000.0, usual="measure the floor to protect")] = 0.0
    storey: Annotated[int, Within(-10, 200, usual="count the floors from the street")] = 0
    corners: tuple[RoomCorner, ...] = ()
    clear_widths: tuple[ClearWidth, ...] = ()
    parallel: tuple[tuple[str, ...], ...] = ()
    diagonals: Diagonals | None = None

    def __post_init__(self) -> None:
        for name in ("corners", "clear_widths"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        object.__setattr__(self, "parallel", tuple(tuple(pair) for pair in self.parallel))
        check = Check(f"room {self.name!r}")
        check_numbers(self, check)
        check_round(self.corners, self.clear_widths, self.parallel, self.diagonals, check)
        check.done()

    def with_wall_name(self, name: str, new: str) -> Room:
        """The room with a wall called otherwise, by everything in it that names it."""
        diagonals = self.diagonals
        if diagonals is not None and diagonals.wall == name:
            diagonals = replace(diagonals, wall=new)
        return replace(
            self,
            corners=tuple(each.with_wall_name(name, new) for each in self.corners),
            clear_widths=tuple(each.with_wall_name(name, new) for each in self.clear_widths),
            parallel=tuple(tuple(new if one == name else one for one in pair) for pair in self.parallel),
            diagonals=diagonals,
        )

    def of_walls(self, names: Collection[str]) -> Room:
        """The room with nothing said of how walls join that do not stand in it."""
        kept = replace(
            self,
            corners=tuple(each for each in self.corners if {each.wall, each.next_wall} <= set(names)),
            clear_widths=tuple(one for one in self.clear_widths if {one.wall, one.opposite} <= set(names)),
            parallel=tuple(pair for pair in self.parallel if set(pair) <= set(names)),
            diagonals=None,
        )
        return replace(kept, diagonals=self.diagonals) if kept.corners == self.corners else kept


def floor_between(widths_m: Sequence[float]) -> float | None:
    """The floor between four walls at right angles, told by their widths in order round the room [m²].

    Parameters
    ----------
    widths_m : sequence of float
        [m].

    Returns
    -------
    float or None
        None where they are not four, or where two that face each other differ by more than 5 cm, so that the
        room does not close at right angles (common practice, no source).

    Examples
    --------
    >>> floor_between([4.2, 3.0, 4.24, 3.0]), floor_between([4.2, 3.0, 3.4, 3.0])
    (12.66, None)
    """
    if len(widths_m) != FOUR_WALLS:
        return None
    long, wide, across, back = widths_m
    if max(abs(long - across), abs(wide - back)) > CLOSES_M:
        return None
    return round((long + across) / 2 * (wide + back) / 2, 2)


@dataclass(frozen=True)
class PlaneChoice:
    """How the finished plane is chosen, for every wall of the job.

    Parameters
    ----------
    kind : "plumb", "square", "room" or "free"
        Plumb; plumb and square to the measured corner; plumb and square in the room, with its other walls;
        true but free to lean and turn.
    cut_mm : float
        High spots taken down by at most this, 0 or more; nothing is where a room comes square [mm].
    least_mm : float or None
        Least thickness of the backing; None: the backing mix's own least [mm].
    lean_limit_mm_per_m, turn_limit_mm_per_m : float or None
        Bounds on lean ("free" only) and turn; None: unbounded [mm/m].
    corner_tolerance_mm_per_m : float
        By how much a corner of a room that comes square may differ from its angle, 0 to 100 [mm/m].
    """

    kind: PlaneKind = "plumb"
    cut_mm: Depth = 0.0
    least_mm: Depth | None = None
    lean_limit_mm_per_m: Slope | None = None
    turn_limit_mm_per_m: Slope | None = None
    corner_tolerance_mm_per_m: Annotated[float, CORNER_TOLERANCE] = 0.0

    def __post_init__(self) -> None:
        check = Check("plane")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class RailChoice:
    """How the straightedge is carried (common practice, no source).

    Parameters
    ----------
    used : bool
        False: floated freehand.
    straightedge_m : float
        More than twice the overhang, by 0.1 at least [m].
    overhang_m : float
        How far the edge reaches beyond each rail, 0.15 to 0.20 usually [m].
    end_m : float
        From the wall's ends to the first and last rail [m].
    depth_mm, head_clearance_mm : float
        Rail depth and room for the screw head behind it [mm].
    fixing_step_m : float
        Between fixings, 0.25 to 0.30 usually [m].
    bedded : "fixings" or "dabs"
    left_in : bool
        True: rails stay; False: taken out and made good.
    width_mm : float
        Width of a rail, so of the channel that it leaves [mm].
    opening_clear_m : float
        Rails stand at least this far from the sides of openings, at most the overhang [m].
    free_play_m : float
        Rails are cut this much short of floor, ceiling and openings, at each end [m].
    fixing_end_m : float
        From an end of a rail to its first fixing [m].
    stock_m : float
        Length in which rails are sold, 2.5 to 3 usually [m].
    kerf_mm : float
        What the saw takes at each cut [mm].
    screws_mm : tuple of float
        Lengths of the screws at hand, in any order [mm].
    embedment_mm : float
        How deep a screw goes into the wall behind any old plaster that stays [mm].
    plug_mm : float
        Diameter of the plugs [mm].
    laser_mm : float
        How far the laser plane for setting the heads stands off the wall at the first fixing [mm].
    """

    used: bool = True
    straightedge_m: Annotated[float, Within(0.3, 10.0, usual="1.5 or 2 m is usual")] = 1.5
    overhang_m: Annotated[float, Within(0.0, 3.0, usual="0.15 to 0.20 m is usual")] = 0.15
    end_m: Annotated[float, Within(0.0, 5.0, usual="0.15 m is usual")] = 0.15
    depth_mm: Annotated[float, Within(0.0, 100.0, usual="measure a rail")] = 6.0
    head_clearance_mm: Annotated[float, Within(0.0, 100.0, usual="measure a screw head")] = 0.0
    fixing_step_m: Annotated[float, Within(0.05, 5.0, usual="0.25 to 0.30 m is usual")] = 0.3
    bedded: Literal["fixings", "dabs"] = "fixings"
    left_in: bool = False
    width_mm: Annotated[float, Within(0.0, 200.0, above=True, usual="measure a rail")] = 20.0
    opening_clear_m: Annotated[float, Within(0.0, 3.0, usual="0.1 m is usual")] = 0.1
    free_play_m: Annotated[float, Within(0.0, 0.025, usual="0.01 m is usual")] = 0.01
    fixing_end_m: Annotated[float, Within(0.0, 3.0, usual="0.05 m is usual")] = 0.05
    stock_m: Annotated[float, Within(0.1, 20.0, usual="2.5 to 3 m is usual")] = 3.0
    kerf_mm: Annotated[float, Within(0.0, 20.0, usual="2 mm is usual")] = 2.0
    screws_mm: tuple[Screw, ...] = (40.0, 50.0, 60.0, 70.0, 80.0, 100.0)
    embedment_mm: Annotated[float, Within(0.0, 500.0, usual="30 mm is usual")] = 30.0
    plug_mm: Annotated[float, Within(0.0, 50.0, above=True, usual="6 mm is usual")] = 6.0
    laser_mm: Annotated[float, Within(0.0, 10_000.0, above=True, usual="100 mm is usual")] = 100.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "screws_mm", tuple(self.screws_mm))
        check = Check("rails")
        check_numbers(self, check)
        check.done()


Markup = Annotated[float, Within(0.0, 3.0, usual="write 0.1 for 10 %")]


@dataclass(frozen=True)
class Margins:
    """What is added to the lines, each as a share of what stands above it [-].

    Overhead is taken of the lines, profit of lines and overhead, contingency of lines, overhead and
    profit, tax of all of them. The shares are common practice, no source; tax is that of the place.
    """

    overhead_share: Markup = 0.10
    profit_share: Markup = 0.10
    contingency_share: Markup = 0.05
    tax_share: Markup = 0.20

    def __post_init__(self) -> None:
        check = Check("margins")
        check_numbers(self, check)
        check.done()


QuotationKind = Literal["fixed price", "estimate"]


@dataclass(frozen=True)
class QuotationTerms:
    """What the job's quotation says beside its figures.

    Parameters
    ----------
    kind : "fixed price" or "estimate"
        A fixed price holds for what is described; an estimate is printed with its range.
    number : str
        As the user counts quotations; "": a line is left to fill in.
    revision : int
        0 for the first page, counted up for each that takes the place of one handed over [-].
    dated, surveyed : date or None
        The day on it, and that of the survey; None: that of writing, and a line to fill in.
    valid_days : int
        How long it holds [d].
    firm, firm_lines, logo : str, tuple of str, str
        Who quotes, what stands below (address, telephone), and a PNG or SVG in the job folder.
    payment, terms, exclusions : tuple of str
        When it is paid, the user's own terms, and what else is not in the price, a sentence each.
    """

    kind: QuotationKind = "estimate"
    number: str = ""
    revision: Annotated[int, Within(0, 999, usual="0 for the first page, then 1, 2, 3")] = 0
    dated: date | None = None
    surveyed: date | None = None
    valid_days: Annotated[int, Within(1, 3650, usual="30 days are usual")] = 30
    firm: str = ""
    firm_lines: tuple[str, ...] = ()
    logo: str = ""
    payment: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    exclusions: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        check = Check("quotation")
        check_numbers(self, check)
        check.done()


STRIPPED = ("", "paper", "paint")
EDGE_BEADS = ("", "stop bead", "angle bead")


def check_round_wall(check: Check, strip: str, edge_bead: str) -> None:
    """Note what a wall says of what is stripped and of beads at edges, if it cannot be."""
    stripped, beads = (", ".join(map(repr, names)) for names in (STRIPPED, EDGE_BEADS))
    check.that(
        strip in STRIPPED and edge_bead in EDGE_BEADS,
        f"strip {strip!r}, edge_bead {edge_bead!r}",
        f"what is stripped is one of {stripped}, a bead at edges one of {beads}",
        "leave strip or edge_bead out where there is none",
    )


@dataclass(frozen=True)
class Site:
    """What goes with the work and is priced by the day; off, it is named as not in the price.

    Plasterers bring their own hop-ups and price travel in their day as often as apart (common practice, no
    source), so nothing of it is priced unless that is asked for.

    Parameters
    ----------
    travel, parking : bool
        For each day on site, as the programme has them.
    platform : bool
        A trestle or tower is hired for each day on a wall that is higher than `reach_m`.
    reach_m : float
        How high a plasterer works from the floor, more than 0: 1.9 to 2.0 (common practice, no source) [m].

    Raises
    ------
    TakeoffError
        A reach that is not more than 0.
    """

    travel: bool = False
    parking: bool = False
    platform: bool = False
    reach_m: Annotated[float, Within(0.0, 20.0, above=True, usual="2 m is usual from the floor")] = 2.0

    def __post_init__(self) -> None:
        check = Check("site")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class Extra:
    """Something else to price: a quantity of an item of the price list, or a named exclusion.

    Parameters
    ----------
    item : str
        As it stands in the price list.
    quantity : float
        0 or more, in the price's unit [-].
    excluded : bool
        Named as not in the price.
    room : str
        The room in which it is a finished thing, a row of its own in the client's table; "": shared among the
        walls there.
    """

    item: str
    quantity: Annotated[float, Within(0.0, 1e6, usual="count in the price's unit")] = 1.0
    excluded: bool = False
    room: str = ""

    def __post_init__(self) -> None:
        check = Check(f"extra {self.item!r}")
        check_numbers(self, check)
        check.done()


def check_buying(buying: Buying, packs: PackList, prices: PriceList, check: Check) -> None:
    """Note who is chosen for a product and does not sell it, and what is kept but listed nowhere."""
    for chosen in buying.chosen:
        sold = packs.of(chosen.item)
        listed = "; ".join(Chosen(t[0].item, t[0].supplier, t[0].pack, float(t[0].holds)).words for t in sold)
        check.that(
            any(chosen.fits(tiers[0]) for tiers in sold),
            f"{chosen.words}, which packs.csv does not list",
            "a product is bought from one supplier, in a pack that he sells",
            f"choose from {listed}" if listed else "list its pack, or take the entry out",
            "buying, chosen",
        )
    for item in buying.in_stock:
        check.that(
            item in prices or item in packs,
            f"{item!r} in stock",
            "what is kept is an item of the price list or of the packs",
            "write it as prices.csv has it, or take it out",
            "buying, in_stock",
        )
