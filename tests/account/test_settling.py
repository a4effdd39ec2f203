"""How much coats shrank, from surveys after and later, and what the next estimate makes of it."""

from __future__ import annotations

import math

import pytest
from demo import coarse_demo

import mytakeoff as mt
from mytakeoff.account.settling import mix_thickness, shrinkage_seen, with_shrinkage
from mytakeoff.account.words import shrinkage_words
from mytakeoff.finished.finished_wall import FinishedWall, SettledCoat
from mytakeoff.finished.record import Finished

BACKING, SKIM = "light gypsum backing", "gypsum skim"


def seen(*walls: FinishedWall):
    return {each.mix: each for each in shrinkage_seen(mt.evaluate(coarse_demo()), Finished(walls=walls))}


def test_all_that_is_on_a_wall():
    """A wall measured 20 mm thick whose face went back by 0.4 mm: 2 % of every mix on it."""
    found = seen(FinishedWall("party wall", 20.0, 0.3, (SettledCoat(-0.4, 0.1),)))
    assert set(found) == {"dubbing-out gypsum", BACKING, SKIM}
    for each in found.values():
        assert each.share == pytest.approx(0.02)
        assert each.uncertainty_share == pytest.approx(0.005)
        assert each.is_seen


def test_one_coat_by_its_own_thickness():
    result = mt.evaluate(coarse_demo())
    thick_mm = mix_thickness(result.wall("window wall"))[BACKING]
    found = seen(FinishedWall("window wall", settled=(SettledCoat(-0.25, 0.05, BACKING),)))
    assert set(found) == {BACKING}
    assert found[BACKING].share == pytest.approx(0.25 / thick_mm)


def test_mixes_make_up_the_wall():
    for wall in mt.evaluate(coarse_demo()).walls:
        thick_mm = sum(mix_thickness(wall).values())
        assert thick_mm == pytest.approx(wall.build_up.mean_mm + wall.allowance_mm)


def test_several_walls_count_by_how_sure_they_are():
    """By hand: 1/sd² of each, 400 and 100 of 500."""
    walls = (
        FinishedWall("party wall", 20.0, settled=(SettledCoat(-0.4, 0.1),)),  # 2 % ± 0.5 %
        FinishedWall("window wall", 20.0, settled=(SettledCoat(-0.2, 0.2),)),  # 1 % ± 1 %
    )
    found = seen(*walls)[BACKING]
    assert found.share == pytest.approx((4 * 0.02 + 0.01) / 5)
    assert found.uncertainty_share == pytest.approx(0.005 / math.sqrt(1.25))
    assert found.walls == ("party wall", "window wall")


def test_no_more_than_the_surveys_may_be_off_is_said():
    found = seen(FinishedWall("party wall", 20.0, settled=(SettledCoat(-0.1, 0.1),)))[BACKING]
    assert not found.is_seen
    assert "no more than the surveys may be off" in shrinkage_words(found, coarse_demo().formats)


def test_the_next_estimate_takes_it():
    job = coarse_demo()
    found = seen(FinishedWall("party wall", 20.0, settled=(SettledCoat(-0.4, 0.1),)))
    after = with_shrinkage(job, found.values())
    assert after.system.backing.shrinkage_share == 0.02
    before, now = ({need.mix.name: need.dry_kg for need in mt.evaluate(each).needs} for each in (job, after))
    assert now[BACKING] == pytest.approx(before[BACKING] / 0.98)
    assert now["flue lime"] == before["flue lime"]


def test_a_face_that_came_forward_leaves_the_estimate_alone():
    found = seen(FinishedWall("party wall", 20.0, settled=(SettledCoat(0.4, 0.1),)))
    assert found[BACKING].share == pytest.approx(-0.02)
    assert with_shrinkage(coarse_demo(), found.values()) == coarse_demo()
