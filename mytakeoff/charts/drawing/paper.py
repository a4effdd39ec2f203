"""Sheets of paper: their sizes, and blocks of drawing and words that flow from one to the next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure

from mytakeoff.charts.drawing.canvas import CSS_PX_PER_INCH, new_figure, own_settings
from mytakeoff.charts.drawing.lettering import LINE, level_line, wrapped, write
from mytakeoff.charts.drawing.palette import PAPER

PX_PER_MM = CSS_PX_PER_INCH / 25.4
# ISO 216; ANSI/ASME Y14.1 size A, which is the North American letter
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN_PX = 12 * PX_PER_MM
HEAD_PX, FOOT_PX = 58.0, 20.0


@dataclass(frozen=True)
class Paper:
    """A sheet.

    Parameters
    ----------
    name : "A4" or "Letter"
    """

    name: str = "A4"

    @property
    def size_px(self) -> tuple[float, float]:
        """Width and height [px]."""
        across, up = PAPERS_MM[self.name]
        return across * PX_PER_MM, up * PX_PER_MM

    @property
    def inner_px(self) -> float:
        """Width between the margins [px]."""
        return self.size_px[0] - 2 * MARGIN_PX

    @property
    def room_px(self) -> float:
        """Height between heading and foot [px]."""
        return self.size_px[1] - 2 * MARGIN_PX - HEAD_PX - FOOT_PX


A4 = Paper()


@dataclass(frozen=True)
class Block:
    """Something that stays together on a sheet.

    Parameters
    ----------
    height_px : float
        [px]
    draw : function of (Figure, top)
        Draws it, its top given from the sheet's top [px].
    again : Block or None
        Stands over it once more where it begins a sheet: the head of a table.
    with_next : bool
        Never the last on its sheet.
    """

    height_px: float
    draw: Callable[[Figure, float], None]
    again: Block | None = None
    with_next: bool = False


def paragraph(words: str, inner_px: float, size_px: float, gap_px: float = 4.0, bold: bool = False) -> Block:
    """Words as wide as `inner_px` allows, with a gap below [px]."""
    lines = wrapped(words, inner_px, size_px, bold)

    def draw(figure: Figure, top: float) -> None:
        write(figure, MARGIN_PX, top, "\n".join(lines), size_px, bold=bold)

    return Block(len(lines) * size_px * LINE + gap_px, draw)


def paged(blocks: Sequence[Block], room_px: float) -> list[list[Block]]:
    """The blocks of each sheet, in order, those that belong together on one.

    Parameters
    ----------
    blocks : sequence of Block
    room_px : float
        Height of a sheet between heading and foot [px].

    Examples
    --------
    >>> row = Block(40.0, lambda figure, top: None)
    >>> head = Block(40.0, row.draw, with_next=True)
    >>> [len(page) for page in paged([row, head, row], 100.0)]
    [1, 2]
    """
    pages: list[list[Block]] = [[]]
    left = room_px
    for nth, block in enumerate(blocks):
        need = block.height_px
        following = nth
        while blocks[following].with_next and following + 1 < len(blocks):
            following += 1
            need += blocks[following].height_px
        if need > room_px:  # together they fit on no sheet
            need = block.height_px
        if pages[-1] and need > left:
            pages.append([])
            left = room_px
            if block.again is not None:
                pages[-1].append(block.again)
                left -= block.again.height_px
        pages[-1].append(block)
        left -= block.height_px
    return pages


@own_settings()
def sheet(
    paper: Paper,
    blocks: Sequence[Block],
    title: str,
    subject: str,
    day: str,
    page: str,
    foot: str,
    for_whom: str = "",
) -> Figure:
    """One sheet: whom it is for, heading, its blocks from the top, foot."""
    width, height = paper.size_px
    figure = new_figure(width, height)
    figure.set_facecolor(PAPER)
    right = width - MARGIN_PX
    if for_whom:
        write(figure, MARGIN_PX, MARGIN_PX - 18, for_whom, 11.0)
    write(figure, MARGIN_PX, MARGIN_PX, title, 18.0, bold=True)
    write(figure, MARGIN_PX, MARGIN_PX + 25, subject, 14.5)
    write(figure, right, MARGIN_PX + 2, day, 12.5, across="right")
    write(figure, right, MARGIN_PX + 27, page, 12.5, across="right")
    rule(figure, MARGIN_PX + HEAD_PX - 10, paper)
    top = MARGIN_PX + HEAD_PX
    for block in blocks:
        block.draw(figure, top)
        top += block.height_px
    write(figure, MARGIN_PX, height - MARGIN_PX, foot, 11.0, up="bottom")
    return figure


def rule(figure: Figure, at_px: float, paper: Paper, width: float = 0.8) -> None:
    """A line across the sheet, `at_px` from its top [px]."""
    level_line(figure, (MARGIN_PX, paper.size_px[0] - MARGIN_PX), at_px, width)
