"""Cautions stand where the work needs them, with their figures and sources."""

from __future__ import annotations

import pytest
from hand import one_wall

from mytakeoff import LooseArea, RailChoice, System, Wall
from mytakeoff.job.catalogue import CEMENT_LIME
from mytakeoff.treatment.cautions import (
    ASBESTOS,
    BURNS,
    CABLES,
    DAMP,
    HEIGHT,
    LEAD,
    LIFTING,
    NEEDED,
    SILICA,
    cautions_for,
    lifting_guideline_kg,
)


def cautions_of(**details):
    job, wall = one_wall(**details)
    return cautions_for(job, [wall])


@pytest.mark.parametrize(
    ("caution", "figures", "source"),
    [
        (SILICA, ("50 µg/m³", "25 µg/m³", "25 ft³/min", "99 %"), "29 CFR 1926.1153"),
        (LEAD, ("before 1978",), "40 CFR 745 subpart E"),
        (ASBESTOS, ("before 2000", "1 to 2 %"), "HSE"),
        (CABLES, ("50 mm", "150 mm", "100 mm"), "BS 7671:2018"),
        (BURNS, ("5 to 10 %",), "HSE CIS26"),
        (LIFTING, ("25 kg", "15, 10 or 5 kg", "12.5 kg", "quarter 10 kg"), "HSE INDG143"),
    ],
    ids=lambda value: getattr(value, "title", None),
)
def test_figures_stand_as_they_are_published(caution, figures, source):
    assert all(figure in caution.text for figure in figures)
    assert source in caution.source


def test_each_caution_defers_to_law_sheet_and_practice():
    for caution, _ in NEEDED:
        assert "local code, the product's sheet and licensed practice" in str(caution)
        assert caution.source in str(caution)


def test_cubic_feet_a_minute_are_said_in_cubic_metres_too():
    assert round(25 * 0.3048**3 * 60) == 42
    assert "42 m³/h" in SILICA.text


def test_a_clean_wall_freehand_needs_only_what_mixing_needs():
    got = cautions_of(rails=RailChoice(used=False), wall=Wall("A", 3.0, 2.0))
    assert got == (SILICA, LIFTING, DAMP)


def test_rails_on_fixings_warn_of_cables_and_on_dabs_do_not():
    assert CABLES in cautions_of()
    assert CABLES not in cautions_of(rails=RailChoice(bedded="dabs"))


@pytest.mark.parametrize(
    ("year", "lead", "asbestos"),
    [(None, True, True), (1977, True, True), (1978, False, True), (2000, False, False)],
)
@pytest.mark.parametrize(
    "work", [{"cut_mm": 3.0}, {"loose": (LooseArea(0, 0, 1, 1, 20),)}, {"background": "painted plaster"}]
)
def test_old_coatings_are_suspect_by_the_year_built(year, lead, asbestos, work):
    # housing built before 1978: 40 CFR 745 subpart E; coatings before 2000: HSE guidance
    got = cautions_of(built_year=year, **work)
    assert (LEAD in got) == lead
    assert (ASBESTOS in got) == asbestos


def test_bare_new_brick_is_not_suspect():
    assert LEAD not in cautions_of(background="brick")


def test_what_has_fallen_already_is_not_cut():
    assert LEAD not in cautions_of(loose=(LooseArea(0, 0, 1, 1, 20, fallen=True),))


def test_wet_cement_burns_gypsum_less():
    assert BURNS in cautions_of(system=System(CEMENT_LIME))
    assert BURNS not in cautions_of()


def test_high_walls_want_a_platform():
    assert HEIGHT in cautions_of(wall=Wall("A", 3.0, 2.5))
    assert HEIGHT not in cautions_of(wall=Wall("A", 3.0, 1.9))


def test_no_work_no_cautions():
    job, _ = one_wall()
    assert cautions_for(job, []) == ()


@pytest.mark.parametrize(
    ("per_min", "twist", "kg"),
    [
        (0.5, 0, 25.0),
        (1, 0, 17.5),
        (2, 0, 17.5),
        (5, 0, 12.5),
        (8, 0, 12.5),
        (13, 0, 5.0),
        (6, 90, 10.0),
        (0.1, 46, 22.5),
    ],
)
def test_lifting_by_how_often_and_how_far_one_turns(per_min, twist, kg):
    # HSE manual handling guideline, watmos.simplyhas.com (secondary): -30 % at 1 to 2 a minute, -50 % at
    # 5 to 8, -80 % over 12; twist over 45° -10 %, over 90° -20 %
    assert lifting_guideline_kg(per_min, twist_degrees=twist) == pytest.approx(kg)
