"""What was ticked as touched up goes on meaning its place, whatever is typed into an earlier round."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path

import pytest
from looked_at import DAY, FILE, looked_at, opened
from looked_at import NAME as WALL

import mytakeoff as mt
from mytakeoff.finished.hand_mark import HandMark
from mytakeoff.finished.numbered_snag import NumberedSnag
from mytakeoff.io.finished.finished_file import open_finished
from mytakeoff.panels import FinishedPanel


@pytest.fixture
def panel(tmp_path: Path) -> FinishedPanel:
    """Two hollows found by an edge, the right one touched up before the second round."""
    panel = opened(looked_at(tmp_path / "job"))
    panel.buttons["add-round"].click()
    mark(panel, 1.0)
    mark(panel, 2.2)
    panel.buttons["add-round"].click()
    panel.rounds.done.boxes[1].value = True
    assert panel.problem.value == ""
    return panel


def mark(panel: FinishedPanel, x_m: float, z_m: float = 1.0) -> None:
    panel.rounds.marks.add_blank()
    row = panel.rounds.marks.used[-1]
    for name, value in (("x_m", x_m), ("z_m", z_m), ("mm", 9.0), ("edge_m", 0.6)):
        row.boxes[name].value = value


def states(panel: FinishedPanel) -> dict[int, tuple[float, str]]:
    assert panel.checked is not None
    return {snag.number: (round(snag.x_m, 1), snag.state) for snag in panel.checked.snags.snags}


def test_a_mark_that_was_forgotten_in_the_first_round_takes_a_number_of_its_own(panel):
    assert states(panel) == {1: (1.0, "open"), 2: (2.2, "done")}
    assert panel.desk.wall(WALL).snags == (NumberedSnag(2, "hollow", 2.2, 1.0),)
    panel.controls["round"].value = 0
    mark(panel, 0.3)
    assert panel.problem.value == ""
    assert states(panel) == {1: (0.3, "open"), 2: (2.2, "done"), 3: (1.0, "open")}


def test_it_is_saved_and_read_back(panel):
    folder = Path(panel.store.job.folder)
    panel.buttons["save"].click()
    assert open_finished(folder).walls[0].snags == (NumberedSnag(2, "hollow", 2.2, 1.0),)
    again = opened(folder)
    assert states(again) == states(panel)
    assert again.unsaved == ()


def test_what_is_touched_up_no_more_has_no_place_written_down(panel):
    panel.rounds.done.boxes[1].value = False
    assert panel.desk.wall(WALL).snags == ()
    panel.rounds.done.boxes[0].value = True
    assert [each.number for each in panel.desk.wall(WALL).snags] == [1]
    panel.buttons["drop-round"].click()
    assert panel.desk.wall(WALL).snags == ()
    assert [each.kind for each in panel.desk.wall(WALL).rounds[0].marks] == ["light", "light"]


def test_snags_of_a_later_round_are_not_offered_in_an_earlier_one(panel):
    mark(panel, 1.5, 2.2)
    panel.buttons["add-round"].click()
    offered = [box.description[0] for box in panel.rounds.done.boxes if box.layout.display != "none"]
    assert offered == ["1", "2", "3"]
    panel.rounds.done.boxes[2].value = True
    panel.controls["round"].value = 0
    mark(panel, 0.3)
    assert states(panel)[3] == (1.5, "done")
    panel.controls["round"].value = 1
    offered = [box.description[0] for box in panel.rounds.done.boxes if box.layout.display != "none"]
    assert offered == ["1", "2", "4"], "3 was found in that round, 4 before it"


def test_one_number_means_one_place(panel):
    places = (NumberedSnag(2, "hollow", 2.2, 1.0), NumberedSnag(2, "hollow", 1.0, 1.0))
    assert not panel.desk.edit_wall(WALL, lambda wall: replace(wall, snags=places))
    assert "snag 2 twice" in panel.problem.value
    with pytest.raises(mt.TakeoffError, match="write one of them"):
        NumberedSnag(1, "dip", 1.0, 1.0)
    assert HandMark(1.0, 1.0, "light", 9.0, 0.6) in panel.desk.wall(WALL).rounds[0].marks


def test_a_number_means_the_place_where_its_snag_was_found_first(tmp_path):
    """An edge found it at the rim of a hollow that the readings of a later round show to lie further off."""
    panel = opened(looked_at(tmp_path / "job"))
    panel.buttons["add-round"].click()
    panel.controls["round_survey"].value = ""
    mark(panel, 0.3)
    panel.buttons["add-round"].click()
    panel.controls["round_survey"].value = FILE
    panel.buttons["add-round"].click()
    assert panel.checked is not None
    assert [snag.number for snag in panel.checked.snags.snags] == [1]
    panel.rounds.done.boxes[0].value = True
    assert panel.problem.value == ""
    assert panel.desk.wall(WALL).snags == (NumberedSnag(1, "hollow", 0.3, 1.0),)
    assert [each.what for each in panel.checked.snags.snags[0].history] == ["found", "still there", "done"]


def test_a_mark_that_was_put_right_after_its_snag_was_ticked_keeps_the_number(panel):
    panel.rounds.done.boxes[0].value = True
    panel.rounds.done.boxes[1].value = True
    panel.controls["round"].value = 0
    panel.rounds.marks.used[1].boxes["x_m"].value = 3.3
    panel.rounds.marks.used[1].boxes["z_m"].value = 2.3
    assert panel.problem.value == ""
    assert states(panel) == {1: (1.0, "done"), 2: (3.3, "done")}


def test_what_a_hand_wrote_down_stays(panel):
    own = NumberedSnag(7, "hollow", 1.0, 1.0)
    assert panel.desk.edit_wall(WALL, lambda wall: replace(wall, snags=(*wall.snags, own)))
    assert states(panel) == {7: (1.0, "open"), 2: (2.2, "done")}
    assert panel.rounds.take()
    assert [each.number for each in panel.desk.wall(WALL).snags] == [2, 7]


def test_ticks_are_those_of_the_round_that_is_shown(panel):
    panel.buttons["add-round"].click()
    panel.rounds.done.boxes[0].value = True
    rounds = panel.desk.wall(WALL).rounds
    assert [each.done for each in rounds] == [(), (2,), (1,)]
    panel.controls["stood"].value = 1
    for nth in (1, 2, 0):
        panel.controls["round"].value = nth
        assert panel.rounds.take()
        assert panel.desk.wall(WALL).rounds == rounds


def test_what_is_saved_before_the_wall_is_checked_is_what_was_opened(tmp_path):
    folder = looked_at(tmp_path / "job")
    rounds = (mt.CheckRound(DAY, FILE), mt.CheckRound(DAY, done=(1,)))
    before = mt.Finished(walls=(mt.FinishedWall(WALL, rounds=rounds),))
    mt.save_finished(before, folder)

    async def at_once() -> None:
        again = opened(folder)
        assert again.checked is None, "it comes a little later"
        assert again.rounds.take()
        assert again.desk.finished == before

    asyncio.run(at_once())
