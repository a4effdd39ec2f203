"""A corner of a room: which walls meet there, at which angle they shall, and how it was measured."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from mytakeoff.bounds import Across, Up, Width, Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.survey.as_taken import MOST_OFF_MM
from mytakeoff.survey.corner import LEAST_APART_M

RIGHT_ANGLE_DEG = 90.0
STRAIGHT_DEG = 180.0
Angle = Annotated[float, Within(10.0, 350.0, usual="90 where two walls meet, 270 round an outer corner")]
# Standard deviations of one reading: common practice, no source.
OffSd = Annotated[float, Within(0.0, 20.0, above=True, usual="1 mm is usual")]
TapeSd = Annotated[float, Within(0.0, 50.0, above=True, usual="2 mm is usual")]
Off = Annotated[float, Within(-MOST_OFF_MM, MOST_OFF_MM)]


@dataclass(frozen=True)
class OffSquare:
    """A builder's square or a square line along the face of one wall, and the other wall read off it.

    Parameters
    ----------
    on : str
        The wall on whose rough face it lies: one of the two that meet.
    on_x_m : tuple of float
        The two places where it touches that face, from that wall's left end [m].
    x_m : tuple of float
        Two places of the other wall, from that wall's left end [m].
    off_square_mm : tuple of float
        From the other leg back to the other wall at each of them [mm].
    z_m : float
        At which height it was laid and read [m].
    sd_mm : float
        Standard deviation of one such reading, and of a reading of the survey (common practice, no source)
        [mm].
    """

    on: str
    on_x_m: tuple[Across, ...]
    x_m: tuple[Across, ...]
    off_square_mm: tuple[Off, ...]
    z_m: Up
    sd_mm: OffSd = 1.0

    def __post_init__(self) -> None:
        for name in ("on_x_m", "x_m", "off_square_mm"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        check = Check(f"square on wall {self.on!r}")
        check_numbers(self, check)
        counts = tuple(len(each) for each in (self.on_x_m, self.x_m, self.off_square_mm))
        check.that(
            counts == (2, 2, 2),
            f"{counts[0]} places where it lies, {counts[1]} places and {counts[2]} readings off it",
            "a square touches at two places and is read at two",
            "give on_x_m, x_m and off_square_mm with two numbers each",
        )
        check.done()
        for what, places in (("touches", self.on_x_m), ("is read", self.x_m)):
            apart = abs(places[1] - places[0])
            check.that(
                apart >= LEAST_APART_M,
                f"{what} at two places {apart:g} m apart",
                f"they are {LEAST_APART_M:g} m apart or more",
                "take a longer square, or a square line on the floor",
            )
        check.done()


@dataclass(frozen=True)
class Triangle:
    """3-4-5: marks on both walls at lengths from the corner, and the tape from mark to mark.

    Parameters
    ----------
    run_m, next_run_m : float
        From the corner along the rough face to the mark, on `wall` and on `next_wall` [m].
    diagonal_m : float
        From mark to mark [m].
    z_m : float
        At which height all three were taped [m].
    sd_mm : float
        Standard deviation of a length by tape (common practice, no source) [mm].
    """

    run_m: Width
    next_run_m: Width
    diagonal_m: Annotated[float, Within(0.001, 200.0, usual="measure it again")]
    z_m: Up
    sd_mm: TapeSd = 2.0

    def __post_init__(self) -> None:
        check = Check("triangle")
        if check_numbers(self, check):
            least, most = abs(self.run_m - self.next_run_m), self.run_m + self.next_run_m
            check.that(
                min(self.run_m, self.next_run_m) >= LEAST_APART_M,
                f"runs of {self.run_m:g} and {self.next_run_m:g} m",
                f"each is {LEAST_APART_M:g} m or more",
                "mark both walls further from the corner: 3 and 4 units, as long as there is room",
            )
            check.that(
                least < self.diagonal_m < most,
                f"a diagonal of {self.diagonal_m:g} m over runs of {self.run_m:g} and {self.next_run_m:g} m",
                f"it is longer than their difference, {least:g} m, and shorter than their sum, {most:g} m",
                "tape the three lengths again",
            )
        check.done()


@dataclass(frozen=True)
class RoomCorner:
    """Where the right end of a wall, facing it from inside, meets the left end of the next.

    Parameters
    ----------
    wall, next_wall : str
        Clockwise as seen from above: of a room with four walls, the east wall is next to the north wall.
    angle_deg : float
        Wanted between the finished faces, inside the room: 90, or 270 round an outer corner [°].
    one_set_up : bool
        Both walls were read off one set-up of a cross-line laser: their survey planes stand exactly at
        `angle_deg`.
    off_square : OffSquare or None
        Measured by a square laid along one of them, or by a template set to `angle_deg`.
    triangle : Triangle or None
        Measured by tape. With none of the three the corner was not measured: it is free.

    Examples
    --------
    >>> RoomCorner("north", "east", one_set_up=True).measured
    True
    >>> print(RoomCorner("north", "east").where)
    corner 'north' – 'east'
    """

    wall: str
    next_wall: str
    angle_deg: Angle = RIGHT_ANGLE_DEG
    one_set_up: bool = False
    off_square: OffSquare | None = None
    triangle: Triangle | None = None

    def __post_init__(self) -> None:
        check = Check(self.where)
        check_numbers(self, check)
        check.that(
            self.wall != self.next_wall,
            f"{self.wall!r} twice",
            "two walls meet at a corner",
            "name the wall that its right end meets as next_wall",
        )
        self._check_ways(check)
        check.done()

    def _check_ways(self, check: Check) -> None:
        ways = [name for name in ("one_set_up", "off_square", "triangle") if getattr(self, name)]
        check.that(
            len(ways) <= 1,
            f"measured {len(ways)} times: {', '.join(ways)}",
            "a corner is measured in one way",
            "keep the surest, and take the others out",
        )
        check.that(
            not self.one_set_up or self.angle_deg % RIGHT_ANGLE_DEG == 0,
            f"one set-up of cross lines at a corner of {self.angle_deg:g}°",
            "the lines of a cross-line laser stand at right angles to one another",
            "measure this corner by a triangle or a template",
        )
        check.that(
            self.triangle is None or self.angle_deg < STRAIGHT_DEG,
            f"a triangle at a corner of {self.angle_deg:g}°",
            "a tape goes from wall to wall only where they meet inside the room",
            "lay a square, or read both walls off one set-up of a cross-line laser",
        )
        on = None if self.off_square is None else self.off_square.on
        check.that(
            on is None or on in (self.wall, self.next_wall),
            f"a square on wall {on!r}",
            "it lies on one of the two walls that meet there",
            f"write {self.wall!r} or {self.next_wall!r}",
        )

    @property
    def where(self) -> str:
        """The corner in a message."""
        return f"corner {self.wall!r} – {self.next_wall!r}"

    @property
    def measured(self) -> bool:
        """Whether it was measured by itself."""
        return self.one_set_up or self.off_square is not None or self.triangle is not None

    def with_wall_name(self, name: str, new: str) -> RoomCorner:
        """The corner with a wall called otherwise."""
        if name not in (self.wall, self.next_wall):
            return self
        wall, after = (new if each == name else each for each in (self.wall, self.next_wall))
        laid = self.off_square
        if laid is not None and laid.on == name:
            laid = replace(laid, on=new)
        return replace(self, wall=wall, next_wall=after, off_square=laid)
