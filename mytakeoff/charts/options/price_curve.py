"""The budget curve: money against the gap that stays under the edge, with the options on it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.field import Floats
from mytakeoff.charts.drawing.frame import mm_ticks, ticks
from mytakeoff.charts.drawing.lettering import LINE, box_on, points, width_of, wrapped, write
from mytakeoff.charts.drawing.palette import INK, PAPER
from mytakeoff.charts.options.price_points import (
    Curve,
    OptionMark,
    break_mm,
    describe_curve,
    last_worth,
    listed_words,
    worth_words,
)
from mytakeoff.formats.formats import Formats

__all__ = ["Curve", "OptionMark", "describe_curve", "make"]

_EDGE_PX, _FONT_PX = 14.0, 12.5
_PLOT_PX, _UNDER_PX = 290.0, 36.0
_RING_PX, _FAR_PX = 9.0, 26.0
_FAR_SHARE = 0.15  # of a broken axis, for what lies beyond the break
# Greys are thin ink, so that they follow the ink of a dark page.
_BAND, _GRID = (INK, 0.15), (INK, 0.2)
_AROUND = tuple((np.cos(turn), np.sin(turn)) for turn in np.radians(np.arange(90, 450, 30)))


@own_settings()
def make(curve: Curve, options: Sequence[OptionMark] = (), *, width_px: float = 640.0) -> Figure:
    """The curve with the options on it and listed under it; flatter is to the right.

    Parameters
    ----------
    curve : Curve
    options : sequence of OptionMark
    width_px : float
        Width of the sheet, 360 or more [CSS px, 96 to the inch].

    Returns
    -------
    matplotlib.figure.Figure
        Its axes are millimetres of gap, falling to the right, and money.
    """
    inner = width_px - 2 * _EDGE_PX
    listed = [wrapped(listed_words(each, curve.formats), inner - 26, _FONT_PX) for each in options]
    under = sum(len(lines) * _FONT_PX * LINE + 7 for lines in listed)
    said = wrapped(worth_words(curve) + ".", inner, _FONT_PX, bold=True)
    money = wrapped(_money_words(curve, options), inner, _FONT_PX - 1)
    broken = break_mm(curve, options)
    below = wrapped(_gap_axis_words(curve, options, broken), inner, _FONT_PX)
    middle = _EDGE_PX + len(said) * _FONT_PX * LINE + 6
    head = middle + len(money) * _FONT_PX * LINE + 22
    foot = head + _PLOT_PX + _UNDER_PX + len(below) * _FONT_PX * LINE
    figure = new_figure(width_px, foot + under + _EDGE_PX)
    figure.set_facecolor("white")
    write(figure, _EDGE_PX, _EDGE_PX, "\n".join(said), _FONT_PX, bold=True)
    write(figure, _EDGE_PX, middle, "\n".join(money), _FONT_PX - 1)
    write(figure, width_px - _EDGE_PX, head + _PLOT_PX + 25, "\n".join(below), _FONT_PX, across="right")
    axes = _axes(figure, curve, options, head, broken)
    _draw_curve(axes, curve)
    last = last_worth(curve)
    if 0 < last < curve.gap_mm.size - 1:
        _draw_worth(axes, float(curve.gap_mm[last]), curve.formats)
    _draw_options(axes, curve, options)
    _list_options(figure, options, listed, foot)
    return figure


def _limits(curve: Curve, options: Sequence[OptionMark]) -> tuple[float, float]:
    """Right ends of both axes: a little over the greatest gap [mm] and the greatest price."""
    gaps = [*curve.gap_mm, *(each.gap_mm for each in options)]
    prices = [*curve.total, *(() if curve.high is None else curve.high)]
    prices += [float(each.high if each.high is not None else each.total) for each in options]
    return max(max(gaps) * 1.04, 1.0), max(max(prices) * 1.12, 1.0)


def _money_ticks(top: float) -> list[float]:
    """Round amounts from 0 to the top, some five of them."""
    scale = 10.0 ** np.floor(np.log10(top / 5))
    return [float(value * scale) for value in ticks(top / scale, 6)]


def _gap_axis_words(curve: Curve, options: Sequence[OptionMark], broken: float | None) -> str:
    """What the level axis counts, and what is drawn closer together on it."""
    formats = curve.formats
    gap = formats.head(f"greatest gap left under a {formats.length(curve.edge_m)} edge", "mm")
    words = f"{gap} (flatter\u00a0to\u00a0the\u00a0right)"
    if broken is None:
        return words
    widest = max([*curve.gap_mm, *(each.gap_mm for each in options)])
    from_gap = formats.depth(broken, places=0, column=True)
    return f"{words}; left of the strokes {from_gap} to {formats.mm(widest)} lie closer"


def _axes(
    figure: Figure, curve: Curve, options: Sequence[OptionMark], head: float, broken: float | None
) -> Axes:
    """Empty axes with round ticks, the words under them; broken at a gap [mm], if any."""
    widest, dearest = _limits(curve, options)
    marks = _money_ticks(dearest)
    size, number = points(_FONT_PX - 0.5), curve.formats.number
    left = _EDGE_PX + max(width_of(number(mark), _FONT_PX - 0.5) for mark in marks) + 8
    width = float(figure.get_size_inches()[0]) * 96.0 - left - _EDGE_PX - 6
    axes = figure.add_axes(box_on(figure, left, head, width, _PLOT_PX), facecolor="none")
    axes.set_ylim(0, dearest)
    across = _gap_ticks(axes, widest, broken, max(int(width / 60), 2), curve.formats)
    said = [curve.formats.depth(round(value, 1), column=True) for value in across]
    axes.set_xticks(across, said, fontsize=size, color=INK)
    axes.minorticks_off()
    if broken is not None:
        axes.get_xticklabels()[-1].set_horizontalalignment("left")  # clear of the least amount
    axes.set_yticks(marks, [number(value) for value in marks], fontsize=size, color=INK)
    axes.tick_params(length=3, width=0.8, pad=2, color=INK)
    axes.grid(axis="y", color=_GRID, linewidth=0.6)
    axes.set_axisbelow(True)
    for side, spine in axes.spines.items():
        spine.set(visible=side in ("left", "bottom"), linewidth=0.8, color=INK)
    return axes


def _gap_ticks(axes: Axes, widest: float, broken: float | None, most: int, formats: Formats) -> list[float]:
    """Lay the level axis out from `widest` to nothing; its round ticks [mm]."""
    if broken is None:
        axes.set_xlim(widest, -0.02 * widest)
        return mm_ticks(widest, most, formats)[0]
    near, far = [0.0, broken, widest], [0.0, 1 - _FAR_SHARE, 1.0]
    slope = far[1] / broken

    def across(gap: Floats) -> Floats:
        return np.where(np.asarray(gap) < 0, np.asarray(gap) * slope, np.interp(gap, near, far))

    def back(share: Floats) -> Floats:
        return np.where(np.asarray(share) < 0, np.asarray(share) / slope, np.interp(share, far, near))

    axes.set_xscale("function", functions=(across, back))
    axes.set_xlim(widest, -0.02 * broken)
    middle = _FAR_SHARE / (1.02 - _FAR_SHARE * 0.02)
    for shift in (-0.006, 0.006):
        ends = [middle + shift - 0.006, middle + shift + 0.006], [-0.025, 0.025]
        axes.plot(*ends, transform=axes.transAxes, color=INK, linewidth=1.2, clip_on=False, zorder=6)
    marks = mm_ticks(broken, max(most - 2, 2), formats)[0]
    return [mark for mark in marks if mark < 0.92 * broken] + [widest / 1.04]


def _money_words(curve: Curve, options: Sequence[OptionMark]) -> str:
    """What the upright axis counts, and what the grey and the thin bars are."""
    said = f"price with tax, {curve.formats.currency}"
    marks = ["grey"] if curve.low is not None and curve.high is not None else []
    marks += ["upright bars"] if any(each.low is not None for each in options) else []
    return f"{said} ({' and '.join(marks)}: its likely range)" if marks else said


def _draw_worth(axes: Axes, gap_mm: float, formats: Formats) -> None:
    """A dashed line where the next hundred stops buying flatness, its gap above it."""
    axes.axvline(gap_mm, color=INK, linewidth=0.9, linestyle=(0, (4, 3)), zorder=2)
    axes.annotate(
        formats.mm(gap_mm),
        (gap_mm, 1),
        xycoords=("data", "axes fraction"),
        xytext=(0, 2),
        textcoords="offset points",
        ha="center",
        va="bottom",
        fontsize=points(_FONT_PX - 0.5),
        color=INK,
    )


def _draw_curve(axes: Axes, curve: Curve) -> None:
    """Steps: a gap between two points is reached by what the flatter one costs."""
    if curve.low is not None and curve.high is not None:
        axes.fill_between(
            curve.gap_mm, curve.low, curve.high, step="pre", facecolor=_BAND, edgecolor="none", zorder=1
        )
    axes.plot(
        curve.gap_mm, curve.total, drawstyle="steps-pre", color=INK, linewidth=1.8, zorder=3, label="price"
    )


def _draw_options(axes: Axes, curve: Curve, options: Sequence[OptionMark]) -> None:
    """A dot at each option, its range as a thin bar, its letter in a ring beside it."""
    spots = [_px_of(axes, each.gap_mm, float(each.total)) for each in options]
    for each, spot, ring in zip(options, spots, _ring_places(axes, curve, options, spots), strict=True):
        if each.low is not None and each.high is not None:
            axes.plot(
                [each.gap_mm] * 2,
                [float(each.low), float(each.high)],
                color=INK,
                linewidth=1.0,
                marker="_",
                markersize=6,
                zorder=4,
            )
        axes.plot([each.gap_mm], [float(each.total)], "o", color=INK, markersize=5, zorder=5, clip_on=False)
        axes.annotate(
            each.letter,
            (each.gap_mm, float(each.total)),
            xytext=(points(ring[0] - spot[0]), points(ring[1] - spot[1])),
            textcoords="offset points",
            ha="center",
            va="center",
            fontsize=points(_FONT_PX),
            fontweight="bold",
            color=INK,
            bbox={"boxstyle": "circle,pad=0.25", "facecolor": PAPER, "edgecolor": INK, "linewidth": 1.0},
            arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 0.7, "shrinkB": 2},
            zorder=6,
            parse_math=False,
        )


def _px_of(axes: Axes, gap_mm: float, money: float) -> tuple[float, float]:
    """A place on the sheet, from its lower left [px]."""
    x, y = axes.transData.transform((gap_mm, money))
    return float(x), float(y)


def _ring_places(
    axes: Axes, curve: Curve, options: Sequence[OptionMark], spots: Sequence[tuple[float, float]]
) -> list[tuple[float, float]]:
    """Where the letters stand: close to their dots, off the curve, the ranges, each other and the edges."""
    corners = np.repeat(np.arange(curve.gap_mm.size), 2)
    steps = np.column_stack([curve.gap_mm[corners[:-1]], curve.total[corners[1:]]])
    bars = [
        np.array([(each.gap_mm, float(each.low)), (each.gap_mm, float(each.high))])
        for each in options
        if each.low is not None and each.high is not None
    ]
    line = np.concatenate([_dense(axes.transData.transform(part)) for part in (steps, *bars)])
    box = axes.get_window_extent()
    taken: list[tuple[float, float]] = []
    for x, y in spots:
        tries = [
            (x + far * dx, y + far * dy)
            for far in (_FAR_PX, 1.7 * _FAR_PX, 2.5 * _FAR_PX)
            for dx, dy in _AROUND
        ]
        inside = [(u, v) for u, v in tries if box.x0 + 10 < u < box.x1 - 10 and box.y0 + 12 < v < box.y1 - 8]
        taken.append(max(inside or tries, key=lambda place: _room(place, (x, y), line, spots, taken)))
    return taken


def _dense(corners: Floats) -> Floats:
    """Places a few pixels apart along a line of corners."""
    if len(corners) < 2:
        return corners
    return np.concatenate([np.linspace(a, b, 40) for a, b in pairwise(corners)])


def _room(
    place: tuple[float, float],
    spot: tuple[float, float],
    line: Floats,
    spots: Sequence[tuple[float, float]],
    taken: Sequence[tuple[float, float]],
) -> float:
    """How free a place is [px]: what is near counts up to two rings, less what it is away from its dot."""
    near = float(np.hypot(*(line - place).T).min()) if len(line) else np.inf
    others = [float(np.hypot(place[0] - u, place[1] - v)) - _RING_PX for u, v in taken]
    others += [float(np.hypot(place[0] - u, place[1] - v)) for u, v in spots]
    free = min([near, *others, 2 * _RING_PX])
    return free - 0.15 * float(np.hypot(place[0] - spot[0], place[1] - spot[1]))


def _list_options(
    figure: Figure, options: Sequence[OptionMark], listed: Sequence[tuple[str, ...]], top_px: float
) -> None:
    """Letters and names under the picture."""
    for option, lines in zip(options, listed, strict=True):
        write(figure, _EDGE_PX + 2, top_px, option.letter, _FONT_PX, bold=True)
        write(figure, _EDGE_PX + 26, top_px, "\n".join(lines), _FONT_PX)
        top_px += len(lines) * _FONT_PX * LINE + 7
