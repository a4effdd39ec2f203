"""The options side by side on a sheet of A4, a row for each: map, wedge, what stays, price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure

from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.field import NOT_PRICED
from mytakeoff.charts.drawing.frame import scale_bar_m
from mytakeoff.charts.drawing.lettering import LINE, level_line, outline, width_of, wrapped, write
from mytakeoff.charts.maps.small_maps import (
    SmallMap,
    common_top,
    draw_key,
    draw_small,
    size_px,
    small_field,
)
from mytakeoff.charts.options.wedge import (
    LEADER_PX,
    THING_PX,
    WedgeDrawing,
    draw_wedge,
    exaggeration_words,
    fitting_exaggeration,
)
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.survey.wall import Wall

A4_WIDTH_PX, A4_HEIGHT_PX = 1122.5, 793.7
_MARGIN_PX, _FONT_PX, _PAD_PX = 40.0, 12.0, 9.0
_NAME_PX, _MAP_PX, _TAPER_PX, _PRICE_PX = 216.0, 160.0, 170.0, 136.0  # the facts have what is left
_HEAD_PX, _FOOT_PX = 98.0, 68.0
_LEAST_ROW_PX, _MOST_ROW_PX = 100.0, 150.0
_GUTTER_PX, _LEAST_GAP_PX, _LETTER_PX = 16.0, 30.0, 22.0


@dataclass(frozen=True, eq=False)
class OptionRow:
    """One way of treating the wall, as a client reads it.

    Parameters
    ----------
    letter, title : str
        "C", "straighten the hollows, and skim".
    small : SmallMap
        The thickness that it puts on.
    wedge : WedgeDrawing or None
        The gap beside something plumb, the same thing and height in every row.
    facts : tuple of str
        What you get, what it leaves and takes, a paragraph for each.
    price : str
        With tax and currency.
    under_price : tuple of str
        What stands under it, a line for each: its range, the days.
    verdict : str
        "passes", or by how much it fails.
    mark : str
        What sets it apart, "least price that passes"; empty for none.
    why : tuple of str
        Under the verdict: the walls that fail and why, or what each is treated as.
    """

    letter: str
    title: str
    small: SmallMap
    wedge: WedgeDrawing | None
    facts: tuple[str, ...]
    price: str
    under_price: tuple[str, ...] = ()
    verdict: str = ""
    mark: str = ""
    why: tuple[str, ...] = ()


@dataclass(frozen=True)
class SheetHeading:
    """What stands above and below the rows.

    Parameters
    ----------
    job, subject, date : str
        The job, what is compared (the wall, the grade), the day.
    notes : tuple of str
        Cautions and sources, under the rows.
    formats : Formats
        Of the scales.
    """

    job: str
    subject: str
    date: str = ""
    notes: tuple[str, ...] = ()
    formats: Formats = HOUSE


@dataclass(frozen=True)
class _Columns:
    """Widths of the columns of gaps and of facts, the same on every sheet [px]."""

    taper_px: float
    facts_px: float
    labels_px: float

    @property
    def gap_px(self) -> float:
        """What the gap itself may take."""
        return max(self.taper_px - _GUTTER_PX - self.labels_px - THING_PX, 1.0)


def columns_of(rows: Sequence[OptionRow]) -> _Columns:
    """The columns of these rows: labels stay in theirs, and without gaps the facts have all the room."""
    labels = [
        f"{name} {row.wedge.formats.mm(gap_mm)}"
        for row in rows
        if row.wedge is not None
        for name, _, gap_mm in row.wedge.labels
    ]
    labels += ["not surveyed" for row in rows if row.wedge is not None]
    widest = max((width_of(words, _FONT_PX - 1) for words in labels), default=0.0) + LEADER_PX
    taper = max(_TAPER_PX, widest + _GUTTER_PX + THING_PX + _LEAST_GAP_PX) if labels else 0.0
    facts = A4_WIDTH_PX - 2 * _MARGIN_PX - _NAME_PX - _MAP_PX - _PRICE_PX - taper
    return _Columns(taper, facts, widest)


@dataclass(frozen=True)
class _Scale:
    """What all rows share: dark end of the ramp [mm], exaggeration, height of pictures, columns [px]."""

    ramp_top_mm: float
    times: int
    picture_px: float
    columns: _Columns


def _cells(row: OptionRow, columns: _Columns) -> tuple[list[tuple[str, ...]], ...]:
    """The words of the three columns of words, wrapped: name, facts, price."""
    name_room = _NAME_PX - _GUTTER_PX - _LETTER_PX
    name = [wrapped(row.title, name_room, _FONT_PX + 1, bold=True)]
    name += [wrapped(each, name_room, _FONT_PX) for each in (row.verdict, *row.why) if each]
    name += [wrapped(row.mark, name_room - 12, _FONT_PX, bold=True)] if row.mark else []
    facts = [wrapped(each, columns.facts_px - _GUTTER_PX, _FONT_PX) for each in row.facts]
    price = [wrapped(row.price, _PRICE_PX, _FONT_PX + 3, bold=True)]
    price += [wrapped(each, _PRICE_PX, _FONT_PX) for each in row.under_price]
    return name, facts, price


def row_height(row: OptionRow, columns: _Columns) -> float:
    """What a row needs for all its words [px]."""
    name, facts, price = _cells(row, columns)
    line = _FONT_PX * LINE
    left = len(name[0]) * (_FONT_PX + 1) * LINE + 4 + sum(len(each) * line + 2 for each in name[1:])
    left += 12 if row.mark else 0
    middle = sum(len(each) * line + 2 for each in facts)
    right = len(price[0]) * (_FONT_PX + 3) * LINE + sum(len(each) * line + 2 for each in price[1:])
    return max(max(left, middle, right) + 2 * _PAD_PX, _LEAST_ROW_PX)


def _room_px(heading: SheetHeading) -> float:
    return A4_HEIGHT_PX - 2 * _MARGIN_PX - _HEAD_PX - _FOOT_PX - len(_notes(heading)) * _FONT_PX * LINE


def _notes(heading: SheetHeading) -> list[str]:
    inner = A4_WIDTH_PX - 2 * _MARGIN_PX
    return [line for note in heading.notes for line in wrapped(note, inner, _FONT_PX - 1)]


def paged(rows: Sequence[OptionRow], heading: SheetHeading) -> list[list[OptionRow]]:
    """The rows of each sheet: as many as fit with all their words, one at least."""
    pages: list[list[OptionRow]] = [[]]
    left, columns = _room_px(heading), columns_of(rows)
    for row in rows:
        need = row_height(row, columns)
        if pages[-1] and need > left:
            pages.append([])
            left = _room_px(heading)
        pages[-1].append(row)
        left -= need
    return pages


def make_pages(wall: Wall, rows: Sequence[OptionRow], heading: SheetHeading) -> tuple[Figure, ...]:
    """All rows, on as many sheets of A4 across as they need, with one colour scale and one exaggeration.

    Parameters
    ----------
    wall : Wall
    rows : sequence of OptionRow
    heading : SheetHeading

    Returns
    -------
    tuple of matplotlib.figure.Figure
        Black on white but for the maps, so that a copy of it can still be read.
    """
    pages, columns = paged(rows, heading), columns_of(rows)
    # The same picture of the wall in every row, whatever its words need and on whichever sheet it stands.
    picture_px = min(_picture_px(page, heading, columns) for page in pages)
    times = _exaggeration(rows, picture_px, columns.gap_px)
    scale = _Scale(common_top([row.small for row in rows]), times, picture_px, columns)
    return tuple(
        _page(wall, page, heading, scale, f"page {number} of {len(pages)}")
        for number, page in enumerate(pages, 1)
    )


def _spare_px(rows: Sequence[OptionRow], heading: SheetHeading, columns: _Columns) -> float:
    """What is left on a sheet for each of its rows."""
    taken = sum(row_height(row, columns) for row in rows)
    return max(_room_px(heading) - taken, 0) / max(len(rows), 1)


def _picture_px(rows: Sequence[OptionRow], heading: SheetHeading, columns: _Columns) -> float:
    """Height of the pictures in each row of a sheet."""
    least = min((row_height(row, columns) for row in rows), default=_LEAST_ROW_PX)
    return min(least + _spare_px(rows, heading, columns), _MOST_ROW_PX) - 2 * _PAD_PX


def _exaggeration(rows: Sequence[OptionRow], picture_px: float, room_px: float) -> int:
    """The strongest that all rows can have."""
    wedges = [row.wedge for row in rows if row.wedge is not None and row.wedge.widest_mm > 0]
    return min(
        (fitting_exaggeration(w.widest_mm, picture_px / w.height_m, room_px) for w in wedges), default=1
    )


@own_settings()
def _page(wall: Wall, rows: Sequence[OptionRow], heading: SheetHeading, scale: _Scale, number: str) -> Figure:
    """One sheet."""
    figure = new_figure(A4_WIDTH_PX, A4_HEIGHT_PX)
    figure.set_facecolor("white")
    _draw_heading(figure, heading, number)
    _draw_columns(figure, wall, rows, scale)
    needs = [row_height(row, scale.columns) for row in rows]
    spare = _spare_px(rows, heading, scale.columns)
    above = _MARGIN_PX + _HEAD_PX
    for row, need in zip(rows, needs, strict=True):
        height = max(min(need + spare, _MOST_ROW_PX), need)
        _rule(figure, above)
        _draw_row(figure, wall, row, above + _PAD_PX, scale)
        above += height
    _rule(figure, above, 1.2)
    _draw_foot(figure, wall, rows, heading, scale)
    return figure


def _rule(figure: Figure, at_px: float, width: float = 0.6) -> None:
    """A line across the sheet, `at_px` from its top [px]."""
    level_line(figure, (_MARGIN_PX, A4_WIDTH_PX - _MARGIN_PX), at_px, width)


def _draw_heading(figure: Figure, heading: SheetHeading, number: str) -> None:
    right = A4_WIDTH_PX - _MARGIN_PX
    write(figure, _MARGIN_PX, _MARGIN_PX, heading.job, 20.0, bold=True)
    write(figure, _MARGIN_PX, _MARGIN_PX + 30, heading.subject, _FONT_PX + 1)
    write(figure, right, _MARGIN_PX + 4, heading.date, _FONT_PX, across="right")
    write(figure, right, _MARGIN_PX + 30, number, _FONT_PX, across="right")


def _draw_columns(figure: Figure, wall: Wall, rows: Sequence[OptionRow], scale: _Scale) -> None:
    """What each column shows."""
    wedge = next((row.wedge for row in rows if row.wedge is not None), None)
    beside = f"beside the {wedge.name}: {exaggeration_words(scale.times)}" if wedge else ""
    what = "what you get, what still shows, what moves"
    heads = ("way of treating the walls", f"thickness of plaster on {wall.name}", beside, what)
    rooms = (_NAME_PX, _MAP_PX, scale.columns.taper_px, scale.columns.facts_px)
    left = _MARGIN_PX
    for words, room in zip(heads, rooms, strict=True):
        lines = wrapped(words, room - _GUTTER_PX, _FONT_PX - 0.5)
        write(figure, left, _MARGIN_PX + _HEAD_PX - 6, "\n".join(lines), _FONT_PX - 0.5, up="bottom")
        left += room
    write(figure, left, _MARGIN_PX + _HEAD_PX - 6, "price with tax, days", _FONT_PX - 0.5, up="bottom")


def _draw_row(figure: Figure, wall: Wall, row: OptionRow, top: float, scale: _Scale) -> None:
    """One option, its first line at `top`."""
    name, facts, price = _cells(row, scale.columns)
    _draw_name(figure, row, name, top)
    left = _MARGIN_PX + _NAME_PX
    across, up = size_px(wall, _MAP_PX - _GUTTER_PX, scale.picture_px)
    draw_small(figure, wall, row.small, scale.ramp_top_mm, (left, top, across, up))
    left += _MAP_PX
    if row.wedge is not None:
        box = (left, top, THING_PX + scale.columns.gap_px, scale.picture_px)
        draw_wedge(figure, row.wedge, box, scale.times, _FONT_PX - 1)
    left += scale.columns.taper_px
    _draw_lines(figure, left, top, facts, _FONT_PX)
    left += scale.columns.facts_px
    write(figure, left, top - 2, "\n".join(price[0]), _FONT_PX + 3, bold=True)
    _draw_lines(figure, left, top + len(price[0]) * (_FONT_PX + 3) * LINE + 2, price[1:], _FONT_PX)


def _draw_lines(
    figure: Figure, left: float, top: float, blocks: Sequence[tuple[str, ...]], size_px: float
) -> float:
    """Blocks of lines under each other; where the next would begin [px]."""
    for lines in blocks:
        write(figure, left, top, "\n".join(lines), size_px)
        top += len(lines) * size_px * LINE + 2
    return top


def _draw_name(figure: Figure, row: OptionRow, name: Sequence[tuple[str, ...]], top: float) -> None:
    """Letter, title, verdict; what sets it apart in a box."""
    left = _MARGIN_PX + _LETTER_PX
    write(figure, _MARGIN_PX, top - 1, row.letter, _FONT_PX + 4, bold=True)
    write(figure, left, top, "\n".join(name[0]), _FONT_PX + 1, bold=True)
    top += len(name[0]) * (_FONT_PX + 1) * LINE + 4
    top = _draw_lines(figure, left, top, name[1 : -1 if row.mark else None], _FONT_PX)
    if row.mark:
        lines = name[-1]
        width = max(width_of(line, _FONT_PX, bold=True) for line in lines) + 12
        height = len(lines) * _FONT_PX * LINE + 7
        outline(figure, (left, top + 3, width, height), 1.4)
        write(figure, left + 6, top + 7, "\n".join(lines), _FONT_PX, bold=True)


def _draw_foot(
    figure: Figure, wall: Wall, rows: Sequence[OptionRow], heading: SheetHeading, scale: _Scale
) -> None:
    """Colour scale, a length of the maps, notes."""
    notes = _notes(heading)
    top = A4_HEIGHT_PX - _MARGIN_PX - _FOOT_PX - len(notes) * _FONT_PX * LINE + 18
    unknown = any((small_field(wall, row.small, 200).state == NOT_PRICED).any() for row in rows)
    draw_key(figure, _MARGIN_PX, top, scale.ramp_top_mm, unknown, 700.0, heading.formats)
    across, _ = size_px(wall, _MAP_PX - _GUTTER_PX, scale.picture_px)
    length = _bar_m(wall, heading.formats)
    words = f"{heading.formats.length(length)} on the maps"
    right = A4_WIDTH_PX - _MARGIN_PX
    px = length * across / wall.width_m
    level_line(figure, (right - px, right), top + 6, 2.0, marker="|", markersize=8)
    write(figure, right, top + 15, words, _FONT_PX - 1, across="right")
    write(figure, _MARGIN_PX, top + 54, "\n".join(notes), _FONT_PX - 1)


def _bar_m(wall: Wall, formats: Formats) -> float:
    """Length of the scale bar: a metre or a yard, or a tenth of one on a very small wall [m]."""
    return scale_bar_m(formats) * (1.0 if wall.width_m >= 1 else 0.1)
