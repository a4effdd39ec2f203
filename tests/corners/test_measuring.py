"""Corners of invented rooms measured with square and tape, held to what their standard deviations say."""

from __future__ import annotations

import math

import numpy as np
import pytest
from effort import scaled
from invented_rooms import AT_M, RECTANGLE, corner_of, invented, laid_square, planes_deg, taped_triangle

import mytakeoff as mt
from mytakeoff.corners.measuring import BETWEEN_SD_MM, measured

TRIALS = 160


def off_in_sds(way: str, noise_mm: float) -> list[float]:
    """How far each measured corner of many rooms is off, in its own standard deviations."""
    off, rng = [], np.random.default_rng(7)
    for seed in range(scaled(TRIALS)):
        walls = invented(RECTANGLE, seed)[:2]
        surveys = {wall.name: wall.survey(noise_mm, rng) for wall in walls}
        if way == "square":
            more = {"off_square": laid_square(*walls, False, rng, noise_mm, on_wall=seed % 2 == 0)}
        else:
            more = {"triangle": taped_triangle(*walls, rng)}
        found = measured(corner_of(walls, 0, **more), surveys)
        off.append(1000 * math.radians(found.angle_deg - planes_deg(*walls)) / found.sd_mm_per_m)
    return off


@pytest.mark.slow
@pytest.mark.parametrize("way", ["square", "triangle"])
def test_measured_corners_scatter_as_they_say(way):
    off = off_in_sds(way, 1.0)
    assert np.std(off) == pytest.approx(1.0, abs=0.2)
    assert abs(np.mean(off)) < 4 / math.sqrt(len(off))


def test_one_set_up_is_exact():
    wall, after = invented(RECTANGLE, 3)[:2]
    surveys = {each.name: each.survey() for each in (wall, after)}
    found = measured(mt.RoomCorner(wall.name, after.name, 270.0, one_set_up=True), surveys)
    assert (found.angle_deg, found.sd_mm_per_m) == (270.0, 0.0)


@pytest.mark.parametrize("known", [(), ("wall 0",), ("wall 1",)])
def test_without_both_surveys_a_corner_is_free(known):
    walls = invented(RECTANGLE, 3)
    surveys = {wall.name: wall.survey() for wall in walls if wall.name in known}
    for more in ({"one_set_up": True}, {"triangle": taped_triangle(*walls[:2])}):
        assert measured(corner_of(walls, 0, **more), surveys).angle_deg is None


def test_a_corner_that_was_not_measured_is_free():
    walls = invented(RECTANGLE, 3)
    assert measured(corner_of(walls, 0), {wall.name: wall.survey() for wall in walls}).angle_deg is None


def test_between_readings_the_face_is_known_less():
    """The same two places 0.6 m apart, read and not read: by the law of propagation of variances (Gauss)."""
    wall, after = invented(RECTANGLE, 3, tilt_mm_per_m=0.0)[:2]
    surveys = {each.name: each.survey() for each in (wall, after)}
    nodes, width = np.linspace(0, wall.width_m, 9), wall.width_m

    def sd(on_x):
        square = mt.OffSquare(wall.name, on_x, (0.0, after.width_m / 8 * 3), (30.0, 30.0), AT_M)
        return measured(mt.RoomCorner(wall.name, after.name, off_square=square), surveys).sd_mm_per_m

    leg = math.hypot(1, 1, 1, 1) / (after.width_m / 8 * 3)
    read, beside = (nodes[7], nodes[8]), (nodes[7] + width / 24, nodes[8] - width / 24)
    assert sd(read) == pytest.approx(math.hypot(leg, math.sqrt(2) / (width / 8)), rel=1e-3)
    rough = math.sqrt(2 * (1 + BETWEEN_SD_MM**2)) / (width / 8 - width / 12)
    assert width / 8 - width / 12 < 0.3 or sd(beside) == pytest.approx(math.hypot(leg, rough), rel=1e-3)


def test_a_scan_is_read_near_the_place():
    wall, after = invented(RECTANGLE, 4)[:2]
    rng = np.random.default_rng(0)
    scans = {}
    for each in (wall, after):
        x, z = rng.uniform(0, each.width_m, 40_000), rng.uniform(0, 2.4, 40_000)
        proud = each.proud_mm(x, z) + rng.normal(0, 1, x.size)
        scans[each.name] = mt.Survey.from_readings(mt.Wall(each.name, each.width_m, 2.4), x, z, proud)
        assert scans[each.name].layout == "scan"
    corner = corner_of([wall, after, wall], 0, off_square=laid_square(wall, after, False))
    found = measured(corner, scans)
    assert found.angle_deg == pytest.approx(
        planes_deg(wall, after), abs=math.degrees(2.5e-3 * found.sd_mm_per_m)
    )
