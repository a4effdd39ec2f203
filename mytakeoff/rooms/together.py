"""The planes of a room: from corners, outlines and widths to the linear programme and back."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from types import MappingProxyType

import numpy as np

from mytakeoff.corners.measuring import MM_PER_M, MeasuredCorner
from mytakeoff.corners.plan import Plan
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import Formats
from mytakeoff.job.choices import Room
from mytakeoff.plane.outline import Outline
from mytakeoff.plane.planes_together import Tie, least_litres, litres_of, lowest_together, short_mm
from mytakeoff.plane.target_plane import TargetPlane
from mytakeoff.rooms.asked import Distance, distances, parallels
from mytakeoff.rooms.joined import Joined, joined, plans_of
from mytakeoff.rooms.notices import notices_of
from mytakeoff.rooms.planes import FoundWidth, RoomPlanes, SquaredCorner
from mytakeoff.survey.survey import Floats, Survey

KEPT_PLANES = 64
AT_FLOOR_M = 0.5
LEAST_SHORT_MM = 1e-6
LEAST_L = 1e-6  # what a corner costs less is rounding


@lru_cache(maxsize=KEPT_PLANES)
def planes_together(
    room: Room,
    surveys: tuple[Survey, ...],
    outlines: tuple[Outline, ...],
    tolerance_mm_per_m: float,
    formats: Formats,
) -> RoomPlanes:
    """The planes of the walls that take part; cached as a whole.

    Parameters
    ----------
    room : Room
    surveys, outlines : tuple of Survey and of Outline
        Of the walls that take part, in the job's order, each off a plumb plane.
    tolerance_mm_per_m : float
        0 or more [mm/m].
    formats : Formats
        Of its notices.

    Raises
    ------
    TakeoffError
        Corners that do not close, walls that do not face one another, widths that cannot remain.
    """
    return _Search(room, joined(room, surveys), outlines).within(tolerance_mm_per_m, formats)


class _Search:
    """What is the same for every tolerance, and the planes within one."""

    def __init__(self, room: Room, found: Joined, outlines: tuple[Outline, ...]) -> None:
        self.room, self.joined, self.outlines = room, found, outlines
        named = {each.surface.wall.name: each for each in outlines}
        self.names = list(named)
        self.plans: tuple[Plan, ...] = plans_of(room, found, named)
        self.distances: tuple[Distance, ...] = distances(room, found, named, self.plans)
        self.must = [
            each.between(self.names) for each in self.distances if each.asked.must and each.across is not None
        ]

    def within(self, tolerance: float, formats: Formats) -> RoomPlanes:
        """The planes within a tolerance [mm/m]."""
        ties = [self._tie(each, tolerance) for each in self.joined.known]
        parallel = list(parallels(self.room, self.joined, self.names, tolerance))
        turns = self._turns([*ties, *parallel])
        each_wall = list(zip(self.names, self.outlines, turns.tolist(), strict=True))
        walls = {name: outline.plane(turn) for name, outline, turn in each_wall}
        litres = {name: outline.litres(outline.height_mm(turn)) for name, outline, turn in each_wall}
        widths = tuple(self._width(each, turns) for each in self.distances)
        return RoomPlanes(
            room=self.room.name,
            tolerance_mm_per_m=tolerance,
            walls=MappingProxyType(walls),
            turn_mm_per_m=self._square(turns),
            volume_l=sum(litres.values()),
            separate_l=sum(each.by_itself_l for each in self.outlines),
            priced_corners=cache(lambda: tuple(self._corners(ties, parallel, turns))),
            tied=frozenset(self.names[at] for tie in ties for at in (tie.wall, tie.other)),
            widths=widths,
            notices=notices_of(self.room, self.joined, self.names, self.plans, widths, formats),
            litres=MappingProxyType(litres),
            plans=self.plans,
            floor_lost_m2=sum(_floor_m2(outline, walls[name]) for name, outline, _ in each_wall),
        )

    def _tie(self, found: MeasuredCorner, tolerance: float) -> Tie:
        wall, after = (self.names.index(name) for name in (found.corner.wall, found.corner.next_wall))
        return Tie(wall, after, found.off_mm_per_m or 0.0, tolerance)

    def _turns(self, ties: Sequence[Tie]) -> Floats:
        """Each wall's turn; refused where there are no such planes."""
        turns = lowest_together(self.outlines, ties, self.must)
        if turns is None:
            raise TakeoffError(*self._cannot_be(ties))
        return turns

    def _cannot_be(self, ties: Sequence[Tie]) -> Iterator[Mistake]:
        """Which widths fall short and by how much, or that walls may not turn as far as corners ask."""
        short = short_mm(self.outlines, ties, self.must)
        if short is None:
            yield Mistake(
                "corners that ask for more turn than the job allows",
                "the planes of a room turn as its corners ask",
                "raise turn_limit_mm_per_m, or leave it out",
                f"room {self.room.name!r}",
            )
            return
        asked = [each.asked for each in self.distances if each.asked.must]
        for each, mm in zip(asked, short.tolist(), strict=True):
            if mm > LEAST_SHORT_MM or mm == short.max():
                yield Mistake(
                    f"{each.needs_mm - mm:.1f} mm at most, {mm:.1f} less than {each.needs_mm:g} asked for",
                    "what must remain fits between the finished faces, each with its least thickness",
                    "ask for less, lower the least thickness, take plaster off first, or make it a warning",
                    f"room {self.room.name!r}, clear width {each.name!r}",
                )

    def _width(self, found: Distance, turns: Floats) -> FoundWidth:
        """What remains between the finished faces."""
        if found.across is None:
            return FoundWidth(found.asked, None, found.known_mm)
        between = found.between(self.names)
        heights = [each.height_mm(turn) for each, turn in zip(self.outlines, turns.tolist(), strict=True)]
        taken = float(between.row(self.outlines) @ np.concatenate([heights, turns]))
        return FoundWidth(found.asked, found.planes_mm - taken, found.known_mm)

    def _square(self, turns: Floats) -> float:
        """How the room's square lies to its first wall's plane [mm/m]."""
        angle, area = np.degrees(np.arctan(turns / MM_PER_M)), 0.0
        turned = 0.0
        for name, outline, face_deg in zip(self.names, self.outlines, angle.tolist(), strict=True):
            standing = self.joined.standing[name]
            if standing.group == self.names[0]:
                weight = outline.surface.net_area_m2
                area += weight
                turned += weight * (face_deg + standing.planes_deg - standing.wanted_deg)
        return MM_PER_M * math.tan(math.radians(turned / area))

    def _corners(
        self, ties: Sequence[Tie], parallel: Sequence[Tie], turns: Floats
    ) -> Iterator[SquaredCorner]:
        """Each corner with what it costs."""
        angle = dict(zip(self.names, np.degrees(np.arctan(turns / MM_PER_M)).tolist(), strict=True))
        of_corner = dict(zip((each.corner for each in self.joined.known), ties, strict=True))
        for found in self.joined.corners:
            corner, tie = found.corner, of_corner.get(found.corner)
            ends = corner.wall, corner.next_wall, corner.angle_deg, found.angle_deg, found.sd_mm_per_m
            if tie is None or found.angle_deg is None:
                yield SquaredCorner(*ends, None)
                continue
            got_deg = found.angle_deg - (angle[corner.next_wall] - angle[corner.wall])
            others = [each for each in (*ties, *parallel) if each is not tie]
            held = tie.within_mm_per_m == 0 and self._in_a_ring(found)
            saved_l = 0.0 if held else self._saved_l(others, turns)
            yield SquaredCorner(*ends, got_deg, saved_l, self._alone_l(tie, turns))

    def _in_a_ring(self, found: MeasuredCorner) -> bool:
        """Whether a corner is one all round the room, where the others say what it is."""
        ring = () if self.joined.closing is None else self.joined.closing.corners
        return found in ring and all(each.angle_deg is not None for each in ring)

    def _saved_l(self, others: Sequence[Tie], turns: Floats) -> float:
        """What is saved if only these ties are kept [l]."""
        less = litres_of(self.outlines, turns) - least_litres(self.outlines, others, self.must, turns)
        return less if less > LEAST_L else 0.0

    def _alone_l(self, tie: Tie, turns: Floats) -> float:
        """What a corner's two walls take more with nothing but their corner asked for [l]."""
        pair = self.outlines[tie.wall], self.outlines[tie.other]
        alone = Tie(0, 1, tie.apart_mm_per_m, tie.within_mm_per_m)
        more = least_litres(pair, [alone], (), turns[[tie.wall, tie.other]])
        more -= sum(each.by_itself_l for each in pair)
        return more if more > LEAST_L else 0.0


def _floor_m2(outline: Outline, plane: TargetPlane) -> float:
    """Floor under the plaster of a wall, its doors left out [m²]."""
    surface = outline.surface
    known = surface.known_area_m2 > 0
    lowest = known.argmax(axis=0)
    columns = np.flatnonzero(known.any(axis=0) & (surface.z_m[lowest] < AT_FLOOR_M))
    rows = lowest[columns]
    thick = plane.at(surface.x_m[columns], surface.z_m[rows]) - surface.proud_mm[rows, columns]
    return float(thick.sum()) / MM_PER_M * surface.wall.width_m / surface.x_m.size
