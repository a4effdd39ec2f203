"""What still shows after the work, recomputed from the definitions on faces that are known exactly."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import oracles
import pytest

import mytakeoff as mt
from mytakeoff.coats.linings import lining_at
from mytakeoff.flatness.grades import grade_of, own_grade
from mytakeoff.job.catalogue import LIGHT_GYPSUM
from mytakeoff.options.wedges import wedge_beside
from mytakeoff.options.what_is_left import area_percentile, weight_kg, what_remains
from mytakeoff.plane.target_plane import mean_plane

OWN = own_grade(3.0, 2.0)


def bare(surface: mt.Surface) -> mt.BuildUp:
    """Nothing done."""
    none = np.where(np.isnan(surface.proud_mm), np.nan, 0.0)
    return mt.BuildUp(surface, none, none)


def face_of(nx: int, nz: int, mm, cell_m: float = 0.1, openings=()) -> mt.Surface:
    """A face from a function of x and z [m]."""
    x, z = np.meshgrid((np.arange(nx) + 0.5) * cell_m, (np.arange(nz) + 0.5) * cell_m)
    return oracles.grid_of(mm(x, z), cell_m, openings)


def test_a_leaning_and_turning_face() -> None:
    """4 mm/m up and 3 mm/m to the right: over 2.6 m 10.4 mm."""
    face = face_of(30, 26, lambda x, z: 5.0 + 3.0 * x + 4.0 * z)
    left = what_remains(bare(face), OWN)
    assert left.lean_mm == pytest.approx(10.4)
    assert left.worst_gap_mm == pytest.approx(0.0, abs=1e-9)
    assert left.passes


def test_lean_is_not_told_where_nothing_was_plumb() -> None:
    face = face_of(10, 26, lambda x, z: 4.0 * z)
    left = what_remains(bare(face), grade_of("NHBC 2020"), plumb=False, beside=[(0.3, 0.1)])
    assert (left.lean_mm, left.wedges) == (None, ())
    assert left.verdict.plumb == ()


def test_lean_counts_each_cell_by_its_area() -> None:
    """Uneven cells; the slope of a line fitted with weights, by its textbook formula."""
    wall = mt.Wall("A", 1.0, 4.0)
    face = mt.Surface.from_grid(wall, [0.5], [0.5, 2.0, 3.5], [[0.0], [0.0], [3.0]])
    edges = np.array([0.0, 1.25, 2.75, 4.0])
    area, z = np.diff(edges), np.array([0.5, 2.0, 3.5])
    middle = (area * z).sum() / area.sum()
    slope = (area * (z - middle) * np.array([0.0, 0.0, 3.0])).sum() / (area * (z - middle) ** 2).sum()
    assert mean_plane(face).c_mm_per_m == pytest.approx(slope)


def test_an_arc_under_the_edge() -> None:
    """A hollow arc of radius 100 m under 2 m: L²/(8R) = 5.0 mm, everywhere that a full edge reaches."""
    face = face_of(61, 3, lambda x, z: (x - 3.05) ** 2 / (2 * 100) * 1000)
    left = what_remains(bare(face), grade_of("IS 1661"), tolerance_mm=4.0)
    assert left.worst_gap_mm == pytest.approx(5.0)
    assert left.worst_belly_mm == 0.0
    # half an edge from the ends the gap falls off: a chord from the end cell, z below it by the parabola
    x = np.arange(61) * 0.1
    chords = [[(i, j) for i in range(k + 1) for j in range(k, min(61, i + 21))] for k in range(61)]
    shown = [max(5.0 * (k - i) * (j - k) * 0.01 for i, j in chords[k]) for k in range(61)]
    assert left.over_tolerance_m2 == pytest.approx(np.mean(np.array(shown) > 4.01) * face.net_area_m2)
    assert left.gap_95_mm == pytest.approx(np.sort(shown)[int(np.ceil(0.95 * x.size)) - 1])
    assert left.verdict.worst.over_by == pytest.approx(2.0)
    assert not left.passes


def test_a_bulging_arc_is_a_belly_and_no_gap() -> None:
    face = face_of(61, 3, lambda x, z: -((x - 3.05) ** 2) / (2 * 100) * 1000)
    left = what_remains(bare(face), grade_of("NHBC 2020"))
    assert left.worst_belly_mm == pytest.approx(5.0)
    assert left.worst_gap_mm == pytest.approx(0.0, abs=1e-9)
    assert not left.passes


def test_the_percentile_is_by_area() -> None:
    values, area = np.array([[3.0, 1.0, np.nan, 2.0]]), np.array([[0.04, 0.90, 5.0, 0.06]])
    assert area_percentile(values, area, 0.95) == 2.0
    assert area_percentile(values, area, 0.97) == 3.0
    assert area_percentile(values, area, 0.90) == 1.0


def test_the_wedge_beside_something_plumb() -> None:
    """A face leaning 5 mm/m into the room: plumb things touch its top cell, and stand off at the floor."""
    face = face_of(20, 25, lambda x, z: 5.0 * z + 2.0 * x)
    wedge = wedge_beside(face, 0.8, 0.3)
    assert wedge.gap_mm[-1] == pytest.approx(0.0, abs=1e-6)
    assert wedge.gap_mm[0] == wedge.widest_mm == pytest.approx(5.0 * 2.4)
    assert wedge.z_m[0] == pytest.approx(0.05)
    assert np.allclose(np.array(wedge.gap_mm), 5.0 * (2.45 - np.array(wedge.z_m)), atol=1e-6)


def test_the_wedge_on_a_bulge_is_open_at_top_and_bottom() -> None:
    face = face_of(5, 25, lambda x, z: -8.0 * (z - 1.25) ** 2)
    wedge = wedge_beside(face, 0.1, 0.2)
    assert [wedge.gap_mm[-1], wedge.gap_mm[0]] == pytest.approx([8.0 * 1.2**2] * 2)
    assert min(wedge.gap_mm) == pytest.approx(0.0, abs=1e-9)


def test_a_wide_thing_spans_a_hollow_and_is_seen_at_its_sides() -> None:
    """1 m wide over a hollow in plan: it rests on its two sides, where nothing shows."""
    face = face_of(20, 4, lambda x, z: 40.0 * (x - 1.0) ** 2)
    assert wedge_beside(face, 0.5, 1.0).widest_mm == pytest.approx(0.0, abs=1e-6)
    bulge = face_of(21, 4, lambda x, z: -40.0 * (x - 1.05) ** 2)
    assert wedge_beside(bulge, 0.5, 1.1).widest_mm == pytest.approx(40.0 * 0.5**2)


def test_a_plumb_thing_off_the_wall_is_refused() -> None:
    face = face_of(20, 25, lambda x, z: 0.0 * x)
    for place in ((2.5, 0.1), (0.5, 0.0), (-0.5, 0.1)):
        with pytest.raises(mt.TakeoffError, match="plumb"):
            wedge_beside(face, *place)


def test_a_step_is_brought_to_a_plane() -> None:
    """A step of 6 mm half-way up, coated plumb with 8 mm at least: 14 mm below, 8 above, nothing shows."""
    face = face_of(20, 20, lambda x, z: np.where(z > 1.0, 6.0, 0.0))
    rule = mt.PlaneRule(least_mm=8.0, turn_mm_per_m=0.0)
    coat = mt.full_coat(face, mt.target_plane(face, rule), rule)
    before, after = what_remains(bare(face), OWN), what_remains(coat, OWN, beside=[(0.4, 0.2)])
    # from the lowest of ten low cells the edge rises to the first high one: 9 / 10 of the step over the last
    assert before.worst_gap_mm == pytest.approx(6.0 * 9 / 10)
    assert not before.passes
    assert (after.worst_gap_mm, after.over_tolerance_m2, after.wedges[0].widest_mm) == (0.0, 0.0, 0.0)
    assert after.narrower_mm == pytest.approx(8.0)
    assert after.passes


def test_taking_down_gives_room_back() -> None:
    face = face_of(20, 10, lambda x, z: np.where((x > 1.0) & (x < 1.1), 10.0, 0.0))
    rule = mt.PlaneRule(least_mm=4.0, turn_mm_per_m=0.0, cut_mm=10.0)
    left = what_remains(mt.full_coat(face, mt.target_plane(face, rule), rule), OWN)
    assert left.narrower_mm == pytest.approx(-6.0)


def test_linings_and_unknown_cells() -> None:
    """Plaster 10 mm + 4 mm/m across; beside a window from 0.5 to 1.1 m are cells at 0.45 to 1.15 m."""
    window = mt.Opening("window", 0.5, 0.8, 0.6, 1.0)
    face = face_of(20, 25, lambda x, z: 0.0 * x, openings=[window])
    thickness = np.where(np.isnan(face.proud_mm), np.nan, 10.0 + 4.0 * face.x_m[None, :])
    coat = mt.BuildUp(face, thickness, np.zeros_like(thickness))
    lining = lining_at(coat, window)
    assert lining.opening == "window"
    assert (lining.least_mm, lining.greatest_mm) == (pytest.approx(11.8), pytest.approx(14.6))
    left = what_remains(coat, OWN)
    assert left.linings == (lining,)


def test_weight() -> None:
    """80 l at 0.8 kg/l: 64 kg of powder; bound water 27.02 / 145.15."""
    mix = replace(LIGHT_GYPSUM, density_kg_per_l=0.8)
    dry = weight_kg([(mix, 50.0), (mix, 30.0)])
    assert dry == pytest.approx(64.0 * (1 + 27.02 / 145.15), rel=0.005)


def test_a_tolerance_of_nothing_is_refused() -> None:
    with pytest.raises(mt.TakeoffError, match="more than 0"):
        what_remains(bare(face_of(5, 5, lambda x, z: x)), OWN, tolerance_mm=0.0)
