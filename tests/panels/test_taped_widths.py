"""Clear widths on the panel of the finished wall: typed at either wall, judged, saved, told to a client."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from csv_back import read_back
from demo import coarse_copy_of_demo

import mytakeoff as mt
from mytakeoff.finished.taped_width import TapedWidth
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished
from mytakeoff.panels import FinishedPanel, finished

DAY = date(2027, 3, 12)
ROOM, WIDTH, WALL, OPPOSITE = "front room", "run of wardrobes", "breast right cheek", "window wall"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo job with nothing written down of it."""
    folder = coarse_copy_of_demo(tmp_path)
    (folder / FINISHED_FILE).unlink()
    return folder


@pytest.fixture
def panel(folder: Path) -> FinishedPanel:
    panel = finished(mt.open_job(folder), DAY)
    panel.wall.value = WALL
    return panel


def words(widget: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", widget.value))


def tape(panel: FinishedPanel, mm: str, known: str = "2") -> None:
    (row,) = panel.widths.rows
    row.known.value, row.mm.value = known, mm


def test_it_is_asked_for_at_both_its_walls_and_nowhere_else(panel):
    for name in panel.wall.options:
        panel.wall.value = name
        shown = panel.widths.widget.layout.display != "none"
        assert shown == (name in (WALL, OPPOSITE))
        if shown:
            said = words(panel.widths.rows[0].head)
            assert "from breast right cheek, 0.20 m from its left end, to window wall: 3870 mm" in said


def test_what_is_typed_at_one_wall_is_judged_at_both_and_may_be_taken_out(panel):
    tape(panel, "3876")
    assert panel.desk.finished.clear_widths == (TapedWidth(ROOM, WIDTH, 3876.0),)
    assert panel.unsaved == ("clear widths",)
    assert f"{WALL}: its face was not looked at yet" in words(panel.headline)
    assert "3876 ± 2 mm" in words(panel.found.verdicts)
    assert "Nobody looked at its face yet" in panel.found.snags.value
    assert "a clear width alone does not pass it" in words(panel.found.verdicts)
    panel.wall.value = OPPOSITE
    assert panel.widths.rows[0].mm.value == 3876.0
    assert "passes" in words(panel.found.verdicts)
    tape(panel, "3,86 m", "5")
    assert f"✗ {OPPOSITE} fails" in words(panel.headline)
    assert panel.desk.finished.clear_widths == (TapedWidth(ROOM, WIDTH, 3860.0, 5.0),)
    tape(panel, "")
    assert panel.desk.finished.clear_widths == ()
    assert "Nothing checked yet" in words(panel.headline)


def test_what_is_no_length_is_told_and_saved_by_nobody(panel, folder):
    tape(panel, "3876")
    tape(panel, "wide")
    assert "wide" in words(panel.problem)
    assert "3876" in words(panel.found.verdicts)
    panel.buttons["save"].click()
    assert not (folder / FINISHED_FILE).exists()
    tape(panel, "3877")
    panel.buttons["save"].click()
    assert open_finished(folder).clear_widths == (TapedWidth(ROOM, WIDTH, 3877.0),)
    assert panel.unsaved == ()


def test_verdicts_have_it_and_the_snag_list_waits_for_somebody_to_look(panel, folder):
    tape(panel, "3876")
    panel.view.value = "client"
    frame = read_back(panel.write_verdicts(folder))
    assert sorted(frame["wall"]) == sorted((WALL, OPPOSITE))
    assert set(frame["what"]) == {f"clear width for {WIDTH}"}
    assert set(frame["measured"]) == {3876}
    with pytest.raises(mt.TakeoffError, match="no wall was looked at"):
        panel.write_snags(folder)


def test_a_width_that_was_renamed_is_told_and_keeps_nothing_else_from_being_read(panel, folder):
    tape(panel, "3876")
    panel.buttons["save"].click()
    text = (folder / "job.toml").read_text("utf-8")
    (folder / "job.toml").write_text(text.replace(f'name = "{WIDTH}"', 'name = "shelves"'), "utf-8")
    again = finished(mt.open_job(folder), DAY)
    assert again.problem.value == ""
    again.wall.value = WALL
    assert f"{ROOM}, {WIDTH}: taped, and the job asks for it no more" in words(again.widths._head)
    tape(again, "3875")
    assert again.problem.value == ""
    assert again.desk.finished.clear_widths == (
        TapedWidth(ROOM, "shelves", 3875.0), TapedWidth(ROOM, WIDTH, 3876.0)
    )  # fmt: skip


def test_what_is_typed_as_it_was_is_no_change(tmp_path):
    folder = coarse_copy_of_demo(tmp_path)
    panel = finished(mt.open_job(folder), DAY)
    panel.wall.value = WALL
    tape(panel, "")
    assert panel.unsaved == ("clear widths",)
    tape(panel, "3876")
    assert panel.unsaved == ()


def test_the_demo_has_room_for_its_wardrobes(tmp_path):
    panel = finished(mt.open_job(coarse_copy_of_demo(tmp_path)), DAY)
    assert panel.wall.value == "party wall"
    panel.wall.value = OPPOSITE
    assert "3876 ± 2 mm" in words(panel.found.verdicts)
    assert panel.unsaved == ()
