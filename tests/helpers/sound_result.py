"""What holds of every result, whatever was entered: finite, nothing negative, and all that adds up does."""

from __future__ import annotations

import math
from dataclasses import fields
from decimal import Decimal

import numpy as np
import pytest

import mytakeoff as mt
from mytakeoff.ranges.band import Band
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.units import round_money

NEAR = 1e-9
SMALL_L = 1e-6


def finite(value: float, low: float = -math.inf) -> None:
    assert math.isfinite(value), value
    assert value >= low - NEAR, value


def check_result(result: mt.Result) -> None:
    """A result's walls, mixes and money."""
    assert len(result.walls) == len(result.job.priced_walls)
    unread = {wall.name for wall in result.job.unread_walls}
    assert result.walls or not result.job.chosen_walls or len(result.not_read) >= 1, (
        "nothing is priced, unsaid"
    )
    assert not unread & {wall.entry.name for wall in result.walls}
    for wall in result.walls:
        check_wall(wall)
    for need in result.needs:
        for value in (need.litres, need.priced_l, need.dry_kg, need.bags, need.bag_kg, need.water_l):
            finite(value, low=0.0 if value is not need.priced_l else -math.inf)
        spared = need.bag_kg * result.job.bag_slack_share
        assert need.recipe is not None or need.bags * need.bag_kg >= need.dry_kg - spared - 1e-6
    for value in (
        result.volume_l,
        result.litres,
        result.area_m2,
        result.dry_kg,
        result.max_mm,
        result.mean_mm,
    ):
        finite(value, low=0.0)
    assert result.litres == pytest.approx(result.volume_l + result.allowance_l)
    check_cost(result)


def check_wall(wall: WallResult) -> None:
    """Its plaster is nowhere less than nothing, its coats and layers hold all of it."""
    build_up = wall.build_up
    priced = build_up.surface.cell_area_m2 > 0
    known = np.isfinite(build_up.surface.proud_mm) & priced
    for values in (build_up.thickness_mm, build_up.cut_mm):
        there = values[known]
        assert np.isfinite(there).all()
        assert (there >= -NEAR).all()
    finite(build_up.volume_l, low=0.0)
    layers_l = sum(layer.volume_l for layer in wall.layers)
    assert layers_l == pytest.approx(build_up.volume_l, rel=1e-6, abs=SMALL_L)
    for layer in wall.layers:
        for coat in layer.coats:
            for value in (coat.area_m2, coat.volume_l, coat.max_mm):
                finite(value, low=-SMALL_L)
            assert coat.volume_l <= coat.area_m2 * coat.max_mm + SMALL_L * (1 + coat.volume_l)
    if wall.floated:
        assert build_up.area_m2 == 0 or (build_up.thickness_mm[known] >= wall.rule.least_mm - 1e-6).all()
    finite(wall.allowance_l)
    finite(wall.rail_m, low=0.0)


def check_cost(result: mt.Result) -> None:
    """Amounts are quantity × price, and add up in every view of them."""
    cost = result.cost
    for line in (*cost.lines, *cost.markups):
        for value in (line.quantity, line.price, line.amount):
            assert value.is_finite()
            assert value >= 0
    for line in cost.lines:
        assert line.amount == round_money(line.quantity * line.price, cost.money_places)
    amounts = sum((line.amount for line in (*cost.lines, *cost.markups)), Decimal(0))
    assert amounts == cost.total == cost.before_tax + cost.tax
    assert sum((row.amount for row in cost.client_rows), Decimal(0)) == cost.total
    assert all(row.amount >= 0 for row in cost.client_rows)
    assert sum(cost.to_frame()["amount"]) == cost.total


def check_headline(told: mt.Headline) -> None:
    """Every figure is one, and ranges stand in their order."""
    for entry in fields(told):
        value = getattr(told, entry.name)
        if isinstance(value, (int, float, Decimal)):
            assert math.isfinite(value), entry.name
    if told.litres_10 is not None:
        assert told.litres_10 <= told.litres_50 + NEAR
        assert told.litres_50 <= told.litres_90 + NEAR
    assert told.site_days >= 0
    assert told.visits >= 0


def check_band(band: Band) -> None:
    """The median lies within the range."""
    for value in (band.low, band.middle, band.high):
        finite(value)
    assert band.low - NEAR <= band.middle <= band.high + NEAR


def check_ranges(ranges: mt.JobRanges) -> None:
    """Each range holds its median."""
    bands = [ranges.litres, ranges.total, ranges.survey_total, ranges.bags]
    bands += [wall.litres for wall in ranges.walls] + [mix.bags for mix in ranges.mixes]
    for band in bands:
        check_band(band)
    assert 0 <= ranges.enough_share <= 1
