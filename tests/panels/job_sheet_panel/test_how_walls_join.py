"""How the walls of a room join, entered on the job sheet: saved, taken back, and told where it cannot be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sheets import enter, press, row_of, told

import mytakeoff as mt
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.panels import JobSheetPanel, job_sheet
from mytakeoff.panels.job_sheet_panel.entries import Entries

FOLD = "Corners, clear widths, diagonals"
SQUARE = mt.OffSquare("party wall", (2.7, 3.7), (0.1, 1.1), (12.0, 25.0), 1.3)
BY_SQUARE = mt.RoomCorner("party wall", "window wall", off_square=SQUARE)
SQUARE_TYPED = {
    "off_square.on": "party wall",
    "off_square.on_x_m": "2,7 3,7",
    "off_square.x_m": "0.1; 1.1",
    "off_square.off_square_mm": "12 25",
    "off_square.z_m": "130 cm",
}
FOUR = ("north", "east", "south", "west")


@pytest.fixture
def sheet(folder: Path) -> JobSheetPanel:
    """The demo's sheet, nothing said of how the walls of its front room join."""
    job = mt.open_job(folder)
    none = replace(job.rooms[0], corners=(), clear_widths=(), parallel=(), diagonals=None)
    mt.save_job(replace(job, rooms=(none, *job.rooms[1:])), folder, job)
    sheet = job_sheet(mt.open_job(folder))
    sheet.folds[FOLD].enter()
    return sheet


@pytest.fixture
def bare(tmp_path: Path) -> JobSheetPanel:
    """A room of four walls that nobody has read."""
    sheet = job_sheet(mt.open_job(new_job_folder(tmp_path / "job")))
    add(sheet.entries["room"], {"name": "mill room"})
    for name in FOUR:
        sized = {"name": name, "width_m": "3", "height_m": "2.5", "background": "brick"}
        add(sheet.entries["wall"], sized)
    sheet.folds[FOLD].enter()
    return sheet


def add(entries: Entries, typed: dict[str, Any]) -> None:
    """A new row, typed box by box."""
    entries.add()
    for name, value in typed.items():
        enter(entries, name, value, -1)


def saved(sheet: JobSheetPanel) -> mt.Room:
    """The first room as its file has it."""
    return mt.open_job(sheet.store.job.folder).rooms[0]


def add_square(sheet: JobSheetPanel) -> Entries:
    entries = sheet.entries["room.corner"]
    add(entries, {"wall": "party wall", "next_wall": "window wall", "measured": "off_square", **SQUARE_TYPED})
    return entries


class TestCorners:
    def test_a_square_is_entered_saved_and_taken_back(self, sheet: JobSheetPanel) -> None:
        entries = add_square(sheet)
        assert entries.mistakes == []
        assert saved(sheet).corners == (BY_SQUARE,)
        enter(entries, "off_square.sd_mm", "1,5")
        assert saved(sheet).corners == (replace(BY_SQUARE, off_square=replace(SQUARE, sd_mm=1.5)),)
        for left in ((BY_SQUARE,), ()):
            sheet.undo()
            assert saved(sheet).corners == left

    def test_what_was_measured_is_told_beside_it(self, sheet: JobSheetPanel) -> None:
        """13 mm more over a metre is 0.74° wider, less what the faces themselves turn."""
        entries = add_square(sheet)
        (found,) = mt.room_planes(sheet.store.job, "front room").corners
        assert found.planes_deg == pytest.approx(90 + 0.745, abs=0.6)
        assert f"found {found.planes_deg:.2f}° ± " in entries.rows[0]["facts"]

    def test_one_set_up_wants_no_figures(self, sheet: JobSheetPanel) -> None:
        entries = sheet.entries["room.corner"]
        add(entries, {"wall": "breast left cheek", "next_wall": "breast front", "angle_deg": "270°"})
        assert entries.rows[-1]["wait"] == "It counts when this is filled in: Measured by."
        enter(entries, "measured", "one_set_up", -1)
        assert saved(sheet).corners == (
            mt.RoomCorner("breast left cheek", "breast front", 270.0, one_set_up=True),
        )
        assert entries.rows[-1]["facts"] == "found 270.00°, exact"

    def test_another_way_counts_once_its_figures_are_there(self, sheet: JobSheetPanel) -> None:
        entries = add_square(sheet)
        enter(entries, "measured", "triangle")
        assert saved(sheet).corners == (BY_SQUARE,)
        assert "Mark on the wall, m" in entries.rows[0]["wait"]
        enter(entries, "angle_deg", "89")  # what does not hang on it is taken meanwhile
        assert saved(sheet).corners[0].angle_deg == 89.0
        enter(entries, "angle_deg", "90")
        taped = {"run_m": "1.5", "next_run_m": "2", "sd_mm": "3", "diagonal_m": "2,51", "z_m": "1.2"}
        for name, typed in taped.items():
            enter(entries, f"triangle.{name}", typed)
        triangle = mt.Triangle(1.5, 2.0, 2.51, 1.2, 3.0)
        assert saved(sheet).corners == (mt.RoomCorner("party wall", "window wall", triangle=triangle),)
        assert entries.rows[0]["wait"] == ""
        enter(entries, "measured", "no")
        assert saved(sheet).corners == (mt.RoomCorner("party wall", "window wall"),)

    def test_only_boxes_of_the_way_that_is_chosen_are_asked(self, sheet: JobSheetPanel) -> None:
        entries = sheet.entries["room.corner"]
        when = {column["name"]: column["when"] for column in entries.head["columns"]}
        assert entries.head["cards"] is True
        assert when["wall"] is when["measured"] is None
        assert when["off_square.z_m"] == ["measured", "off_square"]
        assert when["triangle.run_m"] == ["measured", "triangle"]
        kinds = {column["name"]: column["kind"] for column in entries.head["columns"]}
        assert {kinds[name] for name in ("wall", "next_wall", "measured", "off_square.on")} == {"choice"}

    def test_what_cannot_be_is_told_at_its_box_or_its_row(self, sheet: JobSheetPanel) -> None:
        entries = add_square(sheet)
        enter(entries, "angle_deg", "5")
        assert "it is 10 to 350" in told(entries, "angle_deg")
        enter(entries, "off_square.z_m", "wide")
        assert "a length stands here" in told(entries, "off_square.z_m")
        assert "10 to 350" in sheet.problem.value
        enter(entries, "angle_deg", "90")
        enter(entries, "off_square.z_m", "1.3")
        enter(entries, "off_square.x_m", "0.1")
        assert "a square touches at two places and is read at two" in entries.rows[0]["told"]
        enter(entries, "off_square.x_m", "2.5 3.4")
        assert "they meet at its left end" in entries.rows[0]["told"]
        enter(entries, "off_square.x_m", "0.1 1.1")
        enter(entries, "next_wall", "party wall")
        assert "two walls meet at a corner" in entries.rows[0]["told"]
        assert saved(sheet).corners == (BY_SQUARE,)
        enter(entries, "next_wall", "window wall")
        assert sheet.problem.value == ""

    def test_the_next_two_walls_on_the_way_round_are_filled_in(self, bare: JobSheetPanel) -> None:
        entries = bare.entries["room.corner"]
        for wall, after in zip(FOUR, (*FOUR[1:], FOUR[0]), strict=True):
            entries.add()
            cells = entries.rows[-1]["cells"]
            assert (cells["wall"], cells["next_wall"]) == (wall, after)
            enter(entries, "measured", "one_set_up", -1)
        assert [corner.wall for corner in saved(bare).corners] == list(FOUR)
        assert entries.rows[0]["facts"] == "known once both walls are read off plumb planes"

    def test_a_wall_called_otherwise_or_gone_is_so_in_them(self, sheet: JobSheetPanel) -> None:
        entries = add_square(sheet)
        walls = sheet.entries["wall"]
        enter(walls, "name", "gable", row_of(walls, "name", "party wall"))
        cells = entries.rows[0]["cells"]
        assert (cells["wall"], cells["off_square.on"]) == ("gable", "gable")
        assert ["gable", "gable"] in entries.options["wall"]
        press(walls, "out", row_of(walls, "name", "gable"))
        assert entries.rows == []
        assert saved(sheet).corners == ()
        sheet.undo()
        assert entries.rows[0]["cells"]["wall"] == "gable"

    def test_corners_that_do_not_close_are_told(self, sheet: JobSheetPanel) -> None:
        """1.95 m across runs of a metre are 154° by the law of cosines, which no plane makes up for."""
        entries = add_square(sheet)
        enter(entries, "measured", "triangle")
        for name, typed in (("run_m", "1"), ("next_run_m", "1"), ("diagonal_m", "1.95"), ("z_m", "1.2")):
            enter(entries, f"triangle.{name}", typed)
        assert "no plane is turned by more than" in entries.rows[0]["facts"]


class TestWhatElseARoomSays:
    def test_a_clear_width(self, sheet: JobSheetPanel) -> None:
        entries = sheet.entries["room.clear_width"]
        typed = {"name": "wardrobes", "wall": "breast right cheek", "opposite": "window wall"}
        add(entries, {**typed, "needs_mm": "3.87 m", "x_m": "20 cm"})
        width = mt.ClearWidth("wardrobes", "breast right cheek", "window wall", 3870.0, 0.2)
        assert saved(sheet).clear_widths == (width,)
        enter(entries, "must", True)
        enter(entries, "between_planes_mm", "3920")
        (width,) = saved(sheet).clear_widths
        assert (width.must, width.between_planes_mm) == (True, 3920.0)
        enter(entries, "x_m", "5")
        assert "it lies on the wall" in entries.rows[0]["told"]

    def test_two_parallel_walls(self, bare: JobSheetPanel) -> None:
        entries = bare.entries["room.parallel"]
        add(entries, {"wall": "north", "other": "south"})
        assert saved(bare).parallel == (("north", "south"),)
        enter(entries, "other", "north")
        assert "two walls are parallel to one another" in entries.rows[0]["told"]
        enter(entries, "other", "west")
        assert saved(bare).parallel == (("north", "west"),)
        press(entries, "out")
        assert saved(bare).parallel == ()

    def test_diagonals_measure_a_room_of_four_walls(self, bare: JobSheetPanel) -> None:
        entries, corners = bare.entries["room.diagonals"], bare.entries["room.corner"]
        typed = {"wall": "north", "from_left_m": "4.25", "from_right_m": "4,23", "z_m": "1"}
        add(entries, typed)
        assert "two diagonals say how a room stands whose four walls go all round" in entries.rows[0]["told"]
        for _ in FOUR:
            corners.add()
            enter(corners, "measured", "no", -1)
        enter(entries, "sides_m", "3 3.01 2,99 3")
        assert saved(bare).diagonals == mt.Diagonals("north", 4.25, 4.23, 1.0, (3.0, 3.01, 2.99, 3.0))
        enter(entries, "sd_mm", "1")
        assert saved(bare).diagonals.sd_mm == 1.0
        enter(corners, "measured", "one_set_up")
        assert "the diagonals measure all four" in corners.rows[0]["told"]
        assert entries.head["most"] == 1


def test_each_room_has_its_own(sheet: JobSheetPanel) -> None:
    entries = add_square(sheet)
    sheet.room.value = "back bedroom"
    assert entries.rows == []
    assert entries.options["wall"] == [["door wall", "door wall"]]
    enter(sheet.entries["room"], "name", "small room", 1)
    assert sheet.room.value == "small room"
    sheet.room.value = "front room"
    assert len(entries.rows) == 1


def test_a_job_without_rooms_has_none_to_choose(tmp_path: Path) -> None:
    sheet = job_sheet(mt.open_job(new_job_folder(tmp_path / "job")))
    sheet.folds[FOLD].enter()
    sheet.entries["room.corner"].add()
    enter(sheet.entries["room.corner"], "measured", "one_set_up")
    assert "It counts when this is filled in: Wall" in sheet.entries["room.corner"].rows[0]["wait"]
