"""The client's table: finished work that adds up to the total, and nothing that a rate can be read off."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from demo import demo, demo_result
from effort import examples
from hand import SKIMMED, entry_of, flat, job_of
from hypothesis import given
from hypothesis import strategies as st
from quotients import given_away, numbers_in, secrets_of

from mytakeoff import Extra, LooseArea, Margins, Opening, Room, TakeoffError, Wall, evaluate
from mytakeoff.cost.client import hidden_figures, may_be_told, reads_off
from mytakeoff.cost.cost import job_cost
from mytakeoff.io.files.csv_table import csv_bytes
from mytakeoff.job.packs import Buying, Pack, PackList
from mytakeoff.panels.parts.words import facts
from mytakeoff.takeoff.purchases import as_bought
from mytakeoff.takeoff.takeoff import takeoff_lines

D = Decimal
ROOMS = (Room("hall", 6.0), Room("study", 12.0))
WINDOW = Opening("window", 0.6, 0.9, 1.0, 1.2, reveal_mm=150)
SKIRTING = Extra("skirting and architrave", 8.0, room="study")
share = st.floats(0, 0.4).map(lambda value: round(value, 3))
walls = st.lists(
    st.tuples(st.floats(2.0, 6.0), st.floats(5.0, 40.0), st.sampled_from(["hall", "study"]), st.booleans()),
    min_size=1,
    max_size=4,
)


def hand_job(shapes, extras=(), margins=None, **details):
    """Flat walls of 2.5 m in two rooms, some with a window, and their results."""
    entries = [
        entry_of(Wall(f"wall {chr(97 + nth)}", width, 2.5, (WINDOW,) if window else ()), room=room)
        for nth, (width, _, room, window) in enumerate(shapes)
    ]
    job = job_of(*entries, system=SKIMMED, rooms=ROOMS, extras=tuple(extras), **details)
    job = replace(job, margins=margins or Margins())
    return job, [flat(job, entry, mm) for entry, (_, mm, _, _) in zip(entries, shapes, strict=True)]


def read_csv(cost, audience, decimal_comma):
    """The rows of a table's file, by the standard library."""
    text = csv_bytes(cost.to_frame(audience), decimal_comma).decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text, newline=""), delimiter=";" if decimal_comma else ","))
    return [{**row, "amount": D(row["amount"].replace(",", "."))} for row in rows]


class TestAddsUp:
    @pytest.mark.parametrize("audience", ["estimator", "client"])
    @pytest.mark.parametrize("decimal_comma", [False, True])
    def test_both_files_add_up_to_the_total(self, audience, decimal_comma):
        rows = read_csv(demo_result().cost, audience, decimal_comma)
        assert sum(row["amount"] for row in rows) == demo_result().cost.total
        assert {row["shown_to"] for row in rows} == {audience}

    @given(
        shapes=walls,
        margins=st.builds(Margins, share, share, share, share),
        places=st.sampled_from([0, 2, 3]),
        priced=st.booleans(),
    )
    @examples(25)
    def test_random_jobs_add_up_to_the_coin(self, shapes, margins, places, priced):
        extras = [SKIRTING, Extra("mixer hire", 2.0)] if priced else []
        job, done = hand_job(shapes, extras, margins, money_places=places)
        cost = job_cost(job, done)
        for audience in ("estimator", "client"):
            assert sum(row["amount"] for row in read_csv(cost, audience, False)) == cost.total
        amounts = cost.to_frame("client")["amount"]
        assert all(amount >= 0 and amount == round(amount, places) for amount in amounts)

    def test_walls_weigh_what_each_would_cost_alone(self):
        job, done = hand_job([(4.0, 12.0, "hall", False), (2.0, 30.0, "study", True)])
        cost = job_cost(job, done)
        own = []
        for wall in done:  # its lines at 10 a unit, without the load that is brought and what fills half days
            lines = as_bought(job, takeoff_lines(job, [wall])).quantities
            kept = [q for q in lines if q.item != "delivery" and "to whole half days" not in q.label]
            own.append(sum(q.quantity * (D(10) if q.price is None else q.price) for q in kept))
        first, second, _ = cost.to_frame("client")["amount"]
        assert abs(first - cost.before_tax * own[0] / sum(own)) <= D("0.01")
        assert abs(second - cost.before_tax * own[1] / sum(own)) <= D("0.01")

    def test_walls_alike_cost_alike(self):
        job, done = hand_job([(3.0, 12.0, "hall", False)] * 3)
        amounts = list(job_cost(job, done).to_frame("client")["amount"])[:-1]
        assert max(amounts) - min(amounts) <= D("0.01")

    def test_an_extra_finished_in_a_room_has_a_row_and_its_share_of_the_margins(self):
        job, done = hand_job([(3.0, 12.0, "hall", False)], [SKIRTING])
        cost = job_cost(job, done)
        row = cost.to_frame("client").set_index("item").loc["skirting and architrave"]
        assert row["room"] == "study"
        assert abs(row["amount"] - cost.before_tax * 80 / cost.subtotal) <= D("0.01")  # 8 m at 10
        shared = job_cost(*hand_job([(3.0, 12.0, "hall", False)], [replace(SKIRTING, room="")]))
        assert shared.total == cost.total
        assert len(shared.client_rows) == len(cost.client_rows) - 1

    def test_an_extra_that_is_bought_in_packs_weighs_what_they_cost(self):
        packs = PackList((Pack("cornice", D(3), "m", D("12.50"), "length"),))
        job, done = hand_job([(3.0, 12.0, "hall", False)], [Extra("cornice", 8.0, room="study")], packs=packs)
        cost = job_cost(job, done)
        row = cost.to_frame("client").set_index("item").loc["cornice"]
        assert abs(row["amount"] - cost.before_tax * D("37.50") / cost.subtotal) <= D("0.01")  # 3 lengths

    def test_what_the_user_keeps_is_no_matter_to_the_client(self):
        job, done = hand_job([(3.0, 12.0, "hall", False)], buying=Buying(in_stock=("angle bead",)))
        cost = job_cost(job, done)
        assert sum(row.amount for row in cost.client_rows) == cost.total

    def test_a_room_that_is_none_of_the_job_is_refused(self):
        with pytest.raises(TakeoffError, match="'attic'"):
            replace(demo(), extras=(replace(SKIRTING, room="attic"),))


class TestWords:
    def test_the_demo_reads_as_finished_work(self):
        frame = demo_result().cost.to_frame("client")
        assert list(frame.columns) == ["item", "room", "amount", "currency", "shown_to"]
        assert frame["item"].iloc[0] == (
            "party wall: brought to a plumb plane and skimmed, ready to paint; "
            "loose plaster taken off first; sockets brought forward"
        )
        assert list(frame["room"]) == ["front room"] * 5 + ["back bedroom", ""]
        assert list(frame["item"])[-1] == "tax"

    def test_nothing_of_method_or_margins_is_told(self):
        text = csv_bytes(demo_result().cost.to_frame("client")).decode("utf-8-sig")
        method = r"bag|gypsum|lime|litre|\bkg\b|hour|\bh\b|m²|labour|overhead|profit|contingency|waste|price"
        assert not re.search(method, text)

    def test_a_wall_on_which_nothing_is_done_has_no_row(self):
        job = replace(demo(), only=("door wall",))
        whole = evaluate(job).cost.to_frame("client")
        assert len(whole) == 2
        patched = replace(job, treatment=next(t for t in _treatments() if t.kind == "as it is"))
        assert list(evaluate(patched).cost.to_frame("client")["item"])[:-1] in ([], ["the work as agreed"])

    @pytest.mark.parametrize(
        ("kind", "words"),
        [
            ("patch what has fallen", "loose and fallen places patched"),
            ("straighten the hollows", "hollows filled until it is straight"),
            ("float following the lean", "brought to a true plane that follows its lean"),
            ("float plumb", "brought to a plumb plane"),
        ],
    )
    def test_each_way_has_its_words(self, kind, words):
        way = next(t for t in _treatments() if t.kind == kind)
        rows = evaluate(replace(demo(), only=("door wall",), treatment=way)).cost.client_rows
        assert rows[0].item.startswith(f"door wall: {words} and skimmed, ready to paint")

    def test_what_is_stripped_and_taken_off_is_named(self):
        moved = {"strip": "paper", "skirting_off_m": 6.0, "radiators": 2}
        entry = entry_of(Wall("a", 3.0, 2.5), "sound old plaster", room="hall", **moved)
        job = job_of(entry, system=SKIMMED, rooms=ROOMS)
        said = job_cost(job, [flat(job, entry, 12.0)]).client_rows[0].item
        assert said == (
            "a: brought to a plumb plane and skimmed, ready to paint; paper stripped off first; the skirting "
            "taken off and put back; the radiators taken off and hung again"
        )

    def test_a_wall_without_a_finish_is_not_said_to_be_skimmed(self):
        entry = entry_of(Wall("a", 3.0, 2.5), room="hall")
        job = job_of(entry, rooms=ROOMS)
        assert job_cost(job, [flat(job, entry, 12.0)]).client_rows[0].item == "a: brought to a plumb plane"

    def test_loose_plaster_is_named(self):
        entry = entry_of(Wall("A", 3.0, 2.5), loose=(LooseArea(0.2, 0.2, 0.6, 0.5, 20.0),))
        job = job_of(entry, system=SKIMMED)
        assert "loose plaster taken off first" in job_cost(job, [flat(job, entry, 12.0)]).client_rows[0].item


def _treatments():
    from mytakeoff.treatment.ways import standard_treatments

    return standard_treatments(take_down=False)


class TestQuotients:
    def test_the_demo_gives_no_price_or_rate_away(self):
        secrets, result = secrets_of(demo()), demo_result()
        for row in result.cost.to_frame("client").itertuples():
            assert given_away(numbers_in(f"{row.item} {row.room} {row.amount}"), secrets) == []
        headline = " ".join(facts(result, "client").values())
        assert given_away(numbers_in(headline), secrets) == []

    @given(
        shapes=walls,
        margins=st.builds(Margins, share, share, share, share),
        seed=st.integers(0, 10_000),
    )
    @examples(25)
    def test_random_jobs_give_none_away(self, shapes, margins, seed):
        job, _ = hand_job(shapes, [SKIRTING], margins)
        drawn = np.random.default_rng(seed)
        rows = (replace(r, price=D(str(round(drawn.uniform(0.05, 80), 2)))) for r in job.prices.rows)
        job = replace(job, prices=replace(job.prices, rows=tuple(rows)))
        result = evaluate(job)
        secrets = secrets_of(job)
        for row in result.cost.to_frame("client").itertuples():
            assert given_away(numbers_in(f"{row.item} {row.room} {row.amount}"), secrets) == []
        assert given_away(numbers_in(" ".join(facts(result, "client").values())), secrets) == []

    def test_the_estimators_own_rows_would(self):
        # the check itself finds what it is for: bags and their amount with margins on top
        line = next(line for line in demo_result().cost.lines if line.unit.startswith("bag"))
        assert given_away([line.amount, line.quantity], secrets_of(demo()))

    def test_hidden_figures_are_every_price_and_rate_with_every_margin(self):
        oracle = np.unique(np.array([float(secret) for secret in secrets_of(demo())]))
        hidden = hidden_figures(demo())
        assert all(np.isclose(hidden, each, rtol=1e-12).any() for each in oracle)
        assert all(np.isclose(oracle, each, rtol=1e-12).any() for each in hidden)

    def test_a_number_that_gives_one_away_by_chance_is_left_out(self):
        hidden = np.array([523.0])
        assert reads_off(5753.0, 11, hidden)
        assert not reads_off(5753.0, 12, hidden)
        assert may_be_told([5753.0, 11, 2], hidden) == (True, False, True)

    def test_the_headline_leaves_the_days_out_that_give_a_price_away(self):
        result = demo_result()
        said = facts(result, "client")
        assert said["days"] == "11 days on site"
        price = D(round(result.cost.total)) / 11
        dear = replace(result.job, prices=result.job.prices.with_price("rail dab", round(price, 2)))
        assert "days" not in facts(replace(result, job=dear), "client")  # no dab is used: the total stays
