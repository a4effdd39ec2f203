"""The depth of taking down that costs least, against a plain search over many depths and cases by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import oracles
import pytest

import mytakeoff as mt
from mytakeoff.plane.cut_path import CutPath
from mytakeoff.plane.depth_search import cheapest_between
from mytakeoff.plane.rule import CutWorth

SQUARE = mt.PlaneRule(turn_mm_per_m=0.0)


def cost_at(
    surface: mt.Surface, rule: mt.PlaneRule, depth: float, prices: tuple[float, float, float]
) -> float:
    """The definition: the plane re-tilted for the depth, its full coat, priced and not rounded."""
    return cost_of(surface, rule, mt.target_plane(surface, replace(rule, cut_mm=depth)), prices)


def cost_of(
    surface: mt.Surface, rule: mt.PlaneRule, plane: mt.TargetPlane, prices: tuple[float, float, float]
) -> float:
    """What a plane costs, whatever it cuts."""
    coat = mt.full_coat(surface, plane, replace(rule, cut_mm=1e3))
    return prices[0] * coat.volume_l + prices[1] * coat.cut_l + prices[2] * coat.cut_area_m2


def upright_cost(surface: mt.Surface, least: float, depths: np.ndarray, prices: tuple[float, float, float]):
    """The same without the package for a plane that may neither lean nor turn: max + least - depth."""
    wall, area = surface.proud_mm.ravel(), surface.cell_area_m2.ravel()
    plane = np.maximum(wall.max() + least - depths, wall.min() + least)[:, None]
    cut = np.maximum(wall + least - plane, 0)
    cut[cut < 1e-9] = 0
    fill = plane - wall + cut
    return prices[0] * fill @ area + prices[1] * cut @ area + prices[2] * (cut > 0) @ area


def nibbed(seed: int) -> mt.Surface:
    """A small rough wall with a few nibs (mm)."""
    random = np.random.default_rng(seed)
    shape = int(random.integers(2, 8)), int(random.integers(3, 12))
    return oracles.grid_of(random.normal(0, 3, shape) + 12 * (random.random(shape) < 0.05), 0.3)


def seeds(count: int) -> list[Any]:
    """So many walls, of which two show on every run whether the search finds the cheapest."""
    return [0, 1, *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(2, count))]


@pytest.mark.parametrize("seed", seeds(8))
@pytest.mark.parametrize("per_m2", [0.0, 9.0])
def test_no_depth_is_cheaper_on_an_upright_plane(seed: int, per_m2: float) -> None:
    surface = nibbed(seed)
    prices = (1.0, 0.3 + 0.5 * seed, per_m2)
    depth = mt.best_cut(surface, SQUARE, *prices)
    # every cell that begins to be cut is among the depths, so none of the curve's jumps is missed
    begins = surface.proud_mm.max() - surface.proud_mm.ravel()
    depths = np.unique([*np.linspace(0, 20, 20001), *begins[begins <= 20]])
    costs = upright_cost(surface, SQUARE.least_mm, depths, prices)
    mine = upright_cost(surface, SQUARE.least_mm, np.array([depth]), prices)[0]
    assert mine == pytest.approx(cost_at(surface, SQUARE, depth, prices), rel=1e-9)
    # just before a cell begins to be cut is as near as a depth can come to a jump
    assert mine <= costs.min() + 1e-3 * (prices[0] + prices[1]) * surface.net_area_m2
    nearest = depths[costs <= costs.min() * (1 + 1e-9)]
    assert np.abs(nearest - depth).min() <= 0.01


@pytest.mark.parametrize("seed", seeds(6))
@pytest.mark.parametrize("per_m2", [0.0, 12.0])
def test_no_depth_is_cheaper_when_the_plane_tilts(seed: int, per_m2: float) -> None:
    surface, rule = nibbed(seed), (mt.PlaneRule(), mt.PlaneRule(plumb=False))[seed % 2]
    prices = (1.0, 0.5 + 0.7 * seed, per_m2)
    plane = mt.cheapest_plane(surface, rule, *prices)
    assert cost_of(surface, rule, plane, prices) <= min(
        cost_at(surface, rule, float(depth), prices) for depth in np.linspace(0, 20, 81)
    ) * (1 + 1e-6)


def test_the_plane_for_each_depth_is_the_target_plane() -> None:
    """Least litres by a general solver, one hinge a cell."""
    surface, rule = oracles.grid_of(oracles.rough_wall(3, 12, 8)), mt.PlaneRule(plumb=False)
    path = CutPath(surface, rule)
    for depth in (1.0, 4.0, 9.0):
        own = replace(rule, cut_mm=depth)
        fill = path.moved(path.at(depth))[0]
        assert fill == pytest.approx(
            oracles.least_with_cut_by_lp(oracles.cells_of(surface, own), own), rel=1e-7
        )


def test_a_nib_is_knocked_off() -> None:
    """A flat wall of 4 × 2.5 m with one nib 10 mm high: left alone it costs 10 mm of fill everywhere else."""
    proud = np.zeros((25, 40))
    proud[12, 20] = 10.0
    surface = oracles.grid_of(proud)
    assert mt.best_cut(surface, SQUARE, 1.0, 5.0) == pytest.approx(10.0, abs=0.01)
    for rule in (mt.PlaneRule(), mt.PlaneRule(plumb=False)):
        assert mt.best_cut(surface, rule, 1.0, 5.0) == pytest.approx(10.0, abs=0.01)
        # with a price per m² the last hair's breadth would have the whole face scraped: it must not
        depth = mt.best_cut(surface, rule, 1.0, 5.0, cut_price_per_m2=30.0)
        assert depth == pytest.approx(10.0, abs=0.01)
        own = replace(rule, cut_mm=depth)
        assert mt.full_coat(surface, mt.target_plane(surface, own), own).cut_area_m2 == pytest.approx(0.01)


def test_an_area_price_decides_between_nibs() -> None:
    """10 m² with nibs of 12 mm on 0.01 m² and of 8 mm on 0.5 m²; a litre costs 1 to fill, nothing to cut.

    To 4 mm only the small nib is cut: 0.01 m² × price saved against 4 mm × 9.99 m² of fill. From 4 to 12 mm
    the other: at 200 a m² that is 100 for at most 8 × 9.49 = 75.9 l less fill, so it stays; at 100 it goes.
    """
    proud = np.zeros((25, 40))
    proud[2, 3] = 12.0
    proud[10:20, 10:15] = 8.0
    surface = oracles.grid_of(proud)
    assert mt.best_cut(surface, SQUARE, 1.0, 0.0, 200.0) == pytest.approx(4.0, abs=0.01)
    assert mt.best_cut(surface, SQUARE, 1.0, 0.0, 100.0) == pytest.approx(12.0, abs=0.01)


def test_dear_cutting_is_left_alone_and_free_cutting_stops_where_it_saves_nothing() -> None:
    surface = oracles.grid_of([[0.0, 0.0, 3.0, 0.0, 0.0]])
    assert mt.best_cut(surface, SQUARE, 1.0, 4.1) == 0.0  # 4 cells filled for each one cut
    assert mt.best_cut(surface, SQUARE, 1.0, 3.9) == pytest.approx(3.0, abs=0.01)
    assert mt.best_cut(surface, SQUARE, 1.0, 0.0) == pytest.approx(3.0, abs=0.01)
    assert mt.best_cut(surface, SQUARE, 0.0, 0.0) == 0.0


def test_the_limit_binds() -> None:
    surface = oracles.grid_of([[0.0, 0.0, 30.0, 0.0, 0.0]])
    assert mt.best_cut(surface, SQUARE, 1.0, 1.0, cut_limit_mm=7.5) == 7.5
    assert mt.best_cut(surface, SQUARE, 1.0, 1.0) == 20.0
    assert mt.best_cut(surface, SQUARE, 1.0, 1.0, cut_limit_mm=0.0) == 0.0


def test_a_flat_wall_is_left_alone() -> None:
    assert mt.best_cut(oracles.grid_of(np.zeros((5, 8))), mt.PlaneRule(plumb=False), 1.0, 1.0, 1.0) == 0.0


def test_the_rules_own_depth_is_not_read() -> None:
    surface = nibbed(1)
    assert mt.best_cut(surface, replace(SQUARE, cut_mm=9.0), 1.0, 1.0) == mt.best_cut(
        surface, SQUARE, 1.0, 1.0
    )


def test_the_cheapest_place_between_two_planes() -> None:
    """Two cells of 0.5 m², 0 and 4 mm, nothing kept; the plane sinks from 4 to 0: cutting begins at once.

    At share s: fill 0.5·(4 - 4s), cut 0.5·4s. At 1 and 3 a litre the cost rises by 4 from 2 to 6.
    """
    surface = mt.Surface.from_grid(mt.Wall("A", 1.0, 1.0), [0.25, 0.75], [0.5], [[0.0, 4.0]])
    path = CutPath(surface, mt.PlaneRule(least_mm=0.0))
    ends = np.array([4.0, 0.0, 0.0]), np.array([0.0, 0.0, 0.0])
    assert cheapest_between(path, *ends, CutWorth(3.0)) == (0.0, pytest.approx(2.0))
    assert cheapest_between(path, *ends, CutWorth(0.5)) == (1.0, pytest.approx(1.0))


def test_all_wrong_prices_are_told_at_once() -> None:
    with pytest.raises(mt.TakeoffError) as error:
        mt.best_cut(nibbed(1), SQUARE, -1.0, float("nan"), -2.0, cut_limit_mm=-3.0)
    assert len(error.value.mistakes) == 4
