"""How often ranges held the truth: the worst that was measured, for each way of treating a wall."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from demo import demo
from option_jobs import PATCH_AND_SKIM, PLUMB, STRAIGHT
from places import CHECKOUT

import mytakeoff as mt
from mytakeoff.ranges.held import FLOATED, STRAIGHTENED, held_by

ROW = re.compile(r"^\| [^|]+ \| \d+ cm \| (\d+)% ", re.MULTILINE)


@pytest.mark.parametrize(("held", "nth", "rows"), [(FLOATED, 0, 48), (STRAIGHTENED, 1, 34)])
def test_what_is_said_is_the_worst_row_of_the_record(held, nth, rows):
    """The benchmark's tables of floated walls and, behind them, of straightened ones."""
    record = (CHECKOUT / "tests/benchmarks/README.md").read_text(encoding="utf-8")
    whole = record.split("## how sure", 1)[1].split("\n## ", 1)[0]
    tables = whole.split("Straightened walls (`--only-filled`, `--filled`)")
    found = [int(share) for share in ROW.findall(tables[nth])]
    assert len(found) == rows
    assert held.of_100 == min(found)


@pytest.mark.parametrize(
    ("way", "said"), [(PLUMB, (FLOATED,)), (STRAIGHT, (STRAIGHTENED,)), (PATCH_AND_SKIM, ())]
)
def test_each_way_of_treating_the_walls_has_its_own(way, said):
    assert held_by(mt.evaluate(replace(demo(), treatment=way)).walls) == said


def test_a_job_of_both_ways_says_both():
    first, *others = demo().walls
    walls = (replace(first, treatment=STRAIGHT), *(replace(each, treatment=PLUMB) for each in others))
    assert held_by(mt.evaluate(replace(demo(), walls=walls)).walls) == (FLOATED, STRAIGHTENED)
