"""A room of eight walls brought square, against its slowest single wall and against a slider, in one run.

    python tests/benchmarks/bench_room.py

Ratios, not times, are what is kept: all sides are measured in turns on the same arrays.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parent))

from bench_plane import copy_of, side_by_side

import mytakeoff as mt
from mytakeoff.formats.formats import HOUSE
from mytakeoff.plane.outline import Outline
from mytakeoff.rooms.joined import joined
from mytakeoff.rooms.together import planes_together

NX, NZ = 500, 400
RULE = mt.PlaneRule(least_mm=8.0)
# Clockwise: a room with a recess, eight walls, six inner corners and two outer ones.
TURNS_DEG = (90.0, 90.0, 90.0, 270.0, 270.0, 90.0, 90.0, 90.0)
WIDTHS_M = (6.0, 4.0, 2.0, 1.5, 2.0, 1.5, 2.0, 4.0)


def wall_of(nth: int) -> mt.Surface:
    """An invented old wall of 200,000 cells: it leans, turns, bows and is rough."""
    random, wall = np.random.default_rng(nth), mt.Wall(f"wall {nth}", WIDTHS_M[nth], 2.6)
    x = (np.arange(NX) + 0.5) * wall.width_m / NX
    z = (np.arange(NZ) + 0.5) * wall.height_m / NZ
    u, v = np.meshgrid(x / wall.width_m, z / wall.height_m)
    proud = random.normal(0, 8) * u + random.normal(0, 8) * v + random.normal(0, 8) * (2 * u - 1) ** 2
    proud += 2 * np.sin(9 * u) * np.cos(7 * v) + random.normal(0, 0.8, u.shape)
    return mt.Surface.from_grid(wall, x, z, proud)


def room_of(surfaces: list[mt.Surface]) -> tuple[mt.Room, tuple[mt.Survey, ...]]:
    """Its corners, off one set-up, with a width that is told; the surveys say only where the planes are."""
    corners = [
        mt.RoomCorner(f"wall {nth}", f"wall {(nth + 1) % 8}", angle, one_set_up=True)
        for nth, angle in enumerate(TURNS_DEG)
    ]
    bath = mt.ClearWidth("bath", "wall 1", "wall 7", 5900.0, 0.5)
    flat = [mt.Survey.from_readings(each.wall, [0, 1, 0, 1], [0, 0, 2, 2], [0] * 4) for each in surfaces]
    return mt.Room("bench", corners=corners, clear_widths=[bath]), tuple(flat)


def forget() -> None:
    """Nothing that was worked out helps the next run."""
    planes_together.cache_clear()
    joined.cache_clear()


def main() -> None:
    surfaces = [wall_of(nth) for nth in range(8)]
    room, surveys = room_of(surfaces)

    def whole() -> mt.RoomPlanes:
        forget()
        outlines = tuple(Outline.of(copy_of(surface), RULE) for surface in surfaces)
        return planes_together(room, surveys, outlines, 0.0, HOUSE)

    single = [lambda surface=surface: mt.target_plane(copy_of(surface), RULE) for surface in surfaces]
    copies = [lambda surface=surface: copy_of(surface) for surface in surfaces]
    room_s, *rest = side_by_side(whole, *single, *copies)
    alone_s = [both - copy for both, copy in zip(rest[:8], rest[8:], strict=True)]
    room_s -= sum(rest[8:])
    print(f"a room: {1e3 * room_s:.0f} ms, {room_s / max(alone_s):.1f} × its slowest wall, "
          f"{room_s / sum(alone_s):.1f} × all eight")  # fmt: skip
    outlines = tuple(Outline.of(surface, RULE) for surface in surfaces)
    planes_together(room, surveys, outlines, 0.0, HOUSE)
    steps = iter(range(1, 10**6))

    def tolerance() -> object:
        return planes_together(room, surveys, outlines, 1.0 + next(steps) / 1000, HOUSE)

    def slider() -> None:
        rule = replace(RULE, least_mm=8.0 + next(steps) / 1000)
        for surface in surfaces:
            _ = mt.full_coat(surface, mt.target_plane(surface, rule), rule).depths

    moved_s, slid_s = side_by_side(tolerance, slider)
    print(f"its tolerance: {1e3 * moved_s:.0f} ms, {moved_s / slid_s:.2f} × a slider that moves its planes")


if __name__ == "__main__":
    main()
