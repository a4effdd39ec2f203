"""Every default says where it comes from, and the row that it names is about the same thing."""

from __future__ import annotations

import inspect

import pytest

import mytakeoff as mt
from mytakeoff.flatness.grades import GRADES
from mytakeoff.job import backgrounds, calendar, catalogue, choices, confidence, job, mixes, packs, ranges
from mytakeoff.job import rates as labour
from mytakeoff.job.backgrounds import BACKGROUNDS
from mytakeoff.job.catalogue import CEMENT_LIME, COMMON, DEFAULT_MIXES
from mytakeoff.job.mixing import recipe_need
from mytakeoff.treatment.cautions import NEEDED

MARKED = "common practice, no source"
PAIRS = [(row.name, family, pair) for row in BACKGROUNDS for family, pair in row.pairs.items()]


@pytest.mark.parametrize(
    "module", [backgrounds, calendar, catalogue, choices, confidence, job, labour, mixes, packs, ranges]
)
def test_what_has_no_source_says_so(module):
    assert MARKED in " ".join(inspect.getsource(module).replace("#", " ").split())


def test_every_row_of_a_table_names_its_source():
    tables = [*DEFAULT_MIXES, *ranges.DEFAULT_RANGES, *GRADES, *(caution for caution, _ in NEEDED)]
    assert [row for row in tables if not row.source] == []
    assert [grade.name for grade in GRADES if not (grade.edition and grade.status)] == []
    assert [name for name, _, pair in PAIRS if not pair.source] == []


@pytest.mark.parametrize("mix", DEFAULT_MIXES, ids=lambda mix: mix.name)
def test_drying_before_paint_is_not_backed_by_a_wait_before_the_next_coat(mix):
    # drying 15 mm takes 15 days: hausjournal.net, wartezeit-streichen-nach-verputzen (secondary); the row at
    # ausbauundfassade.de, Standzeiten, is on waiting before the next coat
    assert mix.dry_days_per_mm * 15 == 15
    assert "before paint 1 day a mm: rule of thumb, hausjournal.net" in mix.source
    assert "Standzeiten" not in mix.source


def test_cement_is_kept_damp_for_seven_days():
    # IS 1661:1972 clause 16: curing 7 days from 24 h (a plaster inspection checklist, secondary)
    assert CEMENT_LIME.cure_days == 7
    assert "IS 1661:1972 clause 16" in CEMENT_LIME.source


def test_glass_fibre_mesh_leans_on_no_standard_for_metal_lath():
    meshed = [(name, family, pair) for name, family, pair in PAIRS if pair.mesh_above_mm < 1e3]
    assert meshed
    assert [row for row in meshed if COMMON not in row[2].source] == []
    # a row that says what a standard asks for at this thickness says that it is metal lath, or is on the
    # total
    named = [pair.source for _, _, pair in meshed if "ASTM" in pair.source]
    assert all("metal lath" in source or f"mesh: {COMMON}" in source for source in named)


def test_constants_of_a_site_mix_lie_among_those_in_use():
    # factors of worked examples: lceted.com 2022/09, valuerworld.com 2022/01/11, civilatwork.blogspot.com
    # 2019/09, engineeringdiscoveries.com 2019/07/06; cement 830 to 1650 kg/m³ (answers.com), sand 1550 to
    # 1650 typical (hpdconstructions.com): all secondary
    recipe = mixes.Recipe(sand_parts=4.0)
    assert recipe.wet_to_dry in (1.22, 1.33, 4 / 3, 1.35)
    assert recipe.cement_kg_per_m3 == 1440
    assert 1550 <= recipe.sand_kg_per_m3 <= 1650


@pytest.mark.parametrize(("parts", "kg"), [(3, 510), (4, 380), (5, 310), (6, 250)])
def test_cement_for_a_cubic_metre_of_mortar(parts, kg):
    # Delhi Schedule of Rates, items 3.1 to 3.11, scribd.com/document/894406660; its factor is 1.07 of the
    # sand, ours 1.33 of both, so within a tenth
    assert recipe_need(1.0, mixes.Recipe(sand_parts=parts)).binder_kg == pytest.approx(kg, rel=0.1)


@pytest.mark.parametrize(("parts", "kg"), [(3, 7.34), (4, 5.47), (5, 4.46), (6, 3.60)])
def test_the_published_extra_on_thin_coats_is_no_waste(parts, kg):
    # 0.144 m³ for 10 m² of 12 mm: 20 % over area × thickness, for an uneven wall (engineeringdiscoveries.com
    # 2019/07/06, secondary), with the cement of the Delhi schedule; the survey measures what is uneven
    job_ = inspect.signature(mt.Job).parameters
    waste = job_["waste_share"].default
    assert waste < 0.2
    measured = recipe_need(12e-3 * 1.2, mixes.Recipe(sand_parts=parts)).binder_kg
    assert measured == pytest.approx(kg, rel=0.1)
    assert recipe_need(12e-3 * (1 + waste), mixes.Recipe(sand_parts=parts)).binder_kg < measured


@pytest.mark.parametrize(
    "mix", [mix for mix in DEFAULT_MIXES if mix.family == "gypsum"], ids=lambda mix: mix.name
)
def test_gypsum_takes_what_bags_say(mix):
    # 8 to 13 kg for a square metre of 10 mm, labels of seven makes (a trade article, secondary)
    low, high = catalogue.PUBLISHED_GYPSUM_KG_PER_L
    assert low <= mix.density_kg_per_l <= high
