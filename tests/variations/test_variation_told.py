"""What a variation says: to the client nothing of the estimator's, to the estimator every line."""

from __future__ import annotations

from dataclasses import asdict, replace
from decimal import Decimal

import pytest
from demo import coarse_demo
from quotients import given_away, numbers_in, secrets_of
from varied import CHANGES, TOWER, changed, handed, varied, with_extra, without

import mytakeoff as mt
from mytakeoff.job.treatments import PATCH
from mytakeoff.quotation.blocks import Document, Facts, Points, Table, Total
from mytakeoff.variations.client_edition import HandedOver, client_variation
from mytakeoff.variations.own_edition import own_variation
from mytakeoff.variations.said import changes_told, days_told, signed_amount, standing_told

TOLD = {
    "a wall taken out": "Door wall: taken out of the work.",
    "a wall added": "Chimney back: added: brought to a plumb plane; corners with beads.",
    "a thicker coat": "Party wall: more plaster on it.",
    "something in a room": "Dust extractor hire: added.",
    "something shared": "Mixer hire: in the price now.",
    "no price was signed": "Scaffold tower: added.",
}


def tables(document: Document) -> list[Table]:
    return [block for block in document.blocks if isinstance(block, Table)]


@pytest.mark.parametrize("name", TOLD)
def test_the_client_reads_what_changes(name):
    assert TOLD[name] in changes_told(changed(name))


WALL_EDITS = {
    "another size or other openings": {"wall": {"openings": ()}},
    "loose plaster found otherwise": {"loose": (mt.LooseArea(0.5, 0.5, 0.6, 0.6, 12.0),)},
    "other things in the way of it": {"sockets": 7},
    "other beads": {"stop_bead_m": 9.0},
}


@pytest.mark.parametrize("why", WALL_EDITS)
def test_why_a_wall_costs_something_else(why):
    job, edit = coarse_demo(), dict(WALL_EDITS[why])
    entry = job.wall("door wall")
    if "wall" in edit:
        wall = replace(entry.wall, **edit.pop("wall"))
        edit = {"wall": wall, "survey": replace(entry.survey, wall=wall)}
    walls = tuple(replace(w, **edit) if w is entry else w for w in job.walls)
    [said] = [
        text for text in changes_told(varied(replace(job, walls=walls))) if text.startswith("Door wall")
    ]
    assert why in said or "; it was to be " in said


def test_another_way_of_treating_is_said_with_what_it_was_to_be():
    walls = tuple(
        replace(wall, treatment=mt.Treatment("patched", PATCH)) if wall.name == "door wall" else wall
        for wall in coarse_demo().walls
    )
    [said] = changes_told(varied(replace(coarse_demo(), walls=walls)))
    assert "it was to be brought to a plumb plane" in said


@pytest.mark.parametrize("name", CHANGES)
def test_the_client_reads_nothing_of_the_estimators(name):
    made, said = changed(name), repr(asdict(client_variation(handed(name))))
    for line in (*made.base.cost.lines, *made.changed.cost.lines):
        assert line.basis == "as entered" or line.basis not in said
    for result in (made.base, made.changed):
        for mix in {mix for wall in result.walls for mix in wall.system.mixes}:
            assert mix.name not in said
    for word in ("profit", "contingency", "gauging", "kg dry", "litre", "labourer", "margin", "waste", "bag"):
        assert word not in said
    for phrase in made.not_counted:
        assert phrase not in said


@pytest.mark.parametrize("name", CHANGES)
def test_no_row_gives_a_price_away(name):
    """Within a row the quotients are those of the tax, whose share stands in the head."""
    made = changed(name)
    secrets, share = secrets_of(made.changed.job), Decimal("0.2")
    of_tax = {share, 1 + share, 1 / share, 1 / (1 + share), (1 + share) / share, share / (1 + share)}
    document = client_variation(handed(name))
    totals, lines = tables(document)
    for row in totals.rows:
        for one, other, _ in given_away(numbers_in(" ".join(row[1:])), secrets):
            assert min(abs(one / other - each) for each in of_tax) < Decimal("0.01")
    assert all(len(numbers_in(" ".join(row[1:]))) == 1 for row in lines.rows[: len(made.lines)])


@pytest.mark.parametrize("name", CHANGES)
def test_days_beside_the_amount_give_no_rate_away(name):
    made, document = changed(name), client_variation(handed(name))
    [total] = [block for block in document.blocks if isinstance(block, Total)]
    days = [words for label, words in days_told(made) if label == "On site"]
    numbers = numbers_in(total.amount.replace("-", "")), [n for words in days for n in numbers_in(words)]
    secrets = secrets_of(made.changed.job)
    for amount in numbers[0]:
        for count in numbers[1]:
            assert given_away([amount, count], secrets) == []


def test_the_days_that_it_moves():
    told = dict(days_told(changed("another first day")))
    assert told["Paint from"] == "17 May 2027; as signed: 28 Apr 2027"
    assert "18 Mar to 2 Apr 2027" in told["On site"]
    assert "as signed: 11 days; 1 to 12 Mar 2027" in told["On site"]
    same = dict(days_told(changed("something in a room")))
    assert same["Paint from"] == "28 Apr 2027, as signed"


def test_without_a_first_day_days_are_counted_from_it():
    job = coarse_demo()
    job = replace(job, calendar=replace(job.calendar, start=None))
    made = varied(without(job, "party wall"), job)
    assert "after the first day on site; as signed: " in dict(days_told(made))["Paint from"]


@pytest.mark.parametrize("name", CHANGES)
def test_amounts_of_the_page_are_those_of_the_variation(name):
    made, money = changed(name), changed(name).formats.money
    totals, lines = tables(client_variation(handed(name)))
    assert [row[1:] for row in totals.rows] == [
        tuple(map(money, amounts))
        for amounts in (
            (made.base.cost.before_tax, made.base.cost.tax, made.base.cost.total),
            (made.net, made.tax, made.gross),
            (made.changed.cost.before_tax, made.changed.cost.tax, made.changed.cost.total),
        )
    ]
    if made.lines:
        sums = [sum(getattr(line, side) for line in made.lines) for side in ("added", "less")]
        assert sums[0] - sums[1] == made.net
        assert lines.rows[-1][1:] == tuple(map(money, sums))
        shown = ["".join(row[1:]) for row in lines.rows[:-1]]
        assert shown == [money(abs(line.amount)) for line in made.lines]


def test_what_is_signed_names_itself():
    said = repr(
        client_variation(HandedOver(changed("a wall taken out"), handed("a wall taken out").dated, 2))
    )
    assert (
        "I order variation 1, revision 2, of 9 Mar 2027, to quotation 2027-014, signed on 20 Feb 2027" in said
    )
    assert "taken off what was signed" in said


def test_the_estimators_edition_has_every_line_what_changed_and_what_does_not_count():
    made, document = changed("several at once"), own_variation(handed("several at once"))
    assert document.for_whom == "For the estimator, not for the client"
    table = next(table for table in tables(document) if table.head[0] == "Group")
    money = made.formats.money
    assert len(table.rows) == len(made.priced) + 2
    for each, row in zip(made.priced, table.rows, strict=False):
        assert row[1] == each.line.item
        assert row[-2:] == (
            money(each.amount) if each.amount > 0 else "", money(-each.amount) if each.amount < 0 else ""
        )  # fmt: skip
    assert money(made.gross) in "".join(table.rows[-1])
    points = [item for block in document.blocks if isinstance(block, Points) for item in block.items]
    assert TOWER.capitalize() in points
    assert "Waste 10 % → 30 %" in points
    assert any(item.startswith("Finished plane, least thickness") for item in points)
    assert any(isinstance(block, Facts) and block.rows[0][0] == "It costs" for block in document.blocks)


def test_how_a_job_stands_in_a_sentence():
    made = changed("something in a room")
    assert standing_told(made) == (
        f"+{made.formats.amount(made.gross)} with tax against what was signed on 20 Feb 2027, as variation 1."
    )
    assert standing_told(varied(coarse_demo())) == "The job stands as it was signed on 20 Feb 2027."
    prices = coarse_demo().prices.with_price("plasterer", Decimal(99))
    assert "do not count" in standing_told(varied(replace(coarse_demo(), prices=prices)))
    assert signed_amount(made.formats, Decimal("-3.20")).endswith("3.20 EUR")


def test_more_and_less_of_a_thing():
    job = with_extra(coarse_demo(), "dust extractor hire", 2.0, "back bedroom")
    less = replace(
        job, extras=(*coarse_demo().extras, mt.Extra("dust extractor hire", 1.0, room="back bedroom"))
    )
    assert changes_told(varied(less, job)) == ("Dust extractor hire: less of it.",)
    assert "Dust extractor hire: no longer in the price." in changes_told(
        varied(replace(coarse_demo(), extras=()))
    )
