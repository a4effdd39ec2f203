"""A wall from the room in a real browser: things are put elsewhere by mouse, by finger and by keys alone.

A panel made here stands in for the workbook that the elevation belongs to.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from driving import (
    WAIT_MS,
    JobServer,
    assert_accessible,
    open_workbook,
    run_all_cells,
    wait_for_kernel_idle,
)
from playwright.sync_api import Page, expect

import mytakeoff as mt

PLACING = """import mytakeoff as mt
from mytakeoff.panels.elevation.elevation import Elevation
from mytakeoff.panels.parts.buttons import button_row, make_buttons
from mytakeoff.panels.parts.frame import framed
from mytakeoff.panels.parts.panel import JobPanel


class Placing(JobPanel):
    def __init__(self, job):
        super().__init__(job, ())
        self.elevation = Elevation(self.store, self.failed)
        self.elevation.show("door wall")
        self.elevation.mark([(0.4, 2.3, "worth reading next")])
        doing = {"undo": ("Undo", self.undo), "save": ("Save to the job", self.save)}
        buttons = button_row(make_buttons(doing, self.failed))
        parts = {"map": [self.elevation.widget], "controls": [self.problem, buttons, self.said]}
        self.widget = framed(parts, self.page)
        self.watch()

    def refresh(self):
        pass


panel = Placing(mt.open_job("."))
panel"""
ELSEWHERE = """(code) => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel
  .requestExecute({ code, silent: true }).done.then(() => null)"""
WALL, WIDTH_M, HEIGHT_M = "door wall", 3.4, 2.6  # its door at 2.3 m, 0.85 × 2.05 m; a socket at 0.8 m, 0.45 m
SHEET, THING = ".mt-elev-sheet", ".mt-elev-thing"


@pytest.fixture
def placing(shared_page: Page, shared_lab: JobServer) -> Page:
    """The panel on a fresh copy of the demo job, with nothing but the notebook beside it."""
    cell = {"cell_type": "code", "id": "placing", "metadata": {}, "execution_count": None, "outputs": [],
            "source": PLACING}  # fmt: skip
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    book = {"cells": [cell], "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}
    path = shared_lab.folder / "placing.ipynb"
    path.write_text(json.dumps(book), "utf-8")
    open_workbook(shared_page, shared_lab, path.name)
    shared_page.evaluate(
        """() => { const shell = window.jupyterapp.shell;
                   shell.collapseLeft(); shell.collapseRight(); }"""
    )
    run_all_cells(shared_page)
    shared_page.locator(THING).first.wait_for(timeout=WAIT_MS)
    return shared_page


def on_wall(page: Page) -> Callable[[float, float], tuple[float, float]]:
    """Where a place of the wall [m] is on the page [px]."""
    page.locator(SHEET).scroll_into_view_if_needed()
    wall = page.locator(".mt-elev-wall").bounding_box()
    assert wall is not None

    def at(x_m: float, z_m: float) -> tuple[float, float]:
        scale = wall["width"] / WIDTH_M
        return wall["x"] + x_m * scale, wall["y"] + wall["height"] - z_m * scale

    return at


def drag(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(*end, steps=8)


def thing(page: Page, mark: str) -> Any:
    return page.locator(f'{THING}[aria-label^="{mark},"]')


def says(page: Page, mark: str, *words: str) -> None:
    """Wait until a reader hears these words of a thing."""
    for each in words:
        expect(thing(page, mark)).to_have_attribute(
            "aria-label", re.compile(re.escape(each)), timeout=WAIT_MS
        )


def saved(page: Page, server: JobServer) -> mt.JobWall:
    """The wall as the folder has it once the panel has saved."""
    page.get_by_role("button", name="Save to the job").click()
    expect(page.locator(".mt-controls .mt-said")).to_contain_text("Saved to", timeout=WAIT_MS)
    return mt.open_job(server.folder).wall(WALL)


def readout(page: Page) -> Any:
    return page.locator(".mt-elev-readout")


def test_the_wall_is_at_true_ratio_and_whole_on_any_page(placing: Page) -> None:
    for width in (1440, 390):
        placing.set_viewport_size({"width": width, "height": 900})
        placing.locator(f".mt-panel.mt-{'narrow' if width < 600 else 'widest'}").wait_for(timeout=WAIT_MS)
        placing.wait_for_timeout(200)  # the drawing follows in the next frame
        wall, sheet, room = (
            placing.locator(each).bounding_box() or {} for each in (".mt-elev-wall", SHEET, ".mt-elev")
        )
        assert wall["width"] / wall["height"] == pytest.approx(WIDTH_M / HEIGHT_M, rel=0.02)
        assert sheet["x"] + sheet["width"] <= room["x"] + room["width"] + 1
        assert wall["width"] > 0.75 * room["width"]
        assert_accessible(placing, ".mt-panel")
        thing(placing, "O1").click()
        placing.locator(".mt-opening input").first.wait_for()
        assert_accessible(placing, ".mt-panel")


def test_a_door_follows_the_mouse_before_the_kernel_knows_and_is_kept(
    placing: Page, shared_lab: JobServer
) -> None:
    at = on_wall(placing)
    with shared_lab.kernels_asleep():
        drag(placing, at(2.7, 1.5), at(2.4, 1.6))
        expect(readout(placing)).to_contain_text("2.00 m from the left end, 0.10 m from the floor")
        expect(readout(placing)).to_contain_text("0.55 m to the right end")
        figures = placing.locator(".mt-elev-over .mt-elev-figure").all_text_contents()
        assert {"2.00", "0.10", "0.55"} <= set(figures)
        placing.mouse.move(*at(2.4, 1.2), steps=4)  # not below the floor
        expect(readout(placing)).to_contain_text("2.00 m from the left end, on the floor")
        placing.mouse.up()
        box = thing(placing, "O1").locator(".mt-elev-opening").bounding_box()
        assert box is not None
        assert box["x"] == pytest.approx(at(2.0, 0.0)[0], abs=2)  # and stays there while the kernel sleeps
    says(placing, "O1", "2.00 m from the left end, on the floor", "0.85 m wide, 2.05 m high")
    assert saved(placing, shared_lab).wall.openings[0].x_m == 2.0
    placing.get_by_role("button", name="Undo").click()
    says(placing, "O1", "2.30 m from the left end, on the floor", "0.85 m wide, 2.05 m high")


def test_sides_and_corners_size_what_is_chosen(placing: Page, shared_lab: JobServer) -> None:
    at = on_wall(placing)
    thing(placing, "O1").locator(".mt-elev-hit").click()
    drag(placing, at(2.3, 2.05), at(2.5, 2.25))
    expect(readout(placing)).to_contain_text("0.65 m wide, 2.25 m high")
    placing.mouse.up()
    says(placing, "O1", "2.50 m from the left end, on the floor", "0.65 m wide, 2.25 m high")
    drag(placing, at(3.15, 1.125), at(3.05, 1.4))  # its right side: the height stays
    placing.mouse.up()
    says(placing, "O1", "2.50 m from the left end, on the floor", "0.55 m wide, 2.25 m high")
    opening = saved(placing, shared_lab).wall.openings[0]
    assert (opening.x_m, opening.width_m, opening.height_m) == (2.5, 0.55, 2.25)


def test_what_cannot_be_goes_back_and_is_told(placing: Page) -> None:
    """Fallen plaster all over the wall leaves no reading of the face that was."""
    at = on_wall(placing)
    thing(placing, "L1").locator(".mt-elev-hit").click()
    said = thing(placing, "L1").get_attribute("aria-label") or ""
    for start, end in ((at(0.8, 0.85), at(0.0, 0.0)), (at(1.1, 1.2), at(3.4, 2.6))):
        drag(placing, start, end)
        placing.mouse.up()
        wait_for_kernel_idle(placing)
    expect(placing.locator(".mt-elev-told")).to_contain_text("outside the fallen areas", timeout=WAIT_MS)
    expect(placing.locator(".mt-elev-told")).to_contain_text("Not taken.")
    label = thing(placing, "L1").get_attribute("aria-label") or ""
    assert label != said  # the first of the two was taken
    assert "0.00 m from the left end" in label
    box = thing(placing, "L1").locator(".mt-elev-area").bounding_box()
    assert box is not None
    assert box["x"] + box["width"] == pytest.approx(at(1.1, 0.0)[0], abs=2)


def test_escape_puts_back_what_the_mouse_has_under_way(placing: Page) -> None:
    at = on_wall(placing)
    drag(placing, at(0.8, 0.45), at(1.5, 1.0))
    expect(readout(placing)).to_contain_text("1.50 m from the left end")
    placing.keyboard.press("Escape")
    placing.mouse.up()
    wait_for_kernel_idle(placing)
    expect(readout(placing)).to_contain_text("0.80 m from the left end")


def test_by_keyboard_alone(placing: Page, shared_lab: JobServer) -> None:
    """From the list of what can be added through everything on the wall, and back by undo."""
    placing.get_by_label("Add").focus()
    placing.keyboard.press("Tab")
    placing.keyboard.press("Tab")
    expect(thing(placing, "L1")).to_be_focused()
    placing.keyboard.press("Tab")
    expect(thing(placing, "O1")).to_be_focused()
    for key in ("ArrowLeft", "ArrowLeft", "Shift+ArrowLeft", "Alt+ArrowRight", "Alt+Shift+ArrowDown"):
        placing.keyboard.press(key)
    expect(readout(placing)).to_contain_text("2.18 m from the left end, on the floor")
    expect(readout(placing)).to_contain_text("0.86 m wide, 1.95 m high")
    expect(readout(placing)).to_have_attribute("aria-live", "polite")
    says(placing, "O1", "2.18 m from the left end, on the floor", "0.86 m wide, 1.95 m high")
    expect(thing(placing, "O1")).to_be_focused()
    placing.keyboard.press("Tab")
    expect(thing(placing, "P1")).to_be_focused()
    placing.keyboard.press("ArrowUp")
    placing.keyboard.press("Escape")
    placing.keyboard.press("Enter")
    expect(placing.locator(".mt-fittings.mt-entry .mt-in-kind select")).to_be_focused(timeout=WAIT_MS)
    opening = saved(placing, shared_lab).wall.openings[0]
    assert (opening.x_m, opening.width_m, opening.height_m) == (2.18, 0.86, 1.95)
    assert mt.open_job(shared_lab.folder).wall(WALL).fittings[0].z_m == 0.45
    thing(placing, "P1").focus()
    placing.keyboard.press("Delete")
    expect(placing.locator(THING)).to_have_count(3, timeout=WAIT_MS)
    expect(placing.locator(f"{THING}:focus")).to_have_attribute(
        "aria-label", "P1, light switch in the hall, switch on the other face of the wall, 2.05 m from the "
        "left end, 1.10 m from the floor.")  # fmt: skip
    undo = placing.get_by_role("button", name="Undo")
    undo.focus()
    placing.keyboard.press("Enter")
    expect(placing.locator(THING)).to_have_count(4, timeout=WAIT_MS)


def test_things_are_added_where_the_wall_is_pressed_or_in_the_middle(
    placing: Page, shared_lab: JobServer
) -> None:
    at = on_wall(placing)
    what, put = placing.get_by_label("Add"), placing.get_by_role("button", name="Put it on the wall")
    what.select_option("radiator")
    put.click()
    expect(put).to_have_attribute("aria-pressed", "true")
    placing.mouse.click(*at(1.6, 0.5))
    expect(thing(placing, "P3")).to_be_focused(timeout=WAIT_MS)
    what.select_option("spot")
    put.focus()
    placing.keyboard.press("Enter")
    expect(thing(placing, "H1")).to_be_focused(timeout=WAIT_MS)
    placing.keyboard.press("ArrowRight")
    placing.keyboard.press("Enter")
    box = placing.locator(".mt-spots .mt-in-mm input").locator("visible=true")
    expect(box).to_be_focused(timeout=WAIT_MS)
    box.fill("31")
    box.press("Enter")
    says(placing, "H1", "1.71 m from the left end, 1.30 m from the floor")
    wall = saved(placing, shared_lab)
    assert [(each.kind, each.x_m, each.z_m) for each in wall.fittings[2:]] == [("radiator", 1.6, 0.5)]
    assert (wall.survey.high_x_m.tolist(), wall.survey.high_mm.tolist()) == ([1.71], [-31.0])


def test_a_number_typed_moves_the_door(placing: Page, shared_lab: JobServer) -> None:
    at = on_wall(placing)
    placing.mouse.click(*at(2.7, 1.0))
    box = placing.locator(".mt-opening .mt-in-x_m input")
    expect(box).to_have_value("2.3")
    box.fill("2,05")
    box.press("Enter")
    says(placing, "O1", "2.05 m from the left end, on the floor", "0.85 m wide, 2.05 m high")
    box.fill("9")
    box.press("Enter")
    expect(placing.locator(".mt-elev-told")).to_contain_text("an opening lies on its wall", timeout=WAIT_MS)
    expect(box).to_have_value("9")
    assert saved(placing, shared_lab).wall.openings[0].x_m == 2.05


def test_a_change_made_elsewhere_shows_and_leaves_the_hand_its_door(
    placing: Page, shared_lab: JobServer
) -> None:
    at = on_wall(placing)
    drag(placing, at(2.7, 1.0), at(2.5, 1.0))
    placing.evaluate(ELSEWHERE, "from mytakeoff.job.findings import with_thing_at\n"
        "panel.store.apply(lambda job: with_thing_at(job, 'door wall', 'fitting', 0, x_m=1.0))")  # fmt: skip
    says(placing, "P1", "socket, 1.00 m from the left end, 0.45 m from the floor")
    expect(readout(placing)).to_contain_text("O1 door: 2.10 m from the left end")
    placing.mouse.move(*at(2.4, 1.0))
    placing.mouse.up()
    says(placing, "O1", "2.00 m from the left end, on the floor", "0.85 m wide, 2.05 m high")
    wall = saved(placing, shared_lab)
    assert (wall.wall.openings[0].x_m, wall.fittings[0].x_m) == (2.0, 1.0)


def test_a_finger_moves_what_it_has_tapped_and_scrolls_over_the_rest(
    placing: Page, shared_lab: JobServer
) -> None:
    placing.set_viewport_size({"width": 390, "height": 844})
    placing.locator(".mt-panel.mt-narrow").wait_for(timeout=WAIT_MS)
    placing.wait_for_timeout(200)
    at = on_wall(placing)
    finger = placing.context.new_cdp_session(placing)
    finger.send("Emulation.setTouchEmulationEnabled", {"enabled": True})

    def touch(*places: tuple[float, float]) -> None:
        points = [[{"x": x, "y": y}] for x, y in places]
        for kind, point in (("touchStart", points[0]), *(("touchMove", each) for each in points[1:])):
            finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": point})
        finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    touch(at(2.7, 1.0), at(2.6, 1.0), at(2.5, 1.0), at(2.4, 1.0))
    placing.wait_for_timeout(1000)  # or the browser takes the tap for a part of that
    expect(readout(placing)).to_contain_text("Wall door wall from the room")  # nothing is chosen, all stays
    touch(at(2.7, 1.0))
    expect(readout(placing)).to_contain_text("O1, door, opening", timeout=WAIT_MS)
    touch(at(2.7, 1.0), at(2.65, 1.0), at(2.5, 1.0), at(2.4, 1.0))
    says(placing, "O1", "2.00 m from the left end, on the floor", "0.85 m wide, 2.05 m high")
    finger.send("Emulation.setTouchEmulationEnabled", {"enabled": False})
    assert saved(placing, shared_lab).wall.openings[0].x_m == pytest.approx(2.0, abs=0.011)
