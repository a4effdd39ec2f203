"""The record behind the panel of the finished wall: measured in slices, refused, put right again."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path

import pytest
from looked_at import FILE, chosen, looked_at, opened, read_again, write_face
from looked_at import NAME as WALL

import mytakeoff as mt
from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain
from mytakeoff.finished.record import Delivered, Finished
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished, save_finished
from mytakeoff.panels import FinishedPanel
from mytakeoff.panels.finished_panel.checking import Checking
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.finished_panel.rounds_rows import READY_TICKS
from mytakeoff.panels.finished_panel.settling import AccountBox
from mytakeoff.steps import run
from mytakeoff.store import Store


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return looked_at(tmp_path / "job")


@pytest.fixture
def panel(folder: Path) -> FinishedPanel:
    return chosen(folder)


# -- on a loop, as in a kernel: walls are measured in slices -------------------------------------------


@pytest.fixture
def measured_wall(folder: Path) -> Path:
    """Its finished face and its fixed places stand in the record."""
    again = tuple(FixedAgain(name, mm) for name, mm in read_again().items())
    save_finished(Finished(walls=(FinishedWall(WALL, after=FILE, fixed_again=again),)), folder)
    return folder


async def _measured(desk: Desk) -> None:
    while not desk.measured:
        await asyncio.sleep(0.01)


def test_an_edit_that_is_refused_leaves_the_measuring_alone(measured_wall):
    async def by_hand() -> Desk:
        desk = Desk(Store(mt.open_job(measured_wall)))
        assert not desk.measured, "it comes a little later"
        assert not desk.edit_wall(WALL, lambda wall: replace(wall, later=FILE))
        await asyncio.wait_for(_measured(desk), 30)
        return desk

    desk = asyncio.run(by_hand())
    assert desk.known.walls[0].mean_mm is not None
    assert "after and later are two surveys" in desk.problem


def test_an_account_that_is_written_at_once_knows_what_was_measured(measured_wall, tmp_path):
    mix = mt.evaluate(mt.open_job(measured_wall)).needs[0].mix.name
    record = open_finished(measured_wall)
    save_finished(replace(record, deliveries=(Delivered(mix, 1.0),)), measured_wall)

    async def by_hand() -> Path:
        panel = opened(measured_wall)
        (box,) = (each for each in panel.boxes if isinstance(each, AccountBox))
        assert not panel.desk.measured, "it comes a little later"
        return box.write_account(tmp_path)

    written = asyncio.run(by_hand())
    assert "Not measured again" not in written.with_suffix(".txt").read_text("utf-8")


def test_a_record_that_cannot_be_taken_over_is_not_said_to_be(panel, folder):
    panel.desk.save()
    panel.record.know()
    save_finished(Finished(walls=(FinishedWall("no such wall"),)), folder)
    panel.record.look(None, panel.record.watch.looks())
    assert "no such wall" in panel.problem.value
    assert "Taken over" not in panel.record.said.value


def test_nothing_is_saved_while_a_row_of_the_account_is_not_taken(panel, folder):
    box = panel.boxes[0]
    box.rows["trips"].add_blank()
    row = box.rows["trips"].used[-1]
    row.boxes["hours"].value, row.boxes["amount"].value = "2", "-3"
    assert "Not taken" in row.hint.value
    panel.buttons["save"].click()
    assert "Nothing was saved" in panel.said.value
    assert not (folder / FINISHED_FILE).exists()
    row.boxes["amount"].value = "3"
    panel.buttons["save"].click()
    assert [trip.amount for trip in open_finished(folder).trips] == [3.0]


def test_ticks_are_there_before_snags_are_so_that_a_page_that_loads_makes_none(folder):
    panel = opened(folder)
    ready = list(panel.rounds.done.boxes)
    assert len(ready) == READY_TICKS
    assert all(box.layout.display == "none" for box in ready)
    panel.controls["after"].value = FILE
    panel.rounds.add()
    panel.rounds.add()
    assert panel.rounds.done.boxes == ready
    assert [box.layout.display == "none" for box in ready] == [False, *[True] * (READY_TICKS - 1)]


def test_a_snag_that_is_checked_stays_on_the_map_and_a_survey_is_judged_once(panel, folder):
    panel.rounds.add()
    assert "✓" not in panel.found.maps["wide"].value
    write_face(folder, "surveys/again.csv")
    panel.rounds.add()
    panel.rounds.done.boxes[0].value = True
    panel.controls["round_survey"].value = "surveys/again.csv"
    assert panel.checked.snags.to_do == ()
    assert "✓" in panel.found.maps["wide"].value
    checking = Checking(panel.desk)
    assert not checking.is_judged(WALL)
    run(checking.steps(WALL))
    assert checking.is_judged(WALL)
    assert not checking.is_judged(WALL, 1), "it was another survey then"


def test_a_record_that_was_put_right_again_is_complained_of_no_more(panel, folder):
    panel.buttons["save"].click()
    path, right = folder / FINISHED_FILE, (folder / FINISHED_FILE).read_text("utf-8")
    path.write_text(right + '\n[[hours]]\ntask = "whitewash"\nhours = 3.0\n', "utf-8")
    panel.record.look(None, panel.record.watch.looks())
    assert "whitewash" in panel.problem.value
    assert "Taken over" not in panel.record.said.value
    path.write_text(right, "utf-8")
    panel.record.look(None, panel.record.watch.looks())
    assert panel.problem.value == ""
