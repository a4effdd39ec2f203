"""What drives the price: each end of a range is a job that can be evaluated by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from demo import demo
from taken_apart import of_walls

import mytakeoff as mt
from mytakeoff.job.edits import with_mix, with_plane, with_price
from mytakeoff.job.ranges import DEFAULT_RANGES, Range
from mytakeoff.job.treatments import FLOAT_PLUMB, STRAIGHTEN, Treatment
from mytakeoff.options.compare import carry
from mytakeoff.ranges.drivers import price_drivers, survey_driver
from mytakeoff.ranges.inputs import ranges_of, total_with, with_input
from mytakeoff.ranges.job_ranges import job_ranges
from mytakeoff.treatment import filled as repairstages
from mytakeoff.treatment import treat as optionwalls
from mytakeoff.treatment.ways import standard_treatments

DENSITY = Range("mix density", 0.9, 1.2)
WASTE = Range("waste", -0.05, 0.1)
LABOUR = Range("labour rate", 0.8, 1.3)


@pytest.fixture(scope="module")
def job() -> mt.Job:
    return replace(demo(), only=("window wall",), cell_m=0.1)


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

    def test_the_survey_s_bar_is_what_the_drawn_faces_do(self, job: mt.Job) -> None:
        """Only the faces drawn: every input that is drawn beside them held still."""
        still = tuple(Range(n, v, v) for n, v in (("mix density", 1.0), ("waste", 0.0), ("labour rate", 1.0)))
        result = mt.evaluate(replace(job, ranges=still))
        alone = job_ranges(result)
        [driver] = [each for each in price_drivers(job) if each.name == "survey"]
        assert (driver.low_total, driver.high_total) == (alone.total_money[0], alone.total_money[2])
        assert driver.base_total == result.cost.total
        assert driver.litres == (alone.litres.low, alone.litres.high)
        assert driver.range is None

    def test_the_survey_s_bar_is_the_user_s_own_range_where_there_is_one(self, job: mt.Job) -> None:
        own = Range("survey", -1.0, 2.0, "our own records")
        told = replace(job, ranges=(own,))
        [driver] = [each for each in price_drivers(told) if each.name == "survey"]
        assert driver == price_drivers(job, [own])[0]
        assert driver.litres is None
        # a bar says what if; how likely that is, the drawn faces say either way
        assert job_ranges(mt.evaluate(told)).total == job_ranges(mt.evaluate(job)).total

    def test_the_least_thickness_is_chosen_and_so_a_bar_but_no_chance(self, job: mt.Job) -> None:
        wide = replace(job, ranges=(Range("least thickness", -5.0, 9.0),))
        bars = [{d.name: d.effect for d in price_drivers(each)}["least thickness"] for each in (job, wide)]
        assert bars[0] < bars[1]
        assert job_ranges(mt.evaluate(wide)).total == job_ranges(mt.evaluate(job)).total

    def test_a_scan_leaves_the_survey_no_bar(self) -> None:
        whole = demo()
        entry = whole.wall("breast left cheek")
        x, z = np.random.default_rng(1).uniform((0, 0), (0.4, 2.6), (2000, 2)).T
        survey = mt.Survey.from_readings(entry.wall, x, z, 5 * z, layout="scan")
        walls = (replace(entry, survey=survey, missed_high_spot_mm=2.0),)
        job = of_walls(whole, walls, cell_m=0.1, compare=replace(whole.compare, beside=()))
        result = mt.evaluate(job)
        driver, job_litres = survey_driver(job_ranges(result)), result.volume_l
        assert driver.effect == 0
        assert driver.litres == pytest.approx((job_litres, job_litres))

    def test_a_survey_that_missed_more_needs_more_allowance(self, job: mt.Job) -> None:
        [before] = mt.evaluate(job).walls
        [after] = mt.evaluate(with_input(job, "survey", 2.0)).walls
        assert after.allowance_mm == pytest.approx(before.allowance_mm + 2.0)
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


CUT_WAYS = [Treatment(kind, kind, take_down=True) for kind in (STRAIGHTEN, FLOAT_PLUMB)]


@pytest.fixture(scope="module", params=CUT_WAYS, ids=lambda way: way.kind)
def cut_job(request) -> mt.Job:
    """A flat plastered wall with one bump 8 mm high, which is taken down rather than buried."""
    whole = demo()
    entry = whole.wall("door wall")
    x, z = (grid.ravel() for grid in np.meshgrid(np.linspace(0.1, 3.3, 6), np.linspace(0.1, 2.5, 5)))
    survey = mt.Survey.from_readings(entry.wall, x, z, 0.3 * x).with_high_spots([(1.2, 1.3, 8.0)])
    job = of_walls(
        whole,
        (replace(entry, survey=survey),),
        cell_m=0.1,
        compare=replace(whole.compare, grade="own", beside=()),
        prices=with_price(whole, "plasterer", Decimal(8)).prices,
    )
    made = carry(job, request.param)
    assert mt.evaluate(made).walls[0].build_up.cut_l > 0.001
    return made


class TestTakenDown:
    """What is taken down is decided once, by what was entered; the rest turns out as it does."""

    DECIDED = (optionwalls.cut_stage, repairstages.cut_and_filled_stage)

    def test_nothing_decides_anew(self, cut_job: mt.Job) -> None:
        before = [stage.cache_info().misses for stage in self.DECIDED]
        for name, high in (("mix density", 1.1), ("waste", 0.08), ("labour rate", 1.2)):
            total_with(cut_job, {name: high})
        assert [stage.cache_info().misses for stage in self.DECIDED] == before

    def test_another_job_decides(self, cut_job: mt.Job) -> None:
        dear = replace(cut_job, rates=replace(cut_job.rates, take_down_h_per_m2=50.0))
        own, planned = mt.evaluate(dear), mt.evaluate(dear, decided_by=cut_job)
        as_entered = mt.evaluate(cut_job)
        assert own.walls[0].build_up.cut_l < as_entered.walls[0].build_up.cut_l
        assert planned.walls[0].build_up.cut_l == pytest.approx(as_entered.walls[0].build_up.cut_l)
        assert planned.walls[0].build_up.volume_l == pytest.approx(as_entered.walls[0].build_up.volume_l)
