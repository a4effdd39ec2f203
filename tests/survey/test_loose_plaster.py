"""Old plaster that comes off lowers the wall before any plane is found."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from oracles import depth_volume, flat_wall
from readings import edges, row_and_column, survey_of

import mytakeoff as mt
from mytakeoff.survey.wall import LooseArea

LEVEL = mt.PlaneRule(least_mm=5.0, turn_mm_per_m=0.0)


def grown(x, z, width, height, wall, share=0.25):
    """A rectangle with more area about its centre, as far as the wall goes."""
    more = sqrt(1 + share)
    left, right = x + width / 2 - width * more / 2, x + width / 2 + width * more / 2
    low, high = z + height / 2 - height * more / 2, z + height / 2 + height * more / 2
    left, right, low, high = max(left, 0), min(right, wall.width_m), max(low, 0), min(high, wall.height_m)
    return left, low, right - left, high - low


LOOSE = {
    "in the middle": [(1.1, 0.9, 0.8, 0.6, 20.0)],
    "in the corner": [(0.0, 0.0, 0.7, 0.5, 15.0)],
    "at the top right": [(3.2, 2.0, 0.8, 0.5, 25.0)],
    "two apart": [(0.3, 0.3, 0.5, 0.4, 10.0), (2.5, 1.2, 0.6, 0.9, 30.0)],
    "two that overlap": [(1.0, 0.6, 0.9, 0.8, 12.0), (1.5, 1.0, 0.9, 0.8, 22.0)],
    "one inside the other": [(1.0, 0.6, 1.2, 1.2, 12.0), (1.3, 0.9, 0.4, 0.4, 22.0)],
    "shallow inside deep": [(1.0, 0.6, 1.2, 1.2, 22.0), (1.3, 0.9, 0.4, 0.4, 12.0)],
}


@pytest.mark.parametrize("share", [0.25, 0.0, 1.0])
@pytest.mark.parametrize("name", LOOSE)
def test_loose_areas_lower_each_cell_by_their_share_of_it(name, share):
    wall, survey = flat_wall(4.0, 2.5)
    loose = [LooseArea(*entry) for entry in LOOSE[name]]
    surface = mt.grid_surface(survey, cell_m=0.07, loose=loose, loose_growth_share=share)
    x, z = edges(surface)
    boxes = [(*grown(*entry[:4], wall, share), entry[4]) for entry in LOOSE[name]]
    expected = -depth_volume(x, z, boxes) / np.outer(np.diff(z), np.diff(x))
    np.testing.assert_allclose(surface.proud_mm, expected, atol=1e-9)
    assert surface.net_area_m2 == pytest.approx(10.0, rel=1e-12)


@pytest.mark.parametrize("name", LOOSE)
def test_loose_litres_are_depth_times_grown_area(name):
    wall, survey = flat_wall(4.0, 2.5)
    surface = mt.grid_surface(survey, cell_m=0.05, loose=tuple(LooseArea(*entry) for entry in LOOSE[name]))
    boxes = [(*grown(*entry[:4], wall), entry[4]) for entry in LOOSE[name]]
    gone = depth_volume([0, 4.0], [0, 2.5], boxes).sum()
    coat = mt.full_coat(surface, mt.TargetPlane(5.0, 0.0, 0.0), LEVEL)
    assert coat.volume_l == pytest.approx(5.0 * 10.0 + gone, rel=1e-9)


def test_growth_is_a_quarter_of_the_area_unless_told():
    _, survey = flat_wall(4.0, 2.5)
    surface = mt.grid_surface(survey, loose=[LooseArea(1.0, 0.8, 0.9, 0.7, 20.0)])
    coat = mt.full_coat(surface, mt.TargetPlane(0.0, 0.0, 0.0), mt.PlaneRule(least_mm=0.0))
    assert coat.volume_l == pytest.approx(20.0 * 0.9 * 0.7 * 1.25, rel=1e-9)


def test_a_bulge_of_loose_plaster_no_longer_sets_the_plane():
    # hacked off first, then the plane is solved on what remains
    xs, zs = np.linspace(0, 4.0, 9), np.linspace(0, 2.5, 6)
    proud = np.zeros((6, 9))
    proud[2:4, 3:6] = 14.0  # blown, from 1.5 to 2.5 m and 1.0 to 1.5 m
    survey = survey_of(xs, zs, proud)
    loose = [LooseArea(0.95, 0.45, 2.1, 1.6, 25.0)]
    surface = mt.grid_surface(survey, cell_m=0.05, loose=loose, loose_growth_share=0.0)
    plane = mt.target_plane(surface, LEVEL)
    assert plane.a_mm == pytest.approx(5.0, abs=1e-9)
    assert mt.target_plane(mt.grid_surface(survey, cell_m=0.05), LEVEL).a_mm == pytest.approx(19.0, abs=1e-9)
    row, column = row_and_column(surface, 2.025, 1.225)
    assert surface.proud_mm[row, column] == pytest.approx(14.0 - 25.0, abs=1e-9)


@pytest.mark.parametrize("slope", [0.0, 4.0])
def test_where_plaster_has_fallen_the_sound_face_less_its_depth_counts(slope):
    xs, zs = np.linspace(0, 4.0, 17), np.linspace(0, 2.5, 11)
    proud = slope * xs[None, :] * np.ones((11, 1))
    inside = (abs(xs[None, :] - 2.0) < 0.41) & (abs(zs[:, None] - 1.25) < 0.31)
    proud[inside] = -33.0  # the bare wall was read there
    assert inside.any()
    fallen = LooseArea(1.58, 0.93, 0.84, 0.64, 20.0, fallen=True)
    surface = mt.grid_surface(survey_of(xs, zs, proud), cell_m=0.05, loose=[fallen])
    x, z = edges(surface)
    share = depth_volume(x, z, [(1.58, 0.93, 0.84, 0.64, 1.0)]) / np.outer(np.diff(z), np.diff(x))
    np.testing.assert_allclose(surface.proud_mm, slope * surface.x_m - 20.0 * share, atol=1e-9)


def test_a_fallen_patch_inside_a_loose_area():
    wall, survey = flat_wall(4.0, 2.5)
    areas = [(1.0, 0.5, 1.6, 1.4, 15.0), (1.3, 0.8, 0.9, 0.7, 20.0)]
    loose = [LooseArea(*areas[0]), LooseArea(*areas[1], fallen=True)]
    surface = mt.grid_surface(survey, cell_m=0.05, loose=loose)
    x, z = edges(surface)
    boxes = [(*grown(*areas[0][:4], wall), 15.0), areas[1]]
    expected = -depth_volume(x, z, boxes) / np.outer(np.diff(z), np.diff(x))
    np.testing.assert_allclose(surface.proud_mm, expected, atol=1e-9)


def test_loose_plaster_beside_an_opening_is_only_what_is_on_the_wall():
    _, survey = flat_wall(4.0, 2.5, openings=[mt.Opening("door", 1.5, 0.0, 1.0, 2.0)])
    surface = mt.grid_surface(
        survey, cell_m=0.05, loose=[LooseArea(1.0, 0.5, 1.0, 1.0, 20.0)], loose_growth_share=0
    )
    coat = mt.full_coat(surface, mt.TargetPlane(0.0, 0.0, 0.0), mt.PlaneRule(least_mm=0.0))
    assert coat.volume_l == pytest.approx(20.0 * 0.5 * 1.0, rel=1e-9)


def test_a_high_spot_on_loose_plaster_comes_off_with_it():
    xs, zs = np.linspace(0, 4.0, 9), np.linspace(0, 2.5, 6)
    swept = survey_of(xs, zs, np.zeros((6, 9))).with_high_spots([(2.1, 1.2, 12.0)])
    loose = [LooseArea(1.0, 0.5, 2.0, 1.5, 25.0)]
    surface = mt.grid_surface(swept, cell_m=0.05, loose=loose)
    assert mt.target_plane(surface, LEVEL).a_mm == pytest.approx(5.0, abs=1e-9)


@pytest.mark.parametrize(
    "wrong",
    [
        (3.5, 0.5, 1.0, 1.0, 20.0),
        (1.0, -0.2, 1.0, 1.0, 20.0),
        (1.0, 0.5, 0.0, 1.0, 20.0),
        (1.0, 0.5, 1.0, 1.0, -5.0),
    ],
    ids=["off the wall", "under the floor", "no width", "no depth"],
)
def test_a_loose_area_that_cannot_be_is_a_mistake(wrong):
    with pytest.raises(mt.TakeoffError) as error:
        mt.grid_surface(flat_wall(4.0, 2.5)[1], loose=[LooseArea(*wrong)])
    assert all(m.found and m.rule and m.remedy and m.place for m in error.value.mistakes)


def test_growth_below_zero_is_a_mistake():
    with pytest.raises(mt.TakeoffError):
        mt.grid_surface(flat_wall()[1], loose=[LooseArea(1, 1, 1, 1, 9)], loose_growth_share=-0.1)


def test_fallen_plaster_that_leaves_too_few_readings_is_a_mistake():
    with pytest.raises(mt.TakeoffError, match="three"):
        mt.grid_surface(flat_wall(4.0, 2.5)[1], loose=[LooseArea(0.0, 0.0, 4.0, 1.0, 20.0, fallen=True)])
