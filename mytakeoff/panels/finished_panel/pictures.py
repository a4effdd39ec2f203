"""The map of snags on the screen, for a wide panel and for a phone, and the list of snags as a file."""

from __future__ import annotations

from collections.abc import Sequence

from mytakeoff.acceptance.snags import SnagList
from mytakeoff.audience import Audience, headed
from mytakeoff.charts.drawing.canvas import pdf_pages
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.maps import snag_map
from mytakeoff.charts.snags.snag_sheet import make_pages
from mytakeoff.formats.formats import Formats
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.html import Html, element

WIDTHS_PX = {"wide": 720.0, "narrow": 360.0}


def map_of(snags: SnagList, formats: Formats, css: str) -> str:
    """The map as wide as one of `WIDTHS_PX`, saying in words what it shows."""
    figure = snag_map.make(snags, formats, WIDTHS_PX[css])
    drawn = page_svg(figure, f"snags-{css}", snag_map.describe_snags(snags, formats))
    return element("div", Html(drawn), css=f"mt-snag-map mt-snag-map-{css}")


def sheet_pdf(lists: Sequence[SnagList], job: Job, day: str, audience: Audience) -> bytes:
    """The snags of some walls on paper."""
    pages = make_pages(lists, job.title, day, formats=job.formats, audience=audience)
    return pdf_pages(pages, headed(audience, f"{job.title}: snags to touch up"))
