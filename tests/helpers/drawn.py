"""What stands on a drawn figure: its words and where they are, and how it looks on a copier."""

from __future__ import annotations

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from mytakeoff.charts.drawing.palette import lightness


def words(figure: Figure) -> list[str]:
    return [text.get_text() for text in _texts(figure)]


def _texts(figure: Figure) -> list[Text]:
    figure.draw_without_rendering()
    return [text for text in figure.findobj(Text) if text.get_text().strip() and text.get_visible()]


def check_words_apart(figure: Figure) -> None:
    """Every word lies on the sheet and on no other word."""
    texts = _texts(figure)
    assert texts
    renderer = FigureCanvasAgg(figure).get_renderer()
    # A hundredth of a pixel may touch: rounding of the sheet's shares. Extents without rings and lines.
    boxes = [(text.get_text(), Text.get_window_extent(text, renderer)) for text in texts]
    for said, box in boxes:
        assert box.x0 >= -0.5, said
        assert box.y0 >= -0.5, said
        assert box.x1 <= figure.bbox.width + 0.5, said
        assert box.y1 <= figure.bbox.height + 0.5, said
    for index, (said, box) in enumerate(boxes):
        for other, further in boxes[index + 1 :]:
            across = min(box.x1, further.x1) - max(box.x0, further.x0)
            up = min(box.y1, further.y1) - max(box.y0, further.y0)
            assert across <= 0.01 or up <= 0.01, f"{said!r} lies on {other!r}"


def pixels(figure: Figure) -> np.ndarray:
    """The figure's red, green, blue and opacity, 0 to 255; row 0 at the top."""
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())


def copied(figure: Figure) -> np.ndarray:
    """The figure's lightness, 0 to 100, as a copier without colour sees it; row 0 at the top."""
    figure.set_facecolor("white")
    return lightness(pixels(figure)[:, :, :3] / 255)


def part(light: np.ndarray, axes, left: float, right: float, low: float, high: float) -> np.ndarray:
    """The part of a copy between two places of the axes' own units."""
    corners = axes.transData.transform([(left, low), (right, high)])
    (x0, y0), (x1, y1) = np.sort(corners, axis=0)
    rows = light.shape[0]
    return light[int(rows - y1) : int(rows - y0), int(x0) : int(x1)]
