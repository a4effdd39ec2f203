"""What a quotation says: amounts that add up, one price or a range, what is missing, what it is known by."""

from __future__ import annotations

import re
from dataclasses import asdict, replace
from decimal import Decimal

import pytest
from demo import coarse_demo
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from quoted import DAY, asking, estimate, fixed
from quotients import given_away, numbers_in, secrets_of
from unread_jobs import bare, unread

import mytakeoff as mt
from mytakeoff.job.treatments import AS_IT_IS
from mytakeoff.quotation.blocks import Facts, Table, WallCard
from mytakeoff.quotation.client_page import client_document, room_table
from mytakeoff.quotation.content import quotation_of
from mytakeoff.quotation.estimator_page import estimator_document
from mytakeoff.quotation.fingerprint import fingerprint_of
from mytakeoff.quotation.sums import taxes
from mytakeoff.units import decimal_of, round_money


def words_of(document) -> str:
    return repr(asdict(document))


def test_rooms_add_up_to_the_total_to_the_cent():
    quotation, cost = fixed(), fixed().result.cost
    assert sum(room.net for room in quotation.rooms) == cost.before_tax
    assert sum(room.tax for room in quotation.rooms) == cost.tax
    assert sum(room.gross for room in quotation.rooms) == cost.total
    assert [room.room for room in quotation.rooms] == ["front room", "back bedroom"]
    for room in quotation.rooms:
        assert sum(row.amount for row in room.rows) == room.net


@examples(60)
@given(
    nets=st.lists(st.decimals(0, 10_000, places=2), min_size=1, max_size=12),
    share=st.sampled_from([0.0, 0.07, 0.19, 0.2, 0.255]),
)
def test_taxes_of_rooms_add_up_to_the_tax_of_the_whole(nets, share):
    found = taxes(nets, share, 2)
    assert sum(found) == round_money(sum(nets, Decimal(0)) * decimal_of(share), 2)
    for net, tax in zip(nets, found, strict=True):
        assert abs(tax - net * decimal_of(share)) <= Decimal("0.01")


def test_every_wall_has_its_amount_what_is_done_and_what_will_still_show():
    cards = [block for block in client_document(fixed()).blocks if isinstance(block, WallCard)]
    assert [card.wall for card in cards] == [wall.entry.name for wall in fixed().result.walls]
    money = fixed().formats.money
    rows = {row.wall: row for row in fixed().result.cost.client_rows}
    for card in cards:
        assert card.amount == money(rows[card.wall].amount)
        facts = dict(card.facts)
        assert "edge" in facts["Will still show"]
        assert "plumb" in facts["Will still show"]
        assert "paint from" in facts["When"]


def test_a_fixed_price_has_no_range_and_names_what_is_not_in_it():
    said = words_of(client_document(fixed()))
    assert "Fixed price, tax included" in said
    assert "I order the work of quotation 2027-014 of 15 Feb 2027, at " in said
    assert "in ten" not in said
    for item in fixed().result.cost.excluded:
        assert item[1:] in said


def test_an_estimate_says_its_range_and_what_would_change_it():
    said, quotation = words_of(client_document(estimate())), estimate()
    low, _, high = quotation.sure.total_money
    for end in (low, high):
        assert repr(quotation.formats.amount(end, 0))[1:-1] in said
    assert "I order the work of estimate 2027-014 of 15 Feb 2027, estimated at " in said
    assert "What moves it most: how long the work takes" in said


def test_the_ways_considered_are_those_of_the_options_beside_the_one_chosen():
    quotation = fixed()
    options = {each.name: each.total for each in mt.compare(quotation.result.job) if each.total}
    assert quotation.chosen.total == options.pop(quotation.chosen.name) == quotation.result.cost.total
    assert {way.name: way.total for way in quotation.ways} == options


def test_walls_with_ways_of_their_own_are_quoted_so():
    own = mt.wall_by_wall(coarse_demo()).result
    quotation = quotation_of(own, DAY, "0.0.0")
    assert quotation.chosen.name == "each wall its own way"
    assert quotation.chosen.total == own.cost.total
    assert "each wall its own way" not in [way.name for way in quotation.ways]
    shows = " ".join(text for part in quotation.walls for text in part.shows)
    assert "leans" in shows


def test_what_is_finished_in_a_room_beside_its_walls_stands_there():
    job = coarse_demo()
    extra = mt.Extra("dust extractor hire", 1.0, room="back bedroom")
    quotation = quotation_of(mt.evaluate(replace(job, extras=(*job.extras, extra))), DAY, "0.0.0")
    table = next(b for b in client_document(quotation).blocks if isinstance(b, Table) and b.head[0] == "Also")
    (row,) = (each for each in quotation.result.cost.client_rows if each.item == extra.item)
    assert table.rows == (("Dust extractor hire", quotation.formats.money(row.amount)),)
    assert table.caption == "Also in back bedroom"
    assert sum(room.gross for room in quotation.rooms) == quotation.result.cost.total


def test_what_is_missing_leaves_a_line_to_fill_in():
    rows = dict(next(b for b in client_document(fixed()).blocks if isinstance(b, Facts)).rows)
    assert rows["For"] == "" == rows["At"]
    assert rows["Number"] == "2027-014"
    assert rows["Surveyed on"] == "8 Feb 2027"
    assert rows["Holds until"] == "17 Mar 2027"


def test_a_job_without_a_first_day_speaks_of_days_after_it():
    job = asking()
    job = replace(job, calendar=replace(job.calendar, start=None))
    quotation = quotation_of(mt.evaluate(job), DAY, "0.0.0")
    assert "agreed when this is signed" in quotation.when["On site"]
    assert quotation.when["Paint from"].endswith("after the first day on site")
    assert all(part.when.paint.startswith("day ") for part in quotation.walls)


def test_feet_and_inches_stand_wherever_a_length_does():
    result = mt.evaluate(replace(asking(), feet_and_inches=True))
    quotation = quotation_of(result, DAY, "0.0.0")
    said = [
        *(text for part in quotation.walls for text in part.shows),
        *(way.words for way in quotation.ways),
    ]
    assert any('"' in text for text in said)
    assert [text for text in said if re.search(r"\d\s(mm|m)\b", text)] == []


@pytest.mark.parametrize("quotation", [fixed, estimate], ids=["fixed", "estimate"])
def test_the_client_reads_nothing_of_the_estimators(quotation):
    result, said = quotation().result, words_of(client_document(quotation()))
    for line in result.cost.lines:
        assert line.basis not in said
    for mix in {mix for wall in result.walls for mix in wall.system.mixes}:
        assert mix.name not in said
    for word in ("profit", "contingency", "gauging", "kg dry", "litre", "labourer", "margin"):
        assert word not in said


def test_no_row_of_the_room_table_gives_a_price_away():
    """The quotients within a row are those of the tax, whose share stands in the table's head."""
    secrets = secrets_of(fixed().result.job)
    share = Decimal(repr(fixed().result.job.margins.tax_share))
    of_tax = {share, 1 + share, 1 / share, 1 / (1 + share), (1 + share) / share, share / (1 + share)}
    for row in room_table(fixed()).rows:
        for one, other, _ in given_away(numbers_in(" ".join(row)), secrets):
            assert min(abs(one / other - each) for each in of_tax) < Decimal("0.001")


def test_the_estimators_edition_has_every_line():
    table = next(b for b in estimator_document(fixed()).blocks if isinstance(b, Table))
    cost = fixed().result.cost
    assert [row[0] for row in table.rows[: len(cost.lines)]] == [line.item for line in cost.lines]
    assert table.rows[-1][-1] == fixed().formats.money(cost.total)
    assert estimator_document(fixed()).for_whom == "For the estimator, not for the client"


def test_a_fingerprint_follows_all_that_is_said_and_nothing_else():
    job = coarse_demo()
    known = fingerprint_of(job)
    assert known == fingerprint_of(replace(job, folder="elsewhere", worked_out=type(job.worked_out)()))
    item = job.prices.rows[0].item
    others = (
        replace(job, client="Mooring"),
        replace(job, prices=job.prices.with_price(item, job.prices.of(item).price + Decimal("0.01"))),
        replace(job, quotation=replace(job.quotation, revision=1)),
        unread(job, job.walls[0].name),
    )
    assert len({known, *map(fingerprint_of, others)}) == 1 + len(others)


@pytest.mark.parametrize(
    ("job", "found"),
    [
        (lambda: bare(coarse_demo()), "no wall is priced"),
        (
            lambda: mt.carry(coarse_demo(), mt.Treatment("bare", AS_IT_IS, skim=False)),
            "nothing is done",
        ),
    ],
    ids=["no wall", "nothing done"],
)
def test_what_cannot_be_quoted_is_told(job, found):
    with pytest.raises(mt.TakeoffError, match=found):
        quotation_of(mt.evaluate(job()), DAY, "0.0.0")
