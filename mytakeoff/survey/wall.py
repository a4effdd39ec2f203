"""The wall as it stands: its size, its openings, what is not plastered, where old plaster comes off.

The wall frame: stand inside the room and face the wall. ``x_m`` runs from its left end, ``z_m`` up from
the floor.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from mytakeoff.bounds import ROUNDING_M, Across, Height, Up, Width, Within, check_numbers
from mytakeoff.errors import Check

REVEAL_SIDES = ("left", "right", "top", "bottom")


@dataclass(frozen=True)
class Rectangle:
    """A rectangle on the wall: its lower left corner, width and height [m]."""

    x_m: float
    z_m: float
    width_m: float
    height_m: float

    @property
    def area_m2(self) -> float:
        """Width times height [m²]."""
        return self.width_m * self.height_m

    def overlaps(self, other: Rectangle) -> bool:
        """Whether it shares ground with another one; a common side is none.

        Examples
        --------
        >>> door = Rectangle(1.0, 0.0, 0.8, 2.0)
        >>> door.overlaps(Rectangle(1.8, 0.9, 1.2, 1.2)), door.overlaps(Rectangle(1.7, 0.9, 1.2, 1.2))
        (False, True)
        """
        return (
            self.x_m < other.x_m + other.width_m - ROUNDING_M
            and other.x_m < self.x_m + self.width_m - ROUNDING_M
            and self.z_m < other.z_m + other.height_m - ROUNDING_M
            and other.z_m < self.z_m + self.height_m - ROUNDING_M
        )


@dataclass(frozen=True)
class Opening:
    """A door, window or niche that is not plastered.

    Parameters
    ----------
    name : str
        As it is called on site.
    x_m, z_m : float
        Lower left corner, from the wall's left end and the floor [m].
    width_m, height_m : float
        Clear size, more than 0 [m].
    reveal_mm : float
        Depth of the plastered reveal, 0 for none [mm].
    reveal_sides : tuple of str
        Sides with a reveal, or, without one, where the plaster ends: any of left, right, top, bottom.

    Raises
    ------
    TakeoffError
        Every figure that no opening has, and sides that there are not, told at once.

    Examples
    --------
    >>> Opening("window", 1.0, 0.9, 1.2, 1.4, reveal_mm=180).reveal_m
    4.0
    >>> Opening("door", 1.0, 0.0, 0.8, 2.0).edge_m
    4.8
    """

    name: str
    x_m: Across
    z_m: Up
    width_m: Width
    height_m: Height
    reveal_mm: Annotated[float, Within(0.0, 3000.0)] = 0.0  # walls of old keeps are 3 m thick
    reveal_sides: tuple[str, ...] = ("left", "right", "top")

    def __post_init__(self) -> None:
        check = Check(f"opening {self.name!r}")
        check_numbers(self, check)
        unknown = [side for side in self.reveal_sides if side not in REVEAL_SIDES]
        check.that(
            not unknown,
            f"reveal sides {', '.join(unknown)}",
            f"the sides are called {', '.join(REVEAL_SIDES)}",
            "write those that are plastered",
        )
        check.done()

    @property
    def rectangle(self) -> Rectangle:
        """Where it stands on the wall."""
        return Rectangle(self.x_m, self.z_m, self.width_m, self.height_m)

    @property
    def reveal_m(self) -> float:
        """Running length of its plastered reveals [m]."""
        return self._round_m if self.reveal_mm > 0 else 0.0

    @property
    def edge_m(self) -> float:
        """Running length of edges where plaster ends without a reveal [m]."""
        return 0.0 if self.reveal_mm > 0 else self._round_m

    @property
    def _round_m(self) -> float:
        upright = sum(side in self.reveal_sides for side in ("left", "right"))
        across = sum(side in self.reveal_sides for side in ("top", "bottom"))
        return upright * self.height_m + across * self.width_m


@dataclass(frozen=True)
class LooseArea:
    """Old plaster that comes off first: hollow-sounding, or fallen already.

    Parameters
    ----------
    x_m, z_m, width_m, height_m : float
        The rectangle found by tapping [m].
    depth_mm : float
        Thickness of the old plaster there [mm].
    fallen : bool
        True where it is gone already: readings taken inside are readings of the bare wall, and the area
        does not grow any more.

    Raises
    ------
    TakeoffError
        Every figure that no such area has, told at once.
    """

    x_m: Across
    z_m: Up
    width_m: Width
    height_m: Height
    depth_mm: Annotated[float, Within(0.0, 300.0, above=True, usual="measure it at the rim")]
    fallen: bool = False

    def __post_init__(self) -> None:
        check = Check("loose area")
        check_numbers(self, check)
        check.done()

    @property
    def rectangle(self) -> Rectangle:
        """Where it lies on the wall."""
        return Rectangle(self.x_m, self.z_m, self.width_m, self.height_m)


@dataclass(frozen=True)
class Wall:
    """A plain rectangular wall with what is not plastered on it.

    Parameters
    ----------
    name : str
        As it is called on site.
    width_m, height_m : float
        Full size, more than 0 [m].
    openings : tuple of Opening
        Doors, windows, niches; each lies on the wall. One over another counts once.
    skirting_m, cornice_m : float
        Strips at the bottom and the top that are not plastered, 0 or more [m].
    fitted : tuple of Opening
        Fitted units that stay: plaster stops beside them.

    Raises
    ------
    TakeoffError
        A size that is not positive, or an opening that reaches beyond the wall.

    Examples
    --------
    >>> Wall("north", 4.2, 2.6).width_m
    4.2
    """

    name: str
    width_m: Width
    height_m: Height
    openings: tuple[Opening, ...] = ()
    skirting_m: Annotated[float, Within(0.0, 3.0)] = 0.0
    cornice_m: Annotated[float, Within(0.0, 3.0)] = 0.0
    fitted: tuple[Opening, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "openings", tuple(self.openings))
        object.__setattr__(self, "fitted", tuple(self.fitted))
        check = Check(f"wall {self.name!r}")
        check_numbers(self, check)
        check.done()  # an opening lies on a wall that has a size
        for opening in (*self.openings, *self.fitted):
            self._check_opening(opening, check)
        strip = self.skirting_m + self.cornice_m
        check.that(
            strip < self.height_m,
            f"skirting {self.skirting_m} m and cornice {self.cornice_m} m",
            f"together they leave some of the height of {self.height_m} m to plaster",
            "give the heights of the strips left unplastered in metres",
        )
        check.done()

    def _check_opening(self, opening: Opening, check: Check) -> None:
        place = f"wall {self.name!r}, opening {opening.name!r}"
        right, top = opening.x_m + opening.width_m, opening.z_m + opening.height_m
        check.that(
            right <= self.width_m + ROUNDING_M and top <= self.height_m + ROUNDING_M,
            f"reaches from {opening.x_m:g} to {right:g} m across and from {opening.z_m:g} to {top:g} m up",
            f"an opening lies on its wall, {self.width_m:g} × {self.height_m:g} m",
            "measure x from the wall's left end, z from the floor",
            place,
        )

    @property
    def not_plastered(self) -> tuple[Rectangle, ...]:
        """Openings, fitted units and strips where no plaster goes; they may overlap."""
        strips = []
        if self.skirting_m > 0:
            strips.append(Rectangle(0.0, 0.0, self.width_m, self.skirting_m))
        if self.cornice_m > 0:
            strips.append(Rectangle(0.0, self.height_m - self.cornice_m, self.width_m, self.cornice_m))
        return (*(opening.rectangle for opening in (*self.openings, *self.fitted)), *strips)
