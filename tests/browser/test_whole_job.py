"""Two rooms of an invented house, from an empty folder to the client's file: keys alone, narrow and wide."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from by_keyboard import add, at, choose, go_to, type_on, unfold
from driving import WAIT_MS, JobServer, assert_accessible, serving
from playwright.sync_api import Page, expect

import mytakeoff as mt
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.survey.reading_grid import form_grid

BY_HAND = """
[[room]]
name = "front room"
floor_area_m2 = 12.5
storey = 1

[[room]]
name = "back room"
floor_area_m2 = 9
storey = 1

[[wall]]
name = "street wall"
room = "front room"
width_m = 2.4
height_m = 2.5
background = "brick"
survey = {file = "surveys/street-wall.csv", plumb = true}

[[wall]]
name = "door wall"
room = "back room"
width_m = 2.2
height_m = 2.5
background = "brick"
survey = {file = "surveys/door-wall.csv", plumb = true}

[[wall.opening]]
name = "door"
x_m = 1.1
z_m = 0
width_m = 0.85
height_m = 2.05
"""
HELD = "() => document.activeElement.dataset?.key ?? ''"


@pytest.fixture
def served(chromium: str, tmp_path: Path) -> Iterator[JobServer]:
    folder, scratch = new_job_folder(tmp_path / "job"), tmp_path / "scratch"
    scratch.mkdir()
    with serving(folder, scratch, "--workbook", "job", "--app") as server:
        yield server


def off_line(x_m: float, z_m: float) -> float:
    """A wall that leans and bows, in whole millimetres off the line."""
    return float(round(20 + 4 * x_m + 3 * z_m - 5 * (x_m - 1) ** 2))


def read_wall(page: Page, wall: mt.Wall) -> int:
    """Type a reading at every place that is asked for; returns how many."""
    for _ in range(200):
        if page.evaluate(HELD):
            break
        page.keyboard.press("Tab")
    count = form_grid(wall).count
    seen: set[str] = set()
    for _ in range(count):
        key = page.evaluate(HELD)
        assert key not in seen
        seen.add(key)
        x_m, z_m = (float(part) for part in key.split())
        page.keyboard.type(f"{off_line(x_m, z_m):g}")
        page.keyboard.press("Enter")
    said = page.locator(".mt-read-said")
    expect(said).to_contain_text(f"{count} of {count} places are read", timeout=WAIT_MS)
    return count


def by_hand(folder: Path) -> mt.Job:
    """The same job as somebody writes it with a text editor and a spreadsheet."""
    new_job_folder(folder)
    start = (folder / "job.toml").read_text("utf-8").replace('"My job"', '"House by the weir"')
    (folder / "job.toml").write_text(start + BY_HAND, "utf-8")
    (folder / "surveys").mkdir(exist_ok=True)
    for entry in tomllib.loads(BY_HAND)["wall"]:
        openings = tuple(mt.Opening(**each) for each in entry.get("opening", ()))
        grid = form_grid(mt.Wall(entry["name"], entry["width_m"], entry["height_m"], openings))
        rows = [["off_line_mm", *grid.x_m]]
        for z_m, clear in zip(grid.z_m, grid.clear, strict=True):
            rows.append([z_m, *(off_line(x, z_m) if c else "" for x, c in zip(grid.x_m, clear, strict=True))])
        with (folder / entry["survey"]["file"]).open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(rows)
    return mt.open_job(folder)


@pytest.mark.parametrize("width", [390, 1440])
def test_two_rooms_from_an_empty_folder_to_the_clients_file(
    page: Page, served: JobServer, tmp_path: Path, width: int
) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(served.address, timeout=WAIT_MS)
    page.get_by_label("What the job is called").wait_for(timeout=WAIT_MS)
    go_to(page, "What the job is called")
    type_on(page, "House by the weir")
    add(page, "Add a room", "Room")
    type_on(page, "front room", "1", "12,5")
    add(page, "Add a room", "Room")
    type_on(page, "back room", "1", "9")
    add(page, "Add a wall", "Wall")
    type_on(page, "street wall")
    choose(page, "front room")
    type_on(page, "2,4", "2,5")
    choose(page, "brick")
    expect(page.get_by_label("Width, m, street wall")).to_have_value("2.4", timeout=WAIT_MS)
    add(page, "Add a wall", "Wall")
    type_on(page, "door wall")
    choose(page, "back room")
    type_on(page, "220 cm", "2,5")
    choose(page, "brick")
    go_to(page, "Show street wall")
    page.keyboard.press("Enter")
    at(page, "Wall")
    read_wall(page, mt.Wall("street wall", 2.4, 2.5))
    go_to(page, "Show door wall")
    page.keyboard.press("Enter")
    at(page, "Wall")
    unfold(page, "Openings")
    add(page, "Add an opening", "Opening", "opening")
    type_on(page, "door", "1,1", "0", "0,85", "2,05")
    read_wall(page, mt.Wall("door wall", 2.2, 2.5, (mt.Opening("door", 1.1, 0.0, 0.85, 2.05),)))
    expect(page.get_by_text("All saved")).to_be_visible(timeout=WAIT_MS)
    assert_accessible(page, ".mt-panel")
    go_to(page, "Budget")
    page.keyboard.press("Enter")
    shown_to = page.locator(".mt-view select")
    shown_to.wait_for(timeout=WAIT_MS)
    go_to(page, "Shown to the")
    page.keyboard.type("client")
    expect(shown_to).to_have_value("client", timeout=WAIT_MS)
    go_to(page, "Write the CSV")
    page.keyboard.press("Enter")
    expect(page.locator(".mt-controls .mt-said")).to_contain_text("costed-table-client.csv", timeout=WAIT_MS)
    assert_accessible(page, ".mt-panel")
    typed, written = mt.open_job(served.folder), by_hand(tmp_path / "by hand")
    assert (
        tomllib.loads((served.folder / "job.toml").read_text("utf-8"))["room"]
        == (tomllib.loads(BY_HAND)["room"])
    )
    for one, other in zip(typed.walls, written.walls, strict=True):
        assert (one.wall, one.room, one.background) == (other.wall, other.room, other.background)
        assert one.survey.readings_digest == other.survey.readings_digest
    with (served.folder / "costed-table-client.csv").open(encoding="utf-8-sig") as file:
        amounts = [Decimal(row["amount"]) for row in csv.DictReader(file)]
    assert sum(amounts) == mt.headline(mt.evaluate(written)).total
