"""Where to read a wall next: among the places that are to be read anyhow, and when to stop."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from demo import coarse_demo

import mytakeoff as mt
from mytakeoff.ranges.job_ranges import job_ranges
from mytakeoff.ranges.worth_reading import worth_reading

GRID = [(x / 10, z / 10) for x in (7, 18, 29) for z in (4, 13, 22)]


def sure() -> mt.JobRanges:
    return job_ranges(mt.evaluate(coarse_demo()))


def test_the_next_place_is_one_of_those_that_are_to_be_read() -> None:
    made, name = sure(), coarse_demo().priced_walls[0].name
    found = worth_reading(made, name, GRID)
    assert found is not None
    assert found.places
    assert {(each.reading.x_m, each.reading.z_m) for each in found.places} <= set(GRID)
    free = worth_reading(made, name)
    assert free is not None
    assert free.places[0].narrows_l >= found.places[0].narrows_l - 1e-9  # no place beats the best of all


def test_litres_and_money_are_those_of_the_wall_s_own_readings() -> None:
    made = sure()
    wall = made.walls[0]
    found = worth_reading(made, wall.name)
    assert found is not None
    assert [each.saving for each in found.places] == list(wall.savings)
    width, left = wall.litres.high - wall.litres.low, 1.0
    for place in found.places:  # the width of a range goes as the standard deviation does
        left -= place.reading.narrows_share
    assert abs(sum(place.narrows_l for place in found.places) - width * (1 - left**0.5)) < 1e-4


def test_reading_stops_where_a_reading_saves_no_more_than_it_takes() -> None:
    made, name = sure(), coarse_demo().priced_walls[0].name
    found = worth_reading(made, name)
    assert found is not None
    assert found.is_enough == (found.saves <= found.price)
    assert replace(found, saves=found.price).is_enough
    assert not replace(found, saves=found.price + Decimal("0.01")).is_enough


def test_a_wall_without_a_range_has_no_place() -> None:
    assert worth_reading(sure(), "none of that name") is None
