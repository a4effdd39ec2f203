"""What each wall and room comes to: to the cent, bags once, the same in whatever order the walls stand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from demo import demo_result
from effort import examples
from hand import entry_of, flat, job_of, result_of
from hypothesis import given
from hypothesis import strategies as st
from random_jobs import random_job

import mytakeoff as mt
from mytakeoff.cost.by_wall import by_room, wall_frame
from mytakeoff.job.catalogue import LIGHT_GYPSUM


def amounts(result: mt.Result) -> dict[str, Decimal]:
    rooms = by_room(result.cost, result.walls)
    return {part.name: part.amount for room in rooms for part in room.parts}


def assert_adds_up(result: mt.Result) -> None:
    rooms = by_room(result.cost, result.walls)
    assert sum(room.amount for room in rooms) == result.cost.before_tax
    assert sum(room.area_m2 for room in rooms) == pytest.approx(result.area_m2)
    assert sum(room.litres for room in rooms) == pytest.approx(result.litres)
    frame = wall_frame(result.cost, result.walls)
    assert sum(frame["amount"]) == result.cost.total
    assert all(amount == round(amount, 2) for amount in frame["amount"])


def test_walls_and_rooms_of_the_demo_add_up_to_its_total() -> None:
    result = demo_result()
    assert_adds_up(result)
    front, back = by_room(result.cost, result.walls)
    assert [part.name for part in back.parts] == ["door wall"]
    assert front.amount + back.amount == Decimal("5104.98")  # 6 125.98 before the demo's 20 % of tax
    assert front.amount == sum(part.amount for part in front.parts)


def test_a_wall_reads_the_same_for_the_client() -> None:
    result = demo_result()
    assert amounts(result) == {row.wall: row.amount for row in result.cost.client_rows if row.wall}


@given(seed=st.integers(0, 10_000))
@examples(60)
def test_walls_and_rooms_of_any_job_add_up(seed: int) -> None:
    assert_adds_up(mt.evaluate(random_job(seed)))


@given(seed=st.integers(0, 10_000))
@examples(60)
def test_the_order_of_the_walls_moves_no_part(seed: int) -> None:
    job = random_job(seed)
    turned = mt.evaluate(replace(job, walls=job.walls[::-1]))
    assert amounts(mt.evaluate(job)) == amounts(turned)


def two_walls(names: tuple[str, str]) -> mt.Result:
    """Two flat walls of 3 × 2.5 m and 12 mm: 90 l each, × 0.8 kg/l × 1.1 = 79.2 kg, 3.168 bags of 25 kg."""
    entries = [entry_of(mt.Wall(name, 3.0, 2.5)) for name in names]
    job = job_of(*entries)
    return result_of(job, *(flat(job, entry, 12.0) for entry in entries))


def test_bags_are_rounded_once() -> None:
    result = two_walls(("a", "b"))
    [line] = [line for line in result.cost.lines if line.priced_as == LIGHT_GYPSUM.name]
    assert line.quantity == 7  # 158.4 kg are 6.34 bags; a wall alone takes 4, and 4 + 4 are 8
    first, second = amounts(result).values()
    assert first + second == result.cost.before_tax
    assert abs(first - second) <= Decimal("0.01")


def test_an_odd_cent_goes_by_name_and_not_by_place() -> None:
    assert amounts(two_walls(("a", "b"))) == amounts(two_walls(("b", "a")))


def test_what_is_finished_in_a_room_stands_there_with_its_margins() -> None:
    job = replace(demo_result().job, extras=(mt.Extra("radiator off and on", 2.0, room="back bedroom"),))
    result = mt.evaluate(job)
    assert_adds_up(result)
    back = by_room(result.cost, result.walls)[1]
    assert [part.name for part in back.parts] == ["door wall", "radiator off and on"]
    assert back.parts[1].amount > 2 * job.prices.of("radiator off and on").price
    assert back.parts[1].area_m2 == 0


def test_a_wall_on_which_nothing_is_done_comes_to_nothing() -> None:
    untouched = mt.Treatment("left", "as it is", skim=False)
    job = demo_result().job
    walls = tuple(
        replace(wall, treatment=untouched) if wall.name == "door wall" else wall for wall in job.walls
    )
    result = mt.evaluate(replace(job, walls=walls))
    assert_adds_up(result)
    assert amounts(result)["door wall"] == 0
    nothing = mt.evaluate(replace(job, treatment=untouched))
    assert_adds_up(nothing)
    assert set(amounts(nothing).values()) == {Decimal(0)}


def test_a_job_without_walls_comes_to_nothing() -> None:
    result = mt.evaluate(replace(random_job(1), walls=(), rooms=()))
    assert by_room(result.cost, result.walls) == ()
    assert_adds_up(result)
