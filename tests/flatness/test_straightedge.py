"""Gap and belly against worked examples from outside and against the definition, cell by cell."""

from __future__ import annotations

import copy

import edge_oracle
import moody
import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from oracles import grid_of, rough_wall
from places import MEASURED
from scipy.spatial import ConvexHull

import mytakeoff as mt
from mytakeoff.flatness.edge_lines import DIRECTIONS, EdgeRule, edge_lines
from mytakeoff.flatness.resting import over_chord, resting_height, resting_points
from mytakeoff.flatness.straightedge import (
    belly_along,
    bulge_and_hollow,
    gap_along,
    over_tolerance,
    straightedge_notices,
    worst_gap,
)

REAL = MEASURED / "setts_A_dense.csv"
# laser interferometer maker's user manual, October 1987, straightness chapter, pp. 21-2 and 21-3, axis 1 [µm]
STRAIGHTNESS = np.array([-0.3, 0.9, 1.5, 2.5, 2.9, 3.6, 4.2, 5.1, 5.9, 7.2])
END_POINT_RESIDUALS = [0.0, 0.4, 0.1, 0.3, -0.1, -0.3, -0.5, -0.4, -0.5, 0.0]


def arc(radius_m: float, nx=160, nz=40, cell_m=0.025, along="across", sign=1.0):
    """A hollow (sign 1) or bulging (−1) circular cylinder, as its parabola L²/(8R) [mm]."""
    x, z = np.meshgrid((np.arange(nx) - nx / 2 + 0.5) * cell_m, (np.arange(nz) - nz / 2 + 0.5) * cell_m)
    return grid_of(sign * (x if along == "across" else z) ** 2 / (2 * radius_m) * 1000, cell_m)


def test_a_hollow_arc_of_100_m_shows_5_mm_under_2_m():
    # geometry: gap = L² / (8 R), 2² / (8 · 100) m = 5.0 mm
    gap = mt.straightedge_gap(arc(100.0), 2.0)
    np.testing.assert_allclose(gap[:, 40:-40], 5.0, atol=1e-9)
    assert np.nanmax(mt.straightedge_gap(arc(100.0), 1.0)) == pytest.approx(1.25)


def test_a_bulge_shows_no_gap_but_a_belly():
    bulge = arc(100.0, sign=-1.0)
    assert np.nanmax(mt.straightedge_gap(bulge, 2.0)) == pytest.approx(0.0, abs=1e-9)
    assert mt.straightedge_belly(bulge, 2.0)[20, 80] == pytest.approx(5.0)


def test_convex_face_with_two_equal_feelers_deviates_by_one_of_them():
    # UK cast stone trade body, straightedge method: convex, two equal feelers at the ends, deviation = one
    feeler_mm, length_m = 3.0, 2.0
    radius_m = length_m**2 / (8 * feeler_mm / 1000)
    bulge, _ = bulge_and_hollow(arc(radius_m, sign=-1.0), length_m)
    assert np.nanmax(bulge) == pytest.approx(feeler_mm)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_equal_packers_at_the_ends_count_proud_and_hollow_alike(sign):
    # NHBC Standards 2020, 9.1.3: ±3 mm under a 2 m straightedge with equal offsets
    within, beyond = arc(4 / (8 * 0.0029), sign=sign), arc(4 / (8 * 0.0031), sign=sign)
    assert np.nanmax(np.abs(mt.straightedge_belly(within, 2.0))) == pytest.approx(2.9)
    assert np.nanmax(np.abs(mt.straightedge_belly(beyond, 2.0))) == pytest.approx(3.1)
    assert np.sign(mt.straightedge_belly(beyond, 2.0)[20, 80]) == -sign


def test_grid_rule_of_din_18202():
    # DIN 18202 (secondary copies): s = z2 − (z1 + z3) / 2, measuring points 2 × the grid's step apart
    z1, z2, z3 = 4.0, 11.0, 6.0
    belly = mt.straightedge_belly(grid_of([[z1, z2, z3]], cell_m=1.0), 2.0)
    assert belly[0, 1] == z2 - (z1 + z3) / 2 == 6.0
    assert np.isnan(belly[0, [0, 2]]).all()


def test_end_point_residuals_of_the_printed_straightness_example():
    np.testing.assert_allclose(over_chord(STRAIGHTNESS), END_POINT_RESIDUALS, atol=0.05)
    assert np.ptp(over_chord(STRAIGHTNESS)) == pytest.approx(0.8667, abs=5e-5)


def test_two_resting_edges_give_the_minimum_zone_of_the_straightness_example():
    # 0.6500 µm by a linear programme on the printed data; upper hull above lower hull is the same zone
    line = STRAIGHTNESS[:, None]
    zone = resting_height(line, 9) + resting_height(-line, 9)
    assert zone.max() == pytest.approx(0.65)


def test_moodys_plate_from_its_readings():
    found, closure = moody.heights(moody.SLOPES, over_chord)
    for line, published in moody.printed().items():
        np.testing.assert_allclose(found[line], published, atol=1e-3, err_msg=line)
    assert sum(own.size for own in found.values()) == 126
    assert max(own.max() for own in found.values()) * 1e-5 == pytest.approx(moody.OVERALL_IN, abs=5e-6)
    assert found["NE_SE"].argmin() == 4
    assert found["SE_SW"].argmax() == 8
    for line, published in moody.CLOSURE_ARCSEC.items():
        assert closure[line] == pytest.approx(published, abs=0.05)


@pytest.mark.parametrize(("line", "reading", "misprint"), moody.MISPRINTS)
def test_each_misprint_in_moodys_table_changes_the_plate(line, reading, misprint):
    slopes = copy.deepcopy(moody.SLOPES)
    slopes[line][reading] = misprint
    found, _ = moody.heights(slopes, over_chord)
    off = max(np.abs(found[name] - own).max() for name, own in moody.printed().items())
    assert off > 0.05


@pytest.mark.parametrize("line", list(moody.HEIGHTS))
def test_a_full_length_edge_on_moodys_lines_is_their_convex_hull(line):
    heights = moody.printed()[line]
    places = np.arange(heights.size)
    hull = ConvexHull(np.column_stack([places, heights]))
    top = hull.vertices[np.argsort(hull.vertices)]
    # the upper hull is the lowest concave line through vertices: the best over all vertex pairs
    expected = [
        max(
            np.interp(k, [i, j], [heights[i], heights[j]]) for i in top for j in top if i <= k <= j
        )
        for k in places
    ]  # fmt: skip
    np.testing.assert_allclose(resting_height(heights[:, None], heights.size - 1)[:, 0], expected, atol=1e-12)


@st.composite
def small_walls(draw):
    """A small wall with unknown cells, a step each way and an edge."""
    nz, nx = draw(st.integers(1, 7)), draw(st.integers(1, 9))
    random = np.random.default_rng(draw(st.integers(0, 10_000)))
    heights = random.integers(-8, 8, (nz, nx)).astype(float)
    heights[random.random((nz, nx)) < draw(st.sampled_from([0.0, 0.15]))] = np.nan
    heights[0, 0] = 0.0
    dx, dz = draw(st.sampled_from([(0.1, 0.1), (0.1, 0.07)]))
    wall = mt.Wall("made", nx * dx, nz * dz)
    surface = mt.Surface.from_grid(wall, (np.arange(nx) + 0.5) * dx, (np.arange(nz) + 0.5) * dz, heights)
    return surface, dx, dz, draw(st.sampled_from([0.2, 0.3, 0.45, 2.0]))


@given(small_walls())
@examples(80)
def test_the_gap_is_its_definition(case):
    surface, dx, dz, length = case
    expected = edge_oracle.gap(surface.proud_mm, dx, dz, length)
    np.testing.assert_allclose(mt.straightedge_gap(surface, length), expected, atol=1e-9)


@given(small_walls())
@examples(40)
def test_the_points_an_edge_rests_on_carry_its_height(case):
    surface, *_, length = case
    flat = np.append(surface.proud_mm.ravel(), -1e30)
    for way in edge_lines(surface):
        for table in way.tables:
            heights = flat[table]
            rests = resting_points(heights, way.span(length))
            np.testing.assert_allclose(rests.height_mm, resting_height(heights, way.span(length)), atol=1e-9)
            k, line = np.nonzero((rests.before > 0) & (table < flat.size - 1))
            before, after = rests.before[k, line], rests.after[k, line]
            assert (before + after <= way.span(length)).all()
            chord = (after * heights[k - before, line] + before * heights[k + after, line]) / (before + after)
            np.testing.assert_allclose(chord, rests.height_mm[k, line], atol=1e-9)


@given(small_walls())
@examples(40)
def test_the_belly_is_its_definition(case):
    surface, dx, dz, length = case
    found = bulge_and_hollow(surface, length)
    expected = [np.full(surface.proud_mm.shape, bad) for bad in (-np.inf, np.inf)]
    for line, step in edge_oracle.broken_lines(np.isfinite(surface.proud_mm), dx, dz):
        half = min(int(length / step + 1e-9), len(line) - 1) // 2
        for k in range(half, len(line) - half) if half else ():
            start, middle, end = (surface.proud_mm[line[n]] for n in (k - half, k, k + half))
            for out, worse in zip(expected, (max, min), strict=True):
                out[line[k]] = worse(out[line[k]], middle - (start + end) / 2)
    for out, own in zip(expected, found, strict=True):
        np.testing.assert_allclose(own, np.where(np.isinf(out), np.nan, out), atol=1e-9)


@given(st.integers(0, 10_000), st.floats(-300, 300))
@examples(20)
def test_shift_lean_and_mirror_leave_the_gap(seed, shift):
    proud = rough_wall(seed)
    gap = mt.straightedge_gap(grid_of(proud), 0.8)
    leaning = proud + shift + 2.5 * np.arange(proud.shape[0])[:, None]
    np.testing.assert_allclose(mt.straightedge_gap(grid_of(leaning), 0.8), gap, atol=1e-8)
    np.testing.assert_allclose(mt.straightedge_gap(grid_of(proud[:, ::-1]), 0.8)[:, ::-1], gap, atol=1e-9)
    np.testing.assert_allclose(mt.straightedge_gap(grid_of(proud[::-1]), 0.8)[::-1], gap, atol=1e-9)


def test_each_direction_sees_its_own_hollow():
    surface = arc(100.0, nx=81, nz=81)
    worst = {
        way.direction: np.nanmax(gap_along(surface.proud_mm, way, 2.0)) for way in edge_lines(surface)
    }  # fmt: skip
    assert tuple(worst) == DIRECTIONS
    assert worst["across"] == pytest.approx(5.0)
    assert worst["up"] == pytest.approx(0.0, abs=1e-9)
    # an edge at 45° sees half: (L/√2)² / (8 R), its 56 steps of 35.4 mm being 1.98 m long
    assert worst["rising"] == pytest.approx(2.45)
    assert worst["falling"] == pytest.approx(2.45)
    assert np.nanmin(belly_along(surface.proud_mm, edge_lines(surface)[0], 2.0)) == pytest.approx(-5.0)


def test_an_edge_longer_than_the_wall_rests_on_the_whole_wall():
    dip = grid_of([[0.0, -3.0, -5.0, 0.0]])
    np.testing.assert_array_equal(mt.straightedge_gap(dip, 50.0), [[0.0, 3.0, 5.0, 0.0]])
    assert "longer than the wall" in straightedge_notices(dip, 50.0)[0]
    assert straightedge_notices(dip, 50.123456)[0].startswith("The edge of 50.12 m ")


def test_no_edge_reaches_across_an_opening():
    proud = np.zeros((6, 20))
    proud[:, 8:12] = -40.0
    door = mt.Opening("door", 0.8, 0.0, 0.4, 0.6)
    surface = grid_of(proud, openings=[door])
    assert np.nanmax(mt.straightedge_gap(surface, 2.0)) == 0.0
    assert np.isnan(mt.straightedge_gap(surface, 2.0)[:, 8:12]).all()
    assert any("2 parts" in notice for notice in straightedge_notices(surface, 1.5))
    assert any("shorter than the edge" in notice for notice in straightedge_notices(surface, 1.5))


def test_unknown_cells_break_the_edge_and_are_told():
    proud = np.zeros((1, 9))
    proud[0, 4], proud[0, 3] = np.nan, -7.0
    surface = grid_of(proud)
    assert np.nanmax(mt.straightedge_gap(surface, 0.9)) == 0.0
    assert any("not known" in notice for notice in straightedge_notices(surface, 0.9))


def test_an_edge_too_short_to_bridge_a_cell_says_so():
    surface = grid_of(np.zeros((4, 4)))
    assert any("smaller cells" in notice for notice in straightedge_notices(surface, 0.2))
    assert straightedge_notices(grid_of(np.zeros((10, 10))), 0.4) == ()


@pytest.mark.parametrize("length", [0.0, -2.0, float("nan"), float("inf")])
@pytest.mark.parametrize("measure", [mt.straightedge_gap, mt.straightedge_belly])
def test_an_edge_without_length_is_refused(length, measure):
    with pytest.raises(mt.TakeoffError, match="longer than nothing"):
        measure(grid_of(np.zeros((3, 3))), length)


def test_uneven_cells_are_refused():
    wall = mt.Wall("made", 4.0, 1.0)
    uneven = mt.Surface.from_grid(wall, [0.5, 1.0, 3.0], [0.5], [[0.0, 0.0, 0.0]])
    with pytest.raises(mt.TakeoffError, match="even cells"):
        mt.straightedge_gap(uneven, 2.0)


@pytest.mark.skipif(not REAL.is_file(), reason="the measured surfaces in ../shared/data are not here")
def test_a_measured_stone_surface_by_the_definition():
    survey = mt.read_survey(REAL, mt.Wall("setts", 5.0, 3.41))
    surface = mt.grid_surface(survey, cell_m=0.1)
    dx, dz = np.diff(surface.x_m)[0], np.diff(surface.z_m)[0]
    gap = mt.straightedge_gap(surface, 0.8)
    np.testing.assert_allclose(gap, edge_oracle.gap(surface.proud_mm, dx, dz, 0.8), atol=1e-9)
    assert 1.0 < np.nanmedian(gap) < np.nanmax(gap) < 120.0


EDGES = st.lists(
    st.tuples(st.sampled_from([0.2, 0.3, 0.5, 0.8]), st.sampled_from([1.0, 2.0, 4.0, 7.0])), min_size=1
)


@given(small_walls(), EDGES)
@examples(80)
def test_several_edges_at_once_show_what_each_shows_by_itself(case, edges):
    surface, dx, dz, _ = case
    rules = [EdgeRule(*pair) for pair in edges]
    over = [edge_oracle.gap(surface.proud_mm, dx, dz, r.length_m) - r.tolerance_mm for r in rules]
    found = over_tolerance(surface.proud_mm, edge_lines(surface), rules)
    np.testing.assert_allclose(found, np.maximum(np.max(over, axis=0), 0.0), atol=1e-9)
    rule, gap = worst_gap(surface, rules)
    assert np.nanmax(gap) - rule.tolerance_mm == pytest.approx(max(np.nanmax(each) for each in over))
    assert np.nanmax(gap) == pytest.approx(
        np.nanmax(edge_oracle.gap(surface.proud_mm, dx, dz, rule.length_m))
    )
