"""The survey panel, driven as the front end drives it; without a loop its steps are done at once."""

from __future__ import annotations

import asyncio
import re
from pathlib import Path

import ipywidgets as widgets
import numpy as np
import pytest
from clouds import rectangle, write_ply
from demo import demo_in
from survey_panels import SHEET, files_of, new_wall, room_scan

import mytakeoff as mt
from mytakeoff.io.scan import chunks, ply
from mytakeoff.panels import SurveyPanel, survey
from mytakeoff.panels.survey_panel.words import AGAINST
from mytakeoff.survey.wall import Opening


@pytest.fixture
def panel(folder: Path) -> SurveyPanel:
    return survey(demo_in(folder))


def test_it_opens_on_the_first_wall_and_says_how_it_stands(panel: SurveyPanel) -> None:
    assert "party wall" in panel.headline.value
    assert "mm back over its 2.6 m" in panel.headline.value  # its readings fall from top to bottom
    assert "a field grid: 8 columns, 5 rows, 39 readings" in panel.facts.value
    assert panel.map.value.count("<svg") == panel.lines.value.count("<svg") == 2
    assert panel.problem.value == ""


def test_a_sheet_becomes_a_wall_that_the_budget_prices(panel: SurveyPanel, folder: Path) -> None:
    before = files_of(folder)
    new_wall(panel)
    panel.bring("Stair wall.csv", SHEET)
    panel.openings.add_one(Opening("hatch", 2.0, 0.8, 0.6, 0.6))
    panel.save()
    assert "surveys/stair-wall.csv" in panel.said.value
    after = files_of(folder)
    assert set(after) - set(before) == {"surveys/stair-wall.csv"}
    assert {name for name in before if after[name] != before[name]} == {"job.toml"}
    old = before["job.toml"].decode().splitlines()
    kept = [line for line in after["job.toml"].decode().splitlines() if line in old]
    assert [line for line in old if line.startswith("#") or "  #" in line] == [
        line for line in kept if line.startswith("#") or "  #" in line
    ]
    job = mt.open_job(folder)
    assert job.wall("stair wall").wall.openings == (Opening("hatch", 2.0, 0.8, 0.6, 0.6),)
    assert mt.evaluate(job).wall("stair wall").build_up.volume_l > 0


def test_another_outline_of_a_wall_is_saved_and_nothing_else(panel: SurveyPanel, folder: Path) -> None:
    panel.wall.pick.value = "window wall"
    before = mt.open_job(folder)
    panel.openings.rows[0].boxes["width_m"].value = "1.1"
    panel.save()
    after = mt.open_job(folder)
    assert after.wall("window wall").wall.openings[0].width_m == 1.1
    assert (
        after.wall("window wall").survey.proud_mm.tolist()
        == before.wall("window wall").survey.proud_mm.tolist()
    )
    others = [wall.name for wall in before.walls if wall.name != "window wall"]
    assert [after.wall(name).wall for name in others] == [before.wall(name).wall for name in others]


def test_high_spots_stay_only_where_the_new_readings_were_off_the_same_plane(panel: SurveyPanel) -> None:
    spots = panel.job.wall("party wall").survey.high_mm.size
    assert spots
    panel.file.pick.value = "surveys/door-wall.csv"
    assert panel.file.same_plane.value is False
    assert panel.entry.survey.high_mm.size == 0
    assert panel.entry.turn_mm_per_m is None
    panel.file.same_plane.value = True
    assert panel.entry.survey.high_mm.size == spots


def test_a_wall_that_cannot_be_priced_is_not_saved(panel: SurveyPanel, folder: Path) -> None:
    before = files_of(folder)
    new_wall(panel, name="party wall")  # the job has one of that name
    panel.bring("a.csv", SHEET)
    panel.buttons["save"].click()
    assert "party wall" in panel.problem.value
    assert files_of(folder) == before


def test_a_scan_needs_its_unit_said_and_offers_its_openings(panel: SurveyPanel, folder: Path) -> None:
    room_scan(folder / "scans" / "room.ply", per_m=1000.0)
    panel.look()
    panel.wall.pick.value = "a new wall"
    panel.file.pick.value = "scans/room.ply"
    assert "never guessed" in panel.problem.value
    assert "millimetres" in panel.scan.guess.value
    assert "No survey yet" in panel.headline.value
    panel.scan.unit.value = "mm"
    assert panel.problem.value == ""
    assert panel.wall.width.value == pytest.approx(4.0, abs=0.05)
    assert "Left out" in panel.left_out.value  # the cupboard, drawn and said
    assert "<svg" in panel.left_out.value
    panel.wall.name.value = "scanned wall"
    panel.accept_openings()
    assert len(panel.openings.things) == 1
    panel.file.plumb.value = True
    panel.save()
    wall = mt.open_job(folder).wall("scanned wall")
    assert wall.survey.scan.unit == "mm"
    assert wall.survey.source == "scans/room.ply"


def test_the_lean_of_a_scanned_wall_is_that_of_its_points(panel: SurveyPanel, folder: Path) -> None:
    room_scan(folder / "scans" / "room.ply")
    panel.look()
    panel.wall.pick.value = "a new wall"
    panel.file.pick.value = "scans/room.ply"
    panel.scan.unit.value = "m"
    panel.file.plumb.value = True
    assert "Leans 25 mm" in panel.headline.value  # 10 mm a metre over 2.5 m


def test_a_gap_at_the_floor_is_named_as_such_and_no_opening_is_made_of_it(
    panel: SurveyPanel, folder: Path
) -> None:
    room_scan(folder / "scans" / "room.ply", points=20_000, gap=True)
    panel.look()
    panel.wall.pick.value = "a new wall"
    panel.file.pick.value = "scans/room.ply"
    panel.scan.unit.value = "m"
    assert [one.name[:4] for one in panel.walls[0].openings] == ["door", "gap "]
    assert panel.scan.accept.description == "Take over the openings found (1)"
    assert "gap 2, nothing seen, 0.7" in panel.scan.gaps.value
    assert panel.openings.things == ()  # nothing is taken over before the button
    panel.scan.accept.click()
    assert [one.name for one in panel.openings.things] == ["door 1"]


def test_a_choice_left_to_the_program_says_so(panel: SurveyPanel, folder: Path) -> None:
    room_scan(folder / "scans" / "room.ply")
    panel.look()
    panel.wall.pick.value = "a new wall"
    for control, words in ((panel.scan.unit, "not said yet"), (panel.scan.up, "found by itself")):
        assert control.label == words
    panel.file.pick.value = "scans/room.ply"
    assert panel.scan.unit.label == "not said yet: looks like metres"
    assert panel.scan.up.label == "found by itself: z"
    panel.scan.unit.value = "m"
    panel.scan.unit.index = 0  # as a hand goes back to it
    assert panel.scan.unit.label == "not said yet: looks like metres"


def test_a_scan_is_not_plumb_before_somebody_says_so(panel: SurveyPanel, folder: Path) -> None:
    room_scan(folder / "scans" / "room.ply")
    panel.look()
    panel.wall.pick.value = "a new wall"
    by_line = panel.file.plumb.description
    panel.file.pick.value = "scans/room.ply"
    panel.scan.unit.value = "m"
    assert panel.file.plumb.value is False
    assert "scanner was level" in panel.file.plumb.description
    assert "was not said to be plumb" in panel.headline.value
    for words in ("plumb line", "measured off", "line it was measured from"):
        assert words not in panel.headline.value + panel.facts.value + panel.lines.value
    panel.wall.name.value = "scanned wall"
    panel.buttons["save"].click()  # the job floats its walls plumb
    assert "say that the scanner was level, if it was" in panel.problem.value
    panel.file.plumb.value = True
    panel.buttons["save"].click()
    assert panel.problem.value == ""
    assert mt.open_job(folder).wall("scanned wall").survey.plumb
    panel.wall.pick.value = "a new wall"
    assert (panel.file.plumb.value, panel.file.plumb.description) == (True, by_line)
    panel.wall.pick.value = "scanned wall"
    assert panel.file.plumb.value is True  # it was said


def test_a_frame_that_may_stand_in_several_ways_shows_them_and_one_is_picked(
    panel: SurveyPanel, folder: Path
) -> None:
    """A camera on its side sees 3 m by 1.9 m of a wall, no floor and no ceiling: x or -y may be up."""
    points = rectangle(np.random.default_rng(1), (-0.95, -1.5, 2.5), (1.9, 0, 0), (0, 3.0, 0), 900)
    (folder / "scans").mkdir()
    write_ply(folder / "scans" / "frame.ply", points)
    panel.look()
    panel.wall.pick.value = "a new wall"
    panel.wall.name.value = "framed wall"
    panel.file.pick.value = "scans/frame.ply"
    panel.scan.unit.value, panel.file.plumb.value = "m", True
    assert panel.scan.ways.value.count("<svg") == 3
    captions = re.findall(r"<figcaption>([^<]*)", panel.scan.ways.value)
    assert [caption.split(" up: ")[0] for caption in captions] == ["x", "-x", "-y"]
    labels = {value: label for label, value in panel.scan.up.options}
    assert labels["x"] == captions[0].replace(" up", "")
    assert labels[""] == "not said yet"
    panel.buttons["save"].click()
    assert "which way is up is picked, never guessed" in panel.problem.value
    panel.scan.up.value = "-y"
    assert panel.wall.height.value == pytest.approx(3.0, abs=0.05)
    assert panel.scan.ways.value.count("<svg") == 3  # to be looked at still
    panel.buttons["save"].click()
    assert panel.problem.value == ""
    assert mt.open_job(folder).wall("framed wall").survey.scan.up == "-y"
    panel.wall.pick.value = "party wall"
    assert panel.scan.ways.value == ""


def test_a_scan_in_place_of_a_sheet_is_not_plumb_either_and_a_sheet_again_is(
    panel: SurveyPanel, folder: Path
) -> None:
    room_scan(folder / "scans" / "room.ply")
    panel.look()
    sheet = panel.file.pick.value
    panel.file.pick.value = "scans/room.ply"
    assert panel.file.plumb.value is False
    panel.file.pick.value = sheet
    assert panel.file.plumb.value is True


def test_a_scan_is_read_in_steps_and_can_be_stopped(
    panel: SurveyPanel, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (chunks, ply):
        monkeypatch.setattr(module, "CHUNK", 500)
    room_scan(folder / "scans" / "room.ply", points=20_000)
    panel.look()
    shown, seen = panel.headline.value, []
    monkeypatch.setattr("mytakeoff.panels.parts.slices.SLICE_S", 0.001)
    panel.progress.observe(lambda change: seen.append(change["new"]), "value")

    async def choose_and_stop() -> None:
        panel.file.pick.value = "scans/room.ply"
        for _ in range(300):
            await asyncio.sleep(0.005)
            if len(seen) > 5:
                break
        panel.stop()
        await asyncio.sleep(0.1)

    asyncio.run(choose_and_stop())
    assert 0 < max(seen) < 1
    assert panel.headline.value == shown
    assert panel.progress_row.layout.display == "none"
    assert "Stopped" in panel.status.value
    assert "What is shown is surveys/party-wall.csv" in panel.status.value


def test_stop_takes_effect_after_the_last_point_too(
    panel: SurveyPanel, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    room_scan(folder / "scans" / "room.ply", points=20_000)
    panel.look()
    shown, survey_before, drawn = panel.headline.value, panel.survey, []
    monkeypatch.setattr("mytakeoff.panels.parts.slices.SLICE_S", 0.0001)
    aimed = "mytakeoff.panels.survey_panel.work.grid_surface_steps"
    monkeypatch.setattr(aimed, lambda *given: drawn.append(given))

    async def choose_and_stop() -> None:
        panel.file.pick.value = "scans/room.ply"
        while panel.progress.description != "Working it out":
            await asyncio.sleep(0.001)
        panel.stop()
        await asyncio.sleep(0.1)

    asyncio.run(choose_and_stop())
    assert not drawn
    assert panel.headline.value == shown
    assert panel.survey is survey_before
    assert "Stopped" in panel.status.value


def test_edits_make_no_new_widgets(panel: SurveyPanel) -> None:
    panel.wall.pick.value = "window wall"
    before = len(widgets.widget._instances)
    for x_m in (0.5, 2.5):
        panel.at_x.slider.value = float(x_m)
    panel.against.value = "measured"
    panel.wall.pick.value = "party wall"
    panel.wall.pick.value = "window wall"
    after = len(widgets.widget._instances)
    assert after == before


def test_a_name_from_the_file_is_text_on_the_page(panel: SurveyPanel) -> None:
    new_wall(panel, name="<img src=x onerror=alert(1)>")
    panel.bring("a.csv", SHEET)
    for part in (panel.headline, panel.map, panel.facts, panel.lines):
        assert "<img" not in part.value


def test_a_job_without_a_folder_says_so(folder: Path) -> None:
    from dataclasses import replace

    panel = survey(replace(mt.open_job(folder), folder=""))
    panel.save()
    assert "nowhere to save" in panel.said.value


def test_a_wall_leans_one_way_whatever_it_is_compared_with(panel: SurveyPanel) -> None:
    """Lean is against plumb and turn against the corner, in the headline and under the profiles alike."""
    said = set()
    for against in AGAINST.values():
        panel.against.value = against
        said.add(tuple(sorted(set(re.findall(r"(?:leans|turns) [^;<]*", panel.lines.value)))))
    assert len(said) == 1
    upright, level = next(iter(said))
    assert "mm back" in upright
    assert "mm back over its 2.6 m" in panel.headline.value
    assert "mm back" in level
    for words in ("plane that was measured off", "mean plane", "Held to", "away"):
        assert words not in panel.headline.value + panel.lines.value + panel.places.value + panel.map.value


def test_a_profile_is_titled_with_the_place_of_its_slider(panel: SurveyPanel) -> None:
    panel.at_z.slider.value = 1.75
    assert "Level at z 1.75 m" in panel.lines.value
