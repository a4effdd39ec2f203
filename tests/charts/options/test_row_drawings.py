"""The drawings in a row of the options: walls at one scale, the gap at one ratio, a price and its band."""

from __future__ import annotations

import base64
import io
import re
import xml.etree.ElementTree as ET
from decimal import Decimal

import numpy as np
import pytest
from PIL import Image

from mytakeoff.charts.drawing.palette import ramp_colour
from mytakeoff.charts.maps.small_maps import SmallMap
from mytakeoff.charts.maps.wall_strip import STRIP_PX, StripWall, key_svg, strip_scale, strip_svg
from mytakeoff.charts.options.row_drawings import (
    BAND_PX,
    ROOM_PX,
    ROW_HIGH_PX,
    TRUE_HIGH_PX,
    band_svg,
    row_exaggeration,
    row_taper,
    true_tapers,
)
from mytakeoff.charts.options.wedge import WedgeDrawing
from mytakeoff.formats.formats import Formats
from mytakeoff.survey.wall import Opening, Wall

EUROS = Formats(currency="EUR")

SVG = "{http://www.w3.org/2000/svg}"


def parts(svg: str, name: str) -> list[ET.Element]:
    """Every element of a kind; the drawing has to be well-formed for that."""
    return list(ET.fromstring(svg).iter(SVG + name))


def strip(passes: bool = True, thickness: float = 15.0) -> tuple[str, list[StripWall]]:
    """A wall of 4 × 2.4 m with a door and a narrow one of 0.5 m, half a metre a cell."""
    walls = []
    for number, wall in enumerate(
        (Wall("A & B", 4.0, 2.4, (Opening("door", 1.0, 0.0, 1.0, 2.0),)), Wall("C", 0.5, 2.4)), 1
    ):
        x_m, z_m = np.arange(0.25, wall.width_m, 0.5), np.arange(0.2, 2.4, 0.4)
        cells = np.full((z_m.size, x_m.size), thickness)
        cells[0, 0] = 0.0
        walls.append(StripWall(number, wall, SmallMap("<skim>", x_m, z_m, cells), passes))
    return strip_svg(walls, 20.0), walls


def test_walls_stand_side_by_side_at_one_scale() -> None:
    svg, walls = strip()
    scale = strip_scale([each.wall for each in walls])
    frames = [each for each in parts(svg, "rect") if each.get("fill") == "none"]
    for frame, each in zip(frames, walls, strict=True):
        assert float(frame.get("width", 0)) == pytest.approx(each.wall.width_m * scale, abs=0.05)
        assert float(frame.get("height", 0)) == pytest.approx(each.wall.height_m * scale, abs=0.05)
    assert float(frames[1].get("x", 0)) > float(frames[0].get("x", 0)) + float(frames[0].get("width", 0))
    assert float(ET.fromstring(svg).get("width", 0)) <= STRIP_PX + 0.1


def test_each_cell_has_the_colour_of_its_thickness_floor_at_the_bottom() -> None:
    svg, _ = strip(thickness=15.0)
    (first, _second) = parts(svg, "image")
    cells = np.asarray(Image.open(io.BytesIO(base64.b64decode(first.get("href", "").split(",")[1]))))
    assert cells[0, 0].tolist() == ramp_colour(15.0, 20.0).tolist()
    assert cells[-1, 0].tolist() == ramp_colour(0.0, 20.0).tolist()


@pytest.mark.parametrize(("passes", "sign"), [(True, "✓"), (False, "✗")])
def test_passing_is_said_by_a_sign_a_frame_and_words(passes: bool, sign: str) -> None:
    svg, _ = strip(passes)
    assert [each.text for each in parts(svg, "text")] == [f"1{sign}", f"2{sign}"]
    dashed = [
        each.get("stroke-dasharray") is not None for each in parts(svg, "rect") if each.get("fill") == "none"
    ]
    assert dashed == [not passes] * 2
    said = ET.fromstring(svg).get("aria-label", "")
    assert "A & B, <skim>: plaster on" in said
    assert ("fails" in said) != passes


def test_the_key_names_both_ends_and_the_middle() -> None:
    assert [each.text for each in parts(key_svg(60.0), "text")] == ["0", "30", "60"]


def wedge(widest_mm: float, height_m: float = 2.0) -> WedgeDrawing:
    return WedgeDrawing("door frame", height_m, np.array([0.0, height_m]), np.array([0.0, widest_mm]))


def face(svg: str) -> list[tuple[float, float]]:
    """Corners of the wall's face, bottom first."""
    (line, *_) = parts(svg, "polyline")
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in line.get("points", "").split())]


def test_every_row_has_the_gap_at_one_ratio() -> None:
    gaps = [wedge(15.0), wedge(6.0), wedge(0.0)]
    times = row_exaggeration(gaps)
    wide = [face(row_taper(each, times, str(at)))[1][0] for at, each in enumerate(gaps)]
    assert wide[0] - wide[2] == pytest.approx(15 / 6 * (wide[1] - wide[2]), abs=0.15)
    assert wide[0] - wide[2] <= ROOM_PX + 0.1
    assert wide[0] - wide[2] == pytest.approx(0.015 / 2.0 * ROW_HIGH_PX * times, abs=0.15)


def test_true_ratio_is_true() -> None:
    (_, low), (right, high) = face(true_tapers([("A  as it is", wedge(40.0))]))
    left = face(true_tapers([("A  as it is", wedge(0.0))]))[1][0]
    assert low - high == pytest.approx(TRUE_HIGH_PX, abs=0.1)
    assert (right - left) / (low - high) == pytest.approx(0.04 / 2.0, abs=1e-3)


def test_under_a_drawing_stands_how_wide_the_gap_gets_or_that_there_is_none() -> None:
    for mm, said in ((40.0, "up to 40 mm"), (0.0, "no gap")):
        assert f">{said}<" in true_tapers([("A", wedge(mm))])


def test_drawings_on_one_page_share_no_name() -> None:
    names = [
        name
        for svg in (
            row_taper(wedge(5.0), 10, "a"),
            row_taper(wedge(5.0), 10, "b"),
            true_tapers([("A", wedge(5.0))]),
        )
        for name in re.findall(r'id="([^"]+)"', svg)
    ]
    assert len(names) == len(set(names)) == 3


def test_a_wall_that_is_not_known_beside_it_is_said_so() -> None:
    unknown = WedgeDrawing("door frame", 2.0, np.array([0.0, 2.0]), np.array([np.nan, np.nan]))
    assert "not surveyed" in row_taper(unknown, 1, "a")
    assert "not surveyed" in true_tapers([("A", unknown)])


def test_the_band_lies_on_the_scale_of_all_prices() -> None:
    svg = band_svg(Decimal(500), Decimal(400), Decimal(800), Decimal(1000), EUROS)
    (bar,) = parts(svg, "rect")
    middle = BAND_PX / 2
    assert float(bar.get("x", 0)) == pytest.approx(0.4 * BAND_PX, abs=0.5)
    assert float(bar.get("width", 0)) == pytest.approx(0.4 * (BAND_PX - 4), abs=0.2)
    assert float(parts(svg, "line")[1].get("x1", 0)) == pytest.approx(middle, abs=0.1)
    assert ET.fromstring(svg).get("aria-label") == "Price 500 EUR, eight in ten between 400 and 800"
