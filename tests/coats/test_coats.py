"""Coats against a plain rule applied place by place."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from effort import examples
from hypothesis import assume, given
from hypothesis import strategies as st
from oracles import coats_of_place, grid_of

import mytakeoff as mt


def build_up_of(thickness_mm, cell_m=0.1):
    """A wall whose hollows are just as deep as the plaster wanted on each cell."""
    surface = grid_of(-np.asarray(thickness_mm, dtype=float), cell_m)
    return mt.full_coat(surface, mt.TargetPlane(0.0, 0.0, 0.0), mt.PlaneRule(least_mm=0.0))


def expected_coats(thickness_mm, greatest, least, cell_m=0.1):
    """(area, litres, deepest) of each coat, and the area that no split fits."""
    places = [coats_of_place(t, greatest, least) for t in np.ravel(thickness_mm)]
    area, unsplit = cell_m * cell_m, sum(not fits for _, fits in places)
    coats = []
    for k in range(max(len(coats) for coats, _ in places)):
        depths = [coats[k] for coats, _ in places if len(coats) > k]
        coats.append((len(depths) * area, sum(depths) * area, max(depths)))
    return coats, unsplit * area


@given(
    st.lists(st.integers(0, 900), min_size=1, max_size=30),
    st.sampled_from([5.0, 8.0, 15.0, 20.0]),
    st.sampled_from([0.0, 2.0, 5.0, 6.5, 8.0, 12.0]),
)
@examples(200)
def test_every_place_as_the_plain_rule_says(tenths, greatest, least):
    thickness = np.array([tenths]) / 10.0
    least = min(least, greatest)
    build_up = build_up_of(thickness)
    coats = mt.split_coats(build_up, greatest, least)
    expected, unsplit = expected_coats(thickness, greatest, least)
    assert sum(coat.volume_l for coat in coats) == pytest.approx(build_up.volume_l, rel=1e-9, abs=1e-12)
    assert coats.unsplit_area_m2 == pytest.approx(unsplit, abs=1e-12)
    if unsplit == 0:
        assert [c.area_m2 for c in coats] == pytest.approx([area for area, _, _ in expected], abs=1e-12)
        assert [c.volume_l for c in coats] == pytest.approx([litres for _, litres, _ in expected], rel=1e-9)
        assert [c.max_mm for c in coats] == pytest.approx([deepest for _, _, deepest in expected], rel=1e-9)


@given(st.lists(st.floats(0, 120), min_size=1, max_size=30), st.floats(1, 30), st.floats(0, 1))
@examples(200)
def test_litres_never_change(thickness, greatest, share):
    assume(max(thickness) >= 0.01)  # less than that is no coat at all
    build_up = build_up_of([thickness])
    coats = mt.split_coats(build_up, greatest, share * greatest)
    assert sum(coat.volume_l for coat in coats) == pytest.approx(build_up.volume_l, rel=1e-9, abs=1e-9)
    assert all(coat.max_mm <= greatest + 0.01 for coat in coats)
    assert all(coat.max_mm >= 0.01 for coat in coats)
    assert all(more.area_m2 >= less.area_m2 - 1e-12 for more, less in pairwise(coats))


@pytest.mark.parametrize(
    ("thickness", "greatest", "least", "depths"),
    [
        (21.0, 20.0, 8.0, [10.5, 10.5]),  # nobody can lay 1 mm
        (21.0, 20.0, 0.0, [20.0, 1.0]),
        (20.0, 20.0, 8.0, [20.0]),
        (28.0, 20.0, 8.0, [20.0, 8.0]),
        (41.0, 20.0, 8.0, [20.0, 10.5, 10.5]),
        (31.0, 15.0, 8.0, [15.0, 8.0, 8.0]),
        (30.5, 10.0, 7.6, [7.625] * 4),  # 5.25 each and 6.83 each are too thin: as few more as it takes
        (60.0, 20.0, 5.0, [20.0, 20.0, 20.0]),
        (7.0, 20.0, 0.0, [7.0]),
    ],
)
def test_by_hand(thickness, greatest, least, depths):
    coats = mt.split_coats(build_up_of(np.full((3, 4), thickness)), greatest, least)
    assert [coat.max_mm for coat in coats] == pytest.approx(depths, rel=1e-9)
    assert [coat.volume_l for coat in coats] == pytest.approx([0.12 * depth for depth in depths], rel=1e-9)
    assert [coat.area_m2 for coat in coats] == pytest.approx([0.12] * len(depths), rel=1e-9)
    assert coats.unsplit_area_m2 == 0.0


@pytest.mark.parametrize(
    ("thickness", "greatest", "least"),
    [(11.0, 10.0, 8.0), (3.0, 20.0, 5.0), (21.0, 20.0, 11.0), (16.0, 15.0, 15.0)],
)
def test_depths_that_no_split_fits_are_told_as_area(thickness, greatest, least):
    proud = np.full((3, 4), thickness)
    proud[:, 0] = greatest  # this column is fine
    coats = mt.split_coats(build_up_of(proud), greatest, least)
    assert coats.unsplit_area_m2 == pytest.approx(9 * 0.01, rel=1e-12)


@given(
    st.lists(st.integers(1, 900), min_size=1, max_size=30),
    st.sampled_from([5.0, 8.0, 12.0, 15.0, 20.0]),
    st.sampled_from([0.0, 2.0, 5.0, 8.0, 12.0]),
)
@examples(200)
def test_a_place_is_worth_a_word_where_a_hand_cannot_lay_it_in_any_number_of_coats(tenths, greatest, least):
    least = min(least, greatest)
    thickness = np.array([tenths]) / 10.0
    coats = mt.split_coats(build_up_of(thickness), greatest, least)

    def laid(mm):
        if mm < least - 1e-9:
            return False  # thinner than the mix holds
        either = range(1, 100)
        return any(n * (least - 1.5) - 1e-9 <= mm <= n * (greatest + 1.5) + 1e-9 for n in either)

    away = [mm for mm in np.ravel(thickness) if not laid(mm)]
    assert coats.misfit_area_m2 == pytest.approx(len(away) * 0.01, abs=1e-12)
    assert coats.misfit_area_m2 <= coats.unsplit_area_m2 + 1e-12


@pytest.mark.parametrize(
    ("thickness", "greatest", "least", "said"),
    [
        (15.5, 15.0, 8.0, False),  # light gypsum: one coat of 15.5 or two of 7.75
        (13.4, 12.0, 8.0, False),  # cement-lime: two of 6.7
        (25.0, 20.0, 15.0, True),  # one of 25, or two of 12.5: neither can be laid
        (5.0, 15.0, 8.0, True),  # thinner than the mix holds
    ],
)
def test_a_band_of_a_millimetre_between_two_coats_is_no_problem(thickness, greatest, least, said):
    coats = mt.split_coats(build_up_of(np.full((3, 4), thickness)), greatest, least)
    assert coats.unsplit_area_m2 == pytest.approx(0.12)
    assert coats.misfit_area_m2 == pytest.approx(0.12 if said else 0.0)


def test_worked_example_of_two_coats():
    # 3 m² (2 × 1.5), 20 mm in two coats of 10 mm: 0.06 m³ (pdfyar.com; scribd.com/doc/315150285)
    coats = mt.split_coats(build_up_of(np.full((3, 4), 20.0), cell_m=0.5), 10.0)
    assert [(c.area_m2, c.volume_l, c.max_mm) for c in coats] == [
        pytest.approx((3.0, 30.0, 10.0), rel=1e-12)
    ] * 2
    assert sum(coat.volume_l for coat in coats) / 1000 == pytest.approx(0.06, rel=1e-12)


def test_the_last_coat_covers_the_wall_and_the_others_fill_the_deep_places():
    thickness = np.array([[5.0, 12.0, 25.0, 33.0]])
    coats = mt.split_coats(build_up_of(thickness), 10.0)
    assert [c.area_m2 for c in coats] == pytest.approx([0.04, 0.03, 0.02, 0.01], rel=1e-12)
    assert [c.max_mm for c in coats] == pytest.approx([10.0, 10.0, 10.0, 3.0], rel=1e-12)
    assert coats[0].volume_l == pytest.approx((5 + 10 + 10 + 10) * 0.01, rel=1e-12)


@pytest.mark.parametrize("over", [1e-12, 1e-6, 0.009])
def test_a_coat_under_a_hundredth_of_a_millimetre_does_not_exist(over):
    build_up = build_up_of(np.full((2, 2), 20.0 + over))
    coats = mt.split_coats(build_up, 20.0)
    assert len(coats) == 1
    assert coats[0].volume_l == pytest.approx(build_up.volume_l, rel=1e-12)


def test_a_coat_just_above_a_hundredth_exists():
    assert len(mt.split_coats(build_up_of(np.full((2, 2), 20.02)), 20.0)) == 2


@pytest.mark.parametrize("noise", [-1e-12, 1e-12])
@pytest.mark.parametrize(
    ("thickness", "greatest", "least", "areas"),
    [
        ([8.0, 8.0, 12.0], 15.0, 8.0, [0.03]),  # the least itself is thick enough
        ([20.0, 20.0, 45.0], 20.0, 8.0, [0.03, 0.01, 0.01]),  # the greatest itself is one coat
        ([40.0, 45.0, 45.0], 20.0, 8.0, [0.03, 0.03, 0.02]),
        ([15.0, 15.0, 35.0], 15.0, 8.0, [0.03, 0.01, 0.01]),
    ],
)
def test_rounding_in_the_last_digit_makes_no_coat_and_no_warning(thickness, greatest, least, areas, noise):
    build_up = build_up_of(np.array([thickness]) + noise)
    coats = mt.split_coats(build_up, greatest, least)
    assert coats.unsplit_area_m2 == 0.0
    assert [coat.area_m2 for coat in coats] == pytest.approx(areas, abs=1e-12)
    assert sum(coat.volume_l for coat in coats) == pytest.approx(build_up.volume_l, rel=1e-9)


def test_an_even_coat_of_the_least_depth_on_a_true_but_leaning_wall_can_be_laid():
    x, z = np.meshgrid((np.arange(20) + 0.5) * 0.1, (np.arange(15) + 0.5) * 0.1)
    rule = mt.PlaneRule(least_mm=8.0, plumb=False)
    surface = grid_of(3.3 * x - 1.7 * z)  # its thickness is 8 mm to the last binary digit but not beyond
    coats = mt.split_coats(mt.full_coat(surface, mt.target_plane(surface, rule), rule), 15.0, 8.0)
    assert coats.unsplit_area_m2 == 0.0
    assert [coat.area_m2 for coat in coats] == pytest.approx([surface.net_area_m2], rel=1e-9)


def test_bare_wall_has_no_coat():
    coats = mt.split_coats(build_up_of(np.zeros((2, 2))), 20.0)
    assert coats == ()
    assert coats.unsplit_area_m2 == 0.0


def test_unknown_places_have_no_coat():
    proud = np.full((2, 4), 8.0)
    proud[0, 0] = np.nan
    coats = mt.split_coats(build_up_of(proud), 20.0)
    assert [c.area_m2 for c in coats] == pytest.approx([0.07], rel=1e-12)


@pytest.mark.parametrize(("greatest", "least"), [(0.0, 0.0), (-5.0, 0.0), (10.0, -1.0), (10.0, 12.0)])
def test_depths_that_no_coat_can_have_are_mistakes(greatest, least):
    with pytest.raises(mt.TakeoffError) as error:
        mt.split_coats(build_up_of(np.full((2, 2), 20.0)), greatest, least)
    assert all(m.found and m.rule and m.remedy for m in error.value.mistakes)
