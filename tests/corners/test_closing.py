"""Closing round a room, held to a worked traverse and to least squares by matrices."""

from __future__ import annotations

import math

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.corners.closing import MOST_SD, closed
from mytakeoff.corners.measuring import MeasuredCorner
from mytakeoff.corners.plan import plan_of


def dms(degrees: float, minutes: float, seconds: float) -> float:
    return degrees + minutes / 60 + seconds / 3600


# Ghilani and Wolf, "Elementary Surveying", 13th edition (2012), the traverse ABCDE of chapters 9 and 10: its
# angles as measured, as adjusted to whole seconds, lengths in feet, linear misclosure and area. From memory;
# the figures bear one another out: the angles close, and misclosure and area come from lengths and angles.
MEASURED = {"A": (100, 45, 37), "B": (231, 23, 43), "C": (17, 12, 59), "D": (89, 3, 28), "E": (101, 34, 24)}
ADJUSTED = {"A": (100, 45, 35), "B": (231, 23, 41), "C": (17, 12, 56), "D": (89, 3, 26), "E": (101, 34, 22)}
LENGTHS_FT = {"AB": 647.25, "BC": 203.03, "CD": 720.35, "DE": 610.24, "EA": 285.13}
MISCLOSURE_FT, RELATIVE, AREA_FT2 = 0.08, 30_800, 272_600


def around(angles, sds) -> list[MeasuredCorner]:
    """Corners round a room, by their angles [°] and standard deviations [mm/m]."""
    names = [f"wall {nth}" for nth in range(len(angles))]
    corners = [mt.RoomCorner(name, names[nth - len(names) + 1]) for nth, name in enumerate(names)]
    return [MeasuredCorner(*each) for each in zip(corners, angles, sds, strict=True)]


def test_a_textbook_traverse_closes_as_it_does_there():
    found = closed(around([dms(*angle) for angle in MEASURED.values()], [0.02] * 5))
    second = math.radians(1 / 3600) * 1000
    assert found.over_mm_per_m == pytest.approx(11 * second)  # 540°00'11", where 540° closes
    for each, measured, adjusted in zip(found.corners, MEASURED.values(), ADJUSTED.values(), strict=True):
        assert each.angle_deg == pytest.approx(dms(*measured) - 2.2 / 3600, abs=1e-12)
        assert each.angle_deg == pytest.approx(dms(*adjusted), abs=1 / 3600)  # rounded to whole seconds there
    assert sum(each.angle_deg for each in found.corners) == pytest.approx(540.0, abs=1e-12)


def test_a_textbook_traverse_misses_closing_by_as_much_as_there():
    turned, walls = 0.0, {}
    for side, length in LENGTHS_FT.items():
        walls[side] = (length, turned)
        turned += 180.0 - dms(*ADJUSTED[side[1]])
    plan = plan_of(walls, closes=True)
    assert plan.gap_m == pytest.approx(MISCLOSURE_FT, abs=0.005)
    assert sum(LENGTHS_FT.values()) / plan.gap_m == pytest.approx(RELATIVE, rel=0.005)
    assert plan.area_m2 == pytest.approx(AREA_FT2, rel=1e-3)
    assert np.allclose(plan.right_m[-1], plan.left_m[0], atol=1e-9)


@given(st.lists(st.tuples(st.floats(-2, 2), st.floats(0.2, 5.0)), min_size=3, max_size=8))
@examples(60)
def test_what_is_over_is_spread_as_least_squares_spread_it(corners):
    """One condition, Σ angles = (n - 2) · 180°, by the normal equations written out."""
    n = len(corners)
    angles = np.array([180.0 - 360.0 / n + off * sd / 60 for off, sd in corners])
    sds = np.array([sd for _, sd in corners])
    weights, condition = np.diag(1 / sds**2), np.ones((1, n))
    kkt = np.block([[weights, condition.T], [condition, np.zeros((1, 1))]])
    wanted = np.concatenate([weights @ angles, [(n - 2) * 180.0]])
    least = np.linalg.solve(kkt, wanted)[:n]
    if abs(math.radians(angles.sum() - (n - 2) * 180) * 1000) > MOST_SD * np.hypot.reduce(sds):
        with pytest.raises(mt.TakeoffError, match=r"too (wide|narrow) all round"):
            closed(around(angles, sds))
        return
    found = closed(around(angles, sds))
    assert [each.angle_deg for each in found.corners] == pytest.approx(least.tolist(), abs=1e-9)
    spread = np.linalg.inv(kkt)[:n, :n].diagonal()
    assert [each.sd_mm_per_m**2 for each in found.corners] == pytest.approx(spread.tolist(), abs=1e-9)


def test_an_exact_corner_takes_nothing():
    found = closed(around([90.0, 90.0, 90.05, 90.05], [0.0, 0.0, 1.0, 2.0]))
    assert [round(each.angle_deg, 6) for each in found.corners] == [90.0, 90.0, 90.03, 89.97]


def test_the_one_that_is_free_follows():
    found = closed(around([90.1, 90.2, None, 89.6], [1.0, 2.0, 0.0, 2.0]))
    assert found.corners[2].angle_deg == pytest.approx(90.1)
    assert found.corners[2].sd_mm_per_m == pytest.approx(3.0)
    assert found.followed == found.corners[2]
    assert found.over_mm_per_m is None


def test_two_that_are_free_stay_so():
    found = closed(around([90.1, None, None, 89.6], [1.0, 0.0, 0.0, 2.0]))
    assert [each.angle_deg for each in found.corners] == [90.1, None, None, 89.6]


def test_what_does_not_close_names_the_corners_that_disagree():
    with pytest.raises(mt.TakeoffError) as told:
        closed(around([90.0, 90.5, 90.5, 90.0], [0.0, 1.0, 1.0, 0.0]), "room 'front'")
    (mistake,) = told.value.mistakes
    assert mistake.place == "room 'front'"
    assert mistake.found == (
        "angles that are 1.00° (17.5 mm/m) too wide all round: 'wall 1' – 'wall 2' 90.50°, "
        "'wall 2' – 'wall 3' 90.50°"
    )
    assert "2.5 standard deviations, 3.5 mm/m" in mistake.rule
    assert "measure one of these corners again" in mistake.remedy


def test_walls_round_a_room_that_do_not_close():
    walls = {"N": (4.0, 0.0), "E": (4.0, 90.0), "S": (3.0, 180.0), "W": (3.0, 270.0)}  # in the wrong order
    with pytest.raises(mt.TakeoffError, match="room 'A': walls that miss closing by 1414 mm: 'N', 'E'"):
        plan_of(walls, closes=True, place="room 'A'")


@pytest.mark.parametrize(
    ("turned", "askew", "away"), [(180.0, 0.0, 3.0), (183.0, 3.0, 3.0 - math.tan(0.0523599))]
)
def test_what_lies_opposite(turned, askew, away):
    plan = plan_of({"N": (4.0, 0.0), "E": (3.0, 90.0), "S": (4.0, turned)})
    seen = plan.across("N", 3.0, "S")
    assert seen.away_m == pytest.approx(away, abs=1e-6)
    assert seen.x_m == pytest.approx(1.0 / math.cos(math.radians(askew)))
    assert plan.across("N", 3.0, "E") is None
    assert plan_of({"N": (4.0, 0.0), "E": (3.0, 90.0), "S": (1.0, 180.0)}).across("N", 1.0, "S") is None
