"""The room in plan: drawn to scale, its words those of its figures, alike on a phone and on paper."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from demo import demo
from drawn import check_words_apart
from invented_rooms import L_SHAPE, corner_of, inside_deg, invented, job_of, read_off_one_set_up
from matplotlib.lines import Line2D

import mytakeoff as mt
from mytakeoff.charts.drawing.canvas import svg_text
from mytakeoff.charts.plan import in_words, plan
from mytakeoff.charts.plan.page import make_pages
from mytakeoff.charts.plan.room_drawing import drawings
from mytakeoff.charts.settingout import sheet
from mytakeoff.job.edits import with_plane
from mytakeoff.panels.job_sheet_panel.walls import reshaped
from mytakeoff.settingout.room_setting import RoomSetting, rooms_set_out
from mytakeoff.settingout.set_out import set_out
from mytakeoff.treatment.floated import floated_wall

ASKEW = ((0.0, 0.0), (4.2, 0.03), (4.26, -3.1), (-0.05, -3.02))


# A window with a hatch that overlaps it, a door in a corner, a wide door in the middle of a wall.
OPENINGS = {
    "wall 0": (mt.Opening("window", 2.0, 0.9, 1.2, 1.2), mt.Opening("hatch", 3.1, 1.0, 0.4, 0.5)),
    "wall 1": (mt.Opening("door", 0.0, 0.0, 0.8, 2.0),),
    "wall 3": (mt.Opening("french window", 0.5, 0.0, 1.2, 2.1),),
}


@cache
def room_of(corners, needs_mm: float = 3050.0, pierced: bool = False) -> tuple[list, RoomSetting]:
    walls = read_off_one_set_up(invented(corners, 2))
    around = [corner_of(walls, nth, one_set_up=True) for nth in range(len(walls))]
    opposite = "wall 2" if corners == ASKEW else "wall 4"
    width = mt.ClearWidth("wardrobe", "wall 0", opposite, needs_mm, 1.5)
    job = job_of(walls, mt.Room("front", corners=around, clear_widths=[width]))
    if pierced:
        entries = [reshaped(each, {"openings": OPENINGS.get(each.name, ())}) for each in job.walls]
        job = replace(job, walls=tuple(entries))
    (room,) = rooms_set_out(job, [floated_wall(job, entry) for entry in job.walls])
    return walls, room


@pytest.mark.parametrize("corners", [ASKEW, L_SHAPE])
def test_finished_corners_lie_where_the_finished_faces_of_the_invented_room_meet(corners):
    """Distances from corner to corner, to the centimetre that walls' widths are taped to."""
    walls, room = room_of(corners)
    (drawing,) = drawings(room)
    ends = drawing.ends(rough=False)
    finished = [wall.finished(room.planes.walls[wall.name]) for wall in walls]
    met = []
    for nth, (a, b) in enumerate(finished):
        c, d = finished[(nth + 1) % len(finished)]
        met.append(a + np.linalg.solve(np.column_stack([b - a, c - d]), c - a)[0] * (b - a))
    for nth, wall in enumerate(walls):
        length = np.hypot(*np.subtract(*ends[wall.name]))
        assert length == pytest.approx(np.hypot(*np.subtract(met[nth], met[nth - 1])), abs=0.01)
        after = walls[(nth + 1) % len(walls)].name
        assert inside_deg(ends[wall.name], ends[after]) == pytest.approx(270 if _outer(corners, nth) else 90)


def _outer(corners, nth: int) -> bool:
    return corners == L_SHAPE and nth == 2


def test_angles_found_are_those_between_the_rough_walls():
    walls, room = room_of(ASKEW)
    for nth, corner in enumerate(room.planes.corners):
        wall, after = walls[nth], walls[(nth + 1) % 4]
        true = inside_deg((wall.left, wall.right), (after.left, after.right))
        # a face that is rough besides its tilt lies about a line that is a few millimetres a metre off it
        assert room.found_deg(corner) == pytest.approx(true, abs=0.6)


def test_plaster_is_drawn_thicker_by_what_the_caption_says():
    _, room = room_of(L_SHAPE)
    (drawing,) = drawings(room)
    assert drawing.times > 1
    assert f"drawn {drawing.times} × as thick" in plan.caption(drawing)
    name = "wall 0"
    rough = drawing.rough(name, drawing.ends(rough=True)[name])[1:-1]
    face = drawing.faces[name]
    behind_mm = -1000 * (rough - face.start_m) @ face.towards / drawing.times
    assert behind_mm.max() == pytest.approx(in_words.thickness_mm(room)[name][1], abs=0.01)


@pytest.mark.parametrize("corners", [ASKEW, L_SHAPE])
@pytest.mark.parametrize("width_px", [350.0, 560.0])
def test_the_drawing_says_what_the_words_beside_it_say(corners, width_px):
    _, room = room_of(corners)
    (drawing,) = drawings(room)
    svg = svg_text(plan.make(drawing, width_px), "plan")
    drawn = " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", svg))
    words = " ".join(in_words.described(room))
    for corner in room.planes.corners:
        found = in_words.degrees(room.formats, room.found_deg(corner))
        assert f"was {found}" in drawn
        assert found in words
        assert corner.wall in drawn
    (width,) = room.planes.widths
    assert f"{width.got_mm:.0f} mm" in drawn
    assert f"{width.got_mm:.0f} mm" in words
    assert ("short" in drawn) is ("short" in words) is (not width.kept)
    assert not re.search("litre|bag|backing| l ", drawn + words)
    assert set(re.findall(r"(?:fill|stroke): (#[0-9a-f]{6})", svg)) <= {"#000000", "#ffffff"}


def _ends_m(drawing, name: str, line: np.ndarray) -> list[float]:
    """Both ends of a line along a face, from the wall's left end."""
    face = drawing.faces[name]
    return [float((line[end] - face.start_m) @ face.along) + drawing.widths_m[name] / 2 for end in (0, -1)]


def test_faces_are_left_out_where_openings_are_before_and_after():
    """The window from 2 m to 3.2 m and the hatch that overlaps it to 3.5 m are one gap of 1.5 m."""
    _, room = room_of(ASKEW, pierced=True)
    (drawing,) = drawings(room)
    for rough in (False, True):
        ends = {name: np.array(both) for name, both in drawing.ends(rough).items()}
        if rough:
            ends = {name: drawing.rough(name, drawing.ends(rough=True)[name]) for name in ends}
        left, between, right = drawing.beside_openings("wall 0", ends["wall 0"])
        assert between.size == 0
        assert _ends_m(drawing, "wall 0", left)[1] == pytest.approx(2.0)
        assert _ends_m(drawing, "wall 0", right)[0] == pytest.approx(3.5)
        whole = np.hypot(*np.diff([ends["wall 0"][0], ends["wall 0"][-1]], axis=0)[0])
        drawn = sum(float(np.hypot(*(part[-1] - part[0]))) for part in (left, right))
        # the rough face is no straight line, drawn thicker than true
        assert whole - drawn == pytest.approx(1.5, abs=0.02 if rough else 1e-6)
        corner, rest = drawing.beside_openings("wall 1", ends["wall 1"])
        assert _ends_m(drawing, "wall 1", rest)[0] == pytest.approx(0.8)
        assert corner.size == 0 or _ends_m(drawing, "wall 1", corner)[1] == pytest.approx(0.0)


def test_a_window_is_two_thin_lines_across_its_gap_and_a_door_none():
    _, room = room_of(ASKEW, pierced=True)
    (drawing,) = drawings(room)
    figure = plan.make(drawing, 560.0)
    thin = [line for line in figure.findobj(Line2D) if line.get_linewidth() == plan.THIN]
    px = plan.scale_for(drawing, (560.0 - 2 * plan.SIDE_PX, 560.0 * plan.MOST_SHARE))
    wide = [float(np.hypot(np.ptp(line.get_xdata()), np.ptp(line.get_ydata()))) / px for line in thin]
    assert wide == pytest.approx([1.2, 1.2, 0.4, 0.4], abs=0.01)
    assert [line.get_linestyle() for line in thin] == ["--", "-"] * 2


def test_openings_are_said_beside_the_drawing_and_below_it():
    _, room = room_of(ASKEW, pierced=True)
    words = " ".join(in_words.described(room))
    assert "wall 1: door, a gap 0.80 m wide, 0.00 m from its left end." in words
    assert "window, thin lines across a gap 1.20 m wide, 2.00 m from its left end; hatch, thin lines" in words
    (drawing,) = drawings(room)
    assert "Gaps in the walls: doors" in plan.caption(drawing)
    assert "Thin lines across a gap: windows." in plan.caption(drawing)
    (whole,) = drawings(room_of(ASKEW)[1])
    assert "ap" not in plan.caption(whole).split("seen from above.")[1]


@pytest.mark.parametrize("pierced", [False, True])
@pytest.mark.parametrize("corners", [ASKEW, L_SHAPE])
@pytest.mark.parametrize("width_px", [350.0, 560.0])
def test_no_words_lie_on_others(corners, width_px, pierced):
    _, room = room_of(corners, pierced=pierced)
    for drawing in drawings(room):
        check_words_apart(plan.make(drawing, width_px))


@pytest.mark.parametrize("width_px", [350.0, 560.0])
def test_no_words_lie_on_others_where_little_of_a_room_hangs_together(width_px):
    """The demo's chimney breast and alcove: many words, and a narrow drawing."""
    (room,) = set_out(mt.evaluate(front_job())).rooms
    for drawing in drawings(room):
        check_words_apart(plan.make(drawing, width_px))


def test_no_words_lie_on_others_on_a_sheet_with_its_square_lines():
    """At 1:100 the front room is 16 cm of the sheet's height and a few of its width."""
    for page in sheet.make_pages(set_out(mt.evaluate(front_job()))):
        if "Square lines on" in svg_text(page):
            check_words_apart(page)
            return
    raise AssertionError("no sheet of square lines")


def front_job() -> mt.Job:
    """The demo job that brings its front room square, with corners round its breast and alcove."""
    job = demo()
    around = [
        mt.RoomCorner("breast left cheek", "breast front", 270.0, one_set_up=True),
        mt.RoomCorner("breast front", "breast right cheek", 270.0, one_set_up=True),
        mt.RoomCorner("breast right cheek", "party wall", one_set_up=True),
        mt.RoomCorner("party wall", "window wall", one_set_up=True),
    ]
    width = mt.ClearWidth("run of wardrobes", "breast right cheek", "window wall", 3870.0, 0.2)
    front = replace(job.rooms[0], corners=around, clear_widths=[width])
    return with_plane(replace(job, rooms=(front, *job.rooms[1:])), kind="room")


def test_a_width_that_remains_fits_and_one_that_does_not_is_short():
    _, fits = room_of(ASKEW, 2900.0)
    _, short = room_of(ASKEW, 3050.0)
    got = fits.planes.widths[0].got_mm
    assert in_words.remains_words(fits.planes.widths[0], fits.formats) == f"{got:.0f} mm, needs 2900 mm: fits"
    assert f"{3050 - got:.0f} mm short" in in_words.remains_words(short.planes.widths[0], short.formats)


def test_the_clients_sheet_has_the_room_and_its_words_and_no_mixes_or_litres():
    _, room = room_of(ASKEW)
    (page,) = make_pages(room, "Flat 3", "1 Mar 2027", "client")
    svg = svg_text(page, "page")
    drawn = " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", svg))
    assert "For the client" in drawn
    assert "The room in plan: front" in drawn
    for words in in_words.described(room)[:2]:
        assert words in drawn
    assert not re.search(r"litre|bag|backing|gypsum|\d l\b", drawn)
