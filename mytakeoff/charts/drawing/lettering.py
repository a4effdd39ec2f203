"""Words on a drawing: their size, where a line breaks, and how a drawing sits on a page of another colour."""

from __future__ import annotations

import re
from functools import lru_cache
from html import escape
from typing import Any

from matplotlib import patheffects
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.textpath import text_to_path

from mytakeoff.charts.drawing.canvas import CSS_PX_PER_INCH, own_settings, svg_text
from mytakeoff.charts.drawing.palette import HALO, INK, PAPER

LINE = 1.25
"""Height of a line of words, in heights of its letters."""
# Letters fitted to whole pixels come out up to a sixteenth wider (measured at 96 to 192 dots an inch).
_COARSE = 1.06
_PAGE_PAPER = "var(--mt-paper, var(--jp-layout-color0, #ffffff))"


def points(px: float) -> float:
    """CSS pixels (96 to the inch) as points (72 to the inch).

    Examples
    --------
    >>> points(16)
    12.0
    """
    return px * 72.0 / CSS_PX_PER_INCH


@lru_cache(maxsize=4096)
@own_settings()
def width_of(words: str, size_px: float, bold: bool = False) -> float:
    """Width that one line of words may take in the drawing's own font, on a coarse screen too [px]."""
    font = FontProperties(size=size_px, weight="bold" if bold else "normal")
    return _COARSE * float(text_to_path.get_text_width_height_descent(words, font, ismath=False)[0])


def wrapped(words: str, room_px: float, size_px: float, bold: bool = False) -> tuple[str, ...]:
    """The words in lines no wider than `room_px`; a word that is wider by itself is broken.

    Examples
    --------
    >>> wrapped("float plumb on rails", 90, 12)
    ('float plumb', 'on rails')
    """
    lines: list[str] = []
    # Only plain spaces part words: the thin ones inside a number and the one before its mm hold together.
    for word in words.replace(" mm", "\u00a0mm").split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, size_px, bold) <= room_px:
            lines[-1] = longer
        else:
            lines.extend(_broken(word, room_px, size_px, bold))
    return tuple(line.replace("\u00a0", " ") for line in lines)


def _broken(word: str, room_px: float, size_px: float, bold: bool) -> list[str]:
    """One word in pieces that fit, the last one possibly short."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and width_of(pieces[-1] + letter, size_px, bold) > room_px:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def write(
    figure: Figure,
    x_px: float,
    y_px: float,
    words: str,
    size_px: float,
    *,
    across: str = "left",
    up: str = "top",
    bold: bool = False,
) -> None:
    """Words on the sheet, line by line, their corner given from the sheet's upper left [px]."""
    width, height = figure.get_size_inches() * CSS_PX_PER_INCH
    lines = words.split("\n")
    # Each line by itself: how far apart matplotlib sets the lines of one text differs between its versions.
    first = y_px - (len(lines) - 1) * LINE * size_px if up == "bottom" else y_px
    for index, line in enumerate(lines):
        figure.text(
            x_px / width,
            1 - (first + index * LINE * size_px) / height,
            line,
            ha=across,
            va=up,
            fontsize=points(size_px),
            fontweight="bold" if bold else "normal",
            color=INK,
            parse_math=False,
        )


def halo(wide: float = 2.6) -> list[patheffects.AbstractPathEffect]:
    """Light around ink, so that it is read on any colour; `wide` in points."""
    return [patheffects.withStroke(linewidth=wide, foreground=HALO)]


def box_on(
    figure: Figure, left: float, top: float, width: float, height: float
) -> tuple[float, float, float, float]:
    """A rectangle given from the sheet's upper left [px], as the shares that axes are placed with."""
    across, up = figure.get_size_inches() * CSS_PX_PER_INCH
    return left / across, 1 - (top + height) / up, width / across, height / up


def outline(figure: Figure, box_px: tuple[float, float, float, float], line: float, label: str = "") -> None:
    """An empty frame: left, top, width, height from the sheet's upper left [px], its line in points."""
    x, y, across, up = box_on(figure, *box_px)
    figure.add_artist(
        Rectangle(
            (x, y), across, up, transform=figure.transFigure, fill=False, edgecolor=INK, linewidth=line,
            label=label,
        )
    )  # fmt: skip


def level_line(figure: Figure, ends_px: tuple[float, float], at_px: float, wide: float, **marks: Any) -> None:
    """A line across the sheet, `at_px` from its top, between two places from its left [px]."""
    across, up = figure.get_size_inches() * CSS_PX_PER_INCH
    ends, y = [end / across for end in ends_px], 1 - at_px / up
    figure.add_artist(Line2D(ends, [y, y], color=INK, linewidth=wide, **marks))


def page_svg(figure: Figure, salt: str, label: str) -> str:
    """The drawing as an SVG element whose ink is the page's text colour and whose paper is the page's.

    Parameters
    ----------
    figure : Figure
    salt : str
        Different for each drawing on one page.
    label : str
        What the drawing says, for somebody who does not see it.
    """
    drawing = svg_text(figure, salt)
    drawing = re.sub(r"\s*<metadata>.*?</metadata>", "", drawing[drawing.index("<svg") :], flags=re.DOTALL)
    # matplotlib calls the groups of every drawing the same; nothing refers to them.
    drawing = re.sub(r'<g id="[^"]*"', "<g", drawing)
    drawing = drawing.replace(PAPER, _PAGE_PAPER).replace(INK, "currentColor")
    said = f' fill="currentColor" role="img" aria-label="{escape(label)}"'
    return drawing.replace(">", f"{said}>", 1)
