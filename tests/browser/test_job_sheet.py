"""A job entered on the job sheet by keyboard alone, narrow and wide, and the files that it leaves."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from by_keyboard import add, at, choose, go_to, type_on, unfold, waited_for
from driving import WAIT_MS, JobServer, assert_accessible, sheet_of
from mill_flat import TWO_WALLS
from playwright.sync_api import Page, expect

import mytakeoff as mt
from mytakeoff.resources import starting_job_folder

EMPTY = """format = 1
title = "New job"           # what it is known by

[system]
backing = "light gypsum backing"
"""
BY_HAND = """format = 1
title = "Flat over the mill"           # what it is known by
place = "Mill Lane 3"
client = "Ada Byrne"

[system]
backing = "light gypsum backing"

[[room]]
name = "mill room"
floor_area_m2 = 12.5
storey = 1

[[wall]]
name = "north"
width_m = 4.2
height_m = 2.5
room = "mill room"
background = "brick"

[[wall.opening]]
name = "window"
x_m = 1.1
z_m = 0.9
width_m = 1.2
height_m = 1.3

[[wall]]
name = "east"
width_m = 3.0
height_m = 2.5
room = "mill room"
background = "brick"
"""

CORNER = """
[[room.corner]]
wall = "north"
next_wall = "east"

[room.corner.triangle]
run_m = 2.0
next_run_m = 1.5
diagonal_m = 2.51
z_m = 1.2
"""


@pytest.fixture
def served(chromium: str, tmp_path: Path) -> Iterator[JobServer]:
    """The job sheet of a job of which nothing is entered but what it is called."""
    with sheet_of(EMPTY, tmp_path) as server:
        yield server


def show_sheet(page: Page, server: JobServer, width: int) -> None:
    """The job sheet on a page so wide, laid out for it."""
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(server.address, timeout=WAIT_MS)
    page.get_by_label("What the job is called").wait_for(timeout=WAIT_MS)
    page.locator(f".mt-panel.mt-{'narrow' if width < 620 else 'widest'}").wait_for(timeout=WAIT_MS)


@pytest.mark.parametrize("width", [390, 1440])
def test_a_job_is_entered_by_keyboard_alone(page: Page, served: JobServer, width: int) -> None:
    show_sheet(page, served, width)
    go_to(page, "What the job is called")
    type_on(page, "Flat over the mill", "Mill Lane 3", "Ada Byrne")
    add(page, "Add a room", "Room")
    type_on(page, "mill room", "1", "12,5")
    add(page, "Add a wall", "Wall")
    type_on(page, "north")
    choose(page, "mill room")
    type_on(page, "4,2", "250 cm")
    choose(page, "brick")
    expect(page.get_by_label("Width, m, north")).to_have_value("4.2", timeout=WAIT_MS)
    add(page, "Add a wall", "Wall")
    type_on(page, "east", "", "3")
    type_on(page, "2,5")
    go_to(page, "Show north")
    page.keyboard.press("Enter")
    at(page, "Wall")
    unfold(page, "Openings")
    add(page, "Add an opening", "Opening", "opening")
    type_on(page, "window", "1,1", "0,9", "1,2", "1,3")
    unfold(page, "Prices and packs")
    unfold(page, "Prices")
    go_to(page, "Price, plasterer")
    type_on(page, "38,50")
    assert waited_for(served.folder / "job.toml", BY_HAND) == BY_HAND
    before = (starting_job_folder() / "prices.csv").read_text("utf-8")
    priced = before.replace('plasterer,h,34.00,"invented, put yours"', "plasterer,h,38.50,")
    assert waited_for(served.folder / "prices.csv", priced) == priced
    job = mt.open_job(served.folder)
    assert [wall.name for wall in job.walls] == ["north", "east"]
    assert_accessible(page, ".mt-panel")


@pytest.fixture
def two_walls(chromium: str, tmp_path: Path) -> Iterator[JobServer]:
    """The job sheet of a room with two walls, of whose corner nothing is said."""
    with sheet_of(TWO_WALLS, tmp_path) as server:
        yield server


@pytest.mark.parametrize("width", [390, 1440])
def test_a_corner_is_entered_by_keyboard_alone(page: Page, two_walls: JobServer, width: int) -> None:
    show_sheet(page, two_walls, width)
    unfold(page, "Corners, clear widths, diagonals")
    add(page, "Add a corner", "Wall")
    figures = page.locator(".mt-room-corner [data-name^='triangle.']")
    assert figures.count() == 5
    expect(figures.first).to_be_hidden()
    type_on(page, "", "", "")  # north, east, 90° are there already
    choose(page, "a 3")
    expect(figures.first).to_be_visible()
    expect(page.locator(".mt-room-corner [data-name='off_square.z_m']")).to_be_hidden()
    wait = page.locator(".mt-room-corner .mt-wait")
    expect(wait).to_contain_text("Mark on the wall, m", timeout=WAIT_MS)
    type_on(page, "2", "1,5", "4", "120 cm")
    told = page.locator(".mt-room-corner .mt-told .mt-wrong")
    expect(told).to_contain_text("shorter than their sum, 3.5 m", timeout=WAIT_MS)
    assert (two_walls.folder / "job.toml").read_text("utf-8") == TWO_WALLS
    page.locator("[data-name='triangle.diagonal_m']").focus()
    type_on(page, "2.51")
    joined = TWO_WALLS.replace('name = "mill room"\n', f'name = "mill room"\n{CORNER}', 1)
    assert waited_for(two_walls.folder / "job.toml", joined) == joined
    expect(told).to_be_empty()
    assert_accessible(page, ".mt-panel")
    page.get_by_role("button", name="Undo", exact=True).press("Enter")
    assert waited_for(two_walls.folder / "job.toml", TWO_WALLS) == TWO_WALLS


def test_what_cannot_be_stays_and_is_told_and_the_way_back_saves(page: Page, served: JobServer) -> None:
    page.goto(served.address, timeout=WAIT_MS)
    page.get_by_label("What the job is called").wait_for(timeout=WAIT_MS)
    year = page.get_by_label("Year the house was built")
    year.focus()
    type_on(page, "19")
    told = page.locator(".mt-field", has=year).locator(".mt-wrong")
    expect(told).to_contain_text("800 to 2200", timeout=WAIT_MS)
    expect(page.locator(".mt-headline .mt-problem")).to_contain_text("800 to 2200")
    expect(year).to_have_value("19")
    expect(year).to_have_attribute("aria-invalid", "true")
    assert (served.folder / "job.toml").read_text("utf-8") == EMPTY
    year.focus()
    type_on(page, "1931")
    expect(told).to_have_text("", timeout=WAIT_MS)
    wanted = EMPTY.replace("known by\n", "known by\nbuilt_year = 1931\n")
    assert waited_for(served.folder / "job.toml", wanted) == wanted
    page.get_by_label("First day on site").focus()
    page.keyboard.type("03152027")
    begun = f"{wanted}\n[calendar]\nstart = 2027-03-15\n"
    assert waited_for(served.folder / "job.toml", begun) == begun
    for text in (wanted, EMPTY):
        page.get_by_role("button", name="Undo", exact=True).click()
        assert waited_for(served.folder / "job.toml", text) == text
    expect(year).to_have_value("")
