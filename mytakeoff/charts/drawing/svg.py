"""Drawings written straight as SVG, for pictures that follow a hand; their ink is the page's text colour.

Notes
-----
Written by hand a picture is some ten times quicker than a figure; what goes on paper is a figure.
"""

from __future__ import annotations

from html import escape

PAPER = "var(--jp-layout-color0, #ffffff)"


def element(name: str, inside: str = "", **attributes: object) -> str:
    """One SVG element; ``_`` in the name of an attribute stands for ``-``.

    Examples
    --------
    >>> element("rect", x=1, stroke_width=0.5)
    '<rect x="1" stroke-width="0.5"/>'
    """
    said = "".join(f' {key.replace("_", "-")}="{_number(value)}"' for key, value in attributes.items())
    return f"<{name}{said}>{inside}</{name}>" if inside else f"<{name}{said}/>"


def _number(value: object) -> str:
    """Places to a tenth of a pixel, which no eye tells from finer ones."""
    if isinstance(value, float):
        return f"{value:.1f}".removesuffix(".0")
    return escape(str(value))


def words(x: float | str, y: float, text: str, size_px: float = 12.0, **attributes: object) -> str:
    """A line of words, its left end on its base line [px], or at a share of the width from `across`."""
    return element("text", escape(text), x=x, y=y, font_size=size_px, fill="currentColor", **attributes)


def line(x1: float, y1: float, x2: float, y2: float, wide: float, **attributes: object) -> str:
    """A line from place to place, `wide` its width [px]."""
    return element(
        "line", "", x1=x1, y1=y1, x2=x2, y2=y2, stroke="currentColor", stroke_width=wide, **attributes
    )


def box(x: float, y: float, width: float, height: float, fill: str, wide: float, **attributes: object) -> str:
    """A rectangle, its corner from the upper left, `wide` the width of its outline [px]."""
    sides = {"x": x, "y": y, "width": width, "height": height}
    return element("rect", "", **sides, fill=fill, stroke="currentColor", stroke_width=wide, **attributes)


def drawing(inside: str, width_px: float, height_px: float, label: str) -> str:
    """The whole drawing, with what it says for somebody who does not see it [px]."""
    return element(
        "svg",
        inside or " ",
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {width_px:g} {height_px:g}",
        width=width_px,
        height=height_px,
        role="img",
        aria_label=label,
    )


def across(share: float) -> str:
    """A place or a width across a `stretched` drawing, as a share of it [-].

    Examples
    --------
    >>> across(0.125)
    '12.50%'
    """
    return f"{100 * share:.2f}%"


def stretched(inside: str, height_px: float) -> str:
    """A drawing as wide as its place on the page: across in shares of it, down in pixels.

    It is left out for who does not see it: words beside it say the same.
    """
    return element("svg", inside or " ", width="100%", height=height_px, aria_hidden="true")
