"""The table of what may go on what."""

from __future__ import annotations

import pytest
from hand import BARE, one_wall

from mytakeoff import LooseArea, Mix, System, TakeoffError
from mytakeoff.job.backgrounds import (
    BACKGROUND_NAMES,
    BACKGROUNDS,
    check_background,
    check_system,
    cut_limit_mm,
    pair_for,
)
from mytakeoff.job.catalogue import CEMENT_LIME, GYPSUM_SKIM, LIGHT_GYPSUM, LIME_SAND, UNITS
from mytakeoff.job.mixes import FAMILIES
from mytakeoff.treatment.notices import check_walls, greatest_total_mm, system_notices

CEMENT = Mix("cement render", 1.8, 25, 8, 12, 20, family="cement")


def test_every_pair_is_decided_with_its_source():
    for background in BACKGROUNDS:
        assert tuple(background.pairs) == FAMILIES
        assert background.cut_rule
        for pair in background.pairs.values():
            assert pair.source
            assert pair.treatment in ("", *UNITS)
            assert pair.allowed or pair.remedy


@pytest.mark.parametrize(
    ("background", "mix", "remedy"),
    [
        ("weak old plaster", CEMENT, "lime or light gypsum"),
        ("sound old plaster", CEMENT, "lime or light gypsum"),
        ("weak old plaster", CEMENT_LIME, "lime or light gypsum"),
        ("damp masonry", LIGHT_GYPSUM, "stop the damp"),
        ("painted plaster", LIGHT_GYPSUM, "take the paint off"),
        ("painted plaster", LIME_SAND, "take the paint off"),
        ("wood lath", LIGHT_GYPSUM, "boards"),
        ("chimney flue wall", LIGHT_GYPSUM, "salts"),
        ("stone", CEMENT, "lime"),
    ],
)
def test_a_forbidden_pair_says_what_to_do_instead(background, mix, remedy):
    # common practice, no source; damp: background moisture at most 8 %, SNiP 3.04.01-87 table 9 (secondary)
    with pytest.raises(TakeoffError) as told:
        check_background(background, mix, "wall 'north'")
    (mistake,) = told.value.mistakes
    assert mistake.place == "wall 'north'"
    assert mix.name in mistake.found
    assert remedy in mistake.remedy


def test_a_skim_may_go_on_paint():
    check_background("painted plaster", GYPSUM_SKIM)  # raises nothing
    assert pair_for("painted plaster", GYPSUM_SKIM).allowed


def test_an_unknown_background_lists_those_there_are():
    with pytest.raises(TakeoffError) as told:
        pair_for("gold leaf", LIGHT_GYPSUM)
    assert all(name in str(told.value) for name in BACKGROUND_NAMES)


def test_each_layer_is_held_to_the_one_under_it():
    # common practice, no source: cement does not go over gypsum
    with pytest.raises(TakeoffError, match="over light gypsum"):
        check_system("brick", System(CEMENT, dubbing=LIGHT_GYPSUM))


def test_a_systems_mistakes_are_told_together():
    with pytest.raises(TakeoffError) as told:
        check_system("weak old plaster", System(CEMENT, dubbing=CEMENT_LIME))
    assert len(told.value.mistakes) == 2


@pytest.mark.parametrize(
    ("background", "measured_mm", "limit_mm"),
    [("brick", None, 5), ("brick", 20.0, 5), ("sound old plaster", 18.0, 18.0), ("wood lath", None, 0)],
)
def test_what_may_be_taken_down(background, measured_mm, limit_mm):
    # masonry 3 to 5 mm, old plaster to its own depth, none on lath (common practice, no source)
    assert cut_limit_mm(background, measured_mm) == limit_mm


def test_cutting_deeper_than_the_background_allows_is_asked_about_not_priced():
    _, wall = one_wall(background="brick", cut_mm=7.0)
    with pytest.raises(TakeoffError, match="brick allows 5 mm"):
        check_walls([wall])
    (notice,) = system_notices(wall)
    assert "7.0 mm" in notice
    _, wall = one_wall(background="brick", cut_mm=5.0)
    check_walls([wall])
    assert system_notices(wall) == ()


def test_two_walls_mistakes_are_told_together():
    walls = [one_wall(background=name, cut_mm=9.0)[1] for name in ("brick", "dense block")]
    with pytest.raises(TakeoffError) as told:
        check_walls(walls)
    assert len(told.value.mistakes) == 2


def test_concrete_over_an_inch_of_gypsum_is_warned_of():
    # ASTM C842-05 scope notes at nen.nl: over 1 in (25.4 mm) furred lath
    assert system_notices(one_wall(mm=25.4, background="smooth concrete")[1]) == ()
    (notice,) = system_notices(one_wall(mm=25.5, background="smooth concrete")[1])
    assert "7.50 m²" in notice
    assert "boards" in notice


def test_more_than_the_mix_carries_is_warned_of():
    assert greatest_total_mm(BARE) == 35
    assert system_notices(one_wall(mm=35.0)[1]) == ()
    assert "35 mm" in system_notices(one_wall(mm=36.0)[1])[0]


def test_where_old_plaster_came_off_its_limit_does_not_hold():
    fallen = (LooseArea(0.0, 0.0, 3.0, 1.25, 20.0, fallen=True),)
    whole = system_notices(one_wall(mm=30.0, background="sound old plaster")[1])
    part = system_notices(one_wall(mm=30.0, background="sound old plaster", loose=fallen)[1])
    assert "7.50 m²" in whole[0]
    assert "3.75 m²" not in whole[0]
    assert float(part[0].split(" m²")[0]) < 3.76
