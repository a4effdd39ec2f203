"""The setting-out sheets: to scale on paper, each figure the result's, words apart, black on white."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from demo import demo
from drawn import check_words_apart, copied, words
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Rectangle
from taken_apart import of_walls

from mytakeoff import Compare, JobWall, Survey, Wall, evaluate, set_out
from mytakeoff.charts.drawing.canvas import pdf_pages, svg_text
from mytakeoff.charts.drawing.paper import Paper
from mytakeoff.charts.settingout import elevation, fixing_table
from mytakeoff.charts.settingout import sheet as settingsheet
from mytakeoff.charts.settingout.elevation import PX_PER_M, fitting_scale, stripes
from mytakeoff.job.treatments import PATCH, Treatment

DOTS_PER_MM = 8


@pytest.fixture(scope="module")
def job():
    return demo()


@pytest.fixture(scope="module")
def setting(job):
    return set_out(evaluate(replace(job, only=("party wall", "window wall", "breast left cheek"))))


@pytest.fixture(scope="module")
def pages(setting):
    return settingsheet.make_pages(setting, day="25 November 2026")


def rendered(figures):
    """The first page of a PDF as another program paints it: darkness of each dot, row 0 at the top."""
    document = pypdfium2.PdfDocument(pdf_pages(figures))
    page = document[0]
    size_mm = [points / 72 * 25.4 for points in page.get_size()]
    grey = page.render(scale=DOTS_PER_MM * 25.4 / 72, grayscale=True).to_numpy()
    document.close()
    return size_mm, 255 - np.asarray(grey, dtype=float).reshape(grey.shape[:2])


def longest_run(row):
    """Longest unbroken dark line in a row: where it starts and ends."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (row > 100).astype(int), [0]])))
    starts, ends = edges[::2], edges[1::2]
    longest = (ends - starts).argmax() if starts.size else 0
    return (starts[longest], ends[longest]) if starts.size else (0, 0)


@pytest.mark.parametrize(("paper", "size_mm"), [("A4", (210, 297)), ("Letter", (215.9, 279.4))])
def test_a_wall_measures_on_paper_what_it_should(setting, paper, size_mm):
    # ISO 216 and the North American letter; 3.9 m at 1:25 (A4) or 1:50 are 156 or 78 mm, a metre 40 or 20 mm
    wall = setting.wall("party wall")
    times = settingsheet.scale_of(wall, Paper(paper))
    found, dark = rendered(settingsheet.make_pages(setting, ("party wall",), Paper(paper)))
    assert found == pytest.approx(size_mm, abs=0.1)
    # between the line under the heading and the frame of the warning
    runs = [longest_run(row) for row in dark[28 * DOTS_PER_MM : int(0.52 * dark.shape[0])]]
    outline = max(end - start for start, end in runs) / DOTS_PER_MM
    line_mm = 1.6 / 72 * 25.4
    assert outline == pytest.approx(3900 / times + line_mm, abs=0.3)


def test_the_scale_bar_is_a_metre_of_the_drawing(setting):
    (page,) = settingsheet.make_pages(setting, ("party wall",))[:1]
    (bar,) = [line for line in page.findobj(Line2D) if line.get_gid() == "scale-bar"]
    left, right = bar.get_xdata()
    assert (right - left) * page.get_size_inches()[0] * 25.4 == pytest.approx(1000 / 25)
    assert "1 m at 1:25" in words(page)


def test_every_figure_in_the_rows_is_the_result_s(setting, pages):
    said = [word for page in pages for word in words(page)]
    for wall in setting.walls:
        made = wall.wall
        for fixing in wall.fixings:
            cells = fixing_table.row_cells(wall, fixing)
            assert cells[0] in said
            assert float(cells[1]) == pytest.approx(fixing.z_m, abs=6e-4)
            thickness = made.build_up.thickness_mm
            assert np.nanmin(thickness) - 0.5 <= float(cells[4]) <= np.nanmax(thickness) + 0.5
            # plaster = head off the wall + rail + finish, each rounded
            rest = setting.job.rails.depth_mm + made.system.finish_mm
            assert float(cells[4]) - float(cells[2]) == pytest.approx(rest, abs=1.0)
    assert said.count("look out") >= len(setting.walls)


def test_a_row_for_each_fixing_has_its_box_to_tick(setting, pages):
    boxes = [box for page in pages for box in page.findobj(Rectangle) if box.get_label() == "tick"]
    checks = sum(len(wall.checks) for wall in setting.walls) + len(settingsheet.stock_words(setting))
    assert len(boxes) == setting.fixing_count + checks


def test_words_lie_on_the_sheet_and_apart(pages):
    for page in pages:
        check_words_apart(page)


def test_pages_are_numbered_and_say_job_wall_and_day(setting, pages):
    for number, page in enumerate(pages, start=1):
        said = words(page)
        assert f"page {number} of {len(pages)}" in said
        assert setting.job.title in said
        assert "25 November 2026" in said
        assert "For the estimator" in said


def test_the_warning_stands_on_each_wall_that_is_drilled(setting, pages):
    said = " ".join(word for page in pages for word in words(page))
    assert said.count("look here first. ") == len(setting.walls)
    assert "BS 7671:2018, 522.6.202" in said
    assert "Cables and pipes." in said


def test_it_is_black_on_white(pages):
    for page in pages[:2]:
        light = copied(page)
        assert np.mean(light > 95) > 0.85


def test_the_cut_list_and_the_screws_stand_on_the_last_sheet(setting, pages):
    said = " ".join(words(pages[-1]))
    assert f"{setting.cuts.count} lengths of 3 m" in said
    for length, count in setting.screws.items():
        assert f"{count} of {length:g} mm" in said
    for stock in setting.cuts.stocks:
        for piece in stock.pieces:
            wall, _, rail = piece.name.rpartition(", rail ")
            assert wall in said
            assert re.search(rf"{piece.length_mm} mm[^.]*{wall}, rails? [^;.]*\b{rail}\b", said)


def test_a_wall_without_rails_says_why(job):
    patched = Treatment("patch and skim", PATCH, skim=True)
    walls = tuple(replace(w, treatment=patched) if w.name == "door wall" else w for w in job.walls)
    bare = set_out(evaluate(of_walls(job, walls)))
    (page,) = settingsheet.make_pages(bare, ("door wall",))
    assert any("has no rails to set out" in word for word in words(page))
    assert "no rails to set out" in elevation.describe(bare.wall("door wall"))


@pytest.mark.parametrize(
    "wall", [Wall("tiny", 0.4, 0.6), Wall("corridor", 11.5, 2.4), Wall("hall", 5.0, 6.2)]
)
def test_walls_of_any_shape_fit(job, wall):
    x, z = np.meshgrid(np.linspace(0, wall.width_m, 20), np.linspace(0, wall.height_m, 9))
    survey = Survey.from_readings(wall, x.ravel(), z.ravel(), np.zeros(x.size), swept=True)
    entry = JobWall(wall, "front room", survey, "brick")
    rails = replace(job.rails, stock_m=7.0)
    setting = set_out(evaluate(of_walls(job, (entry,), rails=rails, compare=Compare())))
    for page in settingsheet.make_pages(setting):
        page.draw_without_rendering()
        for word in page.texts:
            box = word.get_window_extent()
            assert box.x0 >= 0
            assert box.x1 <= page.bbox.width


def test_the_same_sheet_is_the_same_bytes(setting):
    twice = [settingsheet.make_pages(setting, ("breast left cheek",)) for _ in range(2)]
    assert pdf_pages(twice[0]) == pdf_pages(twice[1])
    assert svg_text(twice[0][0], "s") == svg_text(twice[1][0], "s")


@pytest.mark.parametrize(("room_mm", "times"), [((180, 130), 25), ((400, 300), 10), ((50, 40), 100)])
def test_the_largest_scale_that_fits(room_mm, times):
    room = tuple(mm / 1000 * PX_PER_M for mm in room_mm)
    assert fitting_scale(4.0, 2.6, room) == times


def test_stripes_of_neighbours_meet_and_stay_inside():
    for line in [*stripes((3, 5), (43, 25)), *stripes((43, 5), (60, 25))]:
        assert (line[:, 0] >= 3).all()
        assert (line[:, 1] >= 5 - 1e-9).all()
        assert (line[:, 1] <= 25 + 1e-9).all()
        assert np.diff(line[:, 0])[0] == pytest.approx(np.diff(line[:, 1])[0])
        assert (line[0, 1] - line[0, 0]) % 8 == pytest.approx(0, abs=1e-9)


def test_the_words_of_the_elevation_say_the_same(setting):
    said = elevation.describe(setting.wall("window wall"))
    assert "5 rails in 6 pieces at 0.150, 1.200, 2.100, 3.000, 4.050 m" in said
    assert "Start with fixing" in said


def test_names_of_openings_are_on_the_drawing(setting):
    figure = elevation.make(setting.wall("window wall"), 700)
    assert "window" in words(figure)


def test_a_wall_takes_one_sheet_and_its_back_at_most(job):
    """A fitter carries a sheet up the ladder; six walls took seventeen (from users, no source)."""
    whole = set_out(evaluate(job))
    for wall in whole.walls:
        assert len(settingsheet.make_pages(whole, (wall.name,))) <= 2
    assert len(settingsheet.make_pages(whole, ("breast left cheek",))) == 1
    assert len(settingsheet.make_pages(whole)) <= 2 * len(whole.walls) + 1


def test_lengths_that_are_cut_alike_stand_in_one_line(job):
    whole = set_out(evaluate(job))
    lines = settingsheet.stock_words(whole)
    assert len(lines) == len({tuple(p.length_mm for p in stock.pieces) for stock in whole.cuts.stocks})
    assert sum(int(line.split()[0]) for line in lines) == whole.cuts.count


def test_marks_of_cables_are_never_taken_for_half_a_rail_or_a_high_spot(setting):
    assert any(settingsheet.zone_codes(wall) for wall in setting.walls)
    for wall in setting.walls:
        others = {*wall.names, *elevation.LETTERS[: len(wall.touches)]}
        codes = settingsheet.zone_codes(wall)
        assert not others & set(codes.values())
        assert not {name[-1] for name in wall.names} & set(codes.values())
        assert len(set(codes.values())) == len(codes)


def test_letters_of_high_spots_lie_on_no_fixing(job):
    for wall in set_out(evaluate(job)).walls:
        figure = elevation.make(wall, 700)
        figure.draw_without_rendering()
        heads = [c for c in figure.findobj(Circle) if c.get_radius() == elevation.DOT_PX]
        letters = [t for t in figure.texts if t.get_text() in elevation.LETTERS]
        assert letters
        assert heads
        for text in letters:
            box = text.get_window_extent()
            for head in heads:
                x, y = head.get_center()
                assert not (box.x0 < x < box.x1 and box.y0 < y < box.y1), (wall.name, text.get_text())


def test_a_wall_without_rails_takes_no_sheet_of_its_own(job):
    patched = Treatment("patch and skim", PATCH, skim=True)
    walls = tuple(replace(w, treatment=patched) if w.name == "door wall" else w for w in job.walls)
    pages = settingsheet.make_pages(set_out(evaluate(of_walls(job, walls))))
    assert not any("Setting out: door wall" in word for page in pages for word in words(page))
    assert "door wall: This wall is not brought to a plane" in " ".join(words(pages[-1]))


def test_screws_and_fixings_add_up_or_the_sheet_says_which_are_left(job):
    # a survey that stops at 1.2 m leaves the upper fixings unread: no screw is listed for them
    wall = Wall("half read", 2.7, 2.6)
    x, z = np.meshgrid(np.linspace(0, 2.7, 10), np.linspace(0, 1.2, 5))
    survey = Survey.from_readings(wall, x.ravel(), z.ravel(), np.zeros(x.size), swept=True)
    entry = JobWall(wall, "front room", survey, "brick")
    setting = set_out(evaluate(of_walls(job, (entry,), compare=Compare())))
    unread = setting.walls[0].unread
    assert unread
    assert sum(setting.screws.values()) + len(unread) == setting.fixing_count
    said = settingsheet.unread_words(setting)
    assert said.startswith(f"{len(unread)} fixings more where nobody measured: half read {unread[0].label}")
    assert said in " ".join(words(settingsheet.make_pages(setting)[-1])).replace("\n", " ")
