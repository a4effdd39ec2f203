"""Scans of an invented wall with furniture before it: which points are whose, and what the bare wall takes.

As an instrument sees it that stands far off: a front hides the wall behind it, and sides run from the front
to the wall. What stands more than 60 mm off the wall is sorted out before a survey is made.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

import mytakeoff as mt

WALL = mt.Wall("A", 4.0, 2.6)
FURTHEST_MM = 60.0
RULE = mt.PlaneRule(least_mm=8.0)


@dataclass(frozen=True)
class Box:
    """A picture, a cupboard, a pipe: its lower left corner, its size [m], and where its front stands [mm].

    A tube's front is round; a board has an upper side that points lie on all the way to the wall.
    """

    x_m: float
    z_m: float
    width_m: float
    height_m: float
    front_mm: float
    round_mm: float = 0.0
    sides: bool = True


def face_mm(x_m: np.ndarray, z_m: np.ndarray, bulge_mm: float, broad_m: float) -> np.ndarray:
    """The bare wall: it leans, bows, waves, and bulges at x 2.6, z 0.8 m."""
    waves = 3.0 * z_m + 4.0 * np.sin(np.pi * x_m / WALL.width_m) + 0.7 * np.sin(20 * x_m) * np.cos(17 * z_m)
    away = np.hypot(x_m - 2.6, z_m - 0.8)
    return waves + bulge_mm * np.exp(-(away**2) / (2 * broad_m**2))


@dataclass(frozen=True, eq=False)
class Scanned:
    """A survey of all points, and which of them are furniture (n,)."""

    survey: mt.Survey
    furniture: np.ndarray


def scanned(
    seed: int, points: int, noise_mm: float, things: tuple[Box, ...] = (), bulge_mm: float = 0.0,
    broad_m: float = 0.3,
) -> Scanned:  # fmt: skip
    """A scan of the wall with these things before it."""
    random = np.random.default_rng(seed)
    x, z = random.uniform(0, WALL.width_m, points), random.uniform(0, WALL.height_m, points)
    off, whose = np.zeros(points), np.zeros(points, dtype=bool)
    more = []
    for thing in things:
        across, up = x - thing.x_m, z - thing.z_m
        hidden = (across > 0) & (across < thing.width_m) & (up > 0) & (up < thing.height_m)
        narrow, size = (up, thing.height_m) if thing.width_m > thing.height_m else (across, thing.width_m)
        curve = np.sqrt(np.clip(1.0 - (2.0 * narrow / size - 1.0) ** 2, 0.0, 1.0))
        off = np.where(hidden, thing.front_mm + thing.round_mm * curve, off)
        whose |= hidden
        if thing.sides:
            more.append(_sides(random, thing, points / (WALL.width_m * WALL.height_m)))
    for side_x, side_z, side_off in more:
        x, z, off = np.append(x, side_x), np.append(z, side_z), np.append(off, side_off)
    whose = np.append(whose, np.ones(x.size - points, dtype=bool))
    proud = face_mm(x, z, bulge_mm, broad_m) + off + random.normal(0, noise_mm, x.size)
    seen = off < FURTHEST_MM
    survey = mt.Survey.from_readings(WALL, x[seen], z[seen], proud[seen], layout="scan")
    return Scanned(survey, whose[seen])


def _sides(random: np.random.Generator, thing: Box, density: float) -> tuple[np.ndarray, ...]:
    """Points on the sides of a box, between the wall and its front."""
    wide, high = thing.width_m, thing.height_m
    count = int(density * 2 * (wide + high) * thing.front_mm / 1000)
    at = random.uniform(0, 2 * (wide + high), count)
    corners = [0, wide, wide + high, 2 * wide + high, 2 * (wide + high)]
    side_x = np.interp(at, corners, [0, wide, wide, 0, 0])
    side_z = np.interp(at, corners, [0, 0, high, high, 0])
    return thing.x_m + side_x, thing.z_m + side_z, random.uniform(0, thing.front_mm, count)


def mean_mm(survey: mt.Survey) -> float:
    """Mean thickness floated plumb [mm]."""
    surface = mt.grid_surface(survey, 0.025)
    return mt.full_coat(surface, mt.target_plane(surface, RULE), RULE).volume_l / surface.net_area_m2


PICTURE, CUPBOARD = Box(1.2, 1.2, 0.6, 0.4, 20.0), Box(0.3, 0.0, 0.8, 1.6, 45.0)  # chosen on
ROOMS = {  # tried on
    "wardrobe": (Box(0.3, 0.0, 1.2, 2.0, 550.0),),
    "curtain rail": (Box(0.5, 2.3, 3.0, 0.028, 30.0, 28.0, sides=False),),
    "radiator pipes": (Box(3.6, 0.0, 0.022, 2.6, 15.0, 15.0, sides=False),
                       Box(3.7, 0.0, 0.022, 2.6, 15.0, 15.0, sides=False)),
    "shelf": (Box(2.2, 1.7, 1.0, 0.02, 200.0),),
    "thermostat and architrave": (Box(3.4, 1.4, 0.09, 0.09, 25.0), Box(0.0, 0.0, 0.07, 2.1, 18.0)),
    "bookcase and frames": (Box(0.2, 0.0, 0.9, 1.9, 300.0), Box(1.5, 1.4, 0.4, 0.3, 15.0),
                            Box(2.1, 1.5, 0.25, 0.35, 22.0)),
}  # fmt: skip
