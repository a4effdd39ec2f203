"""A learnt figure before and after: both distributions, the jobs as points, in words under it too."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.field import Floats
from mytakeoff.charts.drawing.lettering import LINE, box_on, points, wrapped, write
from mytakeoff.charts.drawing.palette import INK
from mytakeoff.formats.formats import Formats
from mytakeoff.learning.learnt import Learnt
from mytakeoff.learning.words import figure_words, learnt_words, quantile_words

_EDGE_PX, _INSET_PX, _FONT_PX, _PLOT_PX, _TICKS_PX = 14.0, 20.0, 12.5, 150.0, 26.0
_ENDS = (0.01, 0.99)  # of both distributions: what is shown
_STEPS = 241
_DASHED = (0, (4, 3))
_BAND = (INK, 0.15)
_JOBS_AT, _ROW, _ROWS = -0.1, 0.08, 4  # of the height: jobs stand under the curves, in so many rows
_MOST_TICKS = 6


def learnt_picture_words(learnt: Learnt, formats: Formats) -> tuple[str, ...]:
    """What the picture shows, for those who do not see it."""
    jobs = ", ".join(f"{each.job} {figure_words(learnt, each.point, formats)}" for each in learnt.evidence)
    return (
        learnt_words(learnt, formats),
        quantile_words(learnt, formats),
        f"Dashed: before; full: now, grey from 10 to 90 %. Points are jobs: {jobs or 'none yet'}.",
    )


@own_settings()
def draw_learnt(learnt: Learnt, formats: Formats, *, width_px: float = 560.0) -> Figure:
    """The figure's distribution before any job and now, with the jobs under it and its words below.

    Parameters
    ----------
    learnt : Learnt
    formats : Formats
    width_px : float
        Width of the sheet, 320 or more [CSS px, 96 to the inch].

    Returns
    -------
    matplotlib.figure.Figure
        Its axes are the figure in its unit, and density as a share of the higher curve's top.
    """
    inner = width_px - 2 * _EDGE_PX
    said = learnt_picture_words(learnt, formats)
    lines = [wrapped(each, inner, _FONT_PX - (nth > 0), bold=nth == 0) for nth, each in enumerate(said)]
    head = _EDGE_PX + len(lines[0]) * _FONT_PX * LINE + 8
    foot = head + _PLOT_PX + _TICKS_PX
    below = sum(len(each) * (_FONT_PX - 1) * LINE + 4 for each in lines[1:])
    figure = new_figure(width_px, foot + below + _EDGE_PX)
    figure.set_facecolor("white")
    write(figure, _EDGE_PX, _EDGE_PX, "\n".join(lines[0]), _FONT_PX, bold=True)
    for each in lines[1:]:
        write(figure, _EDGE_PX, foot, "\n".join(each), _FONT_PX - 1)
        foot += len(each) * (_FONT_PX - 1) * LINE + 4
    box = box_on(figure, _EDGE_PX + _INSET_PX, head, inner - 2 * _INSET_PX, _PLOT_PX)
    axes = figure.add_axes(box, facecolor="none")
    _draw_curves(axes, learnt, _values(learnt))
    _draw_jobs(axes, learnt)
    _mark(axes, learnt, formats)
    return figure


def _values(learnt: Learnt) -> Floats:
    """Where the curves are drawn: all but the ends of both, and every job (k,)."""
    ends = [belief.quantile(share) for belief in (learnt.before, learnt.after) for share in _ENDS]
    shown = [*ends, *(each.point for each in learnt.evidence)]
    low, high = min(shown), max(shown)
    return np.linspace(max(low, high * 1e-3), high, _STEPS)


def _draw_curves(axes: Axes, learnt: Learnt, values: Floats) -> None:
    before, after = learnt.before.density(values), learnt.after.density(values)
    top = float(max(before.max(), after.max()))
    likely = (values >= learnt.after.quantile(0.1)) & (values <= learnt.after.quantile(0.9))
    axes.fill_between(values, after / top, where=likely.tolist(), facecolor=_BAND, edgecolor="none", zorder=1)
    axes.plot(values, before / top, color=INK, linewidth=1.0, linestyle=_DASHED, label="before", zorder=2)
    axes.plot(values, after / top, color=INK, linewidth=1.8, label="now", zorder=3)
    axes.axvline(learnt.prior.default, color=INK, linewidth=0.8, linestyle=_DASHED, zorder=2)
    axes.axvline(learnt.value, color=INK, linewidth=1.2, zorder=3)
    axes.set_xlim(float(values[0]), float(values[-1]))


def _draw_jobs(axes: Axes, learnt: Learnt) -> None:
    """A point a job, with a thin bar for what it may be off; jobs that follow one another stand apart."""
    at = [_JOBS_AT - nth % _ROWS * _ROW for nth in range(len(learnt.evidence))]
    for each, row in zip(learnt.evidence, at, strict=True):
        off = each.point * each.uncertainty_share
        axes.plot([each.point - off, each.point + off], [row, row], color=INK, linewidth=1.0, zorder=4)
    points_at = [each.point for each in learnt.evidence]
    axes.plot(points_at, at, "o", color=INK, markersize=5, label="jobs", zorder=5, clip_on=False)
    axes.set_ylim(min([_JOBS_AT, *at]) + _JOBS_AT, 1.05)


def _mark(axes: Axes, learnt: Learnt, formats: Formats) -> None:
    marks = [
        float(mark)
        for mark in MaxNLocator(_MOST_TICKS, steps=[1, 2, 5, 10]).tick_values(*axes.get_xlim())
        if axes.get_xlim()[0] <= mark <= axes.get_xlim()[1]
    ]
    axes.set_xticks(marks, [figure_words(learnt, mark, formats) for mark in marks],
                    fontsize=points(_FONT_PX - 1), color=INK)  # fmt: skip
    axes.set_yticks([])
    axes.tick_params(length=3, width=0.8, pad=2, color=INK)
    for side, spine in axes.spines.items():
        spine.set(visible=side == "bottom", linewidth=0.8, color=INK)
