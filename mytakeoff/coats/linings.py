"""How deep plaster stands round an opening and along the foot of a wall: what joinery is packed out by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Opening, Rectangle

Cells = NDArray[np.bool_]
LEFT, RIGHT, HEAD, BOARD, SKIRTING = "left edge", "right edge", "head", "window board", "skirting"


@dataclass(frozen=True)
class Lining:
    """How deep the plaster stands around an opening: what its lining or frame has to be packed out by.

    Least and greatest of finished face - bare wall on the cells beside it; NaN where none is known [mm].
    """

    opening: str
    least_mm: float
    greatest_mm: float


@dataclass(frozen=True)
class Packing:
    """How far one edge of a lining, a window board or a skirting that stays is packed out.

    Parameters
    ----------
    name : str
        Of the opening, or of the skirting.
    edge : str
        "left edge", "right edge", "head", "window board", "skirting".
    start_mm, end_mm : float
        At its lower or left end, and at its upper or right end [mm].
    most_mm : float
        Anywhere along it [mm].
    """

    name: str
    edge: str
    start_mm: float
    end_mm: float
    most_mm: float


def lining_at(build_up: BuildUp, opening: Opening) -> Lining:
    """Plaster beside an opening, least and greatest.

    Parameters
    ----------
    build_up : BuildUp
    opening : Opening
        Of its wall.
    """
    across, up = _beside(build_up, opening.rectangle)
    depth = _depth(build_up)[up[:, None] & across[None, :]]
    depth = depth[~np.isnan(depth)]
    if not depth.size:
        return Lining(opening.name, float("nan"), float("nan"))
    return Lining(opening.name, float(depth.min()), float(depth.max()))


def packings(build_up: BuildUp) -> tuple[Packing, ...]:
    """What has to be packed out on a wall, opening by opening, then a skirting that stays.

    Parameters
    ----------
    build_up : BuildUp
        Edges beside which nothing is known are left out.
    """
    wall = build_up.surface.wall
    found = [each for opening in wall.openings for each in _round(build_up, opening)]
    if wall.skirting_m > 0:
        above = np.abs(build_up.surface.z_m - wall.skirting_m) <= wall.height_m / build_up.surface.z_m.size
        found += _edge(build_up, SKIRTING, SKIRTING, above, np.ones(build_up.surface.x_m.size, dtype=bool), 0)
    return tuple(found)


def _round(build_up: BuildUp, opening: Opening) -> Iterator[Packing]:
    hole, surface = opening.rectangle, build_up.surface
    across, up = _beside(build_up, hole)
    left, right = across & (surface.x_m < hole.x_m), across & (surface.x_m > hole.x_m + hole.width_m)
    above, below = up & (surface.z_m > hole.z_m + hole.height_m), up & (surface.z_m < hole.z_m)
    yield from _edge(build_up, opening.name, LEFT, up, left, 1)
    yield from _edge(build_up, opening.name, RIGHT, up, right, 1)
    yield from _edge(build_up, opening.name, HEAD, above, across, 0)
    yield from _edge(build_up, opening.name, BOARD, below, across, 0)


def _edge(
    build_up: BuildUp, name: str, edge: str, up: Cells, across: Cells, beside: int
) -> Iterator[Packing]:
    """Along an edge, the greatest of the cells beside each place; `beside`: the axis that lies across it."""
    depth = _depth(build_up)[np.ix_(up, across)]
    depth = depth.max(axis=beside, initial=-np.inf, where=~np.isnan(depth))
    depth = depth[np.isfinite(depth)]
    if depth.size:
        yield Packing(name, edge, float(depth[0]), float(depth[-1]), float(depth.max()))


def _depth(build_up: BuildUp) -> Floats:
    """Finished face - bare wall; NaN where no wall is known [mm]."""
    depth = build_up.thickness_mm - build_up.cut_mm
    return np.asarray(np.where(build_up.surface.known_area_m2 > 0, depth, np.nan))


def _beside(build_up: BuildUp, hole: Rectangle) -> tuple[Cells, Cells]:
    """The columns and rows of an opening and of a cell beside it."""
    surface = build_up.surface
    wall = surface.wall
    step_x, step_z = wall.width_m / surface.x_m.size, wall.height_m / surface.z_m.size
    near_x = np.abs(surface.x_m - hole.x_m - hole.width_m / 2) <= hole.width_m / 2 + step_x
    near_z = np.abs(surface.z_m - hole.z_m - hole.height_m / 2) <= hole.height_m / 2 + step_z
    return near_x, near_z
