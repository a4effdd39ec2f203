"""Spot repair against its definition: the least fill, as it is done, the cheapest mix with taking down."""

from __future__ import annotations

import edge_oracle
import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from oracles import grid_of, rough_wall
from places import MEASURED

import mytakeoff as mt
from mytakeoff.flatness.edge_lines import EdgeRule, edge_lines
from mytakeoff.flatness.straightedge import over_tolerance
from mytakeoff.repair import cut_and_fill as cutandfill
from mytakeoff.repair.least_fill import least_fill
from mytakeoff.repair.spot_repair import finished_face, ruled_flush

REAL = MEASURED / "setts_A_dense.csv"
CLOSE_MM = 0.01  # what the fill is computed to
seeds = st.integers(0, 10_000)


def worst_gap(repair: mt.BuildUp, length_m: float) -> float:
    return float(np.nanmax(mt.straightedge_gap(finished_face(repair), length_m)))


def small_wall(seed: int) -> mt.Surface:
    """7 × 9 cells of an invented rough wall, one of them unknown."""
    proud = rough_wall(seed, nx=9, nz=7, noise=4.0)
    random = np.random.default_rng(seed)
    proud[random.integers(7), random.integers(9)] = np.nan
    return grid_of(proud)


@given(seeds, st.sampled_from([0.5, 1.0, 3.0]), st.sampled_from([0.3, 0.5, 2.0]))
@examples(25)
def test_the_least_fill_is_the_fixpoint_of_the_definition(seed, tolerance, length):
    surface = small_wall(seed)
    repair = mt.spot_repair(surface, tolerance, length)
    expected = edge_oracle.least_fill(surface.proud_mm, 0.1, 0.1, length, tolerance) - surface.proud_mm
    np.testing.assert_allclose(repair.thickness_mm, expected, atol=CLOSE_MM)
    assert (repair.thickness_mm <= expected + 1e-3)[np.isfinite(expected)].all()
    assert repair.volume_l == pytest.approx(np.nansum(repair.thickness_mm) * 0.01)


@given(seeds, st.sampled_from([0.5, 3.0]), st.sampled_from([0.3, 2.0]))
@examples(25)
def test_several_faces_at_once_are_filled_as_each_alone(seed, tolerance, length):
    surface, rules = small_wall(seed), (EdgeRule(length, tolerance), EdgeRule(2 * length, tolerance + 1.0))
    lines, even = edge_lines(surface), np.where(np.isnan(surface.proud_mm), np.nan, 1.5)
    rough = (surface.proud_mm, -0.3 * surface.proud_mm, 40.0 + 3.0 * surface.proud_mm)
    faces = np.array([even, *rough, even])
    for several, alone in (
        (least_fill(faces, lines, rules), [least_fill(face, lines, rules) for face in faces]),
        (ruled_flush(faces, lines, rules, 0.5), [ruled_flush(face, lines, rules, 0.5) for face in faces]),
    ):
        np.testing.assert_allclose(several, alone, atol=CLOSE_MM / 10)
    over = [over_tolerance(face, lines, rules) for face in faces]
    np.testing.assert_array_equal(over_tolerance(faces, lines, rules), over)


@given(seeds, st.sampled_from([0.5, 3.0]))
@examples(15)
def test_a_repaired_wall_passes_and_no_filled_cell_can_be_lower(seed, tolerance):
    surface = grid_of(rough_wall(seed, noise=3.0))
    repair = mt.spot_repair(surface, tolerance, 1.0)
    fill = repair.thickness_mm
    gap = mt.straightedge_gap(finished_face(repair), 1.0)
    assert np.nanmin(fill) >= 0
    assert gap.max() <= tolerance + CLOSE_MM
    # each filled cell hangs at the tolerance: lower any by 0.05 mm and the wall fails there
    filled = fill > CLOSE_MM
    np.testing.assert_allclose(gap[filled], tolerance, atol=CLOSE_MM)
    for row, column in np.argwhere(filled)[:: max(1, int(filled.sum() // 5))]:
        lowered = np.array(finished_face(repair).proud_mm)
        lowered[row, column] -= 0.05
        assert mt.straightedge_gap(grid_of(lowered), 1.0)[row, column] > tolerance + 0.03


@given(seeds)
@examples(15)
def test_a_greater_tolerance_never_fills_more_anywhere(seed):
    surface = grid_of(rough_wall(seed, noise=3.0))
    fills = [mt.spot_repair(surface, tolerance, 1.0).thickness_mm for tolerance in (1.0, 2.0, 4.0)]
    assert (fills[1] <= fills[0] + CLOSE_MM).all()
    assert (fills[2] <= fills[1] + CLOSE_MM).all()


@given(seeds, st.floats(-500, 500))
@examples(15)
def test_idempotent_and_blind_to_shift_lean_and_mirror(seed, shift):
    proud = rough_wall(seed, noise=3.0)
    repair = mt.spot_repair(grid_of(proud), 1.5, 1.0)
    assert mt.spot_repair(finished_face(repair), 1.5, 1.0).max_mm <= CLOSE_MM
    leaning = proud + shift + 1.5 * np.arange(proud.shape[1])
    moved = mt.spot_repair(grid_of(leaning), 1.5, 1.0).thickness_mm
    np.testing.assert_allclose(moved, repair.thickness_mm, atol=CLOSE_MM)
    turned = mt.spot_repair(grid_of(proud[::-1, ::-1]), 1.5, 1.0).thickness_mm
    np.testing.assert_allclose(turned[::-1, ::-1], repair.thickness_mm, atol=CLOSE_MM)


def test_a_long_hollow_of_100_m_is_filled_to_the_tolerance():
    # geometry: 5 mm under 2 m; what is left is the parabola of 3 mm under 2 m and still hangs on both ends
    x = (np.arange(80) + 0.5) * 0.05
    surface = grid_of(np.tile((x - 2.0) ** 2 / 200 * 1000, (4, 1)), cell_m=0.05)
    repair = mt.spot_repair(surface, 3.0, 2.0)
    assert worst_gap(repair, 2.0) == pytest.approx(3.0, abs=CLOSE_MM)
    assert repair.thickness_mm[0, [0, -1]].tolist() == [0.0, 0.0]
    assert repair.thickness_mm[1].argmax() in (39, 40)


def test_all_pairs_of_a_grade_hold_at_once():
    # DIN 18202:2019-07, table 3, line 6 (secondary copies): 3 mm at 0.1 m, 5 at 1 m, 10 at 4 m
    lengths, limits = (0.1, 1.0, 4.0), (3.0, 5.0, 10.0)
    surface = grid_of(rough_wall(3, nx=60, nz=40, noise=3.0), cell_m=0.05)
    repair = mt.spot_repair(surface, limits, lengths)
    for length, limit in zip(lengths, limits, strict=True):
        assert worst_gap(repair, length) <= limit + CLOSE_MM
        alone = mt.spot_repair(surface, limit, length).thickness_mm
        assert (alone <= repair.thickness_mm + CLOSE_MM).all()
    assert repair.rules == tuple(EdgeRule(*pair) for pair in zip(lengths, limits, strict=True))


def test_a_longer_edge_with_no_greater_tolerance_includes_the_shorter():
    rules = [EdgeRule(2.0, 3.0), EdgeRule(2.0, 3.0), EdgeRule(1.0, 3.0)]
    assert edge_lines(grid_of(np.zeros((3, 30))))[0].limits(rules) == ((20, 3.0),)


def two_hollows() -> mt.Surface:
    """A flat row wall of 2 m with a hollow 5 mm deep at its left and one 2 mm deep at its right."""
    proud = np.zeros((3, 20))
    proud[1, 3:6], proud[1, 13:16] = -5.0, -2.0
    return grid_of(proud)


def test_as_it_is_done_fills_flush_what_fails_and_leaves_the_rest():
    repair = mt.spot_repair(two_hollows(), 3.0, 1.0, left_mm=0.5)
    np.testing.assert_allclose(repair.thickness_mm[1, 3:6], 4.5, atol=CLOSE_MM)
    assert (repair.thickness_mm[:, 10:] == 0).all()
    [patch] = repair.patches
    assert (patch.place.x_m, patch.place.z_m) == pytest.approx((0.3, 0.1))
    assert (patch.place.width_m, patch.place.height_m) == pytest.approx((0.3, 0.1))
    assert (patch.x_m, patch.z_m) == pytest.approx((0.45, 0.15))
    assert patch.area_m2 == pytest.approx(0.03)
    assert patch.deepest_mm == pytest.approx(4.5, abs=CLOSE_MM)
    assert patch.volume_l == pytest.approx(0.03 * 4.5, abs=1e-3)
    assert patch.mean_mm == pytest.approx(4.5, abs=CLOSE_MM)


@given(seeds)
@examples(15)
def test_as_it_is_done_passes_between_least_and_flush_fill(seed):
    surface = grid_of(rough_wall(seed, noise=2.0))
    done = mt.spot_repair(surface, 3.0, 1.0, left_mm=0.5)
    assert worst_gap(done, 1.0) <= 3.0 + 2 * CLOSE_MM
    least = mt.spot_repair(surface, 3.0, 1.0).thickness_mm
    flush = mt.spot_repair(surface, 0.5, 1.0).thickness_mm
    assert (least <= done.thickness_mm + 2 * CLOSE_MM).all()
    assert (done.thickness_mm <= flush + 1e-9).all()
    kept = done.thickness_mm > 0
    np.testing.assert_array_equal(done.thickness_mm[kept], flush[kept])


def test_a_patch_that_fails_once_its_neighbour_is_filled_joins():
    # while the left hollow is bare the edge of 0.7 m rests on the ridge, at most 2.95 mm over the right one;
    # once it is filled the edge reaches from it over the ridge to the far end, 3.04 mm over the right one
    surface = grid_of([[0.0, -6.0, -6.0, -6.0, -0.5, -3.3, -3.2, -3.05, 0.0]])
    bare = mt.straightedge_gap(surface, 0.7)
    assert bare[0, 5:8].max() < 3.0 < bare[0, 2]
    done = mt.spot_repair(surface, 3.0, 0.7, left_mm=0.5)
    assert worst_gap(done, 0.7) <= 3.0 + CLOSE_MM
    assert len(done.patches) == 2
    assert (done.thickness_mm[0, 5:8] > 2.0).all()
    assert done.thickness_mm[0, 4] == 0.0


def test_thin_patches_are_listed_apart_with_the_gap_they_leave():
    repair = mt.spot_repair(two_hollows(), 1.0, 1.0, least_patch_mm=2.0)
    [thick], [thin] = repair.patches, repair.thin_patches
    assert thick.deepest_mm == pytest.approx(4.0, abs=CLOSE_MM)
    assert thin.deepest_mm == pytest.approx(1.0, abs=CLOSE_MM)
    assert repair.gap_without_thin_mm == pytest.approx(2.0, abs=CLOSE_MM)
    assert repair.volume_l == pytest.approx(thick.volume_l + thin.volume_l)


def test_patches_add_up_to_the_fill():
    repair = mt.spot_repair(grid_of(rough_wall(5, nx=60, nz=40, noise=1.2), cell_m=0.05), 3.0, 0.5)
    assert len(repair.patches) > 3
    assert sum(patch.volume_l for patch in repair.patches) == pytest.approx(repair.volume_l)
    assert sum(patch.area_m2 for patch in repair.patches) == pytest.approx(repair.covered_area_m2)
    assert max(patch.deepest_mm for patch in repair.patches) == repair.max_mm
    litres = [patch.volume_l for patch in repair.patches]
    assert litres == sorted(litres, reverse=True)


def test_a_flat_wall_takes_nothing():
    repair = mt.spot_repair(grid_of(np.zeros((5, 8))))
    assert (repair.volume_l, repair.cut_l, repair.patches) == (0.0, 0.0, ())
    assert repair.thickness_mm.tolist() == np.zeros((5, 8)).tolist()


def nib_wall() -> mt.Surface:
    """A flat wall of 5 × 2.7 m in cells of 25 mm with one of them 10 mm proud."""
    proud = np.zeros((108, 200))
    proud[50, 77] = 10.0
    return grid_of(proud, cell_m=0.025)


@pytest.mark.parametrize("left_mm", [None, 0.5])
@pytest.mark.parametrize("ratio", [1.0, 5.0])
def test_a_nib_is_knocked_off_not_buried(left_mm, ratio):
    buried = mt.spot_repair(nib_wall(), 3.0, 2.0)
    assert buried.volume_l > 3.5
    repair = mt.spot_repair(
        nib_wall(), 3.0, 2.0, left_mm=left_mm, cut_limit_mm=10.0, cut_to_fill_price=ratio
    )  # fmt: skip
    # 10 − 3 = 7 mm of one cell of 25 × 25 mm
    assert repair.cut_l == pytest.approx(7 * 0.025**2, rel=0.02)
    assert repair.volume_l < 1e-4
    assert worst_gap(repair, 2.0) <= 3.0 + CLOSE_MM


@given(seeds, st.sampled_from([0.3, 1.0, 4.0]), st.sampled_from([1.0, 3.0, 20.0]))
@examples(20)
def test_the_mix_is_the_cheapest_of_all_by_one_linear_programme(seed, ratio, limit):
    surface = small_wall(seed)
    repair = mt.spot_repair(surface, 1.0, 0.5, cut_limit_mm=limit, cut_to_fill_price=ratio)
    cost = repair.volume_l + ratio * repair.cut_l
    least = edge_oracle.cheapest(
        surface.proud_mm, surface.cell_area_m2, 0.1, 0.1, 0.5, 1.0, limit, ratio
    )  # fmt: skip
    # the fill that follows the programme is computed to 0.01 mm from below
    assert least - 0.63 * CLOSE_MM <= cost <= least * (1 + 1e-4) + 1e-4
    assert repair.deepest_cut_mm <= limit + 1e-9
    assert worst_gap(repair, 0.5) <= 1.0 + CLOSE_MM
    assert cost <= mt.spot_repair(surface, 1.0, 0.5).volume_l + 1e-6


@pytest.mark.parametrize("left_mm", [None, 0.5])
@pytest.mark.parametrize("seed", [1, 2])
def test_a_large_wall_passes_and_is_never_dearer_than_filling(seed, left_mm):
    surface = grid_of(rough_wall(seed, nx=60, nz=40, bow=20.0, noise=2.0), cell_m=0.05)
    rules = [EdgeRule(2.0, 3.0)]
    assert cutandfill.broken_chords(surface.proud_mm, edge_lines(surface), rules, 0.01).count > 3000
    alone = mt.spot_repair(surface, 3.0, 2.0, left_mm)
    repair = mt.spot_repair(surface, 3.0, 2.0, left_mm, cut_limit_mm=8.0, cut_to_fill_price=2.0)
    assert repair.cut_l > 0
    assert repair.deepest_cut_mm <= 8.0 + 1e-9
    assert repair.volume_l + 2.0 * repair.cut_l < alone.volume_l
    assert worst_gap(repair, 2.0) <= 3.0 + 2 * CLOSE_MM


def test_the_way_over_coarse_cells_comes_near_the_cheapest(monkeypatch):
    surface = grid_of(rough_wall(4, nx=30, nz=20, bow=20.0, noise=1.5), cell_m=0.1)
    costs = []
    for most_rows, cells in ((10**9, 600), (0, 150)):
        monkeypatch.setattr(cutandfill, "MOST_ROWS", most_rows)
        monkeypatch.setattr(cutandfill, "COARSE_CELLS", cells)
        repair = mt.spot_repair(surface, 3.0, 2.0, cut_limit_mm=8.0, cut_to_fill_price=1.5)
        costs.append(repair.volume_l + 1.5 * repair.cut_l)
    alone = mt.spot_repair(surface, 3.0, 2.0).volume_l
    assert costs[0] - 0.01 <= costs[1] < alone
    assert costs[1] - costs[0] < 0.35 * (alone - costs[0])


def test_a_skim_is_an_even_coat_over_the_repaired_wall():
    surface = two_hollows()
    repair, coat = mt.spot_repair(surface, 3.0, 1.0), mt.skim(surface, 2.5, 3.0, 1.0)
    np.testing.assert_allclose(coat.thickness_mm, repair.thickness_mm + 2.5, atol=1e-12)
    assert coat.volume_l == pytest.approx(repair.volume_l + 2.5 * 0.6)
    assert coat.covered_area_m2 == pytest.approx(0.6)
    assert coat.patches == repair.patches
    np.testing.assert_allclose(
        mt.straightedge_gap(finished_face(coat), 1.0),
        mt.straightedge_gap(finished_face(repair), 1.0),
        atol=1e-9,
    )


def test_openings_and_unknown_cells_carry_nothing_and_are_told():
    proud = rough_wall(6, nx=20, nz=12, noise=3.0)
    proud[2, 3] = np.nan
    surface = grid_of(proud, openings=[mt.Opening("door", 0.8, 0.0, 0.4, 1.2)])
    repair = mt.spot_repair(surface, 2.0, 1.0)
    assert np.isnan(repair.thickness_mm[:, 8:12]).all()
    assert np.isnan(repair.thickness_mm[2, 3])
    assert repair.area_m2 == pytest.approx(2.4 - 0.48 - 0.01)
    assert any("2 parts" in notice for notice in repair.notices)
    assert any("not known" in notice for notice in repair.notices)
    # each part is repaired as if it stood alone
    alone = mt.spot_repair(grid_of(proud[:, 12:]), 2.0, 1.0).thickness_mm
    np.testing.assert_allclose(repair.thickness_mm[:, 12:], alone, atol=CLOSE_MM)


BAD = [
    ({"tolerance_mm": 0.0}, "tolerance"),
    ({"tolerance_mm": -1.0}, "tolerance"),
    ({"tolerance_mm": float("nan")}, "tolerance"),
    ({"straightedge_m": 0.0}, "straightedge"),
    ({"straightedge_m": float("inf")}, "straightedge"),
    ({"tolerance_mm": (3.0, 5.0)}, "2 tolerances for 1 lengths"),
    ({"left_mm": 0.0}, "left"),
    ({"cut_limit_mm": -1.0}, "taken down"),
    ({"cut_to_fill_price": float("nan")}, "price ratio"),
    ({"least_patch_mm": -1.0}, "least patch"),
]


@pytest.mark.parametrize(("bad", "said"), BAD)
def test_what_cannot_be_is_refused(bad, said):
    with pytest.raises(mt.TakeoffError, match=said):
        mt.spot_repair(two_hollows(), **bad)


def test_both_mistakes_are_told_at_once():
    with pytest.raises(mt.TakeoffError) as caught:
        mt.spot_repair(two_hollows(), 0.0, -2.0)
    assert len(caught.value.mistakes) == 2


@pytest.mark.parametrize("thickness", [0.0, -2.0, float("nan")])
def test_a_skim_of_no_thickness_is_refused(thickness):
    with pytest.raises(mt.TakeoffError, match="thicker than nothing"):
        mt.skim(two_hollows(), thickness, 3.0, 2.0)


@pytest.mark.slow
@pytest.mark.skipif(not REAL.is_file(), reason="the measured surfaces in ../shared/data are not here")
def test_a_measured_stone_surface_is_filled_until_it_passes():
    surface = mt.grid_surface(mt.read_survey(REAL, mt.Wall("setts", 5.0, 3.41)), cell_m=0.05)
    repair = mt.spot_repair(surface, 3.0, 2.0)
    assert worst_gap(repair, 2.0) <= 3.0 + CLOSE_MM
    # joints and dished stones: some millimetres over most of it, never above the greatest gap there was
    assert 1.0 < repair.mean_mm < repair.max_mm <= np.nanmax(mt.straightedge_gap(surface, 10.0)) + 1e-6
