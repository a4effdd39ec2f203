"""Settling up on the panel, as a hand does it: rows typed, buttons pressed, tables read back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from account_boxes import BACKING, TEN_ROWS, amount, bodies_in, box_of, enter, good, rows_in
from demo import coarse_copy_of_demo
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.account.settle import settle_up
from mytakeoff.errors import TakeoffError
from mytakeoff.finished.record import AgreedVariation, Delivered, Finished, HoursSpent, ReturnTrip
from mytakeoff.io.files.written import FINISHED
from mytakeoff.io.finished.finished_file import open_finished
from mytakeoff.panels.finished_panel.account_rows import KINDS
from mytakeoff.panels.finished_panel.settling import AccountBox
from mytakeoff.panels.parts.rows import Rows

THE_FILE = f"""\
format = 1

[[delivery]]
item = "{BACKING}"
delivered = 10
day = 2027-03-01
wasted = 0.9
price = 13.9

[[delivery]]
item = "{BACKING}"
delivered = 8
day = 2027-03-01
brought_back = 2
credit = 20

[[delivery]]
item = "mesh"
delivered = 1
day = 2027-03-01
used = 1
price = 36.5

[[delivery]]
item = "rail"
delivered = 15
day = 2027-03-01

[[hours]]
task = "float backing"
hours = 26.5
day = 2027-03-03

[[hours]]
task = "labourer"
hours = 40
day = 2027-03-03
price = 24

[[hours]]
task = "mesh"
hours = 0.75
day = 2027-03-03

[[variation]]
words = "a niche in the party wall"
amount = 150
day = 2027-03-02

[[variation]]
words = "no skirting"
amount = -32.5

[[trip]]
why = "beads forgotten"
hours = 1.5
amount = 4
"""


@pytest.fixture
def box(tmp_path: Path) -> AccountBox:
    """Over a job of which nothing is written down yet."""
    folder = coarse_copy_of_demo(tmp_path)
    (folder / FINISHED).unlink()
    return box_of(mt.open_job(folder))


def test_ten_rows_by_hand_are_what_the_file_says(box: AccountBox) -> None:
    for kind, typed in TEN_ROWS:
        enter(box, kind, **typed)
    assert (box.problem.value, box.unfinished) == ("", ())
    folder = Path(box.desk.store.job.folder)
    box.desk.save()
    saved = open_finished(folder)
    (folder / "finished.toml").write_text(THE_FILE, "utf-8")
    assert box.desk.finished == saved == open_finished(folder)
    assert [fold.head.title for fold in box.folds.values()] == [
        "Deliveries (4)", "Hours (3)", "Variations (2)", "Return trips (1)",
    ]  # fmt: skip
    assert good(box).to_frame().equals(settle_up(box.desk.store.job, saved).to_frame())


def test_the_file_shows_as_rows_that_nobody_touched(box: AccountBox) -> None:
    folder = Path(box.desk.store.job.folder)
    (folder / "finished.toml").write_text(THE_FILE, "utf-8")
    again = box_of(box.desk.store.job)
    assert [len(rows.used) for rows in again.rows.values()] == [4, 3, 2, 1]
    first = again.rows["deliveries"].used[0].boxes
    assert first["brought_back"].value == ""
    assert first["day"].description == "Day: Mon 1 Mar 2027"
    again.rows["hours"].used[1].boxes["price"].value = "24.5"
    now = again.desk.finished
    assert now == replace(open_finished(folder), hours=now.hours)
    assert now.hours[1] == HoursSpent("labourer", 40, date(2027, 3, 3), 24.5)


figures, maybe_day = st.floats(0, 9000), st.none() | st.dates(date(2027, 1, 1), date(2029, 1, 1))
maybe = st.none() | figures
RECORDED = {
    "deliveries": st.builds(
        Delivered, st.sampled_from((BACKING, "mesh")), figures, maybe_day, figures, maybe, maybe, maybe, maybe
    ),
    "hours": st.builds(HoursSpent, st.sampled_from(("rails", "prime")), figures, maybe_day, maybe),
    "variations": st.builds(
        AgreedVariation, st.text(min_size=1).filter(str.strip), st.floats(-900, 900), maybe_day
    ),
    "trips": st.builds(ReturnTrip, st.text(), figures, figures, maybe_day),
}
NAMES = {"deliveries": ("item", (BACKING, "mesh")), "hours": ("task", ("rails", "prime"))}


@given(st.sampled_from(list(RECORDED)).flatmap(
    lambda kind: st.tuples(st.just(kind), st.lists(RECORDED[kind], min_size=1, max_size=3))
))  # fmt: skip
@examples(40)
def test_rows_that_show_a_record_are_that_record(recorded: tuple[str, list[Any]]) -> None:
    kind, things = recorded
    rows = Rows[Any](KINDS[kind], lambda: None)
    if kind in NAMES:
        name, options = NAMES[kind]
        rows.offer(name, [(option, option) for option in options])
    rows.show(things)
    assert rows.things == tuple(things)
    assert rows.unfinished == ()
    other = date(2031, 5, 1)
    for row in rows.used:
        row.boxes["day"].value = other
    assert rows.things == tuple(replace(thing, day=other) for thing in things)


def test_wrong_rows_are_told_together_where_they_stand_and_the_last_account_stays(box: AccountBox) -> None:
    enter(box, "deliveries", item="mesh", delivered="1", price="36")
    before, record = good(box), box.desk.finished
    said = box.sums.value
    enter(box, "deliveries")  # not filled in: the third row is the second that counts
    enter(box, "deliveries", item="rail", brought_back="4", delivered="3")
    assert "delivery of rail: 3 came, 4 brought back" in box.refused
    assert "Not taken: 3 came, 4 brought back;" in box.rows["deliveries"].used[2].hint.value
    enter(box, "hours", task="rails", hours="-2")
    enter(box, "hours", task="prime", hours="many")
    enter(box, "trips", why="beads", hours="1", day=date(2026, 12, 24))
    enter(box, "deliveries", item="primer", delivered="1", credit="3")
    assert box.account is before
    assert box.desk.finished == record
    assert box.sums.value == said
    for place, what in (
        ("hours 1", "hours -2"),
        ("hours 2, Hours of all hands", "'many'"),
        ("trip 1", "24 Dec 2026"),
        ("delivery 4", "a credit, and nothing brought back"),
    ):
        assert f"{place}: {what}" in box.refused
        (row,) = (row for rows in box.rows.values() for row in rows.used if place.startswith(row.place))
        assert f"Not taken: {what}" in unescape(row.hint.value)
    assert box.refused in unescape(box.problem.value)
    with pytest.raises(TakeoffError, match="a row that is not taken"):
        box.write_account()
    assert not (Path(box.desk.store.job.folder) / "account.csv").exists()
    box.rows["hours"].used[0].boxes["hours"].value = "2"
    box.rows["hours"].used[1].boxes["hours"].value = "2.5"
    box.rows["deliveries"].used[2].boxes["brought_back"].value = ""
    box.rows["deliveries"].used[3].boxes["credit"].value = ""
    box.rows["trips"].used[0].boxes["day"].value = None
    assert (box.refused, box.problem.value) == ("", "")
    assert box.desk.finished == Finished(
        (Delivered("mesh", 1, price=36.0), Delivered("rail", 3), Delivered("primer", 1)),
        (HoursSpent("rails", 2), HoursSpent("prime", 2.5)),
        trips=(ReturnTrip("beads", 1),),
    )
    assert good(box) is not before
    assert [each.place for each in box.unfinished] == ["delivery 2"]
    assert not any("Not taken" in row.hint.value for rows in box.rows.values() for row in rows.used)


def test_what_one_row_was_told_goes_where_another_mends_it(box: AccountBox) -> None:
    enter(box, "deliveries", item="rail", delivered="3")
    enter(box, "deliveries", item="rail", brought_back="4", delivered="0")
    first, second = box.rows["deliveries"].used
    assert "3 came, 4 brought back" in second.hint.value
    first.boxes["delivered"].value = "5"
    assert (box.refused, first.hint.value, second.hint.value) == ("", "", "")


def test_the_tables_are_the_account(box: AccountBox) -> None:
    for kind, typed in TEN_ROWS:
        enter(box, kind, **typed)
    account = good(box)
    assert account.difference != 0
    sums = {name: amount(text) for name, text in rows_in(box.sums.value)[1:]}
    assert sums == {
        "agreed, before tax": account.agreed_price,
        "variations, agreed on top": Decimal("117.50"),
        "agreed with its variations": account.agreed_price + Decimal("117.50"),
        "work and materials, as priced": account.agreed.cost.subtotal,
        "work and materials, as they were": account.spent,
        "difference": account.spent - account.agreed.cost.subtotal,
        "for overhead, profit and contingency, as priced": account.margin_priced,
        "left for them": account.agreed_price + Decimal("117.50") - account.spent,
    }
    (_, *written), (_, *priced), (together,) = bodies_in(box.lines.value)
    lines = [*written, *priced]
    assert len(lines) == len(account.lines)
    for column, of_line in ((1, "priced"), (2, "spent"), (3, "difference")):
        shown_now = {row[0]: amount(row[column]) for row in lines}
        assert shown_now == {line.item: getattr(line, of_line) for line in account.lines}
        assert sum(shown_now.values()) == amount(together[column])
    assert [row[0] for row in priced] == [line.item for line in account.lines if line.as_priced]
    assert {"plasterer: to whole half days", "trips that were not planned"} <= {row[0] for row in written}
    causes = {row[0]: amount(row[1]) for row in rows_in(box.causes.value)[1:]}
    assert causes.pop("together") == sum(causes.values()) == account.difference
    assert causes == account.parts
    share = 100 * float(account.left / account.income)
    assert f"The margin is {share:.1f}\u00a0% of what was agreed with its variations" in box.sums.value
