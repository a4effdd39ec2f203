"""Default hours against published labour tables, row by row of the same product and operation."""

from __future__ import annotations

import math

import pytest
from hand import NO_RAILS, SITE_MIX, entry_of, flat, job_of

import mytakeoff as mt
from mytakeoff.coats.coats import Coat
from mytakeoff.job import rates
from mytakeoff.job.backgrounds import LATH_KEYS_L_PER_M2, background_of
from mytakeoff.job.catalogue import CEMENT_LIME, GYPSUM_SKIM, LIGHT_GYPSUM, LIME_SAND
from mytakeoff.labour.hours import labour_hours
from mytakeoff.labour.pieces import float_h_per_m2, further_hours
from mytakeoff.measure.materials import mix_needs

RATES = mt.LabourRates()

# one coat of cement plaster, plasterer's hours for a square metre in days of 8 h
CEMENT_COATS = {
    "Indian official analysis: mason 0.07435 day per m² and coat, pdfyar.com (secondary)": 0.07435 * 8,
    "8 mason-days per 100 m² of 12 and 20 mm, civilatwork.blogspot.com": 8 * 8 / 100,
    "Pakistani rate analysis: 6.50 h per 10 m² of 13 mm 1:4, scribd.com/doc/93775305": 6.5 / 10,
}
# labourer's for plasterer's time, water carriers apart
HELPERS = {
    "Pakistani rate analysis: 4.50 for 6.50 h, scribd.com/doc/93775305": 4.5 / 6.5,
    "Indian official analysis: 0.0929 for 0.07435 day, pdfyar.com (secondary)": 0.0929 / 0.07435,
    "12 for 8 days, civilatwork.blogspot.com": 12 / 8,
}


def test_floating_cement_is_the_middle_of_what_is_published_for_it():
    published = sorted(CEMENT_COATS.values())
    assert float_h_per_m2(12.0, CEMENT_LIME, RATES) == pytest.approx(published[1])
    assert pytest.approx(published, abs=0.001) == rates.PUBLISHED_FLOAT_H_PER_M2


@pytest.mark.parametrize("source", CEMENT_COATS)
def test_a_coat_of_cement_takes_what_is_published(source):
    # within a tenth of each row
    assert float_h_per_m2(13.0, CEMENT_LIME, RATES) == pytest.approx(CEMENT_COATS[source], rel=0.1), source


def test_a_further_coat_of_cement_takes_what_every_coat_is_published_at():
    # Indian official analysis: 0.07435 day for each coat; a coat of 10 mm
    each = further_hours([Coat(100.0, 1000.0, 10.0)], CEMENT_LIME, RATES) / 100
    assert each == pytest.approx(0.07435 * 8, rel=0.02)


def test_a_further_coat_of_lime_lies_between_what_is_published():
    # a third coat of lime, 3 mm, takes 2 / 45 - 2 / 65 of a day of 8 h for a square yard of 0.836 m² (two
    # plasterers 40 to 50 sq yd of three-coat, 60 to 70 of two-coat work: Cyclopedia of Carpentry and
    # Building, chestofbooks.com); a coat of cement 0.595 h/m²
    third = (2 / 45 - 2 / 65) * 8 / 0.8361
    assert third == pytest.approx(0.13, abs=0.01)
    assert third < further_hours([Coat(1.0, 10.0, 10.0)], LIME_SAND, RATES) < 0.595
    assert further_hours([Coat(1.0, 3.0, 3.0)], LIME_SAND, RATES) == pytest.approx(third, rel=0.3)


def test_the_labourer_at_site_mixes_lies_in_the_middle_of_what_is_published():
    published = sorted(HELPERS.values())
    assert pytest.approx(published, abs=0.01) == rates.PUBLISHED_LABOURER_SHARE
    assert RATES.labourer_for(SITE_MIX) == pytest.approx(math.prod(published) ** (1 / 3), rel=0.02)
    assert RATES.labourer_for(LIGHT_GYPSUM) < published[0]  # nothing to gauge by the shovel


def test_the_head_sum_of_a_hundred_square_metres():
    # 100 m² of cement plaster 12 mm, mixed on site: 8 mason-days and 12 helper-days,
    # civilatwork.blogspot.com; 65 h and 45 h, scribd.com/doc/93775305
    entry = entry_of(mt.Wall("A", 40.0, 2.5))
    job = job_of(entry, system=mt.System(SITE_MIX), rails=NO_RAILS)
    [task] = [t for t in labour_hours(job, [flat(job, entry, 12.0)]) if t.name == "float backing"]
    assert task.hours == pytest.approx(8 * 8)
    assert 45 <= task.site_mixed_h * RATES.labourer_for(SITE_MIX) <= 12 * 8


def test_a_whole_wall_lies_between_the_lightest_and_the_heaviest_published_work():
    # 42.18 man-h per 100 m² (GESN 2001-15 table 15-02-019-1, one levelling coat; zakonbase.ru) to 131.1
    # (15-02-015-12, on wood lath; geostart.ru), all hands; a wall that is brought to a plane takes longer
    entry = entry_of(mt.Wall("A", 40.0, 2.5))
    job = job_of(entry, system=mt.System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0))
    plasterer = sum(task.hours for task in labour_hours(job, [flat(job, entry, 15.0)]))
    assert 42.18 < plasterer < plasterer * (1 + RATES.labourer_for()) < 1.5 * 131.1


def test_plaster_goes_through_wood_lath():
    # gaps of 9.5 mm between laths of 38 × 6.4 mm (Treatise on Architecture and Building Construction vol. 4,
    # §39)
    through = 9.5 / (38 + 9.5) * 6.4
    # 8 cu ft for 100 sq yd of metal lath (Estimating in Building Construction, example 16-5)
    metal = 8 * 28.317 / 83.61
    assert through < LATH_KEYS_L_PER_M2 <= metal
    # 2.07 and 0.34, 2.3 and 0.21 m³ of mortar for 100 m² on wood lath (GESN 15-02-015-11/-12, geostart.ru),
    # where the plaster is 15 and 20 mm thick (SNiP 3.04.01-87 table 10, extxe.com, secondary)
    assert 15 + LATH_KEYS_L_PER_M2 <= 24.1
    assert 20 + LATH_KEYS_L_PER_M2 <= 25.1
    assert [b for b in ("brick", "stone", "sound old plaster") if background_of(b).keys_l_per_m2] == []


def test_lath_takes_its_keys_on_top_of_what_is_measured():
    entry = entry_of(mt.Wall("A", 4.0, 2.5), background="wood lath")
    job = job_of(entry, system=mt.System(LIME_SAND), rails=NO_RAILS)
    [need] = mix_needs(job, [flat(job, entry, 18.0)])
    assert need.litres == pytest.approx(10 * (18 + LATH_KEYS_L_PER_M2))
