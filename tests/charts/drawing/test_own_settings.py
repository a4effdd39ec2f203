"""A drawing is the same whatever matplotlib was told by a `matplotlibrc` or by the notebook."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime

import matplotlib as mpl
import numpy as np
import pytest
from demo import coarse_demo
from known_walls import NORTH, leaning
from matplotlib.figure import Figure

from mytakeoff import evaluate, set_out
from mytakeoff.charts.days import bars
from mytakeoff.charts.drawing.canvas import own_settings, pdf_pages, png_bytes, svg_text
from mytakeoff.charts.drawing.frame import frame_svg, wide_frame
from mytakeoff.charts.drawing.lettering import width_of
from mytakeoff.charts.maps import deviation_map, left_out_map, profile
from mytakeoff.charts.maps.small_maps import SmallMap
from mytakeoff.charts.options import driver_bars, price_curve, sheet
from mytakeoff.charts.options.price_points import Curve
from mytakeoff.charts.options.wedge import WedgeDrawing
from mytakeoff.charts.settingout import elevation
from mytakeoff.charts.settingout.sheet import make_pages
from mytakeoff.formats.formats import HOUSE

WILD = {
    "text.usetex": True, "font.size": 31, "font.family": "monospace", "lines.linewidth": 7.25,
    "axes.facecolor": "red", "axes.spines.top": False, "axes.unicode_minus": False, "axes.labelcolor": "red",
    "xtick.direction": "in", "ytick.labelsize": 25, "grid.color": "red", "patch.linewidth": 6,
    "hatch.linewidth": 5,
    "savefig.bbox": "tight", "savefig.dpi": 30, "savefig.facecolor": "red", "svg.fonttype": "path",
    "pdf.fonttype": 42, "pdf.compression": 0, "path.simplify": False, "path.sketch": (3, 100, 2),
}  # fmt: skip

METRES = np.linspace(0.0, 2.0, 9)


def _bars() -> Sequence[Figure]:
    days = bars.Days(date(2027, 3, 1), date(2027, 3, 5), date(2027, 3, 20), (), 8.0, 16.0)
    work = bars.Span(datetime(2027, 3, 1, 8), datetime(2027, 3, 1, 9), bars.WORK)
    return (bars.make(days, (bars.BarRow("front room", (work,), room=True),), "days"),)


def _curve() -> Sequence[Figure]:
    return (price_curve.make(Curve(METRES[::-1] + 2, METRES * 500, HOUSE)),)


def _drivers() -> Sequence[Figure]:
    return (driver_bars.make([driver_bars.Bar("waste", "5 %", "20 %", -31, 84)], 2400, HOUSE),)


def _deviation() -> Sequence[Figure]:
    x_m, z_m, mm = leaning(columns=21, rows=13)
    return (deviation_map.make(NORTH, x_m, z_m, mm - 20, top_mm=30.0),)


def _left_out() -> Sequence[Figure]:
    return (left_out_map.make(NORTH, (METRES, METRES), (METRES, METRES, METRES - 1), 640.0),)


def _profile() -> Sequence[Figure]:
    line = profile.ProfileLine(METRES, METRES * 4, METRES * 0, 2.0, True, "upright")
    return (profile.make(line, 10.0),)


def _options() -> Sequence[Figure]:
    wedge = WedgeDrawing("door frame", 2.0, METRES, METRES * 3)
    row = sheet.OptionRow("A", "as it is", SmallMap("A", *leaning()), wedge, ("leans",), "0 EUR", (), "fails")
    return sheet.make_pages(NORTH, [row], sheet.SheetHeading("flat", "wall north", "1 March 2027", ("dust",)))


def _setting_out() -> Sequence[Figure]:
    setting = set_out(evaluate(replace(coarse_demo(), only=("breast left cheek",))))
    return (*make_pages(setting, day="1 March 2027"), elevation.make(setting.walls[0], 640.0))


DRAWINGS = (_bars, _curve, _drivers, _deviation, _left_out, _profile, _options, _setting_out)


@pytest.mark.parametrize("draw", DRAWINGS, ids=lambda draw: draw.__name__.strip("_"))
def test_a_drawing_follows_no_settings_but_its_own(draw: Callable[[], Sequence[Figure]]) -> None:
    def drawn() -> list[object]:
        width_of.cache_clear()
        figures = draw()
        svgs = [svg_text(figure) for figure in figures]
        return [*svgs, *(png_bytes(figure, 60.0) for figure in figures), pdf_pages(figures)]

    usual = drawn()
    with mpl.rc_context(WILD):
        assert drawn() == usual


def test_a_frame_follows_no_settings_but_its_own() -> None:
    frame = wide_frame(NORTH, 60.0)
    frame_svg.cache_clear()
    usual = frame_svg(frame)
    frame_svg.cache_clear()
    with mpl.rc_context(WILD):
        assert frame_svg(frame) == usual
    frame_svg.cache_clear()


def test_the_settings_of_others_are_as_before_afterwards() -> None:
    with mpl.rc_context(WILD):
        with own_settings():
            assert mpl.rcParams["lines.linewidth"] == mpl.rcParamsDefault["lines.linewidth"]
            assert not mpl.rcParams["text.usetex"]
        assert mpl.rcParams["lines.linewidth"] == WILD["lines.linewidth"]
        assert mpl.rcParams["text.usetex"]
