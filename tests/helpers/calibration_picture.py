"""Said against came true as a picture: a small square for each kind of wall, black on white."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.stats import binom

from mytakeoff.charts.drawing.svg import box, drawing, element, line, words

ACROSS = 3  # squares in a row
SIDE, LEFT, TOP, APART, WORDS = 150.0, 46.0, 74.0, 62.0, 12.0  # [px]
LIKELY = (0.1, 0.9)  # between these shares of such rows lies the grey
GREY = "#d9d9d9"


@dataclass(frozen=True, eq=False)
class Came:
    """How often the truth lay within what was said, for each share, of so many trials."""

    name: str
    shares: np.ndarray
    came: np.ndarray
    trials: int


def calibration_svg(rows: list[Came], title: str) -> str:
    """Squares side by side: how often it came true over how often it was said."""
    width = LEFT + ACROSS * (SIDE + APART)
    height = TOP + -(-len(rows) // ACROSS) * (SIDE + APART)
    inside = element("rect", x=0, y=0, width=width, height=height, fill="#ffffff")
    inside += words(8.0, 20.0, title, 14.0, font_weight="bold")
    inside += words(
        8.0, 38.0, "Across: so often the truth was said to lie below, %. Up: so often it did.", WORDS
    )
    for index, row in enumerate(rows):
        left, top = LEFT + index % ACROSS * (SIDE + APART), TOP + index // ACROSS * (SIDE + APART)
        inside += element("g", _square(row), transform=f"translate({left:g} {top:g})")
    said = "; ".join(f"{row.name}: 10, 50, 90 % came true {_thrice(row)}" for row in rows)
    upright = element("g", inside, font_family="sans-serif", color="#000000")
    return drawing(upright, width, height, f"{title}. {said}")


def _thrice(row: Came) -> str:
    return ", ".join(
        f"{100 * row.came[np.abs(row.shares - share).argmin()]:.0f}" for share in (0.1, 0.5, 0.9)
    )


def _square(row: Came) -> str:
    """One kind of wall: grey where 8 in 10 such rows lie if what is said is true, a thin line amid it."""
    whole = np.linspace(0.0, 1.0, 41)
    low, high = (binom(row.trials, whole).ppf(share) / row.trials for share in LIKELY)
    around = _points(np.append(whole, whole[::-1]), np.append(low, high[::-1]))
    inside = element("polygon", points=around, fill=GREY)
    inside += line(0.0, SIDE, SIDE, 0.0, 0.7) + box(0.0, 0.0, SIDE, SIDE, "none", 0.7)
    inside += words(0.0, -6.0, row.name, WORDS)
    for share in (0.1, 0.5, 0.9):
        at = share * SIDE
        inside += line(at, SIDE, at, SIDE + 4.0, 0.7) + line(-4.0, SIDE - at, 0.0, SIDE - at, 0.7)
        inside += words(at, SIDE + 17.0, f"{100 * share:.0f}", WORDS, text_anchor="middle")
        inside += words(-7.0, SIDE - at + 4.0, f"{100 * share:.0f}", WORDS, text_anchor="end")
    track = _points(row.shares, row.came)
    inside += element("polyline", points=track, fill="none", stroke="currentColor", stroke_width=2.2)
    return inside


def _points(across: np.ndarray, up: np.ndarray) -> str:
    return " ".join(f"{SIDE * x:.1f},{SIDE * (1 - y):.1f}" for x, y in zip(across, up, strict=True))


def write_picture(folder: Path, name: str, rows: list[Came], title: str) -> None:
    """The picture as an SVG file in a folder that is made where there is none."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{name}.svg").write_text(calibration_svg(rows, title) + "\n")
