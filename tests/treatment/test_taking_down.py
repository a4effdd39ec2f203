"""High spots taken down where it pays, never where the background forbids it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from option_jobs import (
    BEST_CUT,
    STRAIGHT,
    demo_job,
    flat_job,
    nib_job,
)

import mytakeoff as mt
from mytakeoff.coats.build_up import full_coat
from mytakeoff.job.backgrounds import cut_limit_mm
from mytakeoff.options.compare import carry, option_result
from mytakeoff.plane.target_plane import target_plane
from mytakeoff.treatment import treat as optionwalls
from mytakeoff.treatment.left_open import option_walls
from mytakeoff.treatment.unit_prices import cut_price_per_l, cut_price_per_m2, fill_price_per_l
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import treated_wall


@pytest.fixture(scope="module")
def demo() -> mt.Job:
    """The demonstration on coarse cells."""
    return demo_job()


class TestTakingDown:
    def test_prices_come_from_the_job_s_own_list(self, demo) -> None:
        entry, mix = demo.wall("window wall"), demo.system.backing
        hour = 34.00 + 0.5 * 23.00
        # 0.8 kg/l × 1.1 × 13.40 a bag of 25 kg, and 0.02 h a litre
        assert fill_price_per_l(demo, mix, 0.1) == pytest.approx(0.8 * 1.1 * 13.40 / 25 + 0.02 * hour)
        assert cut_price_per_m2(demo) == pytest.approx(0.35 * hour)
        # brick 1.8 kg/l to the tip, and 1.5 times its bulk in sacks of 20 l
        assert cut_price_per_l(demo, entry) == pytest.approx(1.8 * 0.11 + 1.5 / 20 * 0.65)

    def test_a_site_mix_is_priced_by_its_parts(self) -> None:
        mix = mt.Mix("site", 1.55, 25, 8, 12, 25, "cement-lime", recipe=mt.Recipe(sand_parts=6, lime_parts=1))
        job = flat_job(mt.System(mix), "brick")  # every price is 10
        cement = 1.33 / 8 * 1440 / 1000
        lime, sand = 1.33 / 8 * 600 / 1000, 6 * 1.33 / 8 * 1600 / 1000
        material = 10 * (cement / 25 + lime / 25 + sand) * 1.1
        assert fill_price_per_l(job, mix, 0.1) == pytest.approx(material + 0.02 * (10 + 1.1 * 10))

    @pytest.mark.parametrize("way", BEST_CUT, ids=lambda way: way.name)
    def test_it_is_cheaper_than_leaving_high_spots_by_the_prices_it_was_given(self, demo, way) -> None:
        for entry in demo.walls:
            cut, uncut = (
                treated_wall(demo, entry, way),
                treated_wall(demo, entry, replace(way, take_down=False)),
            )
            fill = fill_price_per_l(demo, cut.system.backing, demo.waste_share)
            each_l = optionwalls.price_step(cut_price_per_l(demo, entry) / fill)
            each_m2 = optionwalls.price_step(cut_price_per_m2(demo) / fill)
            worth = cut.build_up.volume_l + each_l * cut.build_up.cut_l + each_m2 * cut.build_up.cut_area_m2
            assert worth <= uncut.build_up.volume_l + 1e-6
            for depth in (0.5, 2.0, 4.0):
                limit = {"brick": 5.0, "sound old plaster": 18.0}.get(entry.background, 0.0)
                if depth <= limit:
                    assert worth <= self._worth(cut, depth, each_l, each_m2) + 0.02

    @pytest.mark.parametrize("way", BEST_CUT, ids=lambda way: way.name)
    def test_the_wall_stands_on_the_cheapest_plane_and_is_set_out_on_it(self, demo, way) -> None:
        job = carry(demo, way)
        result, taken_down = mt.evaluate(job), 0
        for wall, setting in zip(result.walls, mt.set_out(result).walls, strict=True):
            assert setting.wall.plane is wall.plane
            assert wall.deepest_cut_mm == pytest.approx(wall.rule.cut_mm, abs=1e-6)
            limit = cut_limit_mm(wall.entry.background, wall.entry.old_plaster_mm)
            fill = fill_price_per_l(demo, wall.system.backing, demo.waste_share)
            prices = [
                optionwalls.price_step(price / fill)
                for price in (cut_price_per_l(demo, wall.entry), cut_price_per_m2(demo))
            ]
            bare = replace(wall.rule, cut_mm=0.0, cut_worth=None)
            plane = mt.cheapest_plane(wall.surface, bare, 1.0, *prices, cut_limit_mm=limit)
            same = (wall.plane.a_mm, wall.plane.b_mm_per_m, wall.plane.c_mm_per_m)
            assert same == pytest.approx((plane.a_mm, plane.b_mm_per_m, plane.c_mm_per_m), abs=1e-6)
            assert mt.best_cut(wall.surface, bare, 1.0, *prices, cut_limit_mm=limit) == pytest.approx(
                wall.rule.cut_mm, abs=1e-6
            )
            made = wall.build_up
            cost = made.volume_l + prices[0] * made.cut_l + prices[1] * made.cut_area_m2
            assert mt.cheapest_plane_bound(wall.surface, bare, 1.0, *prices, cut_limit_mm=limit) <= cost
            taken_down += made.cut_l > 0
        assert taken_down >= 2

    @staticmethod
    def _worth(wall: WallResult, depth: float, each_l: float, each_m2: float) -> float:
        rule = replace(wall.rule, cut_mm=depth, cut_worth=None)
        made = full_coat(wall.surface, target_plane(wall.surface, rule), rule)
        return made.volume_l + each_l * made.cut_l + each_m2 * made.cut_area_m2

    def test_nothing_is_cut_where_the_background_forbids_it(self, demo) -> None:
        for way in BEST_CUT:
            walls = option_walls(demo, way)
            flues = [wall for wall in walls if wall.entry.background == "chimney flue wall"]
            assert flues
            assert all(wall.build_up.cut_l == 0 for wall in flues)

    def test_a_nib_is_knocked_off_and_not_buried(self) -> None:
        job = nib_job()
        left, cut = (option_walls(job, replace(STRAIGHT, take_down=down))[0] for down in (False, True))
        assert left.build_up.cut_l == 0
        assert cut.build_up.cut_l > 0
        assert cut.build_up.volume_l < left.build_up.volume_l - 1.0
        assert option_result(job, replace(STRAIGHT, take_down=True)).passes

    @pytest.mark.parametrize("way", BEST_CUT, ids=lambda way: way.name)
    def test_taking_down_is_never_dearer_than_leaving(self, demo, way) -> None:
        job = replace(demo, only=("party wall", "window wall"))
        option = option_result(job, replace(way, take_down=True))
        assert option.total <= option_result(job, replace(way, take_down=False)).total
        assert mt.evaluate(carry(job, option.treatment)).cost.total == option.total

    def test_steps_of_a_quarter_are_never_more_than_an_eighth_off(self) -> None:
        for ratio in np.geomspace(0.01, 50, 200):
            assert 1 / 1.125 <= optionwalls.price_step(float(ratio)) / ratio <= 1.125
