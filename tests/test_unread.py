"""A job of which some walls, or all, are not read yet: what is priced, and what is said of the rest."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from demo import coarse_demo
from unread_jobs import bare, unread

import mytakeoff as mt
from mytakeoff.figures.headline import headline
from mytakeoff.job.edits import with_reading

LONG = "window wall"


def test_a_wall_that_is_not_read_is_left_out_and_said():
    job = coarse_demo()
    result, without = mt.evaluate(unread(job, LONG)), [w.name for w in job.walls if w.name != LONG]
    assert [wall.entry.name for wall in result.walls] == without
    assert result.cost.total == mt.evaluate(replace(job, only=tuple(without))).cost.total
    assert result.not_read == (f"{LONG} is not priced: no readings yet.",)
    assert mt.evaluate(job).not_read == ()


def test_only_walls_that_would_be_priced_are_said():
    job = unread(coarse_demo(), LONG)
    assert mt.evaluate(replace(job, only=("door wall",))).not_read == ()
    chosen = mt.evaluate(replace(job, only=(LONG,)))
    assert (chosen.walls, chosen.cost.total) == ((), 0)
    assert chosen.not_read == (f"{LONG} is not priced: no readings yet.",)


@pytest.mark.parametrize(("places", "words"), [
    ([(1, 1)], "1 reading yet, and a plane takes 3"),
    ([(1, 1), (2, 1)], "2 readings yet, and a plane takes 3"),
    ([(1, 1), (2, 1), (3, 1)], "3 readings yet, all on one straight line"),
])  # fmt: skip
def test_it_is_said_what_is_missing(places, words):
    job = unread(coarse_demo(), LONG)
    for x_m, z_m in places:
        job = with_reading(job, LONG, x_m, z_m, 0.0)
    assert mt.evaluate(job).not_read == (f"{LONG} is not priced: {words}.",)


def test_walls_that_lack_the_same_are_said_together():
    job = coarse_demo()
    names = [wall.name for wall in job.walls]
    result = mt.evaluate(unread(job, *names))
    (said,) = result.not_read
    assert said.startswith(f"{', '.join(names[:5])} and {len(names) - 5} more wall")
    assert said.endswith("are not priced: no readings yet.")


@pytest.mark.parametrize("empty", [bare, lambda job: unread(job, *(wall.name for wall in job.walls))])
def test_a_job_of_which_nothing_is_read_costs_nothing(empty):
    figures = headline(mt.evaluate(empty(coarse_demo())))
    assert (figures.total, figures.litres, figures.bags, figures.site_days) == (Decimal("0.00"), 0, 0, 0)
    assert (figures.litres_50, figures.enough_in, figures.paint_from) == (None, None, None)


def test_a_stage_of_such_a_wall_is_refused_in_words():
    with pytest.raises(mt.TakeoffError, match="wall 'window wall': 0 readings; the sound face takes"):
        mt.evaluate(unread(coarse_demo(), LONG)).wall(LONG)
