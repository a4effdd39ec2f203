"""What is found on a wall beside its readings, entered in the survey panel's rows as a hand would."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from demo import copy_of_demo, demo_in

import mytakeoff as mt
from mytakeoff.errors import Check
from mytakeoff.io.files.typed import numbers_typed
from mytakeoff.job.findings import Findings, findings_of
from mytakeoff.job.job_wall import Fitting
from mytakeoff.panels import SurveyPanel, survey
from mytakeoff.panels.parts.rows import Rows
from mytakeoff.panels.survey_panel.finding_rows import FindingRows

SWEEP = {"x_m": "0.5", "z_m": "1.2", "length_m": "2", "gap_mm": "6", "touches_m": "0,35 1,9"}
LOOSE = {"x_m": "1.25", "z_m": "1.4", "width_m": "0.4", "height_m": "0,4", "depth_mm": "18"}
SOCKET = {"kind": "socket", "name": "by the bed", "x_m": "1.2", "z_m": "0.45"}
CORNER = {"x1": "0.2", "off1": "40", "x2": "3.2", "off2": "49", "z_m": "1.3"}
FIXED = {"name": "edge of the door frame", "x_m": "3.1", "z_m": "1,0", "mm": "212"}
SPOT = {"x_m": "1.5", "z_m": "2.2", "mm": "36"}


@pytest.fixture
def panel(folder: Path) -> SurveyPanel:
    made = survey(demo_in(folder))
    made.wall.pick.value = "door wall"
    return made


def enter(rows: Rows[Any], typed: dict[str, Any]) -> None:
    """Add a row and fill it in, box after box."""
    rows.add.click()
    for name, text in typed.items():
        rows.used[-1].boxes[name].value = text


def labels(rows: Rows[Any]) -> Sequence[str]:
    return [box.description for box in rows.used[-1].boxes.values()]


def test_one_of_each_is_entered_marked_saved_and_priced(panel: SurveyPanel, folder: Path) -> None:
    before = mt.evaluate(mt.open_job(folder)).wall("door wall")
    remarks = [line for line in (folder / "job.toml").read_text().splitlines() if "#" in line]
    found = panel.found
    found.turn.value = ""  # the corner is measured anew
    for rows, typed in (
        (found.sweeps, SWEEP), (found.loose, LOOSE), (found.corner, CORNER), (found.fittings, SOCKET),
        (found.spots, SPOT), (found.fixed, FIXED),
    ):  # fmt: skip
        enter(rows, typed)
        assert panel.problem.value == ""
    for mark in ("H1", "E1", "L1", "L2", "Q1", "Q2", "P1", "P2", "P3", "F1"):
        assert f"<strong>{mark}</strong>" in panel.marked.value
        assert f"{mark}:" in panel.map.value  # the map's own words
    panel.save()
    wall = mt.open_job(folder).wall("door wall")
    assert wall.survey.sweeps == (mt.LaidEdge(0.5, 1.2, 2.0, 6.0, touches_m=(0.35, 1.9)),)
    assert wall.loose[-1] == mt.LooseArea(1.25, 1.4, 0.4, 0.4, 18.0)
    assert wall.corner == mt.Corner((0.2, 3.2), (40.0, 49.0), 1.3)
    assert wall.turn_mm_per_m is None
    assert wall.fittings[-1] == Fitting("by the bed", "socket", 1.2, 0.45)
    assert wall.fixed_places == (mt.FixedPlace("edge of the door frame", 3.1, 1.0, -212.0),)
    assert [spot.tolist() for spot in (wall.survey.high_x_m, wall.survey.high_mm)] == [[1.5], [-36.0]]
    text = (folder / "job.toml").read_text()
    assert [line for line in text.splitlines() if "#" in line] == remarks
    after = mt.evaluate(mt.open_job(folder)).wall("door wall")
    assert after.build_up.volume_l != pytest.approx(before.build_up.volume_l, abs=0.5)
    assert after.entry.sockets_to_move == before.entry.sockets_to_move + 1


def test_what_the_job_has_stands_in_the_rows_and_can_be_changed_and_taken_out(
    panel: SurveyPanel, folder: Path
) -> None:
    panel.wall.pick.value = "party wall"
    was = panel.job.wall("party wall")
    assert panel.found.findings == findings_of(was)
    assert panel.found.folds["spots"].head.title == "High spots (2)"
    panel.found.spots.rows[1].boxes["mm"].value = "43"
    panel.found.loose.rows[0].out.click()
    panel.save()
    wall = mt.open_job(folder).wall("party wall")
    assert wall.survey.high_mm.tolist() == [was.survey.high_mm[0], -43.0]
    assert wall.loose == was.loose[1:]
    assert wall.fittings == was.fittings


def test_opening_and_saving_a_wall_changes_no_byte(panel: SurveyPanel, folder: Path) -> None:
    before = (folder / "job.toml").read_bytes()
    for name in ("party wall", "door wall"):
        panel.wall.pick.value = name
        panel.save()
    assert (folder / "job.toml").read_bytes() == before


def test_a_row_counts_only_when_it_is_filled_in(panel: SurveyPanel, folder: Path) -> None:
    before, shown = (folder / "job.toml").read_bytes(), panel.map.value
    panel.found.loose.add.click()
    row = panel.found.loose.used[-1]
    row.boxes["x_m"].value, row.boxes["z_m"].value = "0.2", "0.3"
    assert "L2 counts when this is filled in: Width, m" in row.hint.value
    assert panel.map.value == shown
    assert panel.problem.value == ""
    panel.buttons["save"].click()
    assert "loose area L2: Width, m, Height, m: nothing typed" in panel.problem.value
    assert (folder / "job.toml").read_bytes() == before
    row.out.click()
    panel.buttons["save"].click()
    assert panel.said.value


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> SurveyPanel:
    """One panel for mistakes that are put right again."""
    made = survey(mt.open_job(copy_of_demo(tmp_path_factory.mktemp("job"))))
    made.wall.pick.value = "door wall"
    return made


@pytest.mark.parametrize(
    ("kind", "good", "box", "bad", "words"),
    [
        ("loose", LOOSE, "x_m", "3.2", "it lies on the wall, 3.4 × 2.6 m"),
        ("loose", LOOSE, "depth_mm", "0", "depth 0 mm; it is above 0"),
        ("sweeps", SWEEP, "length_m", "3", "an edge lies on its wall"),
        ("sweeps", SWEEP, "touches_m", "0.35 2.4", "a place under the edge is measured along it"),
        ("sweeps", SWEEP, "gap_mm", "six", "laid straightedge E1, Worst gap, mm: 'six'"),
        ("sweeps", SWEEP | {"z_m": "1.9"}, "gap_mm", "0", "within 0 mm of all of them"),
        ("fittings", SOCKET, "x_m", "3.5", "a fitting is on the wall"),
        ("fittings", SOCKET, "z_m", "-0.2", "it is 0 to 100 m"),
        ("corner", CORNER, "x2", "0.3", "they are 0.3 m apart or more"),
        ("corner", CORNER, "off2", "90", "take turn_mm_per_m out"),
        ("fixed", FIXED, "x_m", "3.5", "a fixed place is on the wall"),
        ("fixed", FIXED, "mm", "99999", "proud -99999 mm; it is"),
        ("spots", SPOT, "z_m", "2.7", "readings lie on the wall"),
    ],
)
def test_a_mistake_is_told_as_its_type_tells_it_and_the_last_good_draft_stays(
    shared: SurveyPanel, kind: str, good: dict[str, str], box: str, bad: str, words: str
) -> None:
    job_file = Path(shared.job.folder) / "job.toml"
    if kind == "corner":
        shared.found.turn.value = "3"
        good = {**good, "off2": "47"}  # the sheet: -29 mm at 0.2, -27 at 3.2 m; (2 + 47 - 40) / 3 m is 3 mm/m
    rows = shared.found.kinds[kind]
    enter(rows, good)
    assert shared.problem.value == ""
    shown, before = shared.map.value, job_file.read_bytes()
    rows.used[-1].boxes[box].value = bad
    assert words in unescape(shared.problem.value)
    assert shared.map.value == shown
    shared.buttons["save"].click()
    assert shared.problem.value
    assert job_file.read_bytes() == before
    rows.used[-1].out.click()
    assert shared.problem.value == ""


def test_several_mistakes_are_told_together(panel: SurveyPanel) -> None:
    enter(panel.found.loose, LOOSE | {"x_m": "3.2"})
    enter(panel.found.fittings, SOCKET | {"x_m": "9"})
    enter(panel.found.sweeps, SWEEP | {"length_m": "3"})
    for words in ("it lies on the wall", "a fitting is on the wall", "an edge lies on its wall"):
        assert words in panel.problem.value
    panel.found.loose.used[-1].boxes["x_m"].value = "3,x"
    panel.found.fittings.used[-1].boxes["x_m"].value = "wide"
    for typed in ("3,x", "wide"):
        assert typed in panel.problem.value


def test_fallen_plaster_changes_the_map_and_loose_plaster_hangs_on_it(panel: SurveyPanel) -> None:
    whole = panel.surface.proud_mm
    enter(panel.found.loose, LOOSE)
    np.testing.assert_array_equal(panel.surface.proud_mm, whole)
    panel.found.loose.used[-1].boxes["fallen"].value = True
    change = panel.surface.proud_mm - whole
    cell_m2 = panel.surface.cell_area_m2.max()
    assert -np.nansum(change) * cell_m2 == pytest.approx(18.0 * 0.4 * 0.4)  # no reading lay in it


def test_another_fitting_works_nothing_out_again(panel: SurveyPanel) -> None:
    surface, held, lines = panel.surface, panel.held, panel.lines.value
    enter(panel.found.fittings, SOCKET)
    enter(panel.found.fixed, FIXED)
    for mark in ("P3", "F1"):
        assert f"<strong>{mark}</strong>" in panel.marked.value
    assert panel.surface is surface
    assert panel.held is held
    assert panel.lines.value is lines


def test_a_new_row_takes_over_what_is_usually_the_same(panel: SurveyPanel) -> None:
    enter(panel.found.sweeps, SWEEP | {"direction": "upright", "length_m": "1.2"})
    panel.found.sweeps.add.click()
    boxes = panel.found.sweeps.used[-1].boxes
    assert (boxes["direction"].value, boxes["length_m"].value, boxes["x_m"].value) == ("upright", 1.2, "")


def test_rows_taken_out_are_used_again(panel: SurveyPanel) -> None:
    enter(panel.found.fittings, SOCKET)
    made = len(panel.found.fittings.rows)
    for _ in range(3):
        panel.found.fittings.used[0].out.click()
        enter(panel.found.fittings, SOCKET)
    assert len(panel.found.fittings.rows) == made
    assert [row.mark for row in panel.found.fittings.used] == ["P1", "P2", "P3"]


def test_every_box_says_its_unit(panel: SurveyPanel) -> None:
    for rows in (panel.openings, *panel.found.kinds.values()):
        rows.add.click()
        numbers = [field for field in rows.kind.fields if field.kind in ("number", "numbers")]
        for field in numbers:
            assert field.label in labels(rows)
            assert any(unit in field.label for unit in (", mm", ", m"))


def test_names_that_were_typed_are_text_on_the_page(panel: SurveyPanel) -> None:
    enter(panel.found.fittings, SOCKET | {"name": "<img src=x onerror=alert(1)>"})
    assert "onerror" in panel.marked.value
    for part in (panel.marked, panel.map):
        assert "<img" not in part.value


@pytest.mark.parametrize(
    "typed", ["0.35 1.9", "0,35 1,9", "0.35, 1.9", "0,35; 1,9", " 0.35;1.9 ", "0.35,1.9"]
)
def test_places_along_an_edge_are_read_however_they_are_typed(typed: str) -> None:
    check = Check()
    assert numbers_typed(typed, "touches", check) == (0.35, 1.9)
    assert not check.mistakes


def test_what_was_read_off_another_plane_goes_with_it() -> None:
    """High spots and fixed places of the earlier survey; what was typed since stays."""
    rows = FindingRows(lambda: None)
    frame, new = mt.FixedPlace("frame", 3.1, 1.0, -212.0), mt.FixedPlace("new screw", 0.2, 2.4, -300.0)
    before = Findings(high_spots=((1.0, 1.0, 4.0),), fixed_places=(frame,))
    rows.show(replace(before, fixed_places=(frame, new)))
    rows.keep_of_plane(before, same=False)
    assert rows.findings == Findings(fixed_places=(new,))
    rows.keep_of_plane(before, same=True)
    assert rows.findings == replace(before, fixed_places=(frame, new))
