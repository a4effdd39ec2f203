"""The target plane: the finished face that takes the least plaster and clears the wall.

Notes
-----
The plane is found on a few points; those that it violates most are added, until none is. It is exact after a
handful of passes over blocks of cells (`Clearance`). With high spots taken down see
`mytakeoff.plane.cut_path`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from mytakeoff.errors import Check
from mytakeoff.plane.clearance import Clearance
from mytakeoff.plane.cut_path import CutPath
from mytakeoff.plane.lowest_plane import lowest_plane
from mytakeoff.plane.price_search import cheapest
from mytakeoff.plane.rule import ROUNDING_MM, PlaneRule, half_cell_m
from mytakeoff.surface.deviation import fitted_plane
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

__all__ = [
    "Clearance",
    "PlaneRule",
    "TargetPlane",
    "Touch",
    "check_rails",
    "deepest_cut_mm",
    "mean_plane",
    "target_plane",
]

DEPTH_PLACES = 9  # so that a limit that binds is told as itself


@dataclass(frozen=True)
class Touch:
    """A high spot that sets the plane: where the least thickness binds (or the most that is taken down).

    Place [m] and height of the wall there [mm].
    """

    x_m: float
    z_m: float
    proud_mm: float


@dataclass(frozen=True)
class TargetPlane:
    """The finished face, ``proud = a + b·x + c·z``.

    Parameters
    ----------
    a_mm : float
        At the lower left corner of the wall [mm].
    b_mm_per_m : float
        Turn: how much further proud for each metre to the right [mm/m].
    c_mm_per_m : float
        Lean: how much further proud for each metre up [mm/m].
    touches : tuple of Touch
        The high spots that set it, left to right.
    """

    a_mm: float
    b_mm_per_m: float
    c_mm_per_m: float
    touches: tuple[Touch, ...] = field(default=())

    def at(self, x_m: ArrayLike, z_m: ArrayLike) -> Floats:
        """Height of the face at places that broadcast together [mm].

        Examples
        --------
        >>> float(TargetPlane(10.0, 2.0, -1.0).at(3.0, 2.0))
        14.0
        """
        return np.asarray(
            self.a_mm
            + self.b_mm_per_m * np.asarray(x_m, dtype=np.float64)
            + self.c_mm_per_m * np.asarray(z_m, dtype=np.float64)
        )


def target_plane(surface: Surface, rule: PlaneRule) -> TargetPlane:
    """The plane that takes the least plaster and keeps the rule.

    Minimises Σ A·(p - d) subject to ``p >= d + least`` over every known cell and reading of the wall
    (along rail lines the rail's least where greater), exactly: a linear programme in at most three
    unknowns. With high spots taken down it minimises Σ A·max(p - d, least) subject to
    ``d + least - p <= cut``; with a price for taking down see `cheapest_plane`. Among equal answers the
    least b² + c².

    Parameters
    ----------
    surface : Surface
    rule : PlaneRule

    Returns
    -------
    TargetPlane

    Raises
    ------
    TakeoffError
        A rail that does not stand on the wall.

    Examples
    --------
    A wall that leans 10 mm into the room over its height of 1 m, made plumb with at least 5 mm: the face
    stands 5 mm in front of its top row of cells.

    >>> from mytakeoff.survey.wall import Wall
    >>> leaning = Surface.from_grid(Wall("A", 1.0, 1.0), [0.5], [0.25, 0.75], [[2.5], [7.5]])
    >>> target_plane(leaning, PlaneRule(least_mm=5.0)).a_mm
    12.5
    """
    check_rails(surface, rule)
    if rule.cut_mm > 0:
        path, deepest = CutPath(surface, rule), rule.cut_mm
        if rule.cut_worth is None:
            plane = path.at(rule.cut_mm)
        else:
            plane = cheapest(path, rule.cut_worth, rule.cut_mm)
            deepest = path.deepest_mm(plane)
        return placed(surface, replace(rule, cut_mm=deepest), plane, path.binding(plane, deepest))
    clearance = Clearance(surface, rule)
    a, b, c, binding = lowest_plane(clearance.above, clearance.highest(), rule.bounds)
    return placed(surface, rule, np.array([a, b, c]), binding)


def check_rails(surface: Surface, rule: PlaneRule) -> None:
    """Refuse a rail that does not stand on the wall."""
    check = Check(f"wall {surface.wall.name!r}")
    for rail in rule.rails_x_m:
        check.that(
            0 <= rail <= surface.wall.width_m,
            f"a rail at {rail:g} m",
            f"rails stand on the wall, 0 to {surface.wall.width_m:g} m",
            "move it",
        )
    check.done()


def placed(surface: Surface, rule: PlaneRule, plane: Floats, binding: Floats) -> TargetPlane:
    """A plane told from the centroid, from the wall's lower left corner, with the high spots it rests on.

    Parameters
    ----------
    surface : Surface
    rule : PlaneRule
    plane : (3,) float
        Height at the centroid of the known area, turn and lean [mm, mm/m, mm/m].
    binding : (k, 3) float
        Where it rests, from the centroid, and the height that it has to clear there [m, m, mm].
    """
    a, b, c = (float(value) for value in plane)
    x0, z0 = surface.centroid_m
    x, z = binding[:, 0] + x0, binding[:, 1] + z0
    lift = rule.lift_at(x, half_cell_m(surface.x_m)) - rule.cut_mm
    touches = sorted(
        {
            Touch(round(float(at), 9), round(float(up), 9), round(float(mm), 9))
            for at, up, mm in zip(x, z, binding[:, 2] - lift, strict=True)
        },
        key=lambda touch: (touch.x_m, touch.z_m),
    )
    return TargetPlane(a - b * x0 - c * z0, b, c, tuple(touches))


def deepest_cut_mm(surface: Surface, rule: PlaneRule, plane: TargetPlane) -> float:
    """Most that a plane takes off a cell or a reading for the rule's least thickness, or 0 [mm].

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Surface.from_grid(Wall("A", 1.0, 1.0), [0.25, 0.75], [0.5], [[0.0, 4.0]])
    >>> deepest_cut_mm(wall, PlaneRule(least_mm=5.0), TargetPlane(6.0, 0.0, 0.0))
    3.0
    """
    cells = surface.proud_mm + rule.lift_mm(surface) - plane.at(surface.x_m[None, :], surface.z_m[:, None])
    read = surface.points
    lift = rule.lift_at(read.x_m, half_cell_m(surface.x_m))
    reads = read.proud_mm + lift - plane.at(read.x_m, read.z_m)
    deepest = max(float(np.nanmax(cells)), float(reads.max(initial=0.0)))
    return round(deepest, DEPTH_PLACES) if deepest > ROUNDING_MM else 0.0


def mean_plane(surface: Surface) -> TargetPlane:
    """The plane that most of a face lies about, as a wall's lean is told everywhere; it touches nothing.

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> leaning = Surface.from_grid(Wall("A", 1.0, 1.0), [0.25, 0.75], [0.25, 0.75], [[0, 1], [2, 3]])
    >>> mean = mean_plane(leaning)
    >>> round(mean.b_mm_per_m, 9), round(mean.c_mm_per_m, 9)
    (2.0, 4.0)
    """
    plane = fitted_plane(surface)
    return TargetPlane(plane.a_mm, plane.b_mm_per_m, plane.c_mm_per_m)
