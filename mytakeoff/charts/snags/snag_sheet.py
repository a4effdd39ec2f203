"""Snag lists on paper: each wall's map, a line with a box to tick for each place, what is checked already."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from matplotlib.figure import Figure

from mytakeoff.acceptance.in_words import history_words, snag_words, snags_words, takes_words
from mytakeoff.acceptance.snags import CHECKED, DONE, Snag, SnagList
from mytakeoff.audience import ESTIMATOR, Audience, check_audience, first_line
from mytakeoff.charts.drawing.frame import FrameOnSheet
from mytakeoff.charts.drawing.paper import A4, MARGIN_PX, Block, Paper, paged, paragraph, sheet
from mytakeoff.charts.maps.snag_map import LEGEND, draw_snags
from mytakeoff.charts.settingout.room_sheet import tick_line
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.formats.inches import NBSP

TEXT_PX, HEAD_PX, MAP_PX = 13.0, 15.0, 11.5
MAP_SHARE = 0.34  # of a sheet's height, at most
FOOT = "From the wall's left end, up from the floor, as you face it from inside the room."


def make_pages(
    lists: Sequence[SnagList],
    title: str,
    day: str = "",
    *,
    formats: Formats = HOUSE,
    paper: Paper = A4,
    audience: Audience = ESTIMATOR,
) -> tuple[Figure, ...]:
    """The snags of some walls on as many sheets as they take.

    Parameters
    ----------
    lists : sequence of SnagList
    title, day : str
        The job, and the day, as they stand on the sheet.
    formats : Formats
    paper : Paper
    audience : "estimator" or "client"
        A client reads no litres and no minutes.

    Returns
    -------
    tuple of matplotlib.figure.Figure
        Black on white but for the maps.
    """
    check_audience(audience)
    blocks = [block for each in lists for block in wall_snags(each, formats, paper, audience)]
    pages = paged(blocks, paper.room_px)
    whom = first_line(audience)
    return tuple(
        sheet(paper, page, title, "Snags to touch up", day, f"page {nth} of {len(pages)}", FOOT, whom)
        for nth, page in enumerate(pages, start=1)
    )


def wall_snags(snags: SnagList, formats: Formats, paper: Paper, audience: Audience) -> list[Block]:
    """A wall's map and list: what is to do with boxes to tick, then what is checked."""
    head = snags.promised.wall.name if audience != ESTIMATOR else snags_words(snags, formats)
    title = paragraph(head, paper.inner_px, HEAD_PX, 6.0, bold=True)
    if not snags.snags:
        return [title, *_more(snags, formats, paper)]
    drawing = map_block(snags, formats, paper)
    legend = paragraph(LEGEND, paper.inner_px, TEXT_PX - 1.5, 6.0)
    led = [replace(block, with_next=True) for block in (title, drawing, legend)]
    lines = [tick_line(line_words_of(snag, formats, audience), paper) for snag in snags.to_do]
    return [*led, *lines, *_more(snags, formats, paper)]


def line_words_of(snag: Snag, formats: Formats, audience: Audience) -> str:
    """A snag's line on the list."""
    takes = f"; {takes_words(snag, formats)}" if audience == ESTIMATOR else ""
    done = f"; {history_words(snag, formats)}, not checked yet" if snag.state == DONE else ""
    said = snag_words(snag, formats).replace(" × ", f"{NBSP}×{NBSP}")
    return f"{snag.number}   {said}{takes}{done}."


def _more(snags: SnagList, formats: Formats, paper: Paper) -> Iterator[Block]:
    """What is checked already, and what touching up does not cure."""
    closed = [snag for snag in snags.snags if snag.state == CHECKED]
    said = [f"{snag.number} is checked: {history_words(snag, formats)}." for snag in closed]
    for words in (*said, *snags.notices):
        yield paragraph(words, paper.inner_px, TEXT_PX)
    yield Block(10.0, lambda figure, top: None)


def map_block(snags: SnagList, formats: Formats, paper: Paper) -> Block:
    """The wall with its snags, as wide as the sheet allows."""
    room = FrameOnSheet(
        snags.promised.wall, 1.0, paper.size_px[0], paper.room_px * MAP_SHARE, MAP_PX, formats,
        room_px=paper.inner_px, sheet_px=paper.size_px,
    )  # fmt: skip

    def draw(figure: Figure, top: float) -> None:
        draw_snags(figure, replace(room, corner_px=(MARGIN_PX, top)), snags)

    return Block(room.taken_px + 4, draw)
