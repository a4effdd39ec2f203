"""From what a job was priced with to what it cost: a bar a cause, each from where the one before ends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from mytakeoff.account.account import Account
from mytakeoff.account.words import difference_words
from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.lettering import LINE, box_on, points, width_of, wrapped, write
from mytakeoff.charts.drawing.palette import INK, PAPER
from mytakeoff.formats.formats import Formats

_EDGE_PX, _FONT_PX, _GAP_PX = 14.0, 13.0, 8.0
_PITCH_PX, _BAR_PX, _STUB_PX = 30.0, 17.0, 34.0
# Greys are thin ink, so that they follow the ink of a dark page.
_SUM, _HATCH = (INK, 0.2), "////"
_DASHED = (0, (3, 3))
PRICED, COST = "as priced", "as it was"
KEY: tuple[tuple[str, str | tuple[str, float], str], ...] = (
    ("costs more", (INK, 0.66), ""), ("saves", PAPER, _HATCH),
)  # fmt: skip


@dataclass(frozen=True)
class _Step:
    """A row: a sum that starts at the left edge, or what one cause adds."""

    name: str
    begins: float | None
    ends: float
    off: float
    words: str

    @property
    def reach(self) -> tuple[float, float]:
        """From the least to the greatest amount that is drawn."""
        begins = self.ends if self.begins is None else self.begins
        return min(begins, self.ends - self.off), max(begins, self.ends + self.off)


def _steps(account: Account, parts: Mapping[str, Decimal], spread: Mapping[str, Decimal]) -> list[_Step]:
    formats = account.agreed.job.formats
    sums = list(accumulate(parts.values(), initial=account.priced))
    steps = [_Step(PRICED, None, float(account.priced), 0.0, formats.money(account.priced))]
    for (cause, part), begins, ends in zip(parts.items(), sums, sums[1:], strict=False):
        off = spread.get(cause, Decimal(0))
        words = part_words(part, off, formats)
        steps.append(_Step(cause, float(begins), float(ends), float(off), words))
    return [*steps, _Step(COST, None, float(sums[-1]), 0.0, formats.money(sums[-1]))]


def part_words(part: Decimal, off: Decimal, formats: Formats) -> str:
    """What a cause adds, with its standard deviation where it has one.

    Examples
    --------
    >>> part_words(Decimal("7.97"), Decimal("0.70"), Formats())
    '+7.97 ± 0.70'
    """
    return difference_words(part, formats) + (f" ± {formats.money(off)}" if off else "")


def describe_causes(
    account: Account, parts: Mapping[str, Decimal], spread: Mapping[str, Decimal] | None = None
) -> str:
    """What the picture shows, for those who do not see it.

    Parameters
    ----------
    account : Account
    parts, spread : mapping of str to Decimal
        As they are drawn.
    """
    first, *causes, last = _steps(account, parts, spread or {})
    said = ", ".join(f"{each.name} {each.words}" for each in causes)
    currency = account.agreed.job.formats.currency
    return f"Work and materials in {currency}: {PRICED} {first.words}; {said}; {COST} {last.words}."


@own_settings()
def draw_causes(
    account: Account,
    parts: Mapping[str, Decimal],
    spread: Mapping[str, Decimal] | None = None,
    *,
    width_px: float = 640.0,
) -> Figure:
    """Work and materials as priced, what each cause added or saved, and as they were.

    Parameters
    ----------
    account : Account
    parts : mapping of str to Decimal
        What each cause made of the difference, from top to bottom; they add up to it [currency].
    spread : mapping of str to Decimal, optional
        How far each may be off, as a standard deviation [currency].
    width_px : float
        Width of the sheet, 320 or more [CSS px, 96 to the inch].

    Returns
    -------
    matplotlib.figure.Figure
        Its last axes are money before tax, and rows down from the sum as priced. Bars of the two sums are cut
        off at the left.
    """
    steps, formats = _steps(account, parts, spread or {}), account.agreed.job.formats
    inner = width_px - 2 * _EDGE_PX
    said = f"Work and materials, {formats.currency} before tax; both sums are cut off at the left"
    lines = wrapped(said, inner, _FONT_PX - 1)
    key_px = _EDGE_PX + len(lines) * (_FONT_PX - 1) * LINE + 4
    head = key_px + _FONT_PX * LINE + _GAP_PX
    figure = new_figure(width_px, head + len(steps) * _PITCH_PX + _EDGE_PX)
    figure.set_facecolor("white")
    write(figure, _EDGE_PX, _EDGE_PX, "\n".join(lines), _FONT_PX - 1)
    _draw_key(figure, key_px, bool(spread and any(spread.values())))
    names = max(width_of(step.name, _FONT_PX, bold=True) for step in steps) + _GAP_PX
    for nth, step in enumerate(steps):
        middle = head + (nth + 0.5) * _PITCH_PX
        write(figure, _EDGE_PX, middle, step.name, _FONT_PX, up="center", bold=step.begins is None)
    room = box_on(figure, _EDGE_PX + names, head, inner - names, len(steps) * _PITCH_PX)
    axes = figure.add_axes(room, facecolor="none")
    _scale(axes, steps, inner - names)
    for nth, step in enumerate(steps):
        _draw_step(axes, step, nth)
    _tie(axes, steps)
    return figure


def _draw_key(figure: Figure, top: float, whiskers: bool) -> None:
    """Which bar is which, and what a thin line at its end is."""
    left = _EDGE_PX
    for words, fill, hatch in KEY:
        axes = figure.add_axes(box_on(figure, left, top + 2, 20, 11), facecolor="none")
        axes.set_axis_off()
        axes.add_patch(Rectangle((0, 0), 1, 1, facecolor=fill, edgecolor=INK, hatch=hatch, linewidth=0.8,
                                 clip_on=False))  # fmt: skip
        write(figure, left + 25, top, words, _FONT_PX - 1)
        left += 25 + width_of(words, _FONT_PX - 1) + 14
    if whiskers:
        axes = figure.add_axes(box_on(figure, left, top + 2, 20, 11), facecolor="none")
        axes.set_axis_off()
        axes.set_xlim(0, 1)
        _draw_off(axes, 0.5, 0.5, 0.4)
        write(figure, left + 25, top, "may be off", _FONT_PX - 1)


def _scale(axes: Axes, steps: list[_Step], wide_px: float) -> None:
    """The axes from a stub of both sums to room for the words behind the furthest bar."""
    low, high = min(step.reach[0] for step in steps), max(step.reach[1] for step in steps)
    words = max(width_of(step.words, _FONT_PX, bold=step.begins is None) for step in steps) + 2 * _GAP_PX
    across = (high - low) or 1.0
    per_px = across / max(wide_px - words - _STUB_PX, 20.0)
    axes.set_axis_off()
    axes.set_xlim(low - _STUB_PX * per_px, low - _STUB_PX * per_px + wide_px * per_px)
    axes.set_ylim(len(steps), 0)


def _draw_step(axes: Axes, step: _Step, nth: int) -> None:
    """One bar with its words behind it."""
    left, right = axes.get_xlim()
    per_px = (right - left) / axes.get_window_extent().width
    begins = left if step.begins is None else step.begins
    _, fill, hatch = KEY[step.ends < begins] if step.begins is not None else ("", _SUM, "")
    axes.barh(nth + 0.5, step.ends - begins, left=begins, height=_BAR_PX / _PITCH_PX, facecolor=fill,
              edgecolor=INK, hatch=hatch, linewidth=0.8, zorder=3)  # fmt: skip
    if step.begins is None:
        _cut_off(axes, left, per_px, nth + 0.5)
    if step.off:
        _draw_off(axes, step.ends, nth + 0.5, step.off)
    at = max(step.reach[1], begins) + _GAP_PX * per_px
    axes.text(at, nth + 0.5, step.words, ha="left", va="center", fontsize=points(_FONT_PX), color=INK,
              fontweight="bold" if step.begins is None else "normal", zorder=5,
              parse_math=False)  # fmt: skip


def _draw_off(axes: Axes, at: float, middle: float, off: float) -> None:
    """How far an end may be off, seen on ink too."""
    for wide, ink in ((3.4, PAPER), (1.4, INK)):
        axes.errorbar(at, middle, xerr=off, color=ink, linewidth=wide, capsize=3, capthick=wide, zorder=4)


def _cut_off(axes: Axes, left: float, per_px: float, middle: float) -> None:
    """A slanted gap in a bar: it begins further to the left than the sheet shows."""
    half, slant = 0.7 * _BAR_PX / _PITCH_PX, 4 * per_px
    x, wide = left + 9 * per_px, 4 * per_px
    ends = [(x - slant, middle + half), (x + slant, middle - half)]
    gap = [*ends, (ends[1][0] + wide, ends[1][1]), (ends[0][0] + wide, ends[0][1])]
    axes.add_patch(Polygon(gap, facecolor=PAPER, edgecolor="none", zorder=4))
    for by in (0.0, wide):
        axes.plot([each[0] + by for each in ends], [each[1] for each in ends], color=INK, linewidth=0.8,
                  zorder=5)  # fmt: skip


def _tie(axes: Axes, steps: list[_Step]) -> None:
    """A dashed line from the end of each bar to the beginning of the next."""
    half = _BAR_PX / _PITCH_PX / 2
    for nth, step in enumerate(steps[:-1]):
        axes.plot([step.ends] * 2, [nth + 0.5 + half, nth + 1.5 - half], color=INK, linewidth=0.8,
                  linestyle=_DASHED, zorder=2)  # fmt: skip
