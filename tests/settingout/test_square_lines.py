"""Lines struck on the floor by the sheet's numbers alone, held to points of the invented room."""

from __future__ import annotations

import math

import numpy as np
import pytest
from invented_rooms import (
    L_SHAPE,
    RECTANGLE,
    corner_of,
    invented,
    job_of,
    read_off_one_set_up,
)

import mytakeoff as mt
from mytakeoff.settingout.square_lines import rows_of, square_lines
from mytakeoff.treatment.floated import floated_wall

ASKEW = ((0.0, 0.0), (4.2, 0.03), (4.26, -3.1), (-0.05, -3.02))
X_M = 1.5
HEIGHTS_M = (0.1, 0.15, 0.2, 0.7, 1.2, 1.8, 2.3)


def struck_from(corners, seed, widths=()):
    """The room, its planes, and the rows of the sheet."""
    walls = read_off_one_set_up(invented(corners, seed))
    around = [corner_of(walls, nth, one_set_up=True) for nth in range(len(walls))]
    room = mt.Room("front", corners=around, clear_widths=widths(walls) if widths else ())
    job = job_of(walls, room, [read_closely(wall) for wall in walls])
    planes = mt.room_planes(job, "front")
    results = {entry.name: floated_wall(job, entry) for entry in job.walls}
    (lines,) = square_lines(planes, results)
    return walls, planes, lines


def read_closely(wall):
    """So close to one another, near the floor, that the face between readings is that of the readings."""
    x, z = np.meshgrid(np.linspace(0, wall.width_m, 41), HEIGHTS_M)
    faces = (each.ravel() for each in (x, z, wall.proud_mm(x, z)))
    return mt.Survey.from_readings(mt.Wall(wall.name, wall.width_m, 2.4), *faces)


def tangent(one, two, near_m, far_m):
    """Two points of the line that lies `near_m` and `far_m` from two points, on their right hand."""
    away = np.subtract(two, one)
    run = np.hypot(*away)
    tilt = math.asin((far_m - near_m) / run)  # towards the first point's side where that is nearer
    right = np.array([away[1], -away[0]]) / run
    along = away / run
    square = math.cos(tilt) * right - math.sin(tilt) * along
    return one + near_m * square, two + far_m * square


def laid_down(wall, rows, off_mm):
    """The line by its outer two measures, and the finished face as far behind it; both as two points."""
    own = [row for row in rows if row[1] == wall.name and row[2] == "from the rough face"]
    ends = [(wall.point(x, float(wall.proud_mm(x, z))), mm / 1000) for _, _, _, x, z, mm in (own[0], own[-1])]
    line = tangent(ends[0][0], ends[1][0], ends[0][1], ends[1][1])
    run = np.subtract(line[1], line[0]) / np.hypot(*np.subtract(line[1], line[0]))
    back = off_mm / 1000 * np.array([-run[1], run[0]])
    return line, [point + back for point in line]


def off_line_mm(point, line):
    run = np.subtract(line[1], line[0])
    away = np.subtract(point, line[0])
    return 1000 * abs(float(run[0] * away[1] - run[1] * away[0])) / np.hypot(*run)


def crossed(one, other):
    (a, b), (c, d) = one, other
    steps = np.linalg.solve(np.column_stack([b - a, c - d]), c - a)
    return a + steps[0] * (b - a)


@pytest.mark.parametrize(("corners", "seed"), [(RECTANGLE, 1), (ASKEW, 2), (L_SHAPE, 3)])
def test_lines_struck_by_the_sheet_find_the_finished_faces_again(corners, seed):
    walls, planes, lines = struck_from(corners, seed)
    rows = rows_of(lines)
    assert {row[1] for row in rows} == {wall.name for wall in walls}
    for wall in walls:
        line, face = laid_down(wall, rows, lines.off_mm)
        for end in wall.finished(planes.walls[wall.name]):
            assert off_line_mm(end, face) <= 1.0  # whole millimetres at both ends
        own = [row for row in rows if row[1] == wall.name and row[2] == "from the rough face"]
        assert len(own) > 2
        for _, _, _, x, z, mm in own[1:-1]:
            assert off_line_mm(wall.point(x, float(wall.proud_mm(x, z))), line) == pytest.approx(mm, abs=1.0)


@pytest.mark.parametrize(("corners", "seed"), [(ASKEW, 2), (L_SHAPE, 3)])
def test_triangles_at_the_crossings_close_on_lines_that_were_struck(corners, seed):
    """Marks at the two legs on the struck lines, and the tape between them, by points."""
    walls, _, lines = struck_from(corners, seed)
    rows, named = rows_of(lines), {wall.name: wall for wall in walls}
    assert len(lines.crossings) == len(walls)
    for each in lines.crossings:
        line, after = (laid_down(named[name], rows, lines.off_mm)[0] for name in (each.wall, each.next_wall))
        at = crossed(line, after)
        back, on = (np.subtract(b, a) / np.hypot(*np.subtract(b, a)) for a, b in (line, after))
        on = -on if each.outer else on
        ends = at - each.leg_mm / 1000 * back, at + each.next_leg_mm / 1000 * on
        across = 1000 * np.hypot(*np.subtract(*ends))
        assert across == pytest.approx(each.across_mm, abs=2.0)  # by lines to whole millimetres
        assert sorted((each.leg_mm, each.next_leg_mm, each.across_mm)) == pytest.approx(
            [3 * each.across_mm / 5, 4 * each.across_mm / 5, each.across_mm]
        )  # 3-4-5: these rooms are wanted square


def test_sides_and_diagonals_are_those_between_crossings():
    walls, _, lines = struck_from(ASKEW, 5)
    rows = rows_of(lines)
    struck = [laid_down(wall, rows, lines.off_mm)[0] for wall in walls]
    at = [crossed(struck[nth], struck[(nth + 1) % 4]) for nth in range(4)]
    sides = [each.mm for each in lines.between if not each.to]
    diagonals = [each.mm for each in lines.between if each.to]
    for nth, side in enumerate(sides):
        assert 1000 * np.hypot(*np.subtract(at[nth], at[nth - 1])) == pytest.approx(side, abs=lines.known_mm)
    for (one, other), mm in zip(((0, 2), (1, 3)), diagonals, strict=True):
        assert 1000 * np.hypot(*np.subtract(at[one], at[other])) == pytest.approx(mm, abs=lines.known_mm)
    # The check that asks for no width: diagonals of a rectangle are equal.
    assert diagonals[0] == pytest.approx(diagonals[1], abs=1e-6)


@pytest.mark.parametrize(("seed", "needs_mm"), [(0, 2950.0), (1, 2990.0), (2, 3050.0)])
def test_a_cabinet_fits_where_the_widths_say_so(seed, needs_mm):
    """A cabinet 0.6 m deep, its side against one struck face: do its other corners stand before the other?"""

    def wardrobe(walls):
        distance = _across(walls[0], 0.0, [walls[2].point(x, 0.0) for x in (0.0, 1.0)])
        return [mt.ClearWidth("wardrobe", "wall 0", "wall 2", needs_mm, X_M, between_planes_mm=distance)]

    walls, planes, lines = struck_from(ASKEW, seed, wardrobe)
    rows, (width,) = rows_of(lines), planes.widths
    face, opposite = (laid_down(walls[nth], rows, lines.off_mm)[1] for nth in (0, 2))
    run = np.subtract(face[1], face[0]) / np.hypot(*np.subtract(face[1], face[0]))
    into = np.array([run[1], -run[0]])
    start = face[0] + ((walls[0].point(X_M, 0.0) - face[0]) @ run) * run
    assert off_line_mm(start, opposite) == pytest.approx(
        width.got_mm, abs=1.5
    )  # two faces, a millimetre each
    corners = [start + needs_mm / 1000 * into + deep * run for deep in (-0.3, 0.3)]
    there = np.subtract(opposite[1], opposite[0])
    before = [there[1] * (c - opposite[0])[0] - there[0] * (c - opposite[0])[1] > 0 for c in corners]
    assert before == [width.kept, width.kept]
    assert width.kept is (needs_mm < 3000)


def _across(wall, proud_mm, line):
    start, run = wall.point(X_M, proud_mm), np.subtract(line[1], line[0])
    return 1000 * float(np.linalg.solve(np.column_stack([wall.towards, -run]), line[0] - start)[0])
