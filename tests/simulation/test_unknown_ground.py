"""Ground that was carried on: a range where nobody saw the wall, none where a scan saw it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from effort import scaled
from furnished import scanned
from places import MEASURED
from scipy.stats import binom
from shadowed_walls import (
    FAR_M,
    RULE,
    band_mm,
    behind_cupboard,
    drawn_of,
    only,
    scanned_wall,
    taken_mm,
)

import mytakeoff as mt
from mytakeoff.simulation.unknown_ground import MOST, ScannedGround
from mytakeoff.simulation.wall_range import Measured, faces_steps
from mytakeoff.steps import run
from mytakeoff.surface.guessed_ground import BY_HAND_MOST
from mytakeoff.survey.said import SaidOf

WALL = mt.Wall("A", 2.4, 2.2)


def ground_of(survey: mt.Survey) -> ScannedGround:
    return ScannedGround.of(survey, (), FAR_M, 0.25)


def test_a_scan_that_saw_all_leaves_nothing_open():
    assert not Measured(scanned_wall(3), reach_m=FAR_M).is_uncertain


def test_what_was_seen_stands_in_every_face_and_what_was_not_differs():
    part = behind_cupboard(scanned_wall(3), 0.8)
    measured, ground = Measured(part, reach_m=FAR_M), ground_of(part)
    assert measured.is_uncertain
    faces = run(faces_steps(measured)).proud_mm
    np.testing.assert_allclose(np.ptp(faces, axis=0)[ground.seen], 0.0, atol=1e-5)
    np.testing.assert_allclose(faces[0][ground.seen], ground.surface.proud_mm[ground.seen], atol=1e-3)
    hidden = faces.std(axis=0)[ground.guessed]
    assert hidden.size * 0.05**2 == pytest.approx(0.8 * 1.8, rel=0.15)  # the rim is seen from beside it
    assert hidden.min() > 0.05


def test_nothing_below_what_is_priced_for_the_ground_that_was_seen():
    """Each plane clears the highest that was seen, cell by cell as the price has it."""
    whole = scanned_wall(5)
    hidden = behind_cupboard(whole, 0.3, 0.3)
    assert taken_mm(whole) == pytest.approx(taken_mm(hidden), abs=0.05)
    low, _, high = band_mm(hidden)
    assert low - 0.05 <= taken_mm(whole) <= high + 0.05
    assert high - low < 0.1


def test_the_more_is_hidden_the_wider_the_range():
    """On average over a few walls: one wall may have its high spots where it is seen in any case."""
    widths = (0.3, 0.8, 1.5)
    wide = np.zeros(len(widths))
    for seed in range(4):
        whole = scanned_wall(20 + seed)
        for nth, width in enumerate(widths):
            low, _, high = band_mm(behind_cupboard(whole, width))
            wide[nth] += high - low
    assert wide[0] * 1.5 < wide[1] < wide[2] / 1.5


def test_a_scan_that_knows_a_sixth_of_a_wall_gets_a_wide_range():
    whole = scanned_wall(8)
    seen = (whole.x_m < 0.4 * whole.wall.width_m) & (whole.z_m < 0.4 * whole.wall.height_m)
    low, middle, high = band_mm(only(whole, seen))
    assert low < middle < high
    assert high - low > 0.08 * middle


@pytest.mark.parametrize("seed", [1, 2])
def test_the_same_wall_has_the_same_range_in_any_order_and_from_the_other_end(seed):
    part = behind_cupboard(scanned_wall(seed), 0.6)
    order = np.random.default_rng(seed).permutation(part.x_m.size)
    mirrored = replace(part, x_m=part.wall.width_m - part.x_m)
    litres = drawn_of(part).litres
    np.testing.assert_allclose(drawn_of(only(part, order)).litres, litres, rtol=1e-5)
    np.testing.assert_allclose(drawn_of(mirrored).litres, litres, rtol=1e-4)


def test_places_are_thinned_but_at_the_rims_of_what_is_hidden():
    ground = ground_of(behind_cupboard(scanned_wall(3), 0.8))
    every = ground.readings(np.zeros_like(ground.surface.proud_mm))
    kept = ground.thinned(every, mirrored=False)
    assert 100 < kept.x_m.size <= MOST < every.x_m.size
    row, column = np.nonzero(ground.guessed)
    x, z = ground.surface.x_m[column], ground.surface.z_m[row]
    away = np.hypot(kept.x_m[:, None] - x, kept.z_m[:, None] - z).min(axis=1)
    apart = np.hypot(kept.x_m[:, None] - kept.x_m, kept.z_m[:, None] - kept.z_m)
    np.fill_diagonal(apart, np.inf)
    assert apart.min(axis=1)[away < 0.1].mean() < 0.8 * apart.min(axis=1)[away > 0.5].mean()


def test_a_door_is_not_hidden_ground():
    whole = scanned_wall(3)
    door = mt.Opening("door", 0.6, 0.0, 0.9, 2.0)
    wall = replace(whole.wall, openings=(door,))
    beside = ~((np.abs(whole.x_m - 1.05) < 0.45) & (whole.z_m < 2.0))
    assert not Measured(replace(only(whole, beside), wall=wall), reach_m=FAR_M).is_uncertain


def test_beyond_the_reach_is_not_priced_and_has_no_range():
    whole = scanned_wall(3)
    half = only(whole, whole.x_m < 1.0)
    near, far = (mt.grid_surface(half, reach_m=reach) for reach in (0.0, 0.5))
    assert near.guessed_area_m2 < 0.1
    assert far.guessed_area_m2 == pytest.approx(0.5 * half.wall.height_m, rel=0.15)
    assert far.unknown_area_m2 == pytest.approx((half.wall.width_m - 1.5) * half.wall.height_m, rel=0.05)
    assert not (far.guessed & np.isnan(far.proud_mm)).any()


def test_a_high_spot_swept_on_hidden_ground_is_in_every_face():
    part = behind_cupboard(scanned_wall(3), 0.8)
    x, z, proud = part.wall.width_m / 2, 0.9, float(part.proud_mm.max()) + 25.0
    found = part.with_high_spots([(x, z, proud)])
    assert band_mm(found)[0] > band_mm(part)[2] + 10.0


def test_a_dense_sheet_with_a_gap_is_treated_as_a_scan():
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.02, 2.4, 0.04), np.arange(0.02, 2.2, 0.04)))
    there = ~((np.abs(x - 1.2) < 0.4) & (np.abs(z - 1.1) < 0.5))
    height = np.round(4 * np.sin(3 * x) + 2 * np.cos(5 * z))
    gap = mt.Survey.from_readings(WALL, x[there], z[there], height[there], layout="list")
    whole = mt.Survey.from_readings(WALL, x, z, height)
    assert (gap.layout, whole.layout) == ("list", "grid")
    assert mt.grid_surface(gap).guessed_area_m2 == pytest.approx(0.8, rel=0.25)
    assert Measured(gap).is_uncertain
    assert not Measured(whole).is_uncertain


def sheet(upto_m: float, step_m: float = 0.3) -> mt.Survey:
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.1, 2.4, step_m), np.arange(0.1, 2.2, step_m)))
    height = np.round(4 * np.sin(5 * x + 2 * z) + 3 * np.cos(4 * z - x))
    return mt.Survey.from_readings(WALL, x[x < upto_m], z[x < upto_m], height[x < upto_m])


def test_a_sheet_that_does_not_reach_the_wall_has_faces_that_differ_there_and_is_dearer_to_trust():
    part, whole = sheet(1.2), sheet(9.0)
    surface = mt.grid_surface(part, reach_m=FAR_M)
    assert surface.guessed_area_m2 == pytest.approx((2.4 - 1.0 - 0.3) * 2.2, rel=0.05)
    assert mt.grid_surface(whole, reach_m=FAR_M).guessed_area_m2 == 0.0
    faces = run(faces_steps(Measured(part, reach_m=FAR_M)))
    read = faces.surface.x_m < 1.0
    assert faces.proud_mm[..., ~read].std(axis=0).mean() > 2 * faces.proud_mm[..., read].std(axis=0).mean()
    (low, _, high), (low_all, _, high_all) = (band_mm(each) for each in (part, whole))
    assert high - low > 1.5 * (high_all - low_all)


def test_three_readings_leave_nearly_all_of_a_wall_open():
    three = mt.Survey.from_readings(WALL, [0.4, 2.0, 1.2], [0.3, 0.3, 1.9], [0.0, 4.0, 2.0])
    surface = mt.grid_surface(three, reach_m=FAR_M)
    assert surface.guessed_area_m2 > 0.5 * surface.net_area_m2
    assert "were not read" in " ".join(surface.notices)
    low, middle, high = band_mm(three)
    assert RULE.least_mm < low < middle < high < 10 * RULE.least_mm
    assert high - low > 0.2 * middle


def test_equal_readings_leave_what_lies_between_them_open():
    x, z = np.meshgrid(np.arange(0.2, 2.4, 0.5), np.arange(0.2, 2.2, 0.5))
    low, middle, high = band_mm(mt.Survey.from_readings(WALL, x, z, np.zeros(x.size)))
    assert RULE.least_mm < low < middle < high < RULE.least_mm + 10.0


def test_a_flat_piece_of_a_scan_does_not_make_the_rest_flat():
    rng = np.random.default_rng(4)
    x, z = rng.uniform(0, 0.8, 3000), rng.uniform(0, 1.2, 3000)
    low, middle, high = band_mm(mt.Survey.from_readings(WALL, x, z, np.zeros(3000), layout="scan"))
    assert RULE.least_mm < low < middle < high
    assert high - low > 0.3


@pytest.mark.slow
def test_ranges_hold_the_truth_behind_a_cupboard():
    """As often as they say, as far as so many walls can tell; what such a scan would say had it seen all."""
    walls, held = scaled(40), 0
    for seed in range(walls):
        whole = scanned_wall(100 + seed)
        low, _, high = band_mm(behind_cupboard(whole, 0.8))
        held += low <= taken_mm(whole) <= high
    assert binom.cdf(held, walls, 0.8) > 0.01, f"{held} of {walls}"


@pytest.mark.parametrize("name", ["apartment0_wall_x.xyz", "apartment1_wall_x.ply", "scan1_wall_y.las"])
def test_real_scans_have_a_range_for_what_they_did_not_see(name):
    if not (MEASURED / name).is_file():
        pytest.skip("no measured surfaces beside the checkout")
    survey = mt.find_walls(MEASURED / name, unit="m")[0].survey()
    surface = mt.grid_surface(survey)
    assert surface.guessed_area_m2 > 0.2 * surface.net_area_m2
    low, middle, high = band_mm(survey, 0.5)
    assert 0 < low < middle < high < 2 * low


def test_a_reading_of_a_dense_sheet_that_is_left_out_leaves_nothing_guessed():
    """It is not of the wall, so the ground about it is neither read nor priced."""
    x, z = (each.ravel() for each in np.meshgrid(np.arange(0.01, 1.0, 0.02), np.arange(0.05, 2.2, 0.08)))
    alone = SaidOf(2.2, 1.0, "left out")
    read = np.append(x, alone.x_m), np.append(z, alone.z_m), np.append(np.round(5 * z), 90.0)
    survey = mt.Survey.from_readings(WALL, *read, layout="list").with_said([alone])
    assert survey.x_m.size > BY_HAND_MOST
    assert not Measured(survey, reach_m=0.0).is_uncertain


@pytest.mark.parametrize("points", [100, 300, 900])
def test_a_scan_of_few_points_leaves_open_what_lies_between_them(points):
    """Of an invented wall; 40 000 of its points leave nothing open and tell what it takes."""
    every = scanned(5, 40_000, 1.5).survey
    places = every.x_m[:points], every.z_m[:points], every.proud_mm[:points]
    few = mt.wall_range(mt.Survey.from_readings(every.wall, *places, layout="scan"), RULE)
    whole = mt.wall_range(every, RULE)
    assert whole.litres_10 == whole.litres_90
    assert few.litres_10 < whole.litres_50 < few.litres_90
