"""The options on a sheet of paper."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from drawn import check_words_apart, copied, words
from known_walls import NORTH, leaning

from mytakeoff.charts.drawing.canvas import new_figure, pdf_pages, svg_text
from mytakeoff.charts.drawing.lettering import write
from mytakeoff.charts.maps.small_maps import SmallMap
from mytakeoff.charts.options.sheet import OptionRow, SheetHeading, make_pages, paged
from mytakeoff.charts.options.wedge import WedgeDrawing
from mytakeoff.survey.wall import Wall

HEIGHTS = np.linspace(0.0125, 2.0375, 82)
FACTS = (
    "gap under a 2 m edge: at most 14 mm",
    "leans 12 mm over its height",
    "room narrower by 17 mm",
    "3½ days on site; paint after 21 days",
    "move: sockets, skirting, architrave",
)
HEADING = SheetHeading(
    "Flat at the mill lane (invented)",
    "Wall north, judged by a 2 m straightedge and a gap of 3 mm",
    "25 November 2026",
    ("Silica dust from cutting back and mixing.", "Follow the local code and the product's sheet."),
)
TITLES = (
    "as it is",
    "patch what has fallen, and skim",
    "straighten the hollows to the grade, and skim",
    "float straight, following the lean",
    "float plumb on rails",
)


def rows(wall=NORTH):
    x_m, z_m, thickness = leaning(wall)
    gaps = (
        0.5 + 14 * HEIGHTS / 2.05,
        3 + 5 * np.sin(HEIGHTS * 1.5),
        0 * HEIGHTS,
        2 + 3 * HEIGHTS,
        0 * HEIGHTS,
    )
    return [
        OptionRow(
            "ABCDE"[index],
            TITLES[index],
            SmallMap(f"{'ABCDE'[index]} {TITLES[index]}", x_m, z_m, thickness * index / 4),
            WedgeDrawing("door frame", 2.05, HEIGHTS, gaps[index]),
            FACTS,
            f"{index} 180 EUR",
            ("likely 1 450 to 1 800 EUR",) if index else (),
            "passes line 6 of the grade" if index > 1 else "fails by 9.2 mm",
            "least price that passes" if index == 2 else "",
        )
        for index in range(5)
    ]


def sheet_of(options):
    [page] = make_pages(NORTH, options, HEADING)
    return page


@pytest.mark.parametrize(
    "wall", [NORTH, Wall("cheek", 0.35, 2.6), Wall("corridor", 9.5, 2.4)], ids=lambda w: w.name
)
def test_five_options_fit_on_one_sheet_with_all_their_words(wall):
    pages = make_pages(wall, rows(wall), HEADING)
    assert len(pages) == 1
    check_words_apart(pages[0])
    said = " ".join(words(pages[0]))
    for row in rows(wall):
        assert all(part in said for part in (row.title, row.price, row.verdict, *row.under_price, *row.facts))
    assert "least price that passes" in said
    assert all(part in said for part in (HEADING.job, HEADING.subject, HEADING.date, *HEADING.notes))
    assert "page 1 of 1" in said
    assert "1 m on the maps" in said or wall.width_m < 1


def test_the_sheet_is_a4_across():
    # ISO 216: A4 is 210 × 297 mm.
    assert sheet_of(rows()).get_size_inches() * 25.4 == pytest.approx([297, 210], abs=0.05)


def test_more_options_go_on_further_sheets_at_the_same_scale():
    pages = make_pages(NORTH, rows() * 2 + rows()[:1], HEADING)
    assert len(pages) == 3
    for number, page in enumerate(pages, 1):
        check_words_apart(page)
        assert f"page {number} of 3" in words(page)
    maps = {page.axes[0].get_window_extent().size.tobytes() for page in pages}
    assert len(maps) == 1
    assert len({next(word for word in words(page) if "wider" in word) for page in pages}) == 1


def test_long_words_take_more_room_and_lose_none():
    long = [replace(row, facts=(*FACTS, *FACTS)) for row in rows()]
    pages = make_pages(NORTH, long, HEADING)
    assert len(pages) > 1
    assert [len(page) for page in paged(long, HEADING)] == [2, 2, 1]
    for page in pages:
        check_words_apart(page)


def test_every_wedge_fits_and_is_drawn_by_what_the_column_says():
    figure = sheet_of(rows())
    wedges = [axes for axes in figure.axes if any(line.get_label() == "plumb edge" for line in axes.lines)]
    assert len(wedges) == 5
    said = " ".join(words(figure))
    times = int(said.partition("drawn ")[2].split()[0])
    for axes, row in zip(wedges, rows(), strict=True):
        (x0, y0), (x1, y1) = axes.transData.transform([(0, 0), (10, 1)])
        assert (x1 - x0) / (y1 - y0) == pytest.approx(times * 0.010)
        assert row.wedge.widest_mm <= axes.get_xlim()[1]


def test_maps_stay_apart_on_a_copier():
    light = copied(sheet_of(rows()))
    figure = sheet_of(rows())
    maps = [axes.get_window_extent() for axes in figure.axes if axes.images][:5]
    # The right end of each map, away from window and unpriced corner: thicker from option to option.
    shades = [light[int(light.shape[0] - box.y0 - 12), int(box.x0 + 0.93 * box.width)] for box in maps]
    assert (np.diff(shades) < -8).all()


def test_without_anything_plumb_the_column_is_empty():
    figure = sheet_of([replace(row, wedge=None) for row in rows()])
    check_words_apart(figure)
    assert not any("beside" in word for word in words(figure))
    assert any("beside" in word for word in words(sheet_of(rows())))


def test_the_same_sheet_is_the_same_bytes():
    assert svg_text(sheet_of(rows()), "s") == svg_text(sheet_of(rows()), "s")
    assert pdf_pages([sheet_of(rows())]) == pdf_pages([sheet_of(rows())])


def test_words_that_meet_are_found():
    figure = new_figure(200, 100)
    write(figure, 10, 10, "twenty bags", 12)
    check_words_apart(figure)
    write(figure, 40, 14, "three days", 12)
    with pytest.raises(AssertionError, match="lies on"):
        check_words_apart(figure)
    beyond = new_figure(60, 100)
    write(beyond, 10, 10, "twenty bags", 12)
    with pytest.raises(AssertionError, match="twenty bags"):
        check_words_apart(beyond)
