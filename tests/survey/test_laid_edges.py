"""Straightedge sweeps: what an edge tells of a wall whose shape is known."""

from __future__ import annotations

import csv
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from effort import examples
from hand import entry_of, job_of
from hypothesis import given
from hypothesis import strategies as st
from places import MEASURED
from scipy.optimize import linprog

from mytakeoff import (
    LaidEdge,
    PlaneRule,
    Survey,
    TakeoffError,
    Wall,
    evaluate,
    full_coat,
    grid_surface,
    target_plane,
)  # fmt: skip
from mytakeoff.survey.edges import READ_MM, edges_of, missed_mm, touches_of
from mytakeoff.survey.interpolate import Readings

WALL = Wall("north", 3.0, 2.4)
FINE_M = np.linspace(0.0, 2.0, 401)  # along an edge of 2 m


def surveyed(shape, step_m: float = 0.5, wall: Wall = WALL) -> Survey:
    """A wall of that shape read to the millimetre on a grid; a shape is a function of x and z."""
    x, z = (np.arange(0.0, size + 1e-9, step_m) for size in (wall.width_m, wall.height_m - 0.4))
    grid_x, grid_z = (axis.ravel() for axis in np.meshgrid(x, z))
    return Survey.from_readings(wall, grid_x, grid_z, np.round(shape(grid_x, grid_z)))


def laid(profile_mm: np.ndarray, at_m: np.ndarray = FINE_M) -> tuple[float, tuple[float, ...]]:
    """How an edge rests on a profile: the worst gap, where it touches. By the upper hull.

    The edge that stays on is the side of the upper hull that lies under its own middle.
    """
    hull: list[int] = []
    for nth in range(at_m.size):
        while len(hull) >= 2 and np.cross(
            np.array([at_m[hull[-1]] - at_m[hull[-2]], profile_mm[hull[-1]] - profile_mm[hull[-2]], 0.0]),
            np.array([at_m[nth] - at_m[hull[-2]], profile_mm[nth] - profile_mm[hull[-2]], 0.0]),
        )[2] >= 0:  # fmt: skip
            hull.pop()
        hull.append(nth)
    left, right = next((a, b) for a, b in pairwise(hull) if at_m[b] >= (at_m[0] + at_m[-1]) / 2)
    slope = (profile_mm[right] - profile_mm[left]) / (at_m[right] - at_m[left])
    edge = profile_mm[left] + slope * (at_m - at_m[left])
    return float((edge - profile_mm).max()), (float(at_m[left]), float(at_m[right]))


def readings_of(survey: Survey) -> Readings:
    return Readings(survey.x_m, survey.z_m, survey.proud_mm)


WAVES = st.lists(st.tuples(st.floats(-6, 6), st.floats(0.5, 9.0), st.floats(0, 6.3)), min_size=1, max_size=4)


@examples(60)
@given(waves=WAVES, lean=st.floats(-8, 8))
def test_the_true_heights_lie_between_the_bounds(waves, lean):
    """Whatever the wall's shape: a touch stands between the bounds."""

    def shape(x, z):
        return lean * z + sum(height * np.sin(often * x + start) for height, often, start in waves)

    survey = surveyed(shape)
    gap, touches = laid(shape(0.5 + FINE_M, np.ones_like(FINE_M)))
    edge = edges_of(
        survey.with_sweeps([LaidEdge(0.5, 1.0, 2.0, gap, "level", touches)]), readings_of(survey)
    )[0]
    true = shape(0.5 + np.array(touches), np.ones(2))
    assert (edge.touches.low_mm <= true + 1e-6).all()
    assert (edge.touches.high_mm >= true - 1e-6).all()


def test_bounds_are_those_of_a_linear_programme():
    """The lowest and highest line at a touch, by scipy's HiGHS on the same band."""
    survey = surveyed(lambda x, z: 6.0 * np.cos(2.1 * x) + 2.0 * z)
    sweep = LaidEdge(0.4, 0.5, 2.2, 14.0, touches_m=(0.3, 1.9))
    edge = edges_of(survey.with_sweeps([sweep]), readings_of(survey))[0]
    under = (survey.z_m == 0.5) & (survey.x_m >= 0.4) & (survey.x_m <= 2.6)
    at, read = survey.x_m[under] - 0.4, survey.proud_mm[under]
    lines = np.column_stack([np.ones_like(at), at])
    rows, limits = np.vstack([-lines, lines]), np.concatenate([READ_MM - read, read + sweep.gap_mm + READ_MM])
    for nth, touch in enumerate(sweep.touches_m):
        low, high = (
            sign * linprog([sign, sign * touch], rows, limits, bounds=[(None, None)] * 2, method="highs").fun
            for sign in (1, -1)
        )
        assert edge.touches.low_mm[nth] == pytest.approx(low, abs=1e-6)
        assert edge.touches.high_mm[nth] == pytest.approx(high, abs=1e-6)


def test_a_nib_between_readings_is_found_by_its_edge():
    """A nib 10 mm high half way between two readings of a flat wall; the edge rests on it and on its far end.

    Its slope is 10 mm in 1.25 m, so at its near end, 0.75 m beyond the nib, it stands 10 + 6 mm off the wall.
    """
    flat = surveyed(lambda x, z: 0.0 * x)
    sweep = LaidEdge(0.0, 1.0, 2.0, 16.0, touches_m=(0.75, 2.0), gap_at_m=0.0)
    touches = touches_of(flat.with_sweeps([sweep]), readings_of(flat))
    assert touches.x_m.tolist() == [0.75]  # the other is a reading's own place
    assert touches.low_mm[0] <= 10.0 <= touches.high_mm[0]
    assert touches.spread_mm[0] < 2.0
    before = grid_surface(flat, 0.05)
    after = grid_surface(flat.with_sweeps([sweep]), 0.05)
    assert before.proud_mm.max() == pytest.approx(0.0, abs=1e-9)
    at = np.argmin(np.abs(after.x_m - 0.75)), np.argmin(np.abs(after.z_m - 1.0))
    assert after.proud_mm[at[1], at[0]] == pytest.approx(float(touches.middle_mm[0]), rel=0.35)
    assert after.points.proud_mm.max() == pytest.approx(float(touches.middle_mm[0]))


def test_a_hollow_between_two_readings_moves_nothing():
    """An edge that rests on two readings of a straight wall adds no spot."""
    survey = surveyed(lambda x, z: 3.0 * x)
    sweep = LaidEdge(0.5, 1.0, 2.0, 1.0, touches_m=(0.0, 2.0))
    swept = survey.with_sweeps([sweep])
    assert touches_of(swept, readings_of(survey)).x_m.size == 0
    np.testing.assert_array_equal(grid_surface(swept, 0.1).proud_mm, grid_surface(survey, 0.1).proud_mm)


def test_two_edges_over_one_place_weigh_by_what_they_know():
    survey = surveyed(lambda x, z: 0.0 * x)
    level = LaidEdge(0.0, 1.0, 2.0, 16.0, touches_m=(0.75, 2.0), gap_at_m=0.0)
    vague = LaidEdge(0.75, 0.4, 1.2, 12.0, "upright", touches_m=(0.6,))
    one, two = (
        touches_of(survey.with_sweeps(some), readings_of(survey)) for some in ([level], [level, vague])
    )
    assert two.x_m.size == 1
    assert abs(two.middle_mm[0] - one.middle_mm[0]) < one.spread_mm[0]


@pytest.mark.parametrize("direction", ["level", "upright", "rising", "falling"])
def test_directions(direction):
    """A wall that bulges along the edge by a parabola: 4 h u (1 − u) over its length, touched at the top."""
    sweep = LaidEdge(0.5, 2.0 if direction == "falling" else 0.5, 1.4, 9.0, direction, touches_m=(0.7,))
    (x0, z0), (x1, z1) = sweep.place(0.0), sweep.place(1.4)

    def shape(x, z):
        along = ((x - x0) * (x1 - x0) + (z - z0) * (z1 - z0)) / 1.4**2
        return 4.0 * 9.0 * along * (1 - along)

    dense = surveyed(shape, step_m=0.1)
    low, high = (getattr(edges_of(dense.with_sweeps([sweep]), readings_of(dense))[0].touches, name)[0]
                 for name in ("low_mm", "high_mm"))  # fmt: skip
    assert low - 0.6 <= 9.0 <= high + 0.6


def test_an_edge_and_the_readings_that_cannot_both_be_right():
    hollow = surveyed(lambda x, z: 10.0 * (x - 1.5) ** 2)
    with pytest.raises(TakeoffError, match="worst gap 2 mm"):
        grid_surface(hollow.with_sweeps([LaidEdge(0.5, 1.0, 2.0, 2.0)]), 0.1)


def test_edges_over_all_of_the_wall_replace_the_allowance_by_what_they_leave_open():
    survey = surveyed(lambda x, z: 0.0 * x)
    everywhere = [LaidEdge(0.0, z, 3.0, 0.5, touches_m=(0.0, 3.0)) for z in (0.0, 0.5, 1.0, 1.5, 2.0, 2.4)]
    assert missed_mm(survey, 4.0) == 4.0
    half = missed_mm(survey.with_sweeps(everywhere[:3]), 4.0)
    assert missed_mm(survey.with_sweeps(everywhere), 4.0) < 2.0
    assert missed_mm(survey.with_sweeps(everywhere), 4.0) < half < 4.0
    assert missed_mm(survey.with_sweeps(everywhere), 0.0) == 0.0
    # 35 readings over 3 by 2 m stand for squares of sqrt(6) / (sqrt(35) - 1) m: so wide is the edge's strip
    one = survey.with_sweeps(everywhere[2:3])
    strip_share = np.sqrt(6.0) / (np.sqrt(35.0) - 1.0) / WALL.height_m
    open_mm = edges_of(one, readings_of(one))[0].open_mm
    assert missed_mm(one, 4.0) == pytest.approx(4.0 - (4.0 - open_mm) * strip_share, abs=0.1)


def test_the_allowance_of_a_job_follows_its_sweeps():
    survey = surveyed(lambda x, z: 0.0 * x)
    entry = entry_of(WALL)
    swept = replace(entry, survey=survey.with_sweeps([LaidEdge(0.0, 1.0, 3.0, 0.5)]))
    entries = entry, swept, replace(swept, missed_high_spot_mm=3.0)
    walls = [evaluate(job_of(each, missed_high_spot_mm=4.0)).walls[0] for each in entries]
    expected = [4.0, missed_mm(swept.survey, 4.0), 3.0]
    assert [wall.allowance_mm for wall in walls] == pytest.approx(expected)
    assert expected[1] < 4.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [({"length_m": 0.0}, "it is above 0"), ({"gap_mm": -1.0}, "it is 0 to 1000 mm"),
     ({"touches_m": (2.5,)}, "measured along it"), ({"gap_at_m": -0.1}, "measure along the edge"),
     ({"direction": "across"}, "upright")],
)  # fmt: skip
def test_slips(changes, words):
    with pytest.raises(TakeoffError, match=words):
        LaidEdge(**{"x_m": 0.0, "z_m": 1.0, "length_m": 2.0, "gap_mm": 3.0, **changes})


@pytest.mark.parametrize("sweep", [LaidEdge(2.0, 1.0, 1.5, 3.0), LaidEdge(0.5, 0.5, 1.0, 3.0, "falling")])
def test_an_edge_lies_on_its_wall(sweep):
    with pytest.raises(TakeoffError, match="lies on its wall"):
        surveyed(lambda x, z: 0.0 * x).with_sweeps([sweep])


@pytest.mark.parametrize("spots", [[(1.0, 1.0, 9.0)], [(1.2, 1.1, 9.0), (1.2, 1.1005, 8.0)]])
def test_a_high_spot_at_the_place_of_a_reading_or_of_another(spots):
    """The face goes through the higher of the two."""
    surface = grid_surface(surveyed(lambda x, z: 0.0 * x).with_high_spots(spots), 0.02)
    assert surface.points.proud_mm.max() == 9.0
    assert 5.0 < np.nanmax(surface.proud_mm) <= 9.0 + 1e-9


SHARED = MEASURED / "setts_A_dense.csv"


@pytest.fixture(scope="module")
def setts() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A measured rough surface, 1 cm between readings: x, z [m], proud (nz, nx) [mm]."""
    if not SHARED.is_file():
        pytest.skip("the measured surfaces are not beside this checkout")
    with SHARED.open(newline="", encoding="utf-8") as file:
        head, *rows = csv.reader(file)
    off = np.array([[float(cell) if cell else np.nan for cell in row[1:]] for row in rows])
    up = np.argsort([float(row[0]) for row in rows])
    return np.array(head[1:], dtype=float), np.array([float(row[0]) for row in rows])[up], -off[up]


def swept_setts(setts, upright: bool) -> tuple[Survey, list[LaidEdge], list[np.ndarray]]:
    """That surface read by hand every 25 cm, edges of 2 m laid along the readings, what they truly touch."""
    x, z, proud = setts
    columns, rows = np.arange(0, x.size, 25), np.arange(0, z.size, 25)
    grid_x, grid_z = np.meshgrid(x[columns], z[rows])
    read = np.round(proud[np.ix_(rows, columns)])
    survey = Survey.from_readings(Wall("setts", 5.0, 3.41), grid_x.ravel(), grid_z.ravel(), read.ravel())
    sweeps, touched = [], []
    along, across = (z, columns) if upright else (x, rows)
    for line in across:
        for first in range(0, along.size - 200, 100):
            part = slice(first, first + 201)
            profile = proud[part, line] if upright else proud[line, part]
            if np.isnan(profile).any():
                continue
            at = along[part] - along[first]
            gap, touches = laid(profile, at)
            corner = (x[line], along[first]) if upright else (along[first], z[line])
            direction = "upright" if upright else "level"
            sweeps.append(
                LaidEdge(*map(float, corner), 2.0, round(gap), direction, tuple(round(m, 2) for m in touches))
            )
            touched.append(np.interp(touches, at, profile))
    return survey, sweeps, touched


@pytest.mark.slow
@pytest.mark.parametrize("upright", [True, False])
def test_on_a_measured_surface_every_touch_lies_between_its_bounds(setts, upright):
    survey, sweeps, touched = swept_setts(setts, upright)
    assert len(sweeps) > 15
    edges = edges_of(survey.with_sweeps(sweeps), readings_of(survey))
    for edge, true in zip(edges, touched, strict=True):
        assert (edge.touches.low_mm <= true + 1e-6).all()
        assert (edge.touches.high_mm >= true - 1e-6).all()


@pytest.mark.slow
def test_on_a_measured_surface_edges_find_much_of_what_the_readings_missed(setts):
    """Mean thickness of the least plaster, all in one frame: by hand, with edges laid, all readings."""
    x, z, proud = setts
    survey, sweeps, _ = swept_setts(setts, upright=False)
    known = ~np.isnan(proud)
    everywhere = [axis[known] for axis in np.meshgrid(x, z)]
    dense = Survey.from_readings(survey.wall, *everywhere, proud[known], layout="grid")
    rule = PlaneRule(least_mm=5.0)

    def mean_mm(one: Survey) -> float:
        surface = grid_surface(one, 0.05)
        return full_coat(surface, target_plane(surface, rule), rule).mean_mm

    hand, swept, truth = (mean_mm(one) for one in (survey, survey.with_sweeps(sweeps), dense))
    assert hand < swept <= truth + 1.0
    assert swept - hand > (truth - hand) / 4
