"""The budget curve: money in bags and half days against the gap that is left."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from demo import demo

import mytakeoff as mt
from mytakeoff.job.edits import with_margins, with_mix, with_price
from mytakeoff.job.treatments import STRAIGHTEN, Treatment
from mytakeoff.options.price_curve import CurvePoint, bare_gap_mm, curve_tolerances, price_curve
from mytakeoff.treatment import bare_wall
from mytakeoff.treatment import filled as repairstages

TOLERANCES = (10.0, 6.0, 4.0, 3.0, 2.0)
GEOMETRY = ("hole_stage", "flush_stage", "straightened_stage")


@pytest.fixture(scope="module")
def job() -> mt.Job:
    """Two walls of the demonstration, one that bows and one that is nearly good, on coarse cells.

    Judged by the user's own tolerance, as the curve is.
    """
    whole = demo()
    own = replace(whole.compare, grade="own")
    return replace(whole, only=("window wall", "door wall"), cell_m=0.1, compare=own)


@pytest.fixture(scope="module")
def curve(job: mt.Job) -> list[CurvePoint]:
    return list(price_curve(job, TOLERANCES))


def gap_by_definition(face: np.ndarray, cell_x: float, cell_z: float, edge_m: float) -> float:
    """Greatest chord minus wall under an edge between any two cells of a line, tried one by one."""
    rows, columns = face.shape
    worst = 0.0
    for across, up in ((1, 0), (0, 1), (1, 1), (1, -1)):
        span = int(edge_m / np.hypot(across * cell_x, up * cell_z) + 1e-9)
        for row in range(rows):
            for column in range(columns):
                line: list[float] = []
                for step in range(span + 1):
                    r, c = row + up * step, column + across * step
                    if not (0 <= r < rows and 0 <= c < columns) or np.isnan(face[r, c]):
                        break
                    line.append(face[r, c])
                    if step > 1:
                        inner = np.arange(1, step)
                        chord = line[0] + (line[-1] - line[0]) * inner / step
                        worst = max(worst, float((chord - np.array(line[1:-1])).max()))
    return worst


def test_it_starts_at_the_bare_wall_and_takes_the_tolerances_in_falling_order(curve) -> None:
    assert [point.tolerance_mm for point in curve] == [None, *TOLERANCES]
    assert curve[0].total == 0
    assert curve[0].bags == curve[0].patches == 0


def test_each_gap_is_the_one_that_the_definition_gives(job: mt.Job, curve) -> None:
    for point in curve[1::2]:
        treatment = Treatment("straightened", STRAIGHTEN)
        compare = replace(job.compare, tolerance_mm=point.tolerance_mm)
        walls = mt.evaluate(replace(job, treatment=treatment, compare=compare)).walls
        gaps = []
        for wall in walls:
            face = wall.surface.proud_mm + wall.build_up.thickness_mm
            dx, dz = np.diff(wall.surface.x_m)[0], np.diff(wall.surface.z_m)[0]
            gaps.append(gap_by_definition(face, dx, dz, job.compare.straightedge_m))
        assert point.gap_mm == pytest.approx(max(gaps), abs=1e-6)
        assert point.gap_mm <= point.tolerance_mm + 1e-5


def test_a_finer_tolerance_never_costs_less(curve) -> None:
    totals = [point.total for point in curve]
    assert totals == sorted(totals)
    assert totals[1] < totals[-1]  # and somewhere it does cost more


def test_money_moves_in_whole_bags_and_half_days(curve) -> None:
    for point in curve:
        assert (2 * point.days) == int(2 * point.days)
        assert isinstance(point.bags, int)


def test_a_point_is_what_the_budget_says_for_that_tolerance(job: mt.Job, curve) -> None:
    compare = replace(job.compare, tolerance_mm=3.0)
    straight = replace(job, treatment=Treatment("straighten and skim", STRAIGHTEN), compare=compare)
    [point] = [point for point in curve if point.tolerance_mm == 3.0]
    assert point.total == mt.evaluate(straight).cost.total


def test_prices_and_densities_move_no_plaster(job: mt.Job, curve) -> None:
    before = {name: getattr(repairstages, name).cache_info().misses for name in GEOMETRY}
    surfaces = bare_wall.surface_stage.cache_info().misses
    dear = list(price_curve(with_price(job, "plasterer", Decimal("51.00")), TOLERANCES))
    heavy = with_mix(job, job.system.backing.name, density_kg_per_l=0.93)
    list(price_curve(with_margins(replace(heavy, waste_share=0.19), tax_share=0.05), TOLERANCES))
    assert {name: getattr(repairstages, name).cache_info().misses for name in GEOMETRY} == before
    assert bare_wall.surface_stage.cache_info().misses == surfaces
    assert all(d.total > p.total for d, p in zip(dear[1:], curve[1:], strict=True))
    assert [point.gap_mm for point in dear] == [point.gap_mm for point in curve]


def test_tolerances_run_from_the_bare_wall_down_to_2_mm(job: mt.Job, curve) -> None:
    assert bare_gap_mm(job) == curve[0].gap_mm
    tolerances = curve_tolerances(job, steps=8)
    assert len(tolerances) == 8
    assert list(tolerances) == sorted(tolerances, reverse=True)
    assert tolerances[0] == pytest.approx(curve[0].gap_mm, abs=0.005)
    assert tolerances[-1] == 2.0
    assert curve_tolerances(job, finest_mm=50.0) == (50.0,)


@pytest.mark.parametrize("tolerance", [0.0, -1.0, float("nan"), float("inf")])
def test_a_tolerance_of_nothing_is_refused(job: mt.Job, tolerance: float) -> None:
    with pytest.raises(mt.TakeoffError, match="more than 0"):
        list(price_curve(job, [3.0, tolerance]))
