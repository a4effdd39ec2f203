"""A wall called otherwise is called so by everything that names it, and is priced as before."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo import coarse_demo

import mytakeoff as mt
from mytakeoff.io.job.merging import renamed_in
from mytakeoff.io.job.shape import tables_of
from mytakeoff.job.confidence import LeftOpen, WorkedOut
from mytakeoff.job.edits import with_wall_name

OLD, NEW = "party wall", "stair side"


def job() -> mt.Job:
    known = WorkedOut((LeftOpen(OLD, "float plumb", "f", (0.0,)),))
    return replace(coarse_demo(), only=("door wall", OLD), worked_out=known, missed_high_spot_mm=4.0)


def test_everything_that_names_it_follows():
    after = with_wall_name(job(), OLD, NEW)
    assert OLD not in repr(replace(after, worked_out=WorkedOut())).replace("party-wall", "")
    assert after.only == ("door wall", NEW)
    assert [thing.wall for thing in after.compare.beside] == [NEW, "window wall"]
    assert after.wall(NEW).survey.wall.name == NEW
    assert after.worked_out.last(NEW, "float plumb") is not None
    assert with_wall_name(after, NEW, OLD) == job()
    assert with_wall_name(job(), OLD, OLD) is not None


def test_the_tables_of_its_file_follow_alike():
    surveys = {wall.name: wall.survey.source for wall in job().walls}
    after = with_wall_name(job(), OLD, NEW)
    assert renamed_in(tables_of(job(), surveys), {OLD: NEW}) == tables_of(
        after, {**surveys, NEW: surveys[OLD]}
    )


def test_it_costs_what_it_cost():
    before, after = mt.evaluate(job()), mt.evaluate(with_wall_name(job(), OLD, NEW))
    assert after.cost.total == before.cost.total


@pytest.mark.parametrize(("old", "new", "words"), [
    (OLD, "door wall", "two walls called 'door wall'"),
    ("attic", NEW, "no wall called 'attic'"),
])  # fmt: skip
def test_a_name_that_cannot_be(old, new, words):
    with pytest.raises(mt.TakeoffError, match=words):
        with_wall_name(job(), old, new)


def test_what_names_a_wall_of_a_job_without_walls_is_told():
    with pytest.raises(
        mt.TakeoffError, match=f"(?s)no wall called 'door wall'.*no wall called '{OLD}'"
    ) as told:
        replace(job(), walls=())
    assert {each.remedy for each in told.value.mistakes} == {"add it, or take its name out"}
