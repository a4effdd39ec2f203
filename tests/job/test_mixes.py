"""The marked default mixes against what is published for plasters of their kind, and the checks of a mix."""

from __future__ import annotations

import pytest

from mytakeoff import Mix, System, TakeoffError
from mytakeoff.job.catalogue import (
    CEMENT_LIME,
    DEFAULT_MIXES,
    GYPSUM_SKIM,
    LIGHT_GYPSUM,
    LIME_SAND,
    ONE_COAT_GYPSUM,
)


@pytest.mark.parametrize("mix", [m for m in DEFAULT_MIXES if m.family == "gypsum"], ids=lambda m: m.name)
def test_gypsum_takes_what_labels_say(mix):
    # 8 to 13 kg per m² and 10 mm: labels of seven makes, a Russian trade article
    assert 8 <= mix.density_kg_per_l * 10 <= 13


@pytest.mark.parametrize(
    ("mix", "low_mm", "high_mm", "source"),
    [
        (
            CEMENT_LIME,
            10,
            15,
            "IS 1661:1972 cl. 7.3, procivilengineer.com (secondary): single coat 10 to 15 mm",
        ),
        (
            LIGHT_GYPSUM,
            0,
            15,
            "SNiP 3.04.01-87 table 9, perekos.net (secondary): one coat of gypsum up to 15 mm",
        ),
        (LIME_SAND, 0, 20, "SNiP 3.04.01-87 table 9, perekos.net (secondary): other mortars up to 20 mm"),
        (GYPSUM_SKIM, 1.5, 3, "UFGS 09200A, 3.16: finish coat 1/16 to 1/8 in"),
    ],
    ids=lambda value: getattr(value, "name", None),
)
def test_the_greatest_coat_lies_where_it_is_published(mix, low_mm, high_mm, source):
    assert low_mm <= mix.max_coat_mm <= high_mm, source


@pytest.mark.parametrize("mix", [CEMENT_LIME, LIME_SAND], ids=lambda m: m.name)
def test_three_coats_of_mortar_stay_under_25_mm(mix):
    # IS 1661:1972 cl. 7.3, procivilengineer.com (secondary): total up to about 25 mm
    assert mix.max_total_mm <= 25


@pytest.mark.parametrize("mix", DEFAULT_MIXES, ids=lambda m: m.name)
def test_drying_takes_a_day_a_millimetre(mix):
    # at least 1 day a mm: ausbauundfassade.de, lexikon, Standzeiten (secondary); 15 mm 15 days:
    # hausjournal.net
    assert mix.dry_days_per_mm * 15 >= 15


def test_cement_waits_two_days_between_coats():
    # ASTM C926 practice, plastertalk.blog 2017-03-14 (secondary): at least 48 h scratch to brown
    assert CEMENT_LIME.set_h >= 48
    assert CEMENT_LIME.cure_days >= 1
    assert max(mix.set_h for mix in (LIGHT_GYPSUM, ONE_COAT_GYPSUM, GYPSUM_SKIM)) < 24


@pytest.mark.parametrize("mix", DEFAULT_MIXES, ids=lambda m: m.name)
def test_defaults_say_that_they_are_common_practice(mix):
    assert mix.source.startswith("common practice, no source")


def test_a_bag_covers_so_much_at_10_mm():
    assert LIGHT_GYPSUM.m2_per_bag_at_10_mm == pytest.approx(25 / 8)


@pytest.mark.parametrize(
    "wrong",
    [
        {"density_kg_per_l": 0.0},
        {"bag_kg": 0.0},
        {"max_coat_mm": 0.0, "least_coat_mm": 0.0},
        {"least_coat_mm": 16.0},
        {"max_total_mm": 14.0},
        {"family": "clay"},
    ],
)
def test_a_figure_out_of_its_range_is_refused(wrong):
    good = {
        "density_kg_per_l": 0.8,
        "bag_kg": 25.0,
        "least_coat_mm": 8.0,
        "max_coat_mm": 15.0,
        "max_total_mm": 35.0,
    }
    with pytest.raises(TakeoffError, match="mix 'mine'"):
        Mix("mine", **{**good, **wrong})


def test_a_finish_has_both_a_mix_and_a_thickness():
    for finish, mm in ((GYPSUM_SKIM, 0.0), (None, 2.0)):
        with pytest.raises(TakeoffError, match="finish"):
            System(LIGHT_GYPSUM, finish, mm)


def test_a_finish_in_metres_is_asked_about():
    # nothing as thin is laid: 0.2 mm is the least coat that any mix may have (common practice, no source)
    with pytest.raises(TakeoffError, match=r"finish of 0\.002 mm.*write 2 if you meant metres"):
        System(LIGHT_GYPSUM, GYPSUM_SKIM, 0.002)
    assert System(LIGHT_GYPSUM, GYPSUM_SKIM, 0.2).finish_mm == 0.2


def test_a_least_coat_that_is_no_coat_is_asked_about():
    good = {"density_kg_per_l": 1.0, "bag_kg": 25, "max_coat_mm": 15, "max_total_mm": 35}
    with pytest.raises(TakeoffError, match="write 0 for a mix that runs out to nothing"):
        Mix("mine", least_coat_mm=5e-324, **good)
    assert Mix("mine", least_coat_mm=0.0, **good).least_coat_mm == 0.0
