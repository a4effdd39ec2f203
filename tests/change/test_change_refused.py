"""What cannot be told of two surveys is refused with value, rule, remedy and place, all of it together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt

WALL = mt.Wall("twice", 4.0, 2.5, openings=(mt.Opening("window", 0.5, 0.9, 1.0, 1.2),))
X, Z = (each.ravel() for each in np.meshgrid(np.arange(0.25, 4.0, 0.5), np.arange(0.25, 2.5, 0.5)))
FIXED = [(0.0, 0.0, 5.0, 55.0), (4.0, 0.0, 0.0, 50.0), (0.0, 2.5, -7.0, 43.0), (4.0, 2.5, 12.0, 62.0)]
BUMPY = 6.0 * np.sin(2.0 * X) + 5.0 * np.sin(1.0 + 3.0 * Z) * np.cos(X) + 3.0 * X * (X < 1.5)


def survey(proud_mm: np.ndarray, wall: mt.Wall = WALL, plumb: bool = False) -> mt.Survey:
    return mt.Survey.from_readings(wall, X, Z, proud_mm, plumb=plumb)


BEFORE, AFTER = survey(BUMPY), survey(0.6 * BUMPY + 64.0)


def refused(*args, **more) -> list[mt.Mistake]:
    with pytest.raises(mt.TakeoffError) as raised:
        mt.change_between(*args, **more)
    mistakes = list(raised.value.mistakes)
    for each in mistakes:
        assert all((each.found, each.rule, each.remedy, each.place)), each
    return mistakes


def test_the_walls_here_are_fine():
    found = mt.change_between(BEFORE, AFTER, FIXED)
    assert found.mean_mm == pytest.approx(14.0 - 0.4 * BUMPY.mean(), abs=2.0)
    assert found.residual_mm == pytest.approx(np.zeros(4), abs=1e-9)
    assert found.moved == ()
    standard_mm = np.sqrt(sum(part.standard**2 for part in found.parts))
    assert found.uncertainty_mm == pytest.approx(found.factor * standard_mm)


def test_everything_wrong_is_told_at_once():
    other = mt.Wall("twice", 4.3, 2.5)
    one = mt.Survey.from_readings(other, [1.0], [1.0], [0.0], so_far=True)
    bad = [(0.0, 0.0, np.nan, 1.0), (9.0, 0.0, 1.0, 1.0), (1.0, 1.0, 2.0, 3.0, "screw"), (0.0, 1.0, 2.0)]
    mistakes = refused(BEFORE, one, bad)
    found = [each.found for each in mistakes]
    assert found[:3] == [
        "1 reading", "width 4.3 m, and 4 m in the first survey",
        "nothing but plaster, and x 0.5, z 0.9, 1 × 1.2 m in the first survey",
    ]  # fmt: skip
    assert found[3] == "3 values"
    mistakes = refused(BEFORE, AFTER, bad[:3])
    assert [each.found for each in mistakes] == ["nan mm before", "x 9 m, z 0 m"]
    assert [each.place for each in mistakes] == ["fixed place 1", "fixed place 2"]


@pytest.mark.parametrize(("plumb", "rows"), [(False, (0, 0.5, 1)), (True, (0.5, 0.5))])
def test_fixed_places_in_line(plumb, rows):
    upright = [(1.0, 2.0 * up, 0.0, 0.0) for up in (*rows, 0.9)]
    before, after = (survey(each.proud_mm, plumb=plumb) for each in (BEFORE, AFTER))
    (mistake,) = refused(before, after, upright)
    assert mistake.place == "fixed places"
    assert "turned" in mistake.rule


@pytest.mark.parametrize("count", [0, 1, 2])
def test_too_few_fixed_places_tell_shape_alone(count):
    tilted = survey(AFTER.proud_mm + 30.0 * X - 20.0 * Z)
    found, other = (mt.change_between(BEFORE, each, FIXED[:count]) for each in (AFTER, tilted))
    assert (found.mean_mm, found.volume_l, found.uncertainty_mm, found.uncertainty_l) == (None,) * 4
    assert (found.parts, found.factor) == ((), None)
    known = np.isfinite(found.thickness_mm)
    assert found.thickness_mm[known] == pytest.approx(other.thickness_mm[known], abs=1e-6)
    assert float((found.thickness_mm * found.area_m2)[known].sum()) == pytest.approx(0.0, abs=1e-6)
    assert found.notices[0].startswith("Only the change of shape is told")
    assert "three that are not in line" in found.notices[0]


def test_two_are_enough_where_both_are_plumb():
    before, after = (survey(each.proud_mm, plumb=True) for each in (BEFORE, AFTER))
    found = mt.change_between(before, after, FIXED[:2])
    assert found.mean_mm == pytest.approx(mt.change_between(BEFORE, AFTER, FIXED).mean_mm)
    assert "none is to spare" in " ".join(found.notices)
    assert mt.change_between(before, AFTER, FIXED[:2]).mean_mm is None


def test_a_survey_read_from_the_other_end_is_known():
    from_the_right = mt.Survey.from_readings(
        replace(WALL, openings=()), 4.0 - X, Z, 0.8 * BUMPY + 64.0, plumb=False
    )
    (mistake,) = refused(survey(BUMPY, replace(WALL, openings=())), from_the_right, FIXED)
    assert "mirror" in mistake.found
    wall = replace(WALL, openings=(mt.Opening("window", 2.5, 0.9, 1.0, 1.2),))
    mirrored = refused(BEFORE, mt.Survey.from_readings(wall, 4.0 - X, Z, 64.0 + BUMPY, plumb=False), FIXED)
    assert [each.found for each in mirrored] == [
        "openings or units as the first survey has them from the wall's other end"
    ]


@pytest.mark.parametrize(
    ("factor", "unit"),
    [(0.1, "centimetres"), (1 / 25.4, "inches"), (1 / 304.8, "feet"), (0.001, "metres"),
     (10.0, "millimetres, and the first one in centimetres"),
     (25.4, "millimetres, and the first one in inches")],
)  # fmt: skip
def test_another_unit_is_known_by_the_shape_that_is_left(factor, unit):
    (mistake,) = refused(BEFORE, survey(factor * (0.95 * BUMPY + 64.0)), FIXED)
    assert mistake.remedy.endswith(f"read in {unit}: head its columns with that unit")


def test_another_unit_is_known_by_fixed_places():
    """On a wall that was floated flat the shape says nothing, six marks at different depths do."""
    marks = [(x, z, mm, (mm + 50.0) / 25.4) for x, z, mm in (
        (0.0, 0.0, 5.0), (4.0, 0.0, -30.0), (0.0, 2.5, 20.0), (4.0, 2.5, 0.0), (2.0, 0.0, -12.0),
        (2.0, 2.5, 41.0),
    )]  # fmt: skip
    (mistake,) = refused(BEFORE, survey(0.0 * X + 2.0), marks)
    assert "inches" in mistake.remedy


def test_readings_taken_the_other_way_are_known():
    (mistake,) = refused(BEFORE, survey(-BUMPY), FIXED)
    assert "off_line_mm" in mistake.remedy


def test_a_second_face_behind_the_first():
    (mistake,) = refused(AFTER, BEFORE, [(x, z, after, before) for x, z, before, after in FIXED])
    assert "behind" in mistake.found
    assert "which survey is the first" in mistake.remedy


def test_hacked_off_in_places_is_no_mistake():
    """Behind the first one here and there, or on the whole, is told as it is."""
    found = mt.change_between(BEFORE, survey(BUMPY + 50.0 - 20.0 * (X < 3.0)), FIXED)
    assert found.mean_mm < -5.0
    assert (found.thickness_mm[np.isfinite(found.thickness_mm)] > -1.0).any()


@examples(10)
@given(st.integers(0, 10_000))
def test_a_floated_wall_is_never_taken_for_anything_else(seed):
    """Flat plaster with a little of the wall still showing, read with an error: nothing is recognised."""
    rng = np.random.default_rng(seed)
    old = rng.normal(0, 4, 3) @ np.array([np.sin(2 * X), np.cos(1.5 * X + Z), np.sin(2.5 * Z)])
    after = 60.0 + rng.uniform(0, 0.05) * old + rng.normal(0, 0.6, X.size).round(1)
    assert mt.change_between(survey(old - old.max()), survey(after), FIXED).mean_mm is not None


def test_a_moved_screw_is_named_and_spoils_nothing():
    more = [*FIXED, (2.0, 0.0, 3.0, 53.0), (2.0, 2.5, 9.0, 80.0, "screw by the lamp")]
    found = mt.change_between(BEFORE, AFTER, more)
    assert found.moved == (5,)
    assert found.residual_mm[5] == pytest.approx(21.0)
    assert found.mean_mm == pytest.approx(mt.change_between(BEFORE, AFTER, more[:5]).mean_mm)
    assert found.notices[0].startswith("Fixed place 6 (screw by the lamp) moved by 21.0 mm towards the room")


def test_a_moved_screw_that_nothing_shows_widens_what_is_said():
    calm = mt.change_between(BEFORE, AFTER, FIXED)
    moved = mt.change_between(BEFORE, AFTER, [*FIXED[:3], (4.0, 2.5, 12.0, 82.0)])
    assert moved.moved == ()
    assert "disagree" in moved.notices[0]
    assert abs(moved.mean_mm - calm.mean_mm) < moved.uncertainty_mm
    assert moved.uncertainty_mm > 10 * calm.uncertainty_mm


def test_nothing_is_told_where_either_says_nothing():
    left = X < 2.0
    half = mt.Survey.from_readings(WALL, X[left], Z[left], AFTER.proud_mm[left], plumb=False)
    found = mt.change_between(BEFORE, half, FIXED, reach_m=0.4)
    assert np.isnan(found.thickness_mm[:, found.x_m > 2.2]).all()
    in_window = (found.x_m > 0.6) & (found.x_m < 1.4)
    assert np.isnan(found.thickness_mm[np.ix_((found.z_m > 1.0) & (found.z_m < 2.0), in_window)]).all()
    assert found.uncertainty_l == pytest.approx(found.uncertainty_mm * found.area_m2.sum())
    assert found.notices[-1].startswith("Nothing is told of ")
    assert "where the second survey says nothing" in found.notices[-1]


def test_places_kept_with_a_wall_are_read_again_by_name():
    kept = [mt.FixedPlace("door frame", 3.1, 1.0, -212.0), mt.FixedPlace("box", 0.4, 0.3, -198.0)]
    rows = mt.read_again(kept, {"box": -201.0})
    assert rows == ((0.4, 0.3, -198.0, -201.0, "box"),)
    with pytest.raises(mt.TakeoffError, match="write one of door frame, box"):
        mt.read_again(kept, {"lamp": 1.0})
