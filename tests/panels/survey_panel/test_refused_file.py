"""A file that is refused: why stays told, and no wall of another reading stands there for its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo import demo_in
from survey_panels import SHEET, files_of, new_wall, room_scan

from mytakeoff.panels import SurveyPanel, survey


@pytest.fixture
def panel(folder: Path) -> SurveyPanel:
    return survey(demo_in(folder))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (SHEET.replace(b"31;", b"x;"), "a number stands here"),
        (SHEET.replace(b";310", b";410"), "reaches from 0 to"),
        (b"\x00\x01", "plain text"),
        (b"", "nothing in it"),
    ],
)
def test_a_bad_file_is_told_and_does_not_stand_on_the_page_as_the_wall_before_it(
    panel: SurveyPanel, folder: Path, content, words
) -> None:
    new_wall(panel)
    panel.bring("good.csv", SHEET)
    before = files_of(folder)
    panel.bring("bad.csv", content)
    assert words in panel.problem.value
    assert panel.map.value == panel.lines.value == panel.places.value == ""
    assert "Not read yet" in panel.headline.value
    assert "bad.csv was not read" in panel.facts.value
    panel.buttons["save"].click()
    assert "no survey that was read" in panel.problem.value
    assert words in panel.problem.value  # the second message leaves the first
    assert files_of(folder) == before
    panel.bring("good.csv", SHEET)
    assert panel.problem.value == ""
    assert panel.map.value.count("<svg") == 2


def test_a_file_that_was_spoilt_meanwhile_leaves_its_wall_marked_as_from_before(
    panel: SurveyPanel, folder: Path
) -> None:
    new_wall(panel)
    panel.bring("good.csv", SHEET)
    shown = panel.map.value
    panel.wall.width.value = 2.0  # its readings reach to 3.1 m
    assert "reaches from 0 to 2 m" in panel.problem.value
    assert panel.map.value == shown
    assert "What is shown is good.csv as it was last read" in panel.status.value
    panel.wall.width.value = 3.2
    assert panel.status.value == panel.problem.value == ""


@pytest.mark.parametrize("replaced", ["a new wall", "party wall"])
def test_a_wrong_way_up_is_refused_and_taken_back(panel: SurveyPanel, folder: Path, replaced: str) -> None:
    """The scan's y axis lies across the wall: nothing upright is found along it."""
    room_scan(folder / "scans" / "room.ply")
    panel.look()
    panel.wall.pick.value = replaced
    panel.file.pick.value = "scans/room.ply"
    panel.scan.unit.value = "m"
    shown, size = panel.map.value, (panel.wall.width.value, panel.wall.height.value)
    panel.scan.up.value = "y"
    assert "stands upright" in panel.problem.value
    assert panel.map.value == ""  # nobody takes the map of one reading for another's
    panel.scan.up.index = 0
    assert panel.problem.value == ""
    assert panel.scan.up.label == "found by itself: z"
    assert panel.map.value.count("<svg") == shown.count("<svg")
    assert (panel.wall.width.value, panel.wall.height.value) == size
    assert panel.surface.wall.width_m == size[0]
