"""What is entered on the job sheet is saved as a hand would have written it; what cannot be is told."""

from __future__ import annotations

import difflib
from dataclasses import replace
from pathlib import Path

import pytest
from sheets import enter, press, row_of, told, whole_sheet

import mytakeoff as mt
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.panels import JobSheetPanel, job_sheet
from mytakeoff.resources import demo_folder


def changed_lines(folder: Path, name: str = "job.toml") -> list[str]:
    """The lines of a file that differ from the demo's, with their signs."""
    before, now = ((place / name).read_text("utf-8").splitlines() for place in (demo_folder(), folder))
    found = difflib.unified_diff(before, now, lineterm="", n=0)
    return [line for line in found if line[0] in "+-" and line[:3] not in ("+++", "---")]


@pytest.fixture
def sheet(folder: Path) -> JobSheetPanel:
    """The demo's sheet with the folds that are open at first."""
    return job_sheet(mt.open_job(folder))


def open_folds(sheet: JobSheetPanel, *titles: str) -> None:
    for title in titles:
        sheet.folds[title].enter()


def test_one_edit_changes_one_line_of_the_file(sheet: JobSheetPanel, folder: Path) -> None:
    enter(sheet.entries["job"], "built_year", "1932")
    assert changed_lines(folder) == ["-built_year = 1931", "+built_year = 1932"]
    sheet.undo()
    assert changed_lines(folder) == []


def test_what_is_taken_back_leaves_no_heading_over_nothing(folder: Path) -> None:
    sheet = job_sheet(mt.open_job(folder))
    open_folds(sheet, "How it is worked out", "Hours of work")
    enter(sheet.entries["rates"], "labourer_share", "60")
    assert changed_lines(folder)[-2:] == ["+[rates]", "+labourer_share = 0.6"]
    sheet.undo()
    assert changed_lines(folder) == []


def test_a_share_is_written_as_a_hand_writes_it(sheet: JobSheetPanel, folder: Path) -> None:
    """2.9 % is 0.029, and not what a division in floats makes of it."""
    open_folds(sheet, "How it is worked out", "Waste, small items, openings")
    enter(sheet.entries["job.amounts"], "waste_share", "2.9")
    assert [line.split("#")[0].strip() for line in changed_lines(folder)][1] == "+waste_share = 0.029"


def test_what_is_usual_is_not_written(folder: Path, tmp_path: Path) -> None:
    """Only the keys that differ come to the file."""
    sheet = job_sheet(mt.open_job(folder))
    open_folds(sheet, "How it is worked out", "Hours of work")
    enter(sheet.entries["rates"], "rails_h_per_m", "0,2")
    assert changed_lines(folder)[-2:] == ["+[rates]", "+rails_h_per_m = 0.2"]
    enter(sheet.entries["rates"], "rails_h_per_m", "")  # an empty box stands for what is usual
    assert mt.open_job(folder).rates.rails_h_per_m == 0.15


def test_several_mistakes_are_told_beside_their_boxes_and_at_the_top(
    sheet: JobSheetPanel, folder: Path
) -> None:
    job = sheet.store.job
    entries = sheet.entries["wall.form"]
    enter(entries, "width_m", "wide")
    enter(entries, "sockets", "2.5")
    enter(entries, "old_plaster_mm", "4000")
    assert "a length stands here" in told(entries, "width_m")
    assert "it is a whole number, 0 to 1000" in told(entries, "sockets")
    assert "it is 0 to 300 mm" in told(entries, "old_plaster_mm")
    for words in ("a length stands here", "whole number", "0 to 300 mm"):
        assert words in sheet.problem.value
    assert sheet.store.job == job
    assert entries.rows[0]["cells"]["width_m"] == "wide"
    assert changed_lines(folder) == []
    enter(entries, "radiators", "3")  # others are taken all the same
    assert sheet.store.job.wall("party wall").radiators == 3
    enter(entries, "width_m", "3,9")
    enter(entries, "sockets", "2")
    enter(entries, "old_plaster_mm", "18")
    assert sheet.problem.value == ""
    assert (
        sheet.store.job.wall("party wall").sockets,
        sheet.store.job.wall("party wall").old_plaster_mm,
    ) == (2, 18)


def test_what_hangs_together_is_taken_once_it_fits(folder: Path) -> None:
    """The thinnest coat above the thickest is refused, and taken with the thickest."""
    sheet = whole_sheet(folder)
    entries = sheet.entries["mix"]
    nth = row_of(entries, "name", "flue lime")
    enter(entries, "least_coat_mm", "16", nth)
    assert "least coat ≤ greatest coat" in entries.rows[nth]["told"]
    enter(entries, "max_coat_mm", "20", nth)
    mix = next(mix for mix in sheet.store.job.mixes if mix.name == "flue lime")
    assert (mix.least_coat_mm, mix.max_coat_mm) == (16, 20)
    assert sheet.problem.value == ""


def test_a_length_is_typed_as_it_was_measured(sheet: JobSheetPanel) -> None:
    entries = sheet.entries["wall.form"]
    for typed, width_m in (("392 cm", 3.92), ("3,93", 3.93), ("13'", 3.9624)):
        enter(entries, "width_m", typed)
        assert sheet.store.job.wall("party wall").wall.width_m == pytest.approx(width_m)


def test_a_country_is_chosen_and_all_boxes_follow(sheet: JobSheetPanel, folder: Path) -> None:
    """Austria by way of Babel: a comma before decimals, the currency before the amount."""
    enter(sheet.entries["job"], "locale", "de_AT")
    assert mt.open_job(folder).locale == "de_AT"
    assert sheet.entries["wall"].rows[0]["cells"]["width_m"] == "3,9"
    assert "€\N{NO-BREAK SPACE}1" in sheet.example.value


# -- rooms and walls ------------------------------------------------------------------------------


def test_a_room_called_otherwise_keeps_its_walls(sheet: JobSheetPanel, folder: Path) -> None:
    enter(sheet.entries["room"], "name", "parlour")
    job = mt.open_job(folder)
    assert {wall.room for wall in job.walls} == {"parlour", "back bedroom"}
    assert "# Leans back 12 mm over its height" in (folder / "job.toml").read_text("utf-8")


def test_a_room_keeps_its_corners_whatever_else_is_typed(folder: Path) -> None:
    was = mt.open_job(folder).rooms[0].corners
    sheet = job_sheet(mt.open_job(folder))
    enter(sheet.entries["room"], "floor_area_m2", "18")
    enter(sheet.entries["wall"], "name", "street wall", 1)
    found = mt.open_job(folder).rooms[0].corners
    assert found == (*was[:3], replace(was[3], next_wall="street wall"))
    assert "# a builder's square along the party wall" in (folder / "job.toml").read_text("utf-8")


def test_a_room_with_walls_is_not_removed(sheet: JobSheetPanel) -> None:
    press(sheet.entries["room"], "out", 1)
    assert "a wall stands in a room of the job" in sheet.entries["room"].rows[1]["told"]
    assert [room.name for room in sheet.store.job.rooms] == ["front room", "back bedroom"]


def test_a_wall_called_otherwise_is_so_in_all_that_names_it(sheet: JobSheetPanel, folder: Path) -> None:
    enter(sheet.entries["wall"], "name", "gable")
    job = mt.open_job(folder)
    assert job.walls[0].name == job.compare.beside[0].wall == "gable"
    assert sheet.wall.value == "gable"
    renamed = [
        line[1:].replace('"party wall"', '"gable"') for line in changed_lines(folder) if line[0] == "-"
    ]
    assert [line[1:] for line in changed_lines(folder) if line[0] == "+"] == renamed


def test_a_new_wall_counts_once_it_has_its_size(sheet: JobSheetPanel, folder: Path) -> None:
    entries = sheet.entries["wall"]
    entries.add()
    assert entries.rows[-1]["cells"]["width_m"] == entries.rows[-1]["cells"]["height_m"] == ""
    enter(entries, "name", "back wall", -1)
    enter(entries, "width_m", "3.4", -1)
    assert "Height, m" in entries.rows[-1]["wait"]
    assert len(sheet.store.job.walls) == 6
    enter(entries, "height_m", "2.6", -1)
    wall = mt.open_job(folder).wall("back wall")
    assert (wall.wall.width_m, wall.room, wall.is_read) == (3.4, "back bedroom", False)
    added = [line for line in changed_lines(folder) if line[1:]]
    assert added == [
        "+[[wall]]", '+name = "back wall"', "+width_m = 3.4", "+height_m = 2.6", '+room = "back bedroom"',
        '+background = "sound old plaster"',
    ]  # fmt: skip


def test_a_wall_is_removed_and_comes_back_with_its_readings(sheet: JobSheetPanel, folder: Path) -> None:
    before = sheet.store.job
    press(sheet.entries["wall"], "out")
    after = mt.open_job(folder)
    assert [wall.name for wall in after.walls] == [wall.name for wall in before.walls[1:]]
    assert [thing.wall for thing in after.compare.beside] == ["window wall"]
    assert "surveys/party-wall.csv" in sheet.said.value
    assert (folder / "surveys/party-wall.csv").is_file()
    sheet.undo()
    assert mt.open_job(folder) == before


def test_a_copy_has_all_but_the_readings(sheet: JobSheetPanel, folder: Path) -> None:
    press(sheet.entries["wall"], "copy", 1)
    job = mt.open_job(folder)
    copy = job.wall("window wall 2")
    assert [wall.name for wall in job.walls][1:3] == ["window wall", "window wall 2"]
    assert copy.wall.openings == job.wall("window wall").wall.openings
    assert not copy.is_read
    assert copy.survey.source == ""


def test_walls_are_moved_and_left_out_of_the_price(sheet: JobSheetPanel, folder: Path) -> None:
    entries = sheet.entries["wall"]
    press(entries, "down")
    assert [wall.name for wall in mt.open_job(folder).walls][:2] == ["window wall", "party wall"]
    enter(entries, "priced", False, row_of(entries, "name", "door wall"))
    assert "door wall" not in mt.open_job(folder).only
    assert len(mt.open_job(folder).only) == 5
    enter(entries, "priced", True, row_of(entries, "name", "door wall"))
    assert mt.open_job(folder).only == ()


def test_the_floor_is_taken_from_four_walls_with_one_click(sheet: JobSheetPanel, folder: Path) -> None:
    """3.4 × 3.0 m: the floor of the bedroom by hand."""
    entries = sheet.entries["wall"]
    for name, width in (("left", "3.0"), ("back", "3.4"), ("right", "3.02")):
        entries.add()
        for box, typed in (("name", name), ("width_m", width), ("height_m", "2.6")):
            enter(entries, box, typed, -1)
    rooms = sheet.entries["room"]
    assert "its walls close round 10.2 m²" in rooms.rows[1]["facts"]
    assert mt.open_job(folder).rooms[1].floor_area_m2 == 12.4  # never by itself
    press(rooms, "floor", 1)
    assert mt.open_job(folder).rooms[1].floor_area_m2 == pytest.approx(10.23)


def test_show_opens_the_wall(sheet: JobSheetPanel) -> None:
    press(sheet.entries["wall"], "show", 2)
    assert sheet.wall.value == "breast front"
    assert sheet.entries["wall.form"].rows[0]["cells"]["width_m"] == "1.5"


# -- what stands on a wall ------------------------------------------------------------------------


def test_an_opening_is_entered_and_saved(folder: Path) -> None:
    sheet = whole_sheet(folder)
    sheet.choose("breast front")
    entries = sheet.entries["wall.opening"]
    entries.add()
    for box, typed in (("name", "hatch"), ("x_m", "0.3"), ("width_m", "0,5"), ("height_m", "60 cm")):
        enter(entries, box, typed, 0)
    enter(entries, "reveal_sides", "('left', 'right')", 0)
    (opening,) = mt.open_job(folder).wall("breast front").wall.openings
    assert (opening.name, opening.width_m, opening.height_m) == ("hatch", 0.5, 0.6)
    assert opening.reveal_sides == ("left", "right")
    enter(entries, "x_m", "1.2", 0)
    assert "an opening lies on its wall" in entries.rows[0]["told"]
    assert sheet.store.job.wall("breast front").wall.openings == (opening,)


def test_the_corner_is_read_once(folder: Path) -> None:
    sheet = whole_sheet(folder)
    sheet.choose("door wall")
    enter(sheet.entries["wall.turn_mm_per_m"], "turn_mm_per_m", "")
    entries = sheet.entries["wall.corner"]
    entries.add()
    for box, typed in (("x1", "0.2"), ("off1", "40"), ("x2", "3.2"), ("off2", "46"), ("z_m", "1.3")):
        enter(entries, box, typed, 0)
    corner = mt.open_job(folder).wall("door wall").corner
    assert corner == mt.Corner((0.2, 3.2), (40.0, 46.0), 1.3)
    assert entries.head["most"] == 1


# -- prices, packs, mixes -------------------------------------------------------------------------


def test_a_price_is_the_users_own_once_it_is_typed(folder: Path) -> None:
    sheet = whole_sheet(folder)
    entries = sheet.entries["prices"]
    enter(entries, "price", "36,50", row_of(entries, "item", "plasterer"))
    assert changed_lines(folder, "prices.csv") == ["-plasterer,h,34.00,invented", "+plasterer,h,36.50,"]


def test_a_row_is_added_to_the_prices_and_taken_out(folder: Path) -> None:
    sheet = whole_sheet(folder)
    entries = sheet.entries["prices"]
    entries.add()
    for box, typed in (("item", "corner tape"), ("price", "0.90"), ("unit", "m")):
        enter(entries, box, typed, -1)
    assert changed_lines(folder, "prices.csv") == ["+corner tape,m,0.90,"]
    press(entries, "out", len(entries.rows) - 1)
    assert changed_lines(folder, "prices.csv") == []
    press(entries, "out", row_of(entries, "item", "plasterer"))
    assert "'plasterer' has no price" in entries.rows[row_of(entries, "item", "plasterer")]["told"]


def test_a_price_break_is_a_row_that_finds_its_place(folder: Path) -> None:
    sheet = whole_sheet(folder)
    entries = sheet.entries["packs"]
    entries.add()
    of = {
        "item": "light gypsum backing",
        "supplier": "Quay merchant (invented)",
        "pack": "bag",
        "holds": "25",
        "unit": "kg",
        "price": "12.90",
        "from_packs": "10",
    }
    for box, typed in of.items():
        enter(entries, box, typed, -1)
    tiers = mt.open_job(folder).packs.of("light gypsum backing")[0]
    assert [tier.from_packs for tier in tiers] == [1, 10, 20]


def test_a_mix_is_copied_changed_and_named(folder: Path) -> None:
    sheet = whole_sheet(folder)
    sheet.mix.value = "one-coat gypsum"
    sheet.copy_mix()
    entries = sheet.entries["mix"]
    nth = row_of(entries, "name", "one-coat gypsum, own")
    enter(entries, "density_kg_per_l", "0.95", nth)
    enter(entries, "name", "our plaster", nth)
    mix = mt.open_job(folder).mixes[-1]
    assert (mix.name, mix.density_kg_per_l, mix.set_h) == ("our plaster", 0.95, 4)


def test_a_mix_called_otherwise_keeps_its_price_and_its_walls(folder: Path) -> None:
    sheet = whole_sheet(folder)
    total = sheet.store.result.cost.total
    entries = sheet.entries["mix"]
    enter(entries, "name", "chimney lime", row_of(entries, "name", "flue lime"))
    job = mt.open_job(folder)
    assert job.wall("breast front").system.backing.name == "chimney lime"
    assert "chimney lime" in job.prices
    assert mt.evaluate(job).cost.total == total


# -- names that are no names ----------------------------------------------------------------------

HOSTILE = (
    'Flat "3"',
    "O'Brien & <script>alert(1)</script>",
    '=HYPERLINK("http://x";"y")',
    "שלום קיר",
    "wall 🧱 one",
)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_kept_as_it_was_typed(sheet: JobSheetPanel, folder: Path, name: str) -> None:
    enter(sheet.entries["job"], "title", name)
    enter(sheet.entries["job"], "client", name)
    enter(sheet.entries["room"], "name", name)
    enter(sheet.entries["wall"], "name", name)
    job = mt.open_job(folder)
    assert (job.title, job.client, job.rooms[0].name, job.walls[0].name) == (name,) * 4
    assert "<script>" not in sheet.headline.value + sheet.said.value + sheet.problem.value


# -- the first job --------------------------------------------------------------------------------


def test_an_unsaved_edit_is_told_where_the_folder_cannot_be_written(
    sheet: JobSheetPanel, folder: Path
) -> None:
    (folder / "job.toml").write_text("format = 1\ntitle = ", "utf-8")  # somebody is in the middle of it
    enter(sheet.entries["job"], "built_year", "1932")
    assert sheet.store.job.built_year == 1932
    assert "Nothing was saved" in sheet.said.value
    assert sheet.buttons["save"].layout.display != "none"


def test_a_job_of_one_room_entered_from_the_start(tmp_path: Path) -> None:
    folder = new_job_folder(tmp_path / "job")
    sheet = job_sheet(mt.open_job(folder))
    enter(sheet.entries["job"], "title", "Flat over the mill")
    rooms, walls = sheet.entries["room"], sheet.entries["wall"]
    rooms.add()
    enter(rooms, "name", "mill room", -1)
    walls.add()
    for box, typed in (("name", "north"), ("room", "mill room"), ("width_m", "4,2"), ("height_m", "2,5"),
                       ("background", "brick")):  # fmt: skip
        enter(walls, box, typed, -1)
    job = mt.open_job(folder)
    assert job.title == "Flat over the mill"
    assert job.wall("north").room == "mill room"
    assert not job.wall("north").is_read


def test_a_page_is_told_which_of_its_edits_the_rows_answer(sheet: JobSheetPanel) -> None:
    walls = sheet.entries["wall"]
    key = walls.rows[0]["key"]
    edit = {"do": "edit", "key": key, "name": "width_m", "by": "one page"}
    walls.take({**edit, "value": "2", "nth": 1})
    walls.take({**edit, "value": "3", "nth": 2})
    walls.take({**edit, "value": "4", "nth": 7, "by": "another"})
    assert walls.answered == {"one page": 2, "another": 7}
    assert walls.rows[0]["cells"]["width_m"] == "4"
