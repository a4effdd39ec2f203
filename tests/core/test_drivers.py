"""What drives the price: each end of a range is a job that can be evaluated by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

import mytakeoff as mt
from mytakeoff import optionwalls, repairstages
from mytakeoff.drivers import (
    CHECKS,
    PriceBand,
    band_steps,
    places_of,
    price_band,
    price_drivers,
    ranges_of,
    total_with,
    with_input,
)
from mytakeoff.edits import with_mix, with_plane, with_price
from mytakeoff.options import carry
from mytakeoff.package_files import demo_folder
from mytakeoff.treatments import (
    DEFAULT_RANGES,
    FLOAT_PLUMB,
    STRAIGHTEN,
    Range,
    Treatment,
    standard_treatments,
)

DENSITY = Range("mix density", 0.9, 1.2)
WASTE = Range("waste", -0.05, 0.1)
LABOUR = Range("labour rate", 0.8, 1.3)


@pytest.fixture(scope="module")
def job() -> mt.Job:
    return replace(mt.open_job(demo_folder()), only=("window wall",), cell_m=0.1)


class TestDrivers:
    def test_the_strongest_comes_first(self, job: mt.Job) -> None:
        drivers = price_drivers(job)
        assert {driver.name for driver in drivers} == {each.name for each in DEFAULT_RANGES}
        effects = [driver.effect for driver in drivers]
        assert effects == sorted(effects, reverse=True)
        assert effects[0] > 0

    def test_every_driver_starts_from_the_budget(self, job: mt.Job) -> None:
        assert {driver.base_total for driver in price_drivers(job)} == {mt.evaluate(job).cost.total}

    def test_density_is_every_mix_heavier(self, job: mt.Job) -> None:
        [driver] = price_drivers(job, [DENSITY])
        names = [mix.name for mix in (*job.system.mixes, *job.walls[2].system.mixes)]
        by_hand = {factor: self._denser(job, names, factor) for factor in (DENSITY.low, DENSITY.high)}
        assert (driver.low_total, driver.high_total) == (by_hand[0.9], by_hand[1.2])

    @staticmethod
    def _denser(job: mt.Job, names: list[str], factor: float) -> Decimal:
        for name in names:
            mix = next(m for w in (job, *job.walls) if w.system for m in w.system.mixes if m.name == name)
            job = with_mix(job, name, density_kg_per_l=mix.density_kg_per_l * factor)
        return mt.evaluate(job).cost.total

    def test_waste_is_added_to_coats_and_patches(self, job: mt.Job) -> None:
        [driver] = price_drivers(job, [WASTE])
        for value, total in ((-0.05, driver.low_total), (0.1, driver.high_total)):
            edited = replace(job, waste_share=0.1 + value, patch_waste_share=0.2 + value)
            assert mt.evaluate(edited).cost.total == total

    def test_labour_is_both_wages(self, job: mt.Job) -> None:
        [driver] = price_drivers(job, [LABOUR])
        dear = with_price(with_price(job, "plasterer", Decimal("44.2")), "labourer", Decimal("29.9"))
        assert driver.high_total == mt.evaluate(dear).cost.total  # 34 and 23 × 1.3

    def test_least_thickness_is_the_entered_one_or_the_mix_s_own(self, job: mt.Job) -> None:
        [driver] = price_drivers(job, [Range("least thickness", -1.0, 2.0)])
        assert driver.high_total == mt.evaluate(with_plane(job, least_mm=10.0)).cost.total  # 8 + 2
        entered = with_plane(job, least_mm=9.0)
        [driver] = price_drivers(entered, [Range("least thickness", -1.0, 2.0)])
        assert driver.low_total == mt.evaluate(with_plane(job, least_mm=8.0)).cost.total

    def test_a_survey_that_missed_more_needs_more_allowance(self, job: mt.Job) -> None:
        walls = mt.evaluate(with_input(job, "survey", 2.0)).walls
        assert [wall.allowance_mm for wall in walls] == [6.0]  # 4 where it was not swept
        assert mt.evaluate(with_input(job, "survey", -9.0)).walls[0].allowance_mm == 0.0

    def test_a_survey_that_missed_more_finds_more_hollows(self, job: mt.Job) -> None:
        straight = replace(job, treatment=Treatment("straight", STRAIGHTEN))
        assert with_input(straight, "survey", 1.0).compare.tolerance_mm == 2.0
        [driver] = price_drivers(straight, [Range("survey", -1.0, 1.0)])
        assert driver.low_total <= driver.base_total <= driver.high_total

    def test_each_option_has_its_own(self, job: mt.Job) -> None:
        for treatment in standard_treatments(take_down=False):
            [driver] = price_drivers(replace(job, treatment=treatment), [LABOUR])
            nothing_done = treatment.kind == "as it is"
            assert (driver.effect == 0) == nothing_done

    def test_an_unknown_input_is_refused(self, job: mt.Job) -> None:
        with pytest.raises(mt.TakeoffError, match="mix density"):
            with_input(job, "weather", 1.0)


class TestRanges:
    def test_defaults_are_marked_and_the_users_own_win(self, job: mt.Job) -> None:
        assert all(each.source == "common practice, no source" for each in ranges_of(job))
        own = Range("waste", 0.0, 0.3, "our own records")
        assert own in ranges_of(replace(job, ranges=(own,)))
        assert len(ranges_of(replace(job, ranges=(own,)))) == len(DEFAULT_RANGES)

    @pytest.mark.parametrize(
        ("name", "low", "high"),
        [("mix density", 1.1, 1.2), ("waste", 0.1, -0.1), ("labour rate", 0.0, 2.0), ("weather", 0, 1)],
    )
    def test_what_a_range_must_not_be(self, name: str, low: float, high: float) -> None:
        with pytest.raises(mt.TakeoffError, match="range of"):
            Range(name, low, high)

    def test_a_range_is_tried_at_its_ends_and_at_what_was_entered(self) -> None:
        assert {-0.05, 0.0, 0.1} <= set(places_of(WASTE).tolist())
        assert set(places_of(Range("waste", 0.0, 0.0)).tolist()) == {0.0}


@pytest.fixture(scope="module")
def band(job: mt.Job) -> PriceBand:
    return price_band(job, seed=7, samples=500)


class TestBand:
    def test_it_holds_its_median_and_the_budget(self, job: mt.Job, band: PriceBand) -> None:
        assert band.p10 <= band.p50 <= band.p90
        assert band.p10 <= mt.evaluate(job).cost.total <= band.p90

    def test_the_same_seed_gives_the_same_band(self, job: mt.Job, band: PriceBand) -> None:
        assert price_band(job, seed=7, samples=500) == band
        assert price_band(job, seed=8, samples=500) != band

    def test_it_is_never_wider_than_all_ends_together(self, job: mt.Job, band: PriceBand) -> None:
        base = mt.evaluate(job).cost.total
        drivers = price_drivers(job)
        lowest = base + sum(min(d.low_total, d.high_total) - base for d in drivers)
        highest = base + sum(max(d.low_total, d.high_total) - base for d in drivers)
        # totals between the ends are no further out than the ends: each input moves the total one way
        assert lowest <= band.p10
        assert band.p90 <= highest

    def test_one_input_alone_against_the_job_evaluated_for_each_sample(self, job: mt.Job) -> None:
        samples = 60
        band = price_band(job, [LABOUR], seed=3, samples=samples)
        drawn = np.random.default_rng(3).triangular(0.8, 1.0, 1.3, samples)
        totals = [float(mt.evaluate(with_input(job, "labour rate", float(v))).cost.total) for v in drawn]
        for share, value in ((10, band.p10), (50, band.p50), (90, band.p90)):
            assert float(value) == pytest.approx(np.percentile(totals, share), abs=0.05)
        assert band.error < Decimal("0.1")  # wages are linear, so nothing but rounding is left

    def test_ranges_of_no_width_give_the_budget(self, job: mt.Job) -> None:
        band = price_band(job, [Range("waste", 0.0, 0.0), Range("labour rate", 1.0, 1.0)], samples=10)
        assert {band.p10, band.p50, band.p90} == {mt.evaluate(job).cost.total}
        assert band.error == 0

    def test_it_comes_in_steps(self, job: mt.Job) -> None:
        *steps, last = band_steps(job, [WASTE], samples=20)
        assert steps == [None] * len(steps)
        assert len(steps) == places_of(WASTE).size + CHECKS
        assert last == price_band(job, [WASTE], samples=20)

    @pytest.mark.parametrize(("samples", "seed"), [(9, 1), (100, -1)])
    def test_too_few_samples_are_refused(self, job: mt.Job, samples: int, seed: int) -> None:
        with pytest.raises(mt.TakeoffError, match="samples"):
            price_band(job, samples=samples, seed=seed)


CUT_WAYS = [Treatment(kind, kind, take_down=True) for kind in (STRAIGHTEN, FLOAT_PLUMB)]


@pytest.fixture(scope="module", params=CUT_WAYS, ids=lambda way: way.kind)
def cut_job(request) -> mt.Job:
    """A flat plastered wall with one bump 8 mm high, which is taken down rather than buried."""
    demo = mt.open_job(demo_folder())
    entry = demo.wall("door wall")
    x, z = (grid.ravel() for grid in np.meshgrid(np.linspace(0.1, 3.3, 6), np.linspace(0.1, 2.5, 5)))
    survey = mt.Survey.from_readings(entry.wall, x, z, 0.3 * x).with_high_spots([(1.2, 1.3, 8.0)])
    job = replace(
        demo,
        walls=(replace(entry, survey=survey),),
        cell_m=0.1,
        compare=replace(demo.compare, grade="own", beside=()),
        prices=with_price(demo, "plasterer", Decimal(8)).prices,
    )
    made = carry(job, request.param)
    assert mt.evaluate(made).walls[0].build_up.cut_l > 0.001
    return made


class TestTakenDown:
    """What is taken down is decided once, by what was entered; the rest turns out as it does."""

    DECIDED = (optionwalls.best_cut_stage, repairstages.cut_and_filled_stage)

    def test_no_sample_decides_anew(self, cut_job: mt.Job) -> None:
        before = [stage.cache_info().misses for stage in self.DECIDED]
        band = price_band(cut_job, samples=20)
        assert [stage.cache_info().misses for stage in self.DECIDED] == before
        assert price_band(cut_job, samples=20) == band

    def test_samples_decided_anew_agree_within_the_stated_error(self, cut_job: mt.Job) -> None:
        ranges, samples = ranges_of(cut_job), 10
        assert samples <= CHECKS  # all of them were tried
        band = price_band(cut_job, ranges, seed=5, samples=samples)
        rng, middle = np.random.default_rng(5), {"mix density": 1.0, "labour rate": 1.0}
        drawn = {r.name: rng.triangular(r.low, middle.get(r.name, 0.0), r.high, samples) for r in ranges}
        changes = [{name: float(of[k]) for name, of in drawn.items()} for k in range(samples)]
        once, anew = (
            np.array([float(total_with(cut_job, change, decided=decided)) for change in changes])
            for decided in (True, False)
        )
        for share, value in ((10, band.p10), (50, band.p50), (90, band.p90)):
            assert abs(float(value) - np.percentile(once, share)) <= float(band.error) + 0.01
        # half a day of 4 h at 8 and half of 23 an hour and the dearest draw of labour, with all that is added
        half_day = 4 * (8 + 0.5 * 23) * 1.2 * 1.1 * 1.1 * 1.05 * 1.2
        apart = np.abs(anew - once)  # often a half day, in a job of a day or two
        assert apart.max() <= float(band.error) + half_day

    def test_another_job_decides(self, cut_job: mt.Job) -> None:
        dear = replace(cut_job, rates=replace(cut_job.rates, take_down_h_per_m2=50.0))
        own, planned = mt.evaluate(dear), mt.evaluate(dear, decided_by=cut_job)
        as_entered = mt.evaluate(cut_job)
        assert own.walls[0].build_up.cut_l < as_entered.walls[0].build_up.cut_l
        assert planned.walls[0].build_up.cut_l == pytest.approx(as_entered.walls[0].build_up.cut_l)
        assert planned.walls[0].build_up.volume_l == pytest.approx(as_entered.walls[0].build_up.volume_l)


@pytest.mark.parametrize("way", standard_treatments(take_down=True)[2:], ids=lambda way: way.name)
def test_the_band_of_an_option_with_high_spots_taken_down_holds_its_price(way: Treatment) -> None:
    demo = replace(mt.open_job(demo_folder()), cell_m=0.1)
    option = carry(demo, way)
    band = price_band(option)
    assert band.p10 <= mt.evaluate(option).cost.total <= band.p90


def test_wider_ranges_widen_the_band(job: mt.Job) -> None:
    narrow = [Range("waste", -0.02, 0.02), Range("labour rate", 0.95, 1.05)]
    wide = [Range("waste", -0.06, 0.06), Range("labour rate", 0.85, 1.15)]
    bands = [price_band(job, ranges, samples=200) for ranges in (narrow, wide)]
    assert bands[0].p90 - bands[0].p10 < bands[1].p90 - bands[1].p10
    assert bands[1].p10 < bands[0].p10 < bands[0].p90 < bands[1].p90
