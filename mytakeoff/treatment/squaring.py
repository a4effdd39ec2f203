"""What it costs and gains that the walls of a room come square: corner by corner, width by width.

Litres are those of `room_planes`, on the faces as surveyed; money is what they cost to fill, as where
prices decide how much of a wall is taken down: their material, and the hours that more thickness takes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from mytakeoff.job.choices import CORNER_TOLERANCE, Room
from mytakeoff.job.job import Job
from mytakeoff.rooms.planes import FoundWidth, RoomPlanes, SquaredCorner
from mytakeoff.treatment.room_planes import (
    is_squared,
    room_notices,
    room_planes,
    squared_room,
)
from mytakeoff.treatment.unit_prices import fill_price_per_l

TOLERANCES_MM_PER_M = (1.0, 2.0, 3.0, 5.0)
TOLD_L = 0.5  # what rounds to no litre is not told of a corner


@dataclass(frozen=True)
class CornerCost:
    """A corner squared, and as it would stand with each wall plumb by itself.

    Parameters
    ----------
    square, by_itself : SquaredCorner
    price, alone_price : float
        What `square.costs_l` and `square.alone_l` cost to fill [currency].
    """

    square: SquaredCorner
    by_itself: SquaredCorner
    price: float
    alone_price: float


@dataclass(frozen=True)
class ToleranceSaves:
    """What it saves that corners may differ from their angle by so much [mm/m, l, currency]."""

    tolerance_mm_per_m: float
    litres: float
    price: float


@dataclass(frozen=True, eq=False)
class Squaring:
    """A room squared, against its walls plumb and free to turn by themselves.

    Parameters
    ----------
    planes, by_itself : RoomPlanes
        Within the job's tolerance; and with corners free, widths that must remain no more than told.
    price : float
        What `planes.costs_l` costs to fill [currency].
    corners : tuple of CornerCost
        Those whose angle is known.
    widths : tuple of (FoundWidth, FoundWidth)
        Square, and by itself.
    """

    planes: RoomPlanes
    by_itself: RoomPlanes
    price: float
    corners: tuple[CornerCost, ...]
    widths: tuple[tuple[FoundWidth, FoundWidth], ...]

    @property
    def floor_lost_m2(self) -> float:
        """Floor that goes to squareness, on top of what plumb walls stand on [m²]."""
        return self.planes.floor_lost_m2 - self.by_itself.floor_lost_m2


def squaring(job: Job, room: str) -> Squaring | None:
    """What it costs and gains that a room comes square; None where nothing of it can.

    Raises
    ------
    TakeoffError
        As `room_planes`, and an item without a price.
    """
    planes = squared_room(job, room)
    if planes is None:
        return None
    whole = replace(job, only=())
    free = replace(whole, rooms=tuple(_unbound(each) for each in job.rooms))
    by_itself = room_planes(free, room, CORNER_TOLERANCE.high)
    per_l = _fill_prices(whole, planes)
    corners = tuple(
        _cost(square, other, per_l)
        for square, other in zip(planes.corners, by_itself.corners, strict=True)
        if square.got_deg is not None
    )
    price = sum((planes.litres[name] - by_itself.litres[name]) * per_l[name] for name in planes.walls)
    widths = tuple(zip(planes.widths, by_itself.widths, strict=True))
    return Squaring(planes, by_itself, price, corners, widths)


def tolerance_saves(job: Job, found: Squaring) -> tuple[ToleranceSaves, ...]:
    """What each tolerance saves against corners that stand exactly at their angle, as `priced_tolerance`."""
    whole, room = replace(job, only=()), found.planes.room
    per_l, exact = _fill_prices(whole, found.planes), room_planes(whole, room).litres
    saves = []
    for tolerance in TOLERANCES_MM_PER_M:
        within = room_planes(whole, room, tolerance).litres
        saved = {name: exact[name] - within[name] for name in exact}
        price = sum(litres * per_l[name] for name, litres in saved.items())
        saves.append(ToleranceSaves(tolerance, sum(saved.values()), price))
    return tuple(saves)


def _unbound(room: Room) -> Room:
    """A room whose widths are told and not kept, no walls parallel."""
    told = tuple(replace(each, must=False) for each in room.clear_widths)
    return replace(room, clear_widths=told, parallel=())


def _fill_prices(job: Job, planes: RoomPlanes) -> dict[str, float]:
    """A litre more on each wall [currency/l]."""
    backing = {name: job.system_of(job.wall(name)).backing for name in planes.walls}
    return {name: fill_price_per_l(job, mix, job.waste_share) for name, mix in backing.items()}


def _cost(square: SquaredCorner, by_itself: SquaredCorner, per_l: dict[str, float]) -> CornerCost:
    mean = (per_l[square.wall] + per_l[square.next_wall]) / 2
    return CornerCost(square, by_itself, square.costs_l * mean, square.alone_l * mean)


def squaring_notices(job: Job) -> Iterator[str]:
    """What the estimator should know of the rooms that come square: their notices, cost and gain."""
    yield from room_notices(job)
    for room in dict.fromkeys(wall.room for wall in job.priced_walls if is_squared(job, wall)):
        found = squaring(job, room)
        if found is not None:
            yield from (f"{room}: {said}" for said in _said(job, found))


def _said(job: Job, found: Squaring) -> Iterator[str]:
    formats = job.formats
    yield (
        f"square, its walls take {formats.number(found.planes.costs_l)} l more as surveyed than plumb and "
        f"free to turn, {formats.amount(found.price, 0)} to fill."
    )
    alone = [each for each in found.corners if each.square.alone_l >= TOLD_L]
    if alone:
        costs = "; ".join(
            f"{each.square.wall} and {each.square.next_wall} {formats.number(each.square.alone_l)} l, "
            f"{formats.amount(each.alone_price, 0)}"
            for each in alone
        )
        yield f"each corner asked for alone costs: {costs}."
    for square, _ in found.widths:
        if square.kept:
            yield width_kept(job, square)


def width_kept(job: Job, width: FoundWidth) -> str:
    """A width that remains, with how far it is known."""
    depth, asked = job.formats.depth, width.asked
    got, known, needs = (
        depth(mm, places=0, grouped=False) for mm in (width.got_mm or 0.0, width.known_mm, asked.needs_mm)
    )
    sure = "" if (width.got_mm or 0.0) - width.known_mm >= asked.needs_mm else ": within what is known of it"
    return f"{asked.name}: {got} remain, ± {known}, and it needs {needs}{sure}."
