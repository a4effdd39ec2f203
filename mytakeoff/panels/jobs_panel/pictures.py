"""The chart of the jobs, wide and narrow, with what it shows in words beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.jobs import price_by_thickness
from mytakeoff.charts.jobs.price_by_thickness import JobMark
from mytakeoff.formats.formats import Formats
from mytakeoff.jobs.odd import PricePoint, price_line
from mytakeoff.jobs.rows import Row
from mytakeoff.panels.jobs_panel import words
from mytakeoff.panels.parts.html import Html, element, joined

WIDTHS_PX = {"wide": (620.0, 380.0), "narrow": (340.0, 320.0)}


def charts(rows: Iterable[Row], formats: Formats) -> Iterator[Html]:
    """A chart for each currency with its words: first the words alone, then all of it."""
    found = words.points_of(rows)
    said = {each: words.beside_chart(points, each, formats) for each, points in found.items()}
    yield joined(_beside(Html(), text) for text in said.values())
    drawn = []
    for nth, (currency, points) in enumerate(found.items()):
        drawn.append(_beside(_drawings(points, formats.of(currency, 2), nth), said[currency]))
    yield joined(drawn)


def _beside(drawing: Html, text: Html) -> Html:
    drawn = element("div", drawing, css="mt-drawn") if drawing else Html()
    return element("div", drawn, element("div", text), css="mt-price-chart")


def _drawings(points: list[PricePoint], formats: Formats, nth: int) -> Html:
    line = price_line(points)
    odd = line.odd if line else ()
    marks = [JobMark(each.mean_mm, each.per_m2, each.name if each in odd else "") for each in points]
    slope = (line.at_0, line.per_mm) if line else None
    label = " ".join(words.chart_words(points, formats.currency, formats))
    made = []
    for css, (width, height) in WIDTHS_PX.items():
        figure = price_by_thickness.make(marks, slope, formats, width_px=width, height_px=height)
        svg = Html(page_svg(figure, f"jobs-{nth}-{css}", label))
        made.append(element("div", svg, css=f"mt-{css}-drawing"))
    return joined(made)
