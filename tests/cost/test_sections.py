"""The estimator's sections: every line in one, small items gathered, sums that add up."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from demo import demo, demo_result

from mytakeoff import TakeoffError
from mytakeoff.cost.sections import SHOWN, sections

D = Decimal


@pytest.mark.parametrize("under", ["0", "10", "100000"])
def test_every_line_stands_in_one_section_and_all_add_up(under):
    cost = demo_result().cost
    found = sections(cost, D(under))
    lines = [line for section in found for line in (*section.lines, *section.small)]
    margins = [line for line in cost.markups if line.group == "margin"]
    assert sorted(lines, key=id) == sorted((*cost.lines, *margins), key=id)
    assert sum(section.amount for section in found) == cost.before_tax
    assert [s.name for s in found] == [name for name in SHOWN if name in {s.name for s in found}]


def test_the_demo_stands_where_a_plasterer_would_look():
    found = {
        s.name: {line.item for line in (*s.lines, *s.small)} for s in sections(demo_result().cost, D(10))
    }
    assert {"grit primer", "tipping, gypsum", "floor protection"} <= found["preparation"]
    assert {"mesh", "gypsum skim", "light gypsum backing"} <= found["plaster"]
    assert found["fixing"] == {"angle bead", "stop bead", "rail", "rail fixing"}
    assert found["things in the way"] == {"socket brought forward", "radiator off and on"}
    assert "labourer" in found["labour"]
    assert found["carriage"]
    assert all(item.startswith(("delivery", "extra, to")) for item in found["carriage"])
    assert found["extras"] == {"dust extractor hire"}
    assert found["margins"] == {"overhead", "profit", "contingency"}


def test_small_items_are_those_under_the_marked_amount_where_there_are_two():
    by_name = {section.name: section for section in sections(demo_result().cost, D(10))}
    assert all(line.amount < 10 for line in by_name["preparation"].small)
    # the weight of the gypsum and the sacks; the rubble is more
    assert {line.priced_as for line in by_name["preparation"].small} == {"tipping, gypsum", "rubble sack"}
    assert by_name["fixing"].small == ()  # the stop beads alone are not gathered
    assert all(section.small == () for section in sections(demo_result().cost, D(0)))


def test_a_marked_amount_below_nothing_is_refused():
    with pytest.raises(TakeoffError, match="small item amount -1"):
        replace(demo(), small_item_amount=-1.0)
