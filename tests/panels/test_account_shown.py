"""What settling up shows and writes: causes, shrinkage, the file, who sees it, when it is worked out anew."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from account_boxes import BACKING, TEN_ROWS, amount, as_it_was, box_of, enter, good, rows_in, shown
from csv_back import read_back
from demo import coarse_copy_of_demo
from unread_jobs import bare

import mytakeoff as mt
from mytakeoff.account.account import Account
from mytakeoff.account.settle import account_spread, settle_up
from mytakeoff.account.words import difference_words
from mytakeoff.account.worth import CAUSES
from mytakeoff.charts.account.causes import draw_causes
from mytakeoff.finished.finished_wall import SettledCoat
from mytakeoff.finished.record import AgreedVariation, Finished, HoursSpent
from mytakeoff.io.files.written import FINISHED
from mytakeoff.job.edits import mixes_of
from mytakeoff.panels.finished_panel import settling
from mytakeoff.panels.finished_panel.account_tables import MEAN, ORDERS
from mytakeoff.panels.finished_panel.settling import AccountBox


@pytest.fixture
def box(tmp_path: Path) -> AccountBox:
    """Over a job of which nothing is written down yet."""
    folder = coarse_copy_of_demo(tmp_path)
    (folder / FINISHED).unlink()
    return box_of(mt.open_job(folder))


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
