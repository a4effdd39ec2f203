"""The lines of a variation: they add up to the difference of the two totals, whatever was changed."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest
from demo import coarse_demo
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from random_jobs import random_job, random_wall
from varied import CHANGES, changed, dearer, varied, without

import mytakeoff as mt
from mytakeoff.job.treatments import PATCH
from mytakeoff.units import decimal_of, round_money


def check_adds_up(made: mt.Variation) -> None:
    """Lines of both audiences against the two totals, by plain sums."""
    was, now = made.base.cost, made.changed.cost
    assert made.net + made.tax == made.gross == now.total - was.total
    assert sum((line.amount for line in made.lines), Decimal(0)) == made.net
    assert sum((line.tax for line in made.lines), Decimal(0)) == made.tax
    assert sum((line.gross for line in made.lines), Decimal(0)) == made.gross
    assert sum((each.amount for each in made.priced), Decimal(0)) == made.gross
    share = decimal_of(made.changed.job.margins.tax_share)
    for line in made.lines:
        assert line.added - line.less == line.amount
        assert min(line.added, line.less) == 0
        assert abs(line.tax - line.amount * share) <= Decimal("0.01")
    for each in made.priced:
        if each.line.priced_as:  # no line of a margin
            sides = (each.was, each.now)
            assert all(s is None or round_money(s.quantity * s.price) == s.amount for s in sides)


@pytest.mark.parametrize("name", CHANGES)
def test_they_add_up_to_the_difference_of_the_totals(name):
    check_adds_up(changed(name))


EDITS = {
    "thicker": lambda job, random: replace(job, plane=replace(
        job.plane, least_mm=random.choice((9.0, 14.0)))),
    "sockets": lambda job, random: replace(job, walls=(
        replace(job.walls[0], sockets=random.randint(0, 9)), *job.walls[1:])),
    "patched": lambda job, random: replace(job, treatment=mt.Treatment("patched", PATCH)),
    "one wall less": lambda job, random: without(job, job.chosen_walls[-1].name) if len(
        job.chosen_walls) > 1 else job,
    "one wall more": lambda job, random: replace(job, only=(), walls=(
        *job.walls, random_wall(random, f"new {len(job.walls)}"))),
    "an extra": lambda job, random: replace(job, extras=(
        *job.extras, mt.Extra("mixer hire", random.choice((1.0, 2.5)), room=random.choice(("", "low"))))),
    "no rails": lambda job, random: replace(job, rails=replace(job.rails, used=not job.rails.used)),
    "dearer": lambda job, random: dearer(job),
}  # fmt: skip


@examples(60)
@given(seed=st.integers(0, 10**6), names=st.lists(st.sampled_from(sorted(EDITS)), max_size=4))
def test_whatever_is_changed_they_add_up(seed, names):
    signed, random = random_job(seed), Random(seed)
    now = signed
    for name in names:
        now = EDITS[name](now, random)
    made = varied(now, signed)
    check_adds_up(made)
    if set(names) <= {"dearer"}:
        assert (made.told, made.gross) == ((), 0)
    back = varied(signed, made.changed.job)  # at the same rates, so the way back costs the same
    assert back.gross == -made.gross
    check_adds_up(back)


def test_a_wall_taken_out_is_the_one_line():
    made = changed("a wall taken out")
    [line] = made.lines
    assert (line.item, line.room, line.now) == ("door wall", "back bedroom", "")
    assert line.gross == made.gross < 0
    assert line.less == -made.net


def test_a_wall_added_is_the_one_line_though_others_share_what_is_in_common():
    made = changed("a wall added")
    [line] = made.lines
    assert (line.item, line.was) == ("chimney back", "")
    assert line.added == made.net > 0
    rows = ({row.wall: row.amount for row in result.cost.client_rows} for result in (made.base, made.changed))
    was, now = rows
    assert was["door wall"] != now["door wall"]


def test_a_thicker_coat_is_a_line_for_each_wall_that_has_it():
    made = changed("a thicker coat")
    walls = [wall.name for wall in coarse_demo().priced_walls]
    assert {line.item for line in made.lines} <= set(walls)
    assert made.gross > 0
    assert all(line.was == line.now for line in made.lines)


def test_where_no_work_changes_each_row_has_its_part():
    made = changed("something shared")
    assert {line.item for line in made.lines} == {wall.name for wall in coarse_demo().priced_walls}
    assert all(line.amount > 0 for line in made.lines)


def test_a_thing_in_a_room_is_a_line():
    made = changed("something in a room")
    [line] = made.lines
    assert (line.item, line.room, line.was, line.wall) == ("dust extractor hire", "back bedroom", "", "")
    assert line.amount == made.net
    more = varied(CHANGES["something in a room"](made.changed.job), made.changed.job)
    [line] = more.lines
    assert line.was == line.now == "dust extractor hire"


def test_every_line_of_the_price_is_there_with_both_quantities():
    made = changed("several at once")
    was, now = made.base.cost, made.changed.cost
    assert [each.was for each in made.priced if each.was is not None] == sorted(
        (*was.lines, *was.markups), key=[each.was for each in made.priced].index
    )
    assert len([each for each in made.priced if each.now is not None]) == len((*now.lines, *now.markups))
    assert [each.line.item for each in made.priced[-4:]] == ["overhead", "profit", "contingency", "tax"]
    quiet = [each for each in made.priced if not each.moved]
    assert quiet
    assert all(each.amount == 0 for each in quiet)


def test_all_walls_taken_out_but_one_and_put_back():
    job = coarse_demo()
    names = [wall.name for wall in job.walls]
    less = varied(without(job, *names[1:]))
    check_adds_up(less)
    assert len(less.lines) == len(names) - 1
