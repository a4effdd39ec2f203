"""Square lines of a room on a sheet: the plan with them, distances to lay them by, and what checks them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from matplotlib.figure import Figure

from mytakeoff.charts.drawing.lettering import LINE, wrapped, write
from mytakeoff.charts.drawing.paper import MARGIN_PX, Block, Paper, paragraph
from mytakeoff.charts.plan import in_words, plan
from mytakeoff.charts.plan.plan import LETTERS
from mytakeoff.charts.plan.room_drawing import RoomDrawing, drawings, height_px, scale_for
from mytakeoff.charts.settingout.elevation import PX_PER_M, SCALES
from mytakeoff.charts.settingout.fixing_table import tick_box
from mytakeoff.formats.formats import Formats
from mytakeoff.settingout.packed_out import packed_out
from mytakeoff.settingout.room_setting import RoomSetting
from mytakeoff.settingout.set_out import SettingOut
from mytakeoff.settingout.square_lines import AGREE_MM, Crossing, SquareLine, SquareLines

TEXT_PX, ROW_PX, CELL_PX = 13.0, 19.0, 84.0
PLAN_SHARE = 0.48  # of a sheet's height, at most
SAME_MM = 0.5
PACKED_HEAD = ("wall", "what", "edge", "left or low end", "right or high end", "at most")
PACKED_PX = (0.0, 130.0, 270.0, 370.0, 490.0, 610.0)


def room_blocks(room: RoomSetting, paper: Paper) -> list[Block]:
    """What stands on the sheets of a room that is squared."""
    blocks: list[Block] = []
    for drawing, lines in zip(drawings(room), room.lines, strict=True):
        blocks += [
            plan_block(drawing, paper),
            paragraph(off_words(lines, room.formats), paper.inner_px, TEXT_PX),
        ]
        blocks += [line_block(line, room.formats) for line in lines.lines]
        blocks += [tick_line(words, paper) for words in check_words(lines, room.formats)]
    return [*blocks, *(paragraph(words, paper.inner_px, TEXT_PX) for words in to_know(room))]


def to_know(room: RoomSetting) -> list[str]:
    """Widths that remain, then notices: those of widths that do not among them."""
    if room.planes is None:
        return []
    kept = [in_words.width_words(each, room.formats) for each in room.planes.widths if each.kept]
    return [*kept, *room.planes.notices]


def plan_block(drawing: RoomDrawing, paper: Paper) -> Block:
    """The plan at a scale that is on a scale rule."""
    most = scale_for(drawing, (paper.inner_px - 2, paper.room_px * PLAN_SHARE))
    times = next((each for each in SCALES if PX_PER_M / each <= most), SCALES[-1])
    px = PX_PER_M / times
    high, lines = height_px(drawing, px), plan.caption_lines(drawing, paper.inner_px, times)

    def draw(figure: Figure, top: float) -> None:
        plan.draw(figure, drawing, (MARGIN_PX, top), px, struck=True)
        plan.draw_foot(figure, drawing, (MARGIN_PX, top + high + 10), px, lines)

    return Block(high + plan.foot_px(lines) + 10, draw)


def off_words(lines: SquareLines, formats: Formats) -> str:
    """How the lines are laid."""
    off = formats.depth(lines.off_mm, places=0, grouped=False)
    return (
        f"Each line runs {off} in front of its finished face. With loose plaster off, measure from the rough "
        "face, square to the line: the outer two places lay it, those between check it."
    )


def line_block(line: SquareLine, formats: Formats) -> Block:
    """A wall's line: its places, under each what is measured there, and a box to tick."""
    up = formats.length(line.places[0].z_m, places=2)
    title = f"Line before {line.wall}, measured {up} over the floor"
    cells = [
        (formats.length(each.x_m, places=3), formats.depth(each.from_face_mm, places=0, grouped=False))
        for each in line.places
    ]

    def draw(figure: Figure, top: float) -> None:
        write(figure, MARGIN_PX, top + 4, title, TEXT_PX, bold=True)
        for nth, (at, mm) in enumerate(cells):
            row, column = divmod(nth, _most(formats))
            left, y = MARGIN_PX + column * _wide(formats), top + 4 + ROW_PX + row * 2 * ROW_PX
            write(figure, left + 20, y, f"x {at}", TEXT_PX - 1)
            tick_box(figure, left + 2, y + ROW_PX - 2)
            write(figure, left + 20, y + ROW_PX - 4, mm, TEXT_PX, bold=True)

    rows = -(-len(cells) // _most(formats))
    return Block(ROW_PX * (1 + 2 * rows) + 8, draw)


def _wide(formats: Formats) -> float:
    """Width of a place [px]."""
    return 1.4 * CELL_PX if formats.feet_and_inches else CELL_PX


def _most(formats: Formats) -> int:
    """Places beside one another."""
    return int(680 // _wide(formats))


def tick_line(words: str, paper: Paper) -> Block:
    """A check with a box to tick."""
    lines = wrapped(words, paper.inner_px - 24, TEXT_PX)

    def draw(figure: Figure, top: float) -> None:
        tick_box(figure, MARGIN_PX, top + 2)
        write(figure, MARGIN_PX + 22, top, "\n".join(lines), TEXT_PX)

    return Block(len(lines) * TEXT_PX * LINE + 5, draw)


def line_words(line: SquareLine, formats: Formats) -> str:
    """A line's measures in a sentence."""
    up = formats.length(line.places[0].z_m, places=2)
    said = (
        f"{formats.depth(each.from_face_mm, places=0, grouped=False)} at {formats.length(each.x_m, places=3)}"
        for each in line.places
    )
    return f"Line before {line.wall}, from the rough face {up} over the floor: {', '.join(said)}."


def lines_words(room: RoomSetting) -> list[str]:
    """All that is measured for the lines of a room, as text."""
    said: list[str] = []
    for lines in room.lines:
        said += [f"{room.name}: {off_words(lines, room.formats)}"]
        said += [line_words(line, room.formats) for line in lines.lines]
        said += check_words(lines, room.formats)
    return said


def check_words(lines: SquareLines, formats: Formats) -> list[str]:
    """A triangle at each crossing, then what is taped from crossing to crossing."""
    letters = {each.wall: letter for letter, each in zip(LETTERS, lines.crossings, strict=False)}
    said = [_triangle(letters[each.wall], each, formats) for each in lines.crossings]
    return [*said, *_taped(lines, letters, formats)]


def _triangle(letter: str, each: Crossing, formats: Formats) -> str:
    leg, after, across = (
        formats.depth(mm, places=0, grouped=False) for mm in (each.leg_mm, each.next_leg_mm, each.across_mm)
    )
    way = f" on past {letter}, away from {each.next_wall}" if each.outer else ""
    return (
        f"{letter}, where the lines of {each.wall} and {each.next_wall} cross: {leg} along the first, "
        f"{after} along the second{way}, {across} across."
    )


def _taped(lines: SquareLines, letters: dict[str, str], formats: Formats) -> Iterator[str]:
    begins = {each.next_wall: letters[each.wall] for each in lines.crossings}
    taped = [
        f"{letters[each.wall] if each.to else begins[each.wall]} to {letters[each.to or each.wall]} "
        f"{formats.depth(each.mm, places=0, grouped=False)}"
        for each in lines.between
    ]
    if taped:
        known = formats.depth(lines.known_mm, places=0)
        yield f"By the walls' widths, so to ± {known}: {', '.join(taped)}."
    diagonals = [each.mm for each in lines.between if each.to]
    if diagonals and max(diagonals) - min(diagonals) < SAME_MM:
        yield f"The two diagonals are equal: they differ by {formats.depth(AGREE_MM, places=0)} at most."


# -- linings, window boards, skirtings ----------------------------------------------------------------------


def packed_cells(setting: SettingOut) -> list[tuple[str, ...]]:
    """What is packed out and by how much, a row for each edge."""
    depth = setting.job.formats.depth
    return [
        (wall, name, edge, *(depth(mm, places=0, grouped=False) for mm in (start, end, most)))
        for wall, name, edge, start, end, most in packed_out([each.wall for each in setting.walls])
    ]


def packed_blocks(setting: SettingOut, paper: Paper) -> list[Block]:
    """The table of linings, window boards and skirtings to pack out; nothing where there are none."""
    rows = packed_cells(setting)
    if not rows:
        return []
    title = paragraph("Linings, window boards and skirtings to pack out:", paper.inner_px, TEXT_PX, bold=True)
    head = _row(PACKED_HEAD, again=None)
    led = [
        Block(title.height_px, title.draw, with_next=True),
        Block(head.height_px, head.draw, with_next=True),
    ]
    return [*led, *(_row(row, again=head) for row in rows), Block(8.0, lambda figure, top: None)]


def _row(cells: Sequence[str], again: Block | None) -> Block:
    def draw(figure: Figure, top: float) -> None:
        for left, words in zip(PACKED_PX, cells, strict=True):
            write(figure, MARGIN_PX + left, top, words, TEXT_PX - 0.5)

    return Block(TEXT_PX * LINE + 1, draw, again=again)
