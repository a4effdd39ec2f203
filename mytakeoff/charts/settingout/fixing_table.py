"""The table of fixings to tick, in two columns beside each other, a rail's rows together.

Feet and inches take the width of a sheet: there it has one column.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import accumulate

from matplotlib.figure import Figure

from mytakeoff.charts.drawing.lettering import LINE, level_line, outline, wrapped, write
from mytakeoff.charts.drawing.paper import MARGIN_PX, Block, Paper
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.rails.rails import RailPiece
from mytakeoff.settingout.fixings import Fixing
from mytakeoff.settingout.set_out import WallSetting

TEXT_PX, NOTE_PX, ROW_PX, RAIL_PX, TICK_PX = 12.5, 11.0, 17.5, 24.0, 12.0
GAP_PX, HEAD_PX, STEP_PX = 20.0, 46.0, 4.0
WIDTHS_PX = (20.0, 36.0, 44.0, 48.0, 38.0, 48.0, 46.0)  # tick, fixing, height, head, screw, plaster, laser
WIDE_PX = (20.0, 42.0, 108.0, 76.0, 70.0, 76.0, 80.0)  # the same in feet and inches


@dataclass(frozen=True)
class TableLine:
    """A rail's heading or a fixing's row, as wide as a column.

    Parameters
    ----------
    height_px : float
        [px]
    draw : function of (Figure, left, top)
        Draws it, its corner given from the sheet's upper left [px].
    """

    height_px: float
    draw: Callable[[Figure, float, float], None]


Group = tuple[TableLine, ...]  # a rail: its heading, then its rows
TableColumn = list[TableLine]


def height_of(lines: Sequence[TableLine]) -> float:
    """Of lines under each other [px]."""
    return sum(line.height_px for line in lines)


def flowed(groups: Sequence[Group], room_px: float) -> list[TableColumn]:
    """The lines column by column: a rail stays together where a column holds it.

    Parameters
    ----------
    groups : sequence of Group
    room_px : float
        Height of a column [px].

    Examples
    --------
    >>> row = TableLine(10.0, lambda figure, left, top: None)
    >>> [len(column) for column in flowed([(row,) * 3, (row,) * 3, (row,) * 7], 60.0)]
    [6, 6, 2]
    """
    columns: list[TableColumn] = [[]]
    for head, *rows in groups:
        left = room_px - height_of(columns[-1])
        if columns[-1] and height_of([head, *rows]) > left:
            columns.append([])
        columns[-1].append(head)
        for row in rows:
            if height_of(columns[-1]) + row.height_px > room_px:
                columns.append([head])  # the rail goes on under its name
            columns[-1].append(row)
    return columns


def tables(
    wall: WallSetting, codes: dict[str, str], paper: Paper, spare_px: float
) -> tuple[Block | None, list[Block]]:
    """The table: on the sheet that has `spare_px` left where it fits there, else on sheets of its own.

    Parameters
    ----------
    wall : WallSetting
    codes : dict
        Marks of the reasons to look for cables.
    paper : Paper
    spare_px : float
        [px]

    Returns
    -------
    (Block or None, list of Block)
        What stands on that sheet; what stands on those after it, one each.
    """
    groups, most = groups_of(wall, codes, _column_px(wall, paper)), _columns(wall)
    here = _balanced(groups, most, spare_px - HEAD_PX)
    if here is not None:
        return _table(here, wall, paper), []
    room = paper.room_px - HEAD_PX
    whole = flowed(groups, room)
    pages = [whole[nth : nth + most] for nth in range(0, len(whole), most)]
    if len(pages) == 1:
        pages = [_balanced(groups, most, room) or pages[0]]
    return None, [_table(page, wall, paper) for page in pages]


def _columns(wall: WallSetting) -> int:
    """How many columns stand beside each other."""
    return 1 if wall.formats.feet_and_inches else 2


def _column_px(wall: WallSetting, paper: Paper) -> float:
    return (paper.inner_px - (_columns(wall) - 1) * GAP_PX) / _columns(wall)


def _balanced(groups: Sequence[Group], most: int, room_px: float) -> list[TableColumn] | None:
    """The lowest columns that hold everything, so many at most; None where none within the room do."""
    height = height_of([line for group in groups for line in group]) / most
    while height <= room_px:
        columns = flowed(groups, height)
        if len(columns) <= most and max(map(height_of, columns)) <= room_px:
            return columns
        height += STEP_PX
    return None


def _table(columns: Sequence[TableColumn], wall: WallSetting, paper: Paper) -> Block:
    wide = _column_px(wall, paper)

    def draw(figure: Figure, top: float) -> None:
        for nth, column in enumerate(columns):
            left = MARGIN_PX + nth * (wide + GAP_PX)
            _draw_head(figure, left, top, wall, wide)
            at = top + HEAD_PX
            for line in column:
                line.draw(figure, left, at)
                at += line.height_px

    return Block(HEAD_PX + max(map(height_of, columns)), draw)


def heads(wall: WallSetting) -> tuple[str, ...]:
    """Titles of the columns."""
    mm, m = ("", "") if wall.formats.feet_and_inches else ("\nmm", "\nm")
    behind = (f"head\noff wall{mm}", f"screw{mm}") if wall.drilled else (f"dab{mm}", "")
    return ("", wall.held_by, f"height{m}", *behind, f"plaster{mm}", f"laser\nto wall{mm}", "look out")


def _widths(wall: WallSetting) -> tuple[float, ...]:
    return WIDE_PX if wall.formats.feet_and_inches else WIDTHS_PX


def _edges(wall: WallSetting, left: float) -> list[float]:
    """Where each column of figures begins [px]."""
    return list(accumulate(_widths(wall), initial=left))


def _draw_head(figure: Figure, left: float, top: float, wall: WallSetting, wide: float) -> None:
    edges = _edges(wall, left)
    for nth, words in enumerate(heads(wall)):
        numbers = 2 <= nth <= 6
        at = edges[nth + 1] - 6 if numbers else edges[nth]
        across = "right" if numbers else "left"
        write(figure, at, top + HEAD_PX - 5, words, NOTE_PX - 0.5, across=across, up="bottom")
    level_line(figure, (left, left + wide), top + HEAD_PX - 2, 0.8)


def groups_of(wall: WallSetting, codes: dict[str, str], wide_px: float) -> list[Group]:
    """A heading for each piece of rail and a row for each of its fixings."""
    return [
        (
            _rail_line(name, rail, wall.formats),
            *(_row(wall, fixing, codes, wide_px) for fixing in wall.fixings if fixing.rail == name),
        )
        for name, rail in zip(wall.names, wall.rails, strict=True)
    ]


def rail_words(name: str, rail: RailPiece, formats: Formats) -> str:
    """Number, place and length of one piece of rail, in words."""
    cut = cut_length(rail.length_m * 1000, formats)
    return f"Rail {name} at {formats.length(rail.x_m, places=3)}, cut {cut}"


def cut_length(mm: float, formats: Formats) -> str:
    """A piece that is cut, in millimetres or by the tape [mm]."""
    if formats.feet_and_inches:
        return formats.length(mm / 1000)
    return formats.depth(mm, places=0, grouped=False)


def _rail_line(name: str, rail: RailPiece, formats: Formats) -> TableLine:
    ends = formats.length(rail.bottom_m, rail.top_m, places=2)
    words = f"{rail_words(name, rail, formats)}, {ends}"

    def draw(figure: Figure, left: float, top: float) -> None:
        write(figure, left, top + 6, words, TEXT_PX, bold=True)

    return TableLine(RAIL_PX, draw)


def _row(wall: WallSetting, fixing: Fixing, codes: dict[str, str], wide_px: float) -> TableLine:
    cells = row_cells(wall, fixing)
    notes = wrapped(row_notes(wall, fixing, codes), wide_px - sum(_widths(wall)), NOTE_PX)
    height = max(ROW_PX, len(notes) * NOTE_PX * LINE + 3)

    def draw(figure: Figure, left: float, top: float) -> None:
        edges = _edges(wall, left)
        tick_box(figure, left + 1, top + 2.5)
        write(figure, edges[1], top + 2, cells[0], TEXT_PX)
        for nth, words in enumerate(cells[1:], start=2):
            write(figure, edges[nth + 1] - 6, top + 2, words, TEXT_PX, across="right")
        write(figure, edges[-1], top + 3, "\n".join(notes), NOTE_PX)
        level_line(figure, (left, left + wide_px), top + height - 1, 0.3)

    return TableLine(height, draw)


def tick_box(figure: Figure, left: float, top: float) -> None:
    """An empty square, its corner from the sheet's upper left [px]."""
    outline(figure, (left, top, TICK_PX, TICK_PX), 1.1, label="tick")


def row_cells(wall: WallSetting, fixing: Fixing) -> tuple[str, ...]:
    """Fixing, height, head off the wall, screw, plaster, laser to the wall, as the sheet has them."""
    formats = wall.formats
    screw = (
        ""
        if not wall.drilled
        else "?"
        if fixing.screw_mm is None
        else formats.depth(fixing.screw_mm, column=True)
    )
    return (
        fixing.label,
        formats.length(fixing.z_m, places=3, column=True),
        mm(fixing.projection_mm, formats),
        screw,
        mm(fixing.plaster_mm, formats),
        mm(wall.laser_to_wall_mm(fixing), formats),
    )


def mm(value: float | None, formats: Formats = HOUSE) -> str:
    """Whole millimetres, or that nobody measured [mm].

    Examples
    --------
    >>> mm(12.5), mm(None)
    ('13', '?')
    """
    return "?" if value is None else formats.depth(value, places=0, column=True)


def row_notes(wall: WallSetting, fixing: Fixing, codes: dict[str, str]) -> str:
    """Where to begin, what to take down, where to look for cables."""
    said = []
    if fixing.first:
        said.append("start the wall here" if fixing is wall.start else "start here")
    if fixing.too_proud:
        said.append(f"take down {wall.formats.depth(max(fixing.take_down_mm, 1.0), places=0, grouped=False)}")
    if fixing.zones:
        said.append(f"cables {' '.join(codes[why] for why in fixing.zones)}")
    if fixing.projection_mm is None:
        said.append("not measured")
    return "; ".join(said)
