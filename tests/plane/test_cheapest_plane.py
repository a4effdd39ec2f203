"""The plane that costs least in filling and taking down, against a general solver over planes and cells."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import oracles
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from option_jobs import demo_job
from plane_rules import RULES

import mytakeoff as mt
from mytakeoff.job.backgrounds import cut_limit_mm
from mytakeoff.plane.cut_path import CutPath
from mytakeoff.plane.depth_search import best_depth
from mytakeoff.plane.rule import CutWorth
from mytakeoff.treatment.bare_wall import bare_surface
from mytakeoff.treatment.floated import rule_for

SOME_RULES = ["plumb", "square", "free", "lean limit", "turn limit", "lean and turn limit"]
PRICES = [(1.0, 0.0), (1.0, 0.3), (2.0, 2.0), (1.0, 4.0), (1.5, 12.0), (1.0, 200.0)]
Prices = tuple[float, ...]


def cost_of(surface: mt.Surface, plane: mt.TargetPlane, rule: mt.PlaneRule, *prices: float) -> float:
    """The definition: a full coat, priced and not rounded; it refuses what the rule does not allow."""
    coat = mt.full_coat(surface, plane, rule)
    return float(np.array([coat.volume_l, coat.cut_l, coat.cut_area_m2])[: len(prices)] @ prices)


class TestByTheLitre:
    @pytest.mark.parametrize("prices", PRICES)
    @pytest.mark.parametrize("name", SOME_RULES)
    def test_it_is_the_least_of_a_linear_programme(self, name: str, prices: Prices) -> None:
        for seed, limit in ((0, 20.0), (1, 2.0)):
            surface = oracles.grid_of(oracles.rough_wall(seed, nx=12, nz=8), cell_m=0.25)
            self.check(surface, mt.PlaneRule(**RULES[name]), prices, limit)

    @given(
        arrays(np.float64, (4, 6), elements=st.integers(-30, 30).map(float)),
        st.sampled_from(sorted(RULES)),
        st.sampled_from(PRICES),
        st.sampled_from([0.0, 1.0, 4.0, 15.0, 70.0]),
    )
    @examples(60)
    def test_on_any_wall(self, proud: np.ndarray, name: str, prices: Prices, limit: float) -> None:
        self.check(oracles.grid_of(proud, cell_m=0.4), mt.PlaneRule(**RULES[name]), prices, limit)

    def test_with_rails_and_an_opening(self) -> None:
        opening = mt.Opening("hatch", 0.61, 0.43, 0.7, 0.6)
        surface = oracles.grid_of(oracles.rough_wall(3, nx=12, nz=8), cell_m=0.25, openings=[opening])
        rule = mt.PlaneRule(rails_x_m=(0.3, 1.6, 2.9), rail_least_mm=9.0)
        for prices in PRICES:
            self.check(surface, rule, prices, 8.0)

    @pytest.mark.parametrize("kind", ["plumb", "free"])
    def test_on_the_walls_of_the_demonstration(self, kind: str) -> None:
        """Cells of 10 cm, so that the general solver answers too; the readings bind the plane as well.

        Without rails: the solver's readings do not know which of them lie under one.
        """
        job = replace(demo_job(), cell_m=0.1)
        job = replace(job, plane=replace(job.plane, kind=kind))
        for entry in job.walls:
            limit = cut_limit_mm(entry.background, entry.old_plaster_mm)
            rule = replace(rule_for(job, entry), rails_x_m=())
            self.check(bare_surface(job, entry), rule, (1.0, 0.8), limit)

    @staticmethod
    def check(surface: mt.Surface, rule: mt.PlaneRule, prices: Prices, limit: float) -> None:
        plane = mt.cheapest_plane(surface, rule, *prices, cut_limit_mm=limit)
        own = replace(rule, cut_mm=limit)
        mine = cost_of(surface, plane, own, *prices)
        read = surface.points
        cells = oracles.cells_of(surface, own, np.column_stack([read.x_m, read.z_m, read.proud_mm]))
        assert mine == pytest.approx(oracles.cheapest_by_lp(cells, own, *prices), rel=1e-6)
        assert oracles.cells_of(surface, own).clearance(plane).min() >= -limit - 1e-6
        (b_low, b_high), (c_low, c_high) = rule.bounds
        assert b_low - 1e-9 <= plane.b_mm_per_m <= b_high + 1e-9
        assert c_low - 1e-9 <= plane.c_mm_per_m <= c_high + 1e-9
        bound = mt.cheapest_plane_bound(surface, rule, *prices, cut_limit_mm=limit)
        assert bound <= mine * (1 + 1e-9)
        assert bound == pytest.approx(mine, rel=2e-6, abs=1e-6)


class TestByHand:
    def test_the_price_decides_how_many_cells_are_cut(self) -> None:
        """Five cells of 1 m², 0, 1, 2, 3 and 10 mm; square. At prices 1 and r the plane sinks while it fills
        more than r times the area it cuts: to the cell at 3 mm for r in 1.5 … 4, at 2 mm for 2/3 … 1.5.
        """
        wall = mt.Wall("A", 5.0, 1.0)
        surface = mt.Surface.from_grid(wall, [0.5, 1.5, 2.5, 3.5, 4.5], [0.5], np.array([[0, 1, 2, 3, 10.0]]))
        rule = mt.PlaneRule(least_mm=5.0, turn_mm_per_m=0.0)
        for ratio, rests_on in ((4.1, 10.0), (3.9, 3.0), (1.6, 3.0), (1.4, 2.0), (0.7, 2.0), (0.6, 1.0)):
            plane = mt.cheapest_plane(surface, rule, 1.0, ratio)
            assert plane.a_mm == pytest.approx(rests_on + 5.0, abs=1e-6)

    def test_a_nib_is_cut_off_a_true_wall_that_leans(self) -> None:
        """A true wall leaning 4 mm/m with a nib of 20 mm: it is cut off, and the face lies on the wall."""
        z, x = np.mgrid[0:10, 0:10] * 0.25 + 0.125
        proud = 4.0 * z
        proud[9, 5] += 20.0
        surface = mt.Surface.from_grid(mt.Wall("A", 2.5, 2.5), x[0], z[:, 0], proud)
        plane = mt.cheapest_plane(surface, mt.PlaneRule(plumb=False), 1.0, 10.0)
        assert plane.c_mm_per_m == pytest.approx(4.0, abs=1e-6)
        assert plane.at(0.0, 0.0) == pytest.approx(5.0, abs=1e-6)
        assert [(touch.x_m, touch.z_m) for touch in plane.touches] == [(1.375, 2.375)]

    def test_nothing_to_weigh(self) -> None:
        surface = oracles.grid_of(oracles.rough_wall(2))
        uncut = mt.target_plane(surface, mt.PlaneRule())
        asked = [((0.0, 0.0), 20.0), ((0.0, 3.0), 20.0), ((1.0, 1e300), 20.0), ((1.0, 0.1), 0.0)]
        for prices, limit in asked:
            assert mt.cheapest_plane(surface, mt.PlaneRule(), *prices, cut_limit_mm=limit) == uncut

    @pytest.mark.parametrize("shape", [(1, 1), (1, 6), (6, 1)])
    def test_slopes_that_cost_nothing_stay_calm(self, shape: tuple[int, int]) -> None:
        """A single row or column of cells leaves its lean or turn open."""
        random = np.random.default_rng(1)
        surface = oracles.grid_of(random.normal(0, 5, shape))
        plane = mt.cheapest_plane(surface, mt.PlaneRule(plumb=False), 1.0, 0.7)
        open_slopes = [plane.b_mm_per_m] * (shape[1] == 1) + [plane.c_mm_per_m] * (shape[0] == 1)
        assert np.abs(open_slopes).max() <= 1e-6


class TestByTheSquareMetre:
    @pytest.mark.parametrize("name", SOME_RULES)
    @pytest.mark.parametrize("per_m2", [0.5, 6.0, 40.0])
    def test_never_dearer_than_least_fill_at_its_best_depth_nor_cheaper_than_the_bound(
        self, name: str, per_m2: float
    ) -> None:
        nibs = 12.0 * (np.random.default_rng(4).random((8, 12)) < 0.05)
        surface = oracles.grid_of(oracles.rough_wall(4, nx=12, nz=8) + nibs, cell_m=0.25)
        self.check(surface, mt.PlaneRule(**RULES[name]), (1.0, 0.4, per_m2), 15.0)

    @given(
        arrays(np.float64, (4, 6), elements=st.integers(-30, 30).map(float)),
        st.sampled_from(sorted(RULES)),
        st.sampled_from([0.2, 3.0, 20.0]),
        st.sampled_from([1.0, 6.0, 40.0]),
    )
    @examples(8)
    def test_on_any_wall(self, proud: np.ndarray, name: str, per_m2: float, limit: float) -> None:
        surface = oracles.grid_of(proud, cell_m=0.4)
        self.check(surface, mt.PlaneRule(**RULES[name]), (1.0, 0.4, per_m2), limit)

    @pytest.mark.parametrize("kind", ["plumb", "free"])
    def test_on_the_walls_of_the_demonstration(self, kind: str) -> None:
        job = replace(demo_job(), plane=replace(demo_job().plane, kind=kind))
        for entry in job.walls:
            if limit := cut_limit_mm(entry.background, entry.old_plaster_mm):
                self.check(bare_surface(job, entry), rule_for(job, entry), (1.0, 0.17, 11.6), limit)

    @staticmethod
    def check(surface: mt.Surface, rule: mt.PlaneRule, prices: Prices, limit: float) -> None:
        plane = mt.cheapest_plane(surface, rule, *prices, cut_limit_mm=limit)
        mine = cost_of(surface, plane, replace(rule, cut_mm=limit), *prices)
        path = CutPath(surface, rule)
        before = best_depth(path, CutWorth(*prices[1:]), limit)
        assert mine <= prices[0] * before.cost * (1 + 1e-9)
        uncut = replace(rule, cut_mm=0.0)
        assert mine <= cost_of(surface, mt.target_plane(surface, uncut), uncut, *prices) * (1 + 1e-9)
        bound = mt.cheapest_plane_bound(surface, rule, *prices, cut_limit_mm=limit)
        by_litre = prices[1] + prices[2] / limit
        own = replace(rule, cut_mm=limit)
        if path.area_m2.size < 500:
            told = oracles.cheapest_by_lp(oracles.cells_of(surface, own), own, prices[0], by_litre)
            assert bound == pytest.approx(told, rel=2e-6)
        assert bound <= mine * (1 + 1e-9)

    @pytest.mark.parametrize("seed", range(4))
    @pytest.mark.parametrize("name", ["square", "plumb"])
    def test_no_plane_of_a_fine_search_is_much_cheaper(self, seed: int, name: str) -> None:
        """Every height of a cell for a great many turns, without the package's search: within 1 %."""
        nibs = 9.0 * (np.random.default_rng(seed).random((6, 9)) < 0.08)
        surface = oracles.grid_of(oracles.rough_wall(seed, nx=9, nz=6) + nibs, cell_m=0.3)
        rule, prices, limit = mt.PlaneRule(**RULES[name]), (1.0, 0.4, 6.0), 12.0
        mine = cost_of(
            surface,
            mt.cheapest_plane(surface, rule, *prices, cut_limit_mm=limit),
            replace(rule, cut_mm=limit),
            *prices,
        )
        cells = oracles.cells_of(surface, rule)
        turns = [rule.turn_mm_per_m] if name == "square" else np.linspace(-20, 20, 2001)
        assert mine <= min(oracles.cheapest_height(cells, turn, limit, *prices) for turn in turns) * 1.01

    def test_a_hair_s_breadth_is_not_scraped_off_a_whole_wall(self) -> None:
        """10 m² with a nib: the plane rests on the face beside it, which costs nothing by area."""
        proud = np.zeros((25, 40))
        proud[12, 20] = 10.0
        surface = oracles.grid_of(proud)
        rule = mt.PlaneRule(plumb=False, cut_mm=20.0)
        coat = mt.full_coat(surface, mt.cheapest_plane(surface, rule, 1.0, 5.0, 30.0), rule)
        assert coat.cut_area_m2 == pytest.approx(0.01)
        assert coat.volume_l == pytest.approx(50.0)

    def test_to_look_again_near_the_answer_gives_the_answer(self) -> None:
        for seed in range(3):
            surface = oracles.grid_of(oracles.rough_wall(seed, nx=30, nz=20))
            rule = mt.PlaneRule(plumb=False)
            plane = mt.cheapest_plane(surface, rule, 1.0, 0.4, 6.0)
            depth = mt.best_cut(surface, rule, 1.0, 0.4, 6.0)
            worth = CutWorth(0.4, 6.0, near=(plane.b_mm_per_m, plane.c_mm_per_m))
            again = mt.target_plane(surface, replace(rule, cut_mm=depth, cut_worth=worth))
            assert (again.a_mm, again.b_mm_per_m, again.c_mm_per_m) == pytest.approx(
                (plane.a_mm, plane.b_mm_per_m, plane.c_mm_per_m), abs=1e-8
            )


def test_all_wrong_prices_are_told_at_once() -> None:
    surface = oracles.grid_of(np.zeros((3, 4)))
    for ask in (mt.cheapest_plane, mt.cheapest_plane_bound):
        with pytest.raises(mt.TakeoffError) as error:
            ask(surface, mt.PlaneRule(), -1.0, float("nan"), -2.0, cut_limit_mm=-3.0)
        assert len(error.value.mistakes) == 4
        with pytest.raises(mt.TakeoffError, match="rail"):
            ask(surface, mt.PlaneRule(rails_x_m=(9.0,)), 1.0, 1.0)
