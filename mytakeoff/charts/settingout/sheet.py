"""The setting-out sheets: elevation to scale, checks, a row for each fixing to tick, cut list, cautions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from matplotlib.figure import Figure

from mytakeoff.charts.drawing.lettering import LINE, level_line, outline, wrapped, write
from mytakeoff.charts.drawing.paper import A4, MARGIN_PX, Block, Paper, paged, paragraph, rule, sheet
from mytakeoff.charts.settingout import elevation
from mytakeoff.charts.settingout.elevation import (
    Drawing,
    draw_fitting,
    draw_fixing,
    draw_spot,
    fitting_scale,
    stripes_box,
)
from mytakeoff.formats import HOUSE, Formats
from mytakeoff.rails.rails import RailPiece
from mytakeoff.settingout.cable_zones import SOURCE, WARNING
from mytakeoff.settingout.fixings import Fixing
from mytakeoff.settingout.set_out import SettingOut, WallSetting
from mytakeoff.treatment.cautions import DEFER, cautions_for

TEXT_PX, TABLE_PX, ROW_PX, TICK_PX = 13.0, 14.5, 19.5, 12.0
SPOT_WORDS = "high spot that sets the plane"
DRAWING_SHARE = 0.57  # of a sheet's height, at most
FOOT = "x from the wall's left end, heights from the floor, as you face it from inside the room."
COLUMNS = (
    "done",
    "fixing",
    "height m",
    "head off\nwall mm",
    "screw\nmm",
    "plaster\nmm",
    "laser to\nwall mm",
    "look out",
)
WIDTHS_PX = (44.0, 52.0, 74.0, 76.0, 62.0, 68.0, 76.0)


def make_pages(
    setting: SettingOut, names: Sequence[str] = (), paper: Paper = A4, day: str = ""
) -> tuple[Figure, ...]:
    """All sheets: of each wall its own, then one of rails to cut, screws and cautions.

    Parameters
    ----------
    setting : SettingOut
    names : sequence of str
        Walls to draw; empty: all that have rails, and those that have none with the reason.
    paper : Paper
    day : str
        As it stands on the sheet.

    Returns
    -------
    tuple of matplotlib.figure.Figure
        Black on white.
    """
    walls = [wall for wall in setting.walls if not names or wall.name in names]
    sheets = [(wall_subject(wall), page) for wall in walls for page in wall_blocks(wall, paper)]
    if not names:
        sheets += [
            ("Rails to cut, screws, cautions", page)
            for page in paged(job_blocks(setting, paper), paper.room_px)
        ]
    return tuple(
        sheet(paper, page, setting.job.title, subject, day, f"page {number} of {len(sheets)}", FOOT)
        for number, (subject, page) in enumerate(sheets, start=1)
    )


def wall_subject(wall: WallSetting) -> str:
    """What stands under the title of a wall's sheets."""
    return f"Setting out: {wall.name}, {wall.wall.entry.room}"


def wall_blocks(wall: WallSetting, paper: Paper) -> list[list[Block]]:
    """The blocks of one wall, sheet by sheet."""
    inner = paper.inner_px
    if not wall.rails:
        return [[paragraph(wall.why_none, inner, TABLE_PX)]]
    codes = zone_codes(wall)
    blocks = [drawing_block(wall, paper), key_block(wall, paper)]
    if wall.zones:
        listed = "; ".join(f"{code} {why}" for why, code in codes.items())
        blocks.append(boxed(WARNING, paper))
        blocks.append(paragraph(f"Where to look: {listed}. ({SOURCE})", inner, TEXT_PX, 8.0))
    blocks += [tick_line(words, paper) for words in wall.checks]
    blocks += [paragraph(f"To know: {words}.", inner, TEXT_PX) for words in wall.notices]
    return paged([*blocks, *table_blocks(wall, codes, paper)], paper.room_px)


def zone_codes(wall: WallSetting) -> dict[str, str]:
    """A small letter for each reason to look for cables, in the order of the zones."""
    return {zone.why: chr(ord("a") + nth) for nth, zone in enumerate(wall.zones)}


# -- above the table -----------------------------------------------------------------------------------


def scale_of(wall: WallSetting, paper: Paper) -> int:
    """How many times smaller than the wall it is drawn [-]."""
    ground = wall.wall.entry.wall
    up = paper.room_px * DRAWING_SHARE - elevation.HEAD_PX - elevation.FOOT_PX
    return fitting_scale(ground.width_m, ground.height_m, (paper.inner_px - elevation.SIDE_PX - 2, up))


def drawing_block(wall: WallSetting, paper: Paper) -> Block:
    """The elevation to scale, with a metre to measure on it."""
    ground, times = wall.wall.entry.wall, scale_of(wall, paper)
    px = elevation.PX_PER_M / times
    height = elevation.HEAD_PX + ground.height_m * px + elevation.FOOT_PX

    def draw(figure: Figure, top: float) -> None:
        spare = paper.inner_px - elevation.SIDE_PX - ground.width_m * px
        left = MARGIN_PX + elevation.SIDE_PX + max(spare, 0.0) / 2
        floor = top + elevation.HEAD_PX + ground.height_m * px
        elevation.draw(figure, wall, Drawing(left, floor, px, paper.size_px[1]))
        _bar(figure, paper, top + height + 2, px, f"1 m at 1:{times}")

    return Block(height + 26, draw)


def _bar(figure: Figure, paper: Paper, at: float, px_per_m: float, words: str) -> None:
    """A metre of the drawing, `at` from the top, at the right of the sheet [px]."""
    right = paper.size_px[0] - MARGIN_PX
    level_line(figure, (right - px_per_m, right), at + 8, 1.6, marker="|", markersize=8, gid="scale-bar")
    write(figure, right - px_per_m - 10, at, words, TEXT_PX, across="right")


def key_block(wall: WallSetting, paper: Paper) -> Block:
    """What the marks on the drawing mean, two beside each other."""
    fixing = Fixing("1", 1, 0.0, 0.0, 5.0, 0.0, 11.0, 35.0, 40.0)
    zoned, first = _like(fixing, zones=("",)), _like(fixing, first=True)
    proud = _like(fixing, take_down_mm=1.0)
    marks: list[tuple[Callable[[Figure, tuple[float, float]], None], str]] = [
        (lambda figure, at: draw_fixing(figure, at, fixing), "fixing"),
        (lambda figure, at: draw_fixing(figure, at, first), "start the rail here: the wall is closest to it"),
    ]
    if wall.zones:
        marks.append(
            (lambda figure, at: draw_fixing(figure, at, zoned), "fixing where a cable is to be expected")
        )
        marks.append((stripes_box, "look for cables here first"))
    if any(each.too_proud for each in wall.fixings):
        marks.append((lambda figure, at: draw_fixing(figure, at, proud), "too proud: take down first"))
    if wall.wall.entry.fittings:
        marks.append(
            (lambda figure, at: draw_fitting(figure, at, False), "fitting; dashed: on the other face")
        )
    marks.append((lambda figure, at: draw_spot(figure, at, "A", 1e9), SPOT_WORDS))
    half = paper.inner_px / 2

    def draw(figure: Figure, top: float) -> None:
        for nth, (mark, words) in enumerate(marks):
            x = MARGIN_PX + (nth % 2) * half + 8
            y = top + (nth // 2) * 19 + 9
            mark(figure, (x, paper.size_px[1] - y))
            room = 26 if words == SPOT_WORDS else 14  # its letter stands beside it
            write(figure, x + room, y - TEXT_PX / 2 - 1, words, TEXT_PX)

    return Block((len(marks) + 1) // 2 * 19 + 10, draw)


def _like(fixing: Fixing, **changes: Any) -> Fixing:
    return replace(fixing, **changes)


def boxed(words: str, paper: Paper) -> Block:
    """A warning in a frame."""
    lines = wrapped(words, paper.inner_px - 20, TEXT_PX, bold=True)
    height = len(lines) * TEXT_PX * LINE + 14

    def draw(figure: Figure, top: float) -> None:
        outline(figure, (MARGIN_PX, top, paper.inner_px, height), 1.6)
        write(figure, MARGIN_PX + 10, top + 7, "\n".join(lines), TEXT_PX, bold=True)

    return Block(height + 8, draw)


def tick_line(words: str, paper: Paper) -> Block:
    """A check with a box to tick."""
    lines = wrapped(words, paper.inner_px - 24, TEXT_PX)

    def draw(figure: Figure, top: float) -> None:
        tick_box(figure, MARGIN_PX, top + 1)
        write(figure, MARGIN_PX + 22, top, "\n".join(lines), TEXT_PX)

    return Block(len(lines) * TEXT_PX * LINE + 5, draw)


def tick_box(figure: Figure, left: float, top: float) -> None:
    """An empty square, its corner from the sheet's upper left [px]."""
    outline(figure, (left, top, TICK_PX, TICK_PX), 1.1, label="tick")


# -- the table -----------------------------------------------------------------------------------------


def table_blocks(wall: WallSetting, codes: dict[str, str], paper: Paper) -> list[Block]:
    """Rail by rail: a line for the rail, then a row for each fixing."""
    head = head_block(paper)
    blocks = [Block(8.0, lambda figure, top: None, with_next=True), head]
    for name, rail in zip(wall.names, wall.rails, strict=True):
        line = rail_line(name, rail, wall.formats, paper)
        blocks.append(Block(line.height_px, line.draw, again=head, with_next=True))
        rows = [fixing for fixing in wall.fixings if fixing.rail == name]
        blocks += [row_block(wall, fixing, codes, head, paper, fixing is rows[-1]) for fixing in rows]
    return blocks


def _columns() -> list[float]:
    """Where each column begins [px]."""
    found = [MARGIN_PX]
    for width in WIDTHS_PX:
        found.append(found[-1] + width)
    return found


def head_block(paper: Paper) -> Block:
    """The head of the table."""

    def draw(figure: Figure, top: float) -> None:
        for nth, (left, words) in enumerate(zip(_columns(), COLUMNS, strict=True)):
            numbers = 2 <= nth <= 6
            at = left + WIDTHS_PX[nth] - 14 if numbers else left
            write(
                figure, at, top + 34, words, TEXT_PX - 0.5, across="right" if numbers else "left", up="bottom"
            )
        rule(figure, top + 38, paper)

    return Block(42.0, draw, with_next=True)


def rail_words(name: str, rail: RailPiece, formats: Formats) -> str:
    """Number, place and length of one piece of rail, in words."""
    return f"Rail {name} at {formats.fixed(rail.x_m, 3)} m, cut {formats.fixed(rail.length_m * 1000)} mm"


def rail_line(name: str, rail: RailPiece, formats: Formats, paper: Paper) -> Block:
    """Number, place and length of one piece of rail."""
    ends = f"{formats.fixed(rail.bottom_m, 3)} to {formats.fixed(rail.top_m, 3)} m"
    words = f"{rail_words(name, rail, formats)}, from {ends}"

    def draw(figure: Figure, top: float) -> None:
        write(figure, MARGIN_PX, top + 5, words, TABLE_PX, bold=True)

    return Block(ROW_PX + 6, draw, with_next=True)


def row_block(
    wall: WallSetting, fixing: Fixing, codes: dict[str, str], head: Block, paper: Paper, last: bool
) -> Block:
    """One fixing; a rail's rows stay together where a sheet has room for them."""
    cells = row_cells(wall, fixing)
    room = paper.inner_px - sum(WIDTHS_PX)
    notes = wrapped(row_notes(wall, fixing, codes), room, TEXT_PX - 0.5)
    height = max(ROW_PX, len(notes) * (TEXT_PX - 0.5) * LINE + 3)

    def draw(figure: Figure, top: float) -> None:
        tick_box(figure, MARGIN_PX + 4, top + 4)
        columns = _columns()
        write(figure, columns[1] + 4, top + 2, cells[0], TABLE_PX)
        for nth, words in enumerate(cells[1:], start=2):
            write(figure, columns[nth] + WIDTHS_PX[nth] - 14, top + 2, words, TABLE_PX, across="right")
        write(figure, columns[-1], top + 3, "\n".join(notes), TEXT_PX - 0.5)
        rule(figure, top + height - 1, paper, 0.3)

    return Block(height, draw, again=head, with_next=not last)


def row_cells(wall: WallSetting, fixing: Fixing) -> tuple[str, ...]:
    """Fixing, height, head off the wall, screw, plaster, laser to the wall, as the sheet has them."""
    formats = wall.formats
    return (
        fixing.label,
        formats.fixed(fixing.z_m, 3),
        mm(fixing.projection_mm, formats),
        formats.short(fixing.screw_mm) if fixing.screw_mm is not None else "–",
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
    return "?" if value is None else formats.number(value)


def row_notes(wall: WallSetting, fixing: Fixing, codes: dict[str, str]) -> str:
    """Where to begin, what to take down, where to look for cables."""
    said = []
    if fixing.first:
        said.append("start the wall here" if fixing is wall.start else "start here")
    if fixing.too_proud:
        said.append(f"take down {wall.formats.fixed(max(fixing.take_down_mm, 1.0))} mm")
    if fixing.zones:
        said.append("cables: " + ", ".join(codes[why] for why in fixing.zones))
    if fixing.projection_mm is None:
        said.append("not measured")
    return "; ".join(said)


# -- the whole job -------------------------------------------------------------------------------------


def job_blocks(setting: SettingOut, paper: Paper) -> list[Block]:
    """Rails to cut from stock, screws to bring, cautions."""
    inner, formats = paper.inner_px, setting.job.formats
    blocks = [paragraph(cut_words(setting), inner, TABLE_PX, 6.0, bold=True)]
    blocks += [tick_line(words, paper) for words in stock_words(setting)]
    if setting.screws or setting.screws_unknown:
        words = f"Screws: {screw_words(setting)}, in plugs of {formats.short(setting.job.rails.plug_mm)} mm."
        blocks.append(paragraph(words, inner, TABLE_PX, 10.0, bold=True))
    cautions = cautions_for(setting.job, [wall.wall for wall in setting.walls])
    said = [f"{each.title}. {each.text} ({each.source})" for each in cautions]
    said += [DEFER] if said else []
    return [*blocks, *(paragraph(words, inner, TEXT_PX - 1, 5.0) for words in said)]


def screw_words(setting: SettingOut) -> str:
    """How many screws of each length; those where nobody measured are named, so that all fixings have one."""
    formats, unknown = setting.job.formats, setting.screws_unknown
    known = [f"{count} of {formats.short(length)} mm" for length, count in setting.screws.items()]
    return ", ".join([*known, *([f"{unknown} of a length read where nobody measured"] if unknown else [])])


def cut_words(setting: SettingOut) -> str:
    """How many stock lengths, how much is over, and whether fewer could do."""
    cuts, formats = setting.cuts, setting.job.formats
    if not cuts.count:
        return "No rails to cut."
    proof = "no fewer will do" if cuts.exact else f"at least {cuts.at_least} are needed"
    stock, cut = formats.short(cuts.stock_mm / 1000), formats.fixed(cuts.cut_m, 2)
    return (
        f"Rails: {cuts.count} lengths of {stock} m for {cut} m, "
        f"{formats.fixed(cuts.left_share * 100)} % over; {proof}."
    )


def stock_words(setting: SettingOut) -> list[str]:
    """What is cut from each stock length."""
    return [
        f"Length {number}: "
        + "; ".join(f"{piece.name} {piece.length_mm} mm" for piece in stock.pieces)
        + f"; {stock.left_mm} mm over"
        for number, stock in enumerate(setting.cuts.stocks, start=1)
    ]
