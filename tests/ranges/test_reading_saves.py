"""What one more reading saves, against nested simulations that try every answer and every order."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from demo import demo
from drawn_faces import drawn_litres
from effort import examples
from hand import job_of
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

import mytakeoff as mt
from mytakeoff.cost.cost import job_cost
from mytakeoff.job.catalogue import PLASTERER
from mytakeoff.job.confidence import Confidence
from mytakeoff.job.job_wall import JobWall
from mytakeoff.ranges.bags_needed import litre_price
from mytakeoff.ranges.job_ranges import JobRanges, by_the_hour, job_ranges
from mytakeoff.ranges.range_table import range_frame
from mytakeoff.ranges.reading_saves import AtStake, Bagged, Saving, reading_price, saved_by_readings
from mytakeoff.simulation.wall_range import Measured, faces_steps
from mytakeoff.steps import run

BAG_L = 28.0
shares = st.lists(st.floats(0.0, 0.33), min_size=1, max_size=3)


def stake(wall_l: np.ndarray, others_l: np.ndarray, unused=8.0, trip=60.0, litre=2.0, confidence=0.8):
    """A wall among others, one mix, bags of 28 l."""
    job_l = wall_l + others_l
    lasts = BAG_L * np.arange(int(job_l.max() / BAG_L) + 12)
    return AtStake(job_l, wall_l, litre, confidence, (Bagged(job_l, wall_l, lasts, unused, trip),))


def cheapest(litres: np.ndarray, unused: float, trip: float) -> float:
    """What being wrong costs on average with the cheapest order: every number of bags is tried."""
    bags = np.ceil(litres / BAG_L)
    tried = range(int(bags.min()), int(bags.max()) + 1)
    return min(float(np.mean(unused * np.maximum(q - bags, 0) + trip * (bags > q))) for q in tried)


@pytest.mark.parametrize("narrows", [0.15, 0.4, 0.9])
@pytest.mark.parametrize("spread_l", [6.0, 25.0])
def test_a_reading_saves_what_a_nested_simulation_says(narrows, spread_l):
    """For each answer the rest of the job is drawn, priced and ordered anew; all of it normal."""
    rng = np.random.default_rng(1)
    wall, others = (rng.permutation(normal(2000, *each)) for each in ((200, spread_l), (300, 12.0)))
    left = normal(2000, 500, np.hypot(np.sqrt(1 - narrows) * spread_l, 12.0))
    said = normal(200, 0, np.sqrt(narrows) * spread_l)
    before = np.add.outer(said, left).ravel()
    bags = cheapest(before, 8.0, 60.0) - np.mean([cheapest(left + each, 8.0, 60.0) for each in said])
    priced = 2.0 * (np.quantile(before, 0.8) - np.quantile(left, 0.8))
    (saving,) = saved_by_readings(stake(wall, others), [narrows], places=4)
    assert float(saving.bags) == pytest.approx(bags, rel=0.1, abs=0.25)
    assert float(saving.priced) == pytest.approx(priced, rel=0.1, abs=0.05)


def normal(count: int, mean: float, sd: float) -> np.ndarray:
    """Figures spread as a normal distribution spreads them."""
    return norm.ppf((np.arange(count) + 0.5) / count, mean, sd)


@examples(60)
@given(shares, st.integers(0, 10_000), st.floats(0, 30), st.floats(0, 90), st.floats(0.02, 0.98))
def test_a_reading_never_costs_and_never_saves_more_than_being_unsure_does(narrows, seed, unused, trip, sure):
    rng = np.random.default_rng(seed)
    wall, others = rng.gamma(2.0, 10.0, 300), rng.normal(300, rng.uniform(0, 30), 300)
    savings = saved_by_readings(stake(wall, others, unused, trip, 2.0, sure), narrows, places=6)
    assert len(savings) == len(narrows)
    assert min(min(each.bags, each.priced) for each in savings) >= 0
    (all_of_it,) = saved_by_readings(stake(wall, others, unused, trip, 2.0, sure), [sum(narrows)], places=6)
    assert sum(each.priced for each in savings) == pytest.approx(all_of_it.priced, abs=Decimal("0.0001"))
    largest = max(unused * np.ceil(600 / BAG_L), trip)
    assert float(sum(each.bags for each in savings)) <= largest + 1e-6


def test_where_the_wall_is_certain_or_the_reading_says_nothing_there_is_nothing_to_save():
    rng = np.random.default_rng(1)
    others, none = rng.normal(300, 12, 500), Saving(Decimal(0), Decimal(0))
    assert saved_by_readings(stake(np.full(500, 200.0), others), [0.4, 0.2]) == (none, none)
    assert saved_by_readings(stake(rng.normal(200, 20, 500), others), [0.0]) == (none,)
    certain = stake(np.full(500, 200.0), np.full(500, 300.0))
    assert saved_by_readings(certain, [0.4]) == (none,)
    assert saved_by_readings(certain, []) == ()


def test_a_dearer_bag_or_trip_makes_a_reading_worth_more():
    rng = np.random.default_rng(2)
    wall, others = rng.normal(200, 25, 2000), np.full(2000, 300.0)
    cheap, dear = (
        saved_by_readings(stake(wall, others, unused, trip), [0.5])[0].bags
        for unused, trip in ((4.0, 30.0), (8.0, 60.0))
    )
    assert dear == pytest.approx(2 * cheap, abs=Decimal("0.01"))
    assert cheap > 1


# -- walls ---------------------------------------------------------------------------------------


def rough(width_m: float, height_m: float, step_m: float, seed: int) -> mt.Survey:
    """An invented wall that leans, bows and is rough, read coarsely in whole millimetres."""
    wall, rng = mt.Wall("A", width_m, height_m), np.random.default_rng(seed)
    x, z = (
        axis.ravel()
        for axis in np.meshgrid(np.arange(0.1, width_m, step_m), np.arange(0.1, height_m, step_m))
    )
    return mt.Survey.from_readings(
        wall, x, z, np.round(3 * z + 6 * np.sin(1.3 * x) + rng.normal(0, 1.5, x.size))
    )


def priced(survey: mt.Survey, **details) -> JobRanges:
    sure = Confidence(extra_trip_price=60.0, unused_bag_share=1.0)
    job = job_of(JobWall(survey.wall, "room", survey, "brick"), ranges=(), sureness=sure, **details)
    return job_ranges(mt.evaluate(job))


def lost(litres: np.ndarray, weights: np.ndarray, sure: JobRanges) -> float:
    """What being unsure of a wall costs: every order tried, and the litres beyond the mean at 80 of 100."""
    job, bag = sure.result.job, sure.walls[0].at_stake
    mix = job.system.backing
    bag_l = mix.bag_kg / mix.density_kg_per_l / (1 + job.waste_share)
    needed = np.ceil(litres / bag_l - job.bag_slack_share)
    unused = 10.0  # what a bag costs in these jobs, and none is taken back
    prices = [
        weights @ (unused * np.maximum(q - needed, 0) + 60.0 * (needed > q))
        for q in range(int(needed.min()), int(needed.max()) + 1)
    ]
    order = np.argsort(litres)
    at = np.interp(0.8, np.cumsum(weights[order]) - weights[order] / 2, litres[order])
    return float(min(prices) + bag.litre_price * max(at - weights @ litres, 0.0))


def test_on_drawn_walls_a_reading_saves_about_what_taking_it_does():
    """Faces in turn are taken for the truth and read there; all faces are bent through each, priced, ordered.

    A straight-line guess is what is said, and what a reading tells of the roughness comes on top: together it
    came to half of what was found, which is itself right to some tenth.
    """
    said = found = 0.0
    rng = np.random.default_rng(0)
    for size in ((2.0, 2.0, 0.7, 3), (2.0, 2.0, 0.9, 5), (4.0, 2.5, 1.2, 7), (4.0, 2.5, 1.0, 8)):
        sure = priced(rough(*size))
        wall, job, rule = sure.walls[0], sure.result.job, sure.result.walls[0].rule
        drawn_faces = run(faces_steps(Measured(job.walls[0].survey, likely=job.sureness.likely)))
        drawn, best = drawn_litres(drawn_faces, rule), wall.readings[0]
        x, z = drawn_faces.places_m
        cell = int(np.hypot(x - best.x_m, z - best.z_m).argmin())
        truths = drawn_faces.proud_mm.reshape(drawn.litres.size, -1)[:: drawn.litres.size // 25, cell]
        after = []
        for mm in truths + rng.normal(0, job.sureness.likely.reading_mm, truths.size):
            bent = drawn_faces.with_reading(best.x_m, best.z_m, float(mm))
            taken = drawn_litres(bent, rule)
            after.append(lost(taken.litres, taken.weights, sure))
        found += lost(drawn.litres, drawn.weights, sure) - float(np.mean(after))
        said += float(wall.savings[0].total)
    assert 0.3 * found < said < 1.2 * found
    assert said > 2


def test_a_wall_whose_litres_are_certain_has_nothing_to_save():
    rng = np.random.default_rng(1)
    x, z = rng.uniform(0, 1.5, 4000), rng.uniform(0, 1.0, 4000)
    scan = mt.Survey.from_readings(mt.Wall("A", 1.5, 1.0), x, z, 5 * x, layout="scan")
    sure = priced(scan)
    assert sure.walls[0].savings == ()
    assert sure.best_readings is None


def test_what_is_priced_by_millimetres_does_not_fall_with_a_reading():
    survey = rough(4.0, 2.5, 1.2, 7)
    at_confidence, by_mm = (priced(survey, missed_high_spot_mm=mm).walls[0] for mm in (None, 4.0))
    assert at_confidence.savings[0].priced > 0
    assert {each.priced for each in by_mm.savings} == {0}
    assert [each.bags for each in by_mm.savings] == [each.bags for each in at_confidence.savings]


def test_the_best_readings_and_their_price_are_the_jobs_and_stand_in_its_file():
    sure = job_ranges(mt.evaluate(demo()))
    best = sure.best_readings
    means = {
        (wall.name, count): sum(each.total for each in wall.savings[:count]) / count
        for wall in sure.walls
        for count in range(1, len(wall.savings) + 1)
    }
    assert (best.wall, best.count) == max(means, key=means.get)
    assert best.each.total == pytest.approx(max(means.values()), abs=Decimal("0.011"))
    hour = demo().prices.of(PLASTERER).price
    assert reading_price(demo()) == round(hour / 30, 2)  # two minutes (common practice, no source)
    rows = range_frame(sure).set_index("figure")
    saved = rows.loc[f"saved on average by measuring on {best.wall}, 1"]
    assert saved["middle_50"] == next(w for w in sure.walls if w.name == best.wall).savings[0].total
    assert saved["unit"] == "EUR"


def test_amounts_have_the_places_of_the_currency():
    job = replace(demo(), money_places=0)
    savings = [each for wall in job_ranges(mt.evaluate(job)).walls for each in wall.savings]
    assert savings
    assert all(each.total == round(each.total) for each in savings)
    assert not any(each.bags.is_signed() or each.priced.is_signed() for each in savings)


def test_a_litre_on_top_costs_its_labour_with_the_margins_on_it():
    """Reckoned from the lines of two tables: bags that are not needed are left over, and counted there."""
    sure = priced(rough(4.0, 2.5, 1.2, 7))
    result, job = sure.result, by_the_hour(sure.result.job)
    bare = job_cost(job, [replace(wall, allowance=()) for wall in result.walls])
    full = job_cost(job, result.walls)
    hours = [
        sum(line.amount for line in cost.lines if line.unit == "h") * cost.total / cost.subtotal
        for cost in (bare, full)
    ]
    more = float(hours[1] - hours[0]) / result.allowance_l
    assert sure.walls[0].at_stake.litre_price == pytest.approx(more)
    assert more > 0.1
    assert litre_price(bare, full, 0.4) == 0.0  # hardly anything is on top
