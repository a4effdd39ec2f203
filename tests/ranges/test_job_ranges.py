"""Ranges of walls and jobs, where to measure next, and the price at a confidence."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from demo import demo
from drawn_faces import drawn_litres
from hand import job_of

import mytakeoff as mt
from mytakeoff.job.confidence import Confidence, LikelyWall
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.ranges import DENSITY, LABOUR, WASTE, Range
from mytakeoff.job.treatments import Treatment
from mytakeoff.ranges import job_ranges as sureness
from mytakeoff.ranges.job_ranges import BETWEEN, READING, job_ranges, ranges_steps
from mytakeoff.ranges.wall_prices import lifted
from mytakeoff.simulation import wall_range as wallrange
from mytakeoff.simulation.next_reading import APART_M, CLEAR_M, next_readings
from mytakeoff.simulation.planes_over_faces import Drawn
from mytakeoff.simulation.wall_range import Measured, faces_steps
from mytakeoff.steps import run
from mytakeoff.treatment.left_open import likely_of

NO_RANGES = tuple(Range(name, at, at) for name, at in ((DENSITY, 1.0), (WASTE, 0.0), (LABOUR, 1.0)))
DOOR = mt.Opening("door", 1.4, 0.0, 0.8, 2.0)


def readings(wall: mt.Wall, step_m: float, seed: int = 3, **details) -> mt.Survey:
    """An invented wall that leans, bows and is rough, read in whole millimetres."""
    rng = np.random.default_rng(seed)
    x, z = (
        axis.ravel()
        for axis in np.meshgrid(np.arange(0.1, wall.width_m, step_m), np.arange(0.1, wall.height_m, step_m))
    )
    proud = 3 * z + 6 * np.sin(1.3 * x) + rng.normal(0, 1.5, x.size)
    return mt.Survey.from_readings(wall, x, z, np.round(proud), **details)


def one(step_m: float = 0.5, wall: mt.Wall | None = None, survey: mt.Survey | None = None, **details) -> Job:
    wall = wall or mt.Wall("A", 3.0, 2.4, openings=(DOOR,))
    entry = JobWall(wall, "room", survey or readings(wall, step_m), "brick")
    return job_of(entry, ranges=NO_RANGES, **details)


def width(band) -> float:
    return band.high - band.low


def test_a_wall_read_coarsely_takes_more_than_its_readings_say_and_nobody_knows_how_much():
    result = mt.evaluate(one(0.8))
    sure = job_ranges(result)
    assert result.volume_l < sure.litres.middle
    assert sure.litres.low < sure.litres.middle < sure.litres.high
    assert width(job_ranges(mt.evaluate(one(0.25))).litres) < width(sure.litres)


def test_the_same_job_has_the_same_range_and_steps_lead_to_it():
    result = mt.evaluate(one())
    first = job_ranges(result)
    wallrange._kept.clear()
    sureness._kept.clear()
    last = None

    def all_steps():
        nonlocal last
        last = yield from ranges_steps(result)

    steps = list(all_steps())
    assert set(steps) == {None}
    assert len(steps) > 5
    assert last is not None
    assert (last.litres, last.total, last.mixes) == (first.litres, first.total, first.mixes)


def test_a_swept_wall_leaves_less_open():
    wall = mt.Wall("A", 3.0, 2.4)
    survey = readings(wall, 0.5)
    open_, swept = (
        job_ranges(mt.evaluate(one(wall=wall, survey=s))) for s in (survey, replace(survey, swept=True))
    )
    assert width(swept.litres) < width(open_.litres)
    assert swept.litres.middle < open_.litres.middle


def test_a_laid_edge_keeps_the_faces_down_where_it_lay():
    wall = mt.Wall("A", 3.0, 2.4)
    survey = readings(wall, 0.5)
    laid = survey.with_sweeps([mt.LaidEdge(0.4, 0.6, 2.0, gap_mm=12.0)])
    ceiling = Measured(laid).ceiling_mm(Measured(laid).surface())
    x, z = np.meshgrid(Measured(laid).surface().x_m, Measured(laid).surface().z_m)
    near = (x > 0.4) & (x < 2.4) & (np.abs(z - 0.6) < wallrange.HAND_M - 0.01)
    far = np.abs(z - 0.6) > wallrange.HAND_M + 0.01
    assert np.isfinite(ceiling[near]).all()
    assert np.isinf(ceiling[far]).all()


def test_a_scan_leaves_nothing_between_its_points():
    wall = mt.Wall("A", 1.5, 1.0)
    rng = np.random.default_rng(1)
    x, z = rng.uniform(0, 1.5, 4000), rng.uniform(0, 1.0, 4000)
    survey = mt.Survey.from_readings(wall, x, z, 5 * x, layout="scan")
    result = mt.evaluate(one(wall=wall, survey=survey))
    sure = job_ranges(result)
    assert (sure.litres.low, sure.litres.high) == pytest.approx((result.volume_l, result.volume_l))
    assert sure.walls[0].readings == ()


def test_a_wall_that_is_left_as_it_is_takes_nothing_and_has_no_range():
    sure = job_ranges(mt.evaluate(one(treatment=Treatment("left", "as it is", skim=False))))
    assert sure.walls == ()
    assert {*sure.litres.rounded(3), *sure.bags.rounded(0), *sure.total_money} == {0}
    assert sure.total_shares == ()


def test_a_range_is_found_again_after_an_edit_of_prices_without_drawing_or_placing_anything(monkeypatch):
    job = one()
    first = job_ranges(mt.evaluate(job))
    for name in ("range_steps", "faces_steps"):
        monkeypatch.setattr(sureness, name, _kept_only(getattr(sureness, name), name))
    again = job_ranges(mt.evaluate(replace(job, waste_share=0.2)))
    assert again.litres == first.litres
    assert again.total.middle > first.total.middle


def _kept_only(steps, name: str):
    def only(*details):
        assert name == "faces_steps", "a plane was placed anew"
        taken = []

        def told():
            taken.append((yield from steps(*details)))

        assert list(told()) == [], "faces were drawn anew"
        return taken[0]
        yield  # a generator, as what it stands for

    return only


def test_shares_add_up_and_say_what_the_range_comes_of():
    job = replace(one(), ranges=())
    sure = job_ranges(mt.evaluate(job))
    for shares, names in (
        (sure.litre_shares, {BETWEEN, READING}),
        (sure.total_shares, {BETWEEN, READING, DENSITY, WASTE, LABOUR}),
    ):
        assert {name for name, _ in shares} == names
        assert sum(share for _, share in shares) == pytest.approx(1.0)
        assert [share for _, share in shares] == sorted((share for _, share in shares), reverse=True)


def test_coarse_reading_makes_a_larger_share_of_the_range():
    fine, coarse = (
        dict(
            job_ranges(
                mt.evaluate(one(0.3, sureness=Confidence(likely=LikelyWall(reading_mm=mm))))
            ).litre_shares
        )
        for mm in (0.3, 2.0)
    )
    assert fine[READING] < coarse[READING]


def test_bags_and_money_follow_the_litres():
    """Reckoned anew: kilograms = litres × density × (1 + waste), whole bags; only bags move the price."""
    job = one(0.8, waste_share=0.1)
    sure = job_ranges(mt.evaluate(job))
    mix = job.system.backing
    for litres, bags in (
        (sure.litres.low, sure.mixes[0].bags.low),
        (sure.litres.high, sure.mixes[0].bags.high),
    ):
        assert bags == pytest.approx(np.ceil(litres * mix.density_kg_per_l * 1.1 / mix.bag_kg), abs=1)
    assert sure.total.low < sure.total.middle < sure.total.high
    assert all(isinstance(amount, Decimal) for amount in sure.total_money)


def test_a_wider_density_takes_more_bags_at_the_top():
    narrow = one(0.8)
    wide = replace(narrow, ranges=(Range(DENSITY, 0.5, 2.0), *NO_RANGES[1:]))
    bags = [job_ranges(mt.evaluate(job)).mixes[0].bags for job in (narrow, wide)]
    assert bags[1].high > bags[0].high


def test_lifting_a_wall_adds_its_area_times_the_lift():
    result = mt.evaluate(one())
    wall = result.walls[0]
    for by_mm in (-3.0, 0.0, 7.0):
        up = lifted(wall, by_mm)
        expected = wall.build_up.volume_l + by_mm * wall.build_up.area_m2
        assert up.build_up.volume_l == pytest.approx(expected)
        assert sum(layer.volume_l for layer in up.layers) == pytest.approx(expected)


def test_faces_do_not_depend_on_what_was_drawn_before():
    """The same job gives the same litres, whatever was opened before it: here with one reading fewer."""
    job = one(0.6)
    survey = job.walls[0].survey
    fewer = mt.Survey.from_readings(survey.wall, survey.x_m[:-1], survey.z_m[:-1], survey.proud_mm[:-1])
    measured = _measured(job)
    run(faces_steps(replace(measured, survey=fewer)))
    after = run(faces_steps(measured)).proud_mm
    wallrange._kept.clear()
    assert np.array_equal(run(faces_steps(measured)).proud_mm, after)


def test_faces_do_not_depend_on_the_order_of_the_readings():
    job = one(0.6)
    survey, measured = job.walls[0].survey, _measured(job)
    order = np.random.default_rng(4).permutation(survey.x_m.size)
    other = mt.Survey.from_readings(survey.wall, survey.x_m[order], survey.z_m[order], survey.proud_mm[order])
    faces = [run(faces_steps(replace(measured, survey=each))).proud_mm for each in (survey, other)]
    assert faces[0] == pytest.approx(faces[1], abs=1e-3)


def _measured(job: Job) -> Measured:
    entry = job.walls[0]
    return Measured(entry.survey, entry.loose, job.reach_m, job.loose_growth_share, likely_of(job, entry))


def test_places_to_measure_are_clear_and_apart():
    job = one(0.6)
    survey, found = job.walls[0].survey, job_ranges(mt.evaluate(job)).walls[0].readings
    assert len(found) == 3
    assert [place.narrows_share for place in found] == sorted((p.narrows_share for p in found), reverse=True)
    for nth, place in enumerate(found):
        in_door = DOOR.x_m - CLEAR_M < place.x_m < 2.2 + CLEAR_M and place.z_m < 2.0 + CLEAR_M
        assert not in_door
        assert np.hypot(survey.x_m - place.x_m, survey.z_m - place.z_m).min() >= APART_M / 2
        for other in found[:nth]:
            assert np.hypot(other.x_m - place.x_m, other.z_m - place.z_m) >= APART_M - 1e-6


def test_a_gap_in_the_readings_is_measured_next():
    wall = mt.Wall("A", 3.0, 2.4)
    survey = readings(wall, 0.3)
    keep = survey.x_m < 1.7
    thin = mt.Survey.from_readings(wall, survey.x_m[keep], survey.z_m[keep], survey.proud_mm[keep])
    best = job_ranges(mt.evaluate(one(survey=thin, wall=wall, reach_m=2.0))).walls[0].readings[0]
    assert best.x_m > 1.7


def variance(drawn: Drawn) -> float:
    """Of the drawn litres [l²]."""
    return float(drawn.weights @ (drawn.litres - drawn.weights @ drawn.litres) ** 2)


def test_a_reading_narrows_the_range_at_least_as_it_was_said_to():
    """Each of some faces is taken for the truth and read there: a straight-line guess leaves no less.

    Without nibs, of which no reading tells.
    """
    wall = mt.Wall("A", 2.0, 2.0)
    job = one(survey=readings(wall, 0.7), wall=wall, sureness=Confidence(likely=LikelyWall(nibs_per_m2=0.0)))
    measured, rule = _measured(job), mt.evaluate(job).walls[0].rule
    drawn_faces = run(faces_steps(measured))
    drawn = drawn_litres(drawn_faces, rule)
    best = next_readings(drawn_faces, drawn, 1)[0]
    x, z = drawn_faces.places_m
    cell = int(np.hypot(x - best.x_m, z - best.z_m).argmin())
    truths = drawn_faces.proud_mm.reshape(len(drawn.litres), -1)[:: len(drawn.litres) // 20, cell]
    left = [
        variance(drawn_litres(drawn_faces.with_reading(best.x_m, best.z_m, float(mm)), rule)) for mm in truths
    ]
    assert best.narrows_share > 0.04
    assert np.mean(left) < (1.02 - best.narrows_share) * variance(drawn)


def test_what_lies_between_the_readings_is_priced_at_the_confidence_or_by_millimetres():
    job = one(0.8)
    surer = replace(job, sureness=Confidence(confidence_share=0.99))
    by_mm = replace(job, missed_high_spot_mm=4.0)
    at, above, plain = (mt.evaluate(each).walls[0] for each in (job, surer, by_mm))
    drawn = job_ranges(mt.evaluate(job)).walls[0].range.drawn
    assert at.build_up.volume_l + at.allowance_l == pytest.approx(drawn.at(0.8), abs=0.05)
    assert above.build_up.volume_l + above.allowance_l == pytest.approx(drawn.at(0.99), rel=0.01)
    assert plain.allowance_mm == pytest.approx(4.0)
    own = replace(job, walls=(replace(job.walls[0], missed_high_spot_mm=1.0),))
    assert mt.evaluate(own).walls[0].allowance_mm == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (lambda: Confidence(confidence_share=1.0), "confidence share 1 .100 %.; it is above 0 and under 1"),
        (lambda: Confidence(unused_bag_share=1.5), "unused bag share 1.5"),
        (lambda: Confidence(extra_trip_price=-1.0), "extra trip price -1"),
        (lambda: LikelyWall(reading_mm=0.0), "reading 0 mm"),
    ],
)
def test_what_cannot_be_is_refused(made, said):
    with pytest.raises(mt.TakeoffError, match=said):
        made()


def test_the_bags_bought_last_at_the_confidence_that_is_priced():
    """One confidence: mixed as priced, no mix of the demo runs short in more than 20 of 100."""
    mixes = job_ranges(mt.evaluate(demo())).mixes
    assert mixes
    assert all(mix.order.short_share <= 0.2 for mix in mixes)


def test_an_extra_trip_costs_what_the_mix_s_supplier_takes_to_deliver():
    """In the demo all mixes come from the quay, 38 a delivery; the price list's 48 is for no supplier."""
    result = mt.evaluate(demo())
    assert {mix.order.trip_price for mix in job_ranges(result).mixes} == {38.0}
    bare = replace(demo(), packs=mt.PackList(), buying=mt.Buying())
    assert {mix.order.trip_price for mix in job_ranges(mt.evaluate(bare)).mixes} == {48.0}
