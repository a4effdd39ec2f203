"""What was left out of a scan, over the wall that it stood before or lay behind."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.field import Floats
from mytakeoff.charts.drawing.frame import Frame, draw_wall
from mytakeoff.charts.drawing.lettering import write
from mytakeoff.charts.drawing.palette import INK
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.survey.wall import Wall

MOST_DOTS = 1500
KEPT_GREY = "0.72"  # a grey between paper and ink, light or dark


@own_settings()
def make(
    wall: Wall,
    kept: tuple[Floats, Floats],
    dropped: tuple[Floats, Floats, Floats],
    width_px: float,
    formats: Formats = HOUSE,
    legend: bool = True,
) -> Figure:
    """Points on the wall as faint dots, those before it as filled and those behind it as open squares.

    Parameters
    ----------
    wall : Wall
    kept : x, z of each point on the wall [m]
    dropped : x, z [m] and how far before the wall it stood, negative behind [mm]
    width_px : float
        Width of the sheet [CSS px].
    formats : Formats
        Of the metres.
    legend : bool
        Whether the marks are explained under it.
    """
    frame = Frame(wall, 1.0, width_px, 300.0, formats=formats)
    figure = new_figure(frame.width_px, frame.height_px)
    axes = draw_wall(figure, frame)
    axes.plot(*(_some(one) for one in kept), ".", color=KEPT_GREY, markersize=2, zorder=1)
    x, z, proud = dropped
    before = proud > 0
    for which, face in ((before, INK), (~before, "none")):
        axes.plot(_some(x[which]), _some(z[which]), "s", markersize=3, zorder=2,
                  markerfacecolor=face, markeredgecolor=INK, markeredgewidth=0.7)  # fmt: skip
    axes.set_xlim(0, wall.width_m)
    axes.set_ylim(0, wall.height_m)
    if legend:
        left, below = frame.box[0] * frame.width_px, frame.height_px - 2
        write(
            figure, left, below, "■ before the wall   □ behind it   faint: kept", frame.font_px, up="bottom"
        )
    return figure


def _some(values: Floats) -> Floats:
    """Evenly chosen ones, no more than can be told apart."""
    step = max(values.size // MOST_DOTS, 1)
    return np.asarray(values[::step])


def describe(dropped: tuple[Floats, Floats, Floats], formats: Formats = HOUSE) -> str:
    """What it shows, in words.

    Examples
    --------
    >>> describe((np.array([1.0, 2.0]), np.array([0.2, 0.4]), np.array([500.0, -80.0])))
    'Left out before the wall from x 1.0 to 1.0 m, z 0.2 to 0.2 m, up to 500 mm off it; behind it from \
x 2.0 to 2.0 m, z 0.4 to 0.4 m, up to 80 mm off it.'
    """
    x, z, proud = dropped
    parts = []
    for where, which in (("before the wall", proud > 0), ("behind it", proud <= 0)):
        if which.any():
            over = [formats.length(each[which].min(), each[which].max(), places=1) for each in (x, z)]
            off = formats.depth(np.abs(proud[which]).max(), places=0, grouped=False)
            parts.append(f"{where} from x {over[0]}, z {over[1]}, up to {off} off it")
    return f"Left out {'; '.join(parts)}." if parts else "Nothing was left out."
