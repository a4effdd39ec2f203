"""Settling up on the panel, as a hand does it: rows typed, buttons pressed, tables read back."""

from __future__ import annotations

import asyncio
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date
from decimal import Decimal
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from csv_back import read_back
from demo import coarse_copy_of_demo
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from unread_jobs import bare

import mytakeoff as mt
from mytakeoff.account.account import Account
from mytakeoff.account.settle import account_spread, settle_up
from mytakeoff.account.words import difference_words
from mytakeoff.account.worth import CAUSES
from mytakeoff.charts.account.causes import draw_causes
from mytakeoff.errors import TakeoffError
from mytakeoff.finished.finished_wall import FinishedWall, SettledCoat
from mytakeoff.finished.record import AgreedVariation, Delivered, Finished, HoursSpent, ReturnTrip
from mytakeoff.io.files.written import FINISHED
from mytakeoff.io.finished.finished_file import open_finished
from mytakeoff.job.edits import mixes_of
from mytakeoff.panels.finished_panel import settling
from mytakeoff.panels.finished_panel.account_rows import KINDS
from mytakeoff.panels.finished_panel.account_tables import MEAN, ORDERS
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.finished_panel.settling import AccountBox
from mytakeoff.panels.parts.rows import Rows
from mytakeoff.store import Store

BACKING = "light gypsum backing"
# A new delivery and new hours have the day of the row before.
TEN_ROWS: list[tuple[str, dict[str, Any]]] = [
    ("deliveries", {"item": BACKING, "delivered": "10", "wasted": "0,9", "price": "13.9",
                    "day": date(2027, 3, 1)}),
    ("deliveries", {"item": BACKING, "delivered": "8", "brought_back": "2", "credit": "20"}),
    ("deliveries", {"item": "mesh", "delivered": "1", "used": "1", "price": "36.5"}),
    ("deliveries", {"item": "rail", "delivered": "15"}),
    ("hours", {"task": "float backing", "hours": "26.5", "day": date(2027, 3, 3)}),
    ("hours", {"task": "labourer", "hours": "40", "price": "24"}),
    ("hours", {"task": "mesh", "hours": "0.75"}),
    ("variations", {"words": "a niche in the party wall", "amount": "150", "day": date(2027, 3, 2)}),
    ("variations", {"words": "no skirting", "amount": "-32.5"}),
    ("trips", {"why": "beads forgotten", "hours": "1.5", "amount": "4"}),
]  # fmt: skip
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


def failed(error: Exception) -> None:
    raise error


@pytest.fixture
def box(tmp_path: Path) -> AccountBox:
    """Over a job of which nothing is written down yet."""
    folder = coarse_copy_of_demo(tmp_path)
    (folder / FINISHED).unlink()
    return box_of(mt.open_job(folder))


def box_of(job: mt.Job) -> AccountBox:
    return AccountBox(Desk(Store(job)), failed)


def enter(box: AccountBox, kind: str, **typed: Any) -> Any:
    """Add a row and fill it in, box after box; gives its boxes."""
    rows = box.rows[kind]
    rows.add.click()
    for name, value in typed.items():
        rows.used[-1].boxes[name].value = value
    return rows.used[-1].boxes


def as_it_was(box: AccountBox, factor: float, settled: tuple[SettledCoat, ...] = ()) -> Finished:
    """What was written down, with every wall so many times as thick as it was priced."""
    walls = tuple(
        FinishedWall(
            wall.entry.name,
            factor * (wall.build_up.volume_l + wall.allowance_l) / wall.build_up.area_m2,
            0.4,
            settled=settled,
        )
        for wall in box.desk.store.result.walls
    )
    return replace(box.desk.finished, walls=walls)


def rows_in(html: str) -> list[list[str]]:
    """The cells of each row of a table; of its first cell the name alone."""
    return [cells(row) for row in ET.fromstring(f"<all>{html}</all>").iter("tr")]


def bodies_in(html: str) -> list[list[list[str]]]:
    """The same, by groups of rows."""
    return [[cells(row) for row in body] for body in ET.fromstring(f"<all>{html}</all>").iter("tbody")]


def cells(row: ET.Element) -> list[str]:
    first, *others = row
    return [first.text or "", *("".join(cell.itertext()) for cell in others)]


def amount(text: str) -> Decimal:
    """An amount as the demo job writes it."""
    return Decimal(text.replace("−", "-").replace("\u202f", "").removesuffix(" EUR"))


def shown(widget: Any) -> bool:
    return bool(widget.layout.display != "none")


def good(box: AccountBox) -> Account:
    assert box.account is not None
    return box.account


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


def test_nothing_written_down_asks_what_to_do_first(box: AccountBox) -> None:
    assert (shown(box.none), shown(box.some), shown(box.shrinkage)) == (True, False, False)
    enter(box, "variations", words="a niche", amount="150")
    assert (shown(box.none), shown(box.some)) == (False, True)
    assert "left for them" in box.sums.value


def test_causes_are_told_on_average_and_in_the_order_that_is_chosen(box: AccountBox) -> None:
    for kind, typed in TEN_ROWS:
        enter(box, kind, **typed)
    box.desk.edit(lambda _: as_it_was(box, 1.2))
    account, formats = good(box), box.desk.store.job.formats
    for name, order in ORDERS.items():
        box.controls["account_order"].value = name
        told = account.parts_told(order)
        rows = rows_in(box.causes.value)
        assert rows[0][-1] == "in this order"
        assert {row[0]: amount(row[-1]) for row in rows[1:-1]} == told
        assert [row[0] for row in rows[1:-1]] == list(order)
        assert {row[0]: amount(row[1]) for row in rows[1:-1]} == account.parts
        for picture in box.pictures.values():
            said = ", ".join(f"{cause} {difference_words(told[cause], formats)}" for cause in order)
            assert said in picture.value
    box.controls["account_order"].value = MEAN
    assert "in this order" not in box.causes.value
    assert account is good(box)


def test_how_far_parts_may_be_off_is_told(box: AccountBox) -> None:
    enter(box, "deliveries", item=BACKING, delivered="16", wasted="1.2")
    assert "±" not in box.causes.value
    box.desk.edit(lambda _: as_it_was(box, 1.1))
    spread = account_spread(box.desk.store.job, box.desk.known)
    assert box.spread == spread
    assert spread["thickness"] > 0
    rows = {row[0]: row[2] for row in rows_in(box.causes.value)}
    assert {cause: amount(rows[cause] or "0") for cause in CAUSES} == spread
    assert f"± {spread['thickness']}" in box.pictures["wide"].value


def test_shrinkage_goes_into_the_job_only_where_it_is_seen(box: AccountBox) -> None:
    take, store = box.buttons["take-shrinkage"], box.desk.store
    unsure = (SettledCoat(-0.05, 0.3, BACKING),)
    box.desk.edit(lambda _: as_it_was(box, 1.0, unsure))
    assert (shown(box.shrinkage), shown(take)) == (True, False)
    assert "no more than the surveys may be off" in box.shrunk.value
    box.desk.edit(lambda _: as_it_was(box, 1.0, (SettledCoat(-0.4, 0.02, BACKING),)))
    assert shown(take)
    (seen,) = box.seen
    take.click()
    (mix,) = (mix for mix in mixes_of(store.job) if mix.name == BACKING)
    assert mix.shrinkage_share == pytest.approx(seen.share, abs=0.00005)
    assert mix.shrinkage_share > 0
    assert store.can_undo
    assert f"{BACKING} shrinks by" in box.said.value
    assert not shown(take)
    store.undo()
    assert shown(take)


def test_the_file_is_what_the_screen_says(box: AccountBox) -> None:
    for kind, typed in TEN_ROWS:
        enter(box, kind, **typed)
    box.buttons["write-account"].click()
    folder = Path(box.desk.store.job.folder)
    assert str(folder / "account.csv") in box.said.value
    table = read_back(folder / "account.csv")
    sums = {name: amount(text) for name, text in rows_in(box.sums.value)[1:]}
    assert table["priced"].sum() == sums["work and materials, as priced"]
    assert table["spent"].sum() == sums["work and materials, as they were"]
    assert table["difference"].sum() == sums["difference"]
    causes = {row[0]: amount(row[1]) for row in rows_in(box.causes.value)[1:-1]}
    assert {cause: table[cause].sum() for cause in CAUSES} == causes
    assert "4 lines" not in (folder / "account.txt").read_text("utf-8-sig")


def test_what_was_signed_is_told_where_the_job_comes_to_another_price_by_now(tmp_path: Path) -> None:
    folder = coarse_copy_of_demo(tmp_path)
    signed = mt.sign_job(folder, date(2027, 2, 20))
    box = box_of(mt.open_job(folder))
    assert box.signed.value == "", "what is agreed is what was signed"
    assert box.desk.store.apply(lambda job: replace(job, margins=replace(job.margins, profit_share=0.3)))
    formats = box.desk.store.job.formats
    assert f"what was signed on 20 Feb 2027 is {formats.amount(signed.total)}" in box.signed.value
    assert formats.amount(good(box).agreed.cost.total) in box.signed.value
    box.buttons["write-account"].click()
    assert "what was signed on 20 Feb 2027" in " ".join(
        (folder / "account.txt").read_text("utf-8-sig").split()
    )


def test_a_client_sees_nothing_of_it(box: AccountBox) -> None:
    box.refresh(client=True)
    assert not shown(box.widget)
    box.desk.edit(lambda finished: replace(finished, variations=(AgreedVariation("a niche", 150.0),)))
    box.refresh(client=False)
    assert shown(box.widget)
    assert len(box.rows["variations"].used) == 1
    assert good(box).variations == 150


def test_it_is_settled_anew_only_where_record_or_job_are_others(
    box: AccountBox, monkeypatch: pytest.MonkeyPatch
) -> None:
    settled: list[Finished] = []

    def counting(job: mt.Job, finished: Finished) -> Account:
        settled.append(finished)
        return settle_up(job, finished)

    drawn: list[Any] = []

    def drawing(*given: Any, **more: Any) -> Any:
        drawn.append(given)
        return draw_causes(*given, **more)

    monkeypatch.setattr(settling, "settle_up", counting)
    monkeypatch.setattr(settling, "draw_causes", drawing)
    enter(box, "hours", task="rails", hours="7")
    assert len(settled) == 1
    box.refresh(client=False)
    box.desk.edit(lambda finished: finished)
    box.controls["account_order"].value = list(ORDERS)[1]
    assert len(settled) == 1
    before = good(box)
    box.desk.store.apply(lambda job: replace(job, margins=replace(job.margins, profit_share=0.3)))
    assert len(settled) == 2
    assert len(drawn) == 2 * len(box.pictures)  # on average and in the order that was chosen
    assert good(box).agreed_price > before.agreed_price
    assert good(box).difference == before.difference


def test_a_job_that_is_held_is_settled_anew_when_the_rest_is_worked_out(box: AccountBox) -> None:
    job = replace(box.desk.store.job, cell_m=0.12)
    held = box_of(replace(job, worked_out=replace(job.worked_out, held=True, walls=())))
    enter(held, "hours", task="rails", hours="7")
    assert good(held).agreed.held
    held.desk.store.settle()
    assert not good(held).agreed.held
    assert good(held).difference != 0


def test_what_others_write_down_is_shown_and_what_is_typed_is_left_alone(box: AccountBox) -> None:
    boxes = enter(box, "hours", task="rails", hours="seven")
    enter(box, "deliveries", delivered="3")
    box.desk.edit(lambda finished: as_it_was(box, 1.1))
    assert box.refused
    assert boxes["hours"].value == "seven"
    assert box.rows["deliveries"].used[0].boxes["delivered"].value == 3
    theirs = (HoursSpent("prime", 2.0),)
    box.desk.edit(lambda finished: replace(finished, hours=theirs))
    assert not box.refused
    assert box.rows["hours"].things == theirs


def test_a_product_that_the_price_has_no_more_stays_and_is_told(box: AccountBox) -> None:
    enter(box, "deliveries", item="mesh", delivered="1", price="36")
    before, store = good(box), box.desk.store
    assert store.apply(lambda job: replace(job, only=("window wall",)))
    assert "mesh" not in {line.priced_as for line in store.result.cost.lines}
    item = box.rows["deliveries"].used[0].boxes["item"]
    assert item.value == "mesh"
    assert ("mesh: no line of the price now", "mesh") in item.options
    assert "it is a product of the agreed price" in box.problem.value
    assert "The account below is the last good one." in box.problem.value
    assert box.account is before
    store.undo()
    assert box.problem.value == ""
    assert ("mesh (roll of 25 m²)", "mesh") in item.options


def test_a_job_without_walls_has_nothing_to_settle(box: AccountBox) -> None:
    empty = box_of(bare(box.desk.store.job))
    assert shown(empty.none)
    assert empty.rows["hours"].kind.fields[0].options == (("choose", ""),)


def test_on_a_loop_the_text_comes_first_and_the_rest_in_slices(box: AccountBox) -> None:
    enter(box, "deliveries", item=BACKING, delivered="16", wasted="1.2")

    async def by_hand() -> tuple[str, str]:
        box.desk.edit(lambda _: as_it_was(box, 1.1))
        first = box.causes.value
        while "±" not in box.pictures["narrow"].value:
            await asyncio.sleep(0.01)
        return first, box.causes.value

    first, last = asyncio.run(asyncio.wait_for(by_hand(), 60))
    assert "±" in last
    assert {row[0]: row[1] for row in rows_in(first)} == {row[0]: row[1] for row in rows_in(last)}
