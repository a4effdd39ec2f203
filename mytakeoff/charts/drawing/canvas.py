"""A matplotlib figure without pyplot, and its bytes.

A drawing depends on what it shows and on nothing else: whatever makes one or writes one is marked with
`own_settings`, since matplotlib would follow a `matplotlibrc`, the user's or a stranger's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from threading import Lock
from typing import Any

import matplotlib as mpl
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

CSS_PX_PER_INCH = 96.0

_svg_settings = Lock()


@contextmanager
def own_settings() -> Iterator[None]:
    """Draw with the settings that matplotlib brings along; those of the process are as before afterwards."""
    # read as plain dictionaries: that is quick, and asking matplotlib for the backend would load one
    now = dict(dict.items(mpl.rcParams))
    brought = dict.items(mpl.rcParamsDefault)
    changed: dict[Any, Any] = {
        name: value for name, value in brought if name != "backend" and now[name] != value
    }
    if not changed:
        yield
        return
    with mpl.rc_context(changed):
        yield


@own_settings()
def new_figure(width_px: float, height_px: float) -> Figure:
    """An empty figure of a size in CSS pixels (96 to the inch), with an Agg canvas and no state elsewhere."""
    size = (width_px / CSS_PX_PER_INCH, height_px / CSS_PX_PER_INCH)
    figure = Figure(figsize=size, dpi=CSS_PX_PER_INCH, facecolor="none")
    FigureCanvasAgg(figure)
    return figure


@own_settings()
def png_bytes(figure: Figure, dpi: float = 150.0) -> bytes:
    """The figure as a PNG, packed lightly because packing takes longer than sending."""
    buffer = BytesIO()
    figure.savefig(buffer, format="png", dpi=dpi, pil_kwargs={"compress_level": 1})
    return buffer.getvalue()


@own_settings()
def pdf_pages(figures: Sequence[Figure], title: str = "") -> bytes:
    """Figures as the pages of one PDF, each of its own size; the same figures give the same bytes."""
    from matplotlib.backends.backend_pdf import PdfPages  # a tenth of a second that a screen does without

    buffer = BytesIO()
    with PdfPages(buffer, metadata={"Title": title, "CreationDate": None}) as pages:
        for figure in figures:
            pages.savefig(figure)
    return buffer.getvalue()


@own_settings()
def svg_text(figure: Figure, salt: str = "figure") -> str:
    """The figure as SVG with its words as text, so that they can be read out, found and restyled.

    `salt` goes into the names inside the drawing: figures on one page must differ in it.
    """
    buffer = BytesIO()
    nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
    # matplotlib takes these two only from its process-wide settings, so one thread at a time.
    with _svg_settings, mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": salt}):
        figure.savefig(buffer, format="svg", metadata=nothing)
    return buffer.getvalue().decode()
