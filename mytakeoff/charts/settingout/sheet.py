"""The setting-out sheets: walls to scale, checks, fixings to tick, square lines, cut list, cautions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from matplotlib.figure import Figure

from mytakeoff.audience import ESTIMATOR, first_line
from mytakeoff.charts.drawing.frame import scale_bar_m
from mytakeoff.charts.drawing.lettering import LINE, level_line, outline, wrapped, write
from mytakeoff.charts.drawing.paper import A4, MARGIN_PX, Block, Paper, paged, paragraph, sheet
from mytakeoff.charts.settingout import elevation
from mytakeoff.charts.settingout.elevation import (
    Drawing,
    draw_fitting,
    draw_fixing,
    draw_spot,
    fitting_scale,
    stripes_box,
)
from mytakeoff.charts.settingout.fixing_table import cut_length, tables
from mytakeoff.charts.settingout.room_sheet import packed_blocks, room_blocks, tick_line
from mytakeoff.formats.formats import Formats, counted
from mytakeoff.rails.cut_list import Piece, Stock
from mytakeoff.settingout.cable_zones import SOURCE, WARNING
from mytakeoff.settingout.fixings import Fixing
from mytakeoff.settingout.set_out import SettingOut, WallSetting
from mytakeoff.treatment.cautions import DEFER, cautions_for

TEXT_PX, TABLE_PX = 13.0, 14.5
SPOT_WORDS = "high spot that sets the plane"
DRAWING_SHARE = 0.57  # of a sheet's height, at most
SMALLEST = 50  # a wall is drawn this many times smaller if that brings it onto one sheet, and no smaller
FOR_WHOM = first_line(ESTIMATOR)
FOOT = "x from the wall's left end, heights from the floor, as you face it from inside the room."


def make_pages(
    setting: SettingOut, names: Sequence[str] = (), paper: Paper = A4, day: str = ""
) -> tuple[Figure, ...]:
    """All sheets: of each wall its own, of each squared room its lines, then rails to cut, screws, cautions.

    Parameters
    ----------
    setting : SettingOut
    names : sequence of str
        Walls to draw; empty: all that have rails, then why the others have none, beside the cut list.
    paper : Paper
    day : str
        As it stands on the sheet.

    Returns
    -------
    tuple of matplotlib.figure.Figure
        Black on white.
    """
    walls = [wall for wall in setting.walls if wall.name in names or (wall.rails and not names)]
    sheets = [(wall_subject(wall), page) for wall in walls for page in wall_blocks(wall, paper)]
    if not names:
        for room in (each for each in setting.rooms if each.squared):
            pages = paged(room_blocks(room, paper), paper.room_px)
            sheets += [(f"Square lines on the floor: {room.name}", page) for page in pages]
        sheets += [
            ("Rails to cut, screws, cautions", page)
            for page in paged(job_blocks(setting, paper), paper.room_px)
        ]
    return tuple(
        sheet(paper, page, setting.job.title, subject, day, f"page {number} of {len(sheets)}", FOOT, FOR_WHOM)
        for number, (subject, page) in enumerate(sheets, start=1)
    )


def wall_subject(wall: WallSetting) -> str:
    """What stands under the title of a wall's sheets."""
    return f"Setting out: {wall.name}, {wall.wall.entry.room}"


def wall_blocks(wall: WallSetting, paper: Paper) -> list[list[Block]]:
    """The blocks of one wall, sheet by sheet: one sheet if it can be, else the table on the back."""
    if not wall.rails:
        return [[paragraph(wall.why_none, paper.inner_px, TABLE_PX)]]
    codes, natural = zone_codes(wall), scale_of(wall, paper)
    for times in (natural, *(scale for scale in elevation.SCALES if natural < scale <= SMALLEST)):
        front = front_blocks(wall, paper, times)
        spare = paper.room_px - sum(block.height_px for block in front)
        here, _ = tables(wall, codes, paper, spare)
        if here is not None:
            return [[*front, here]]
    _, back = tables(wall, codes, paper, 0.0)
    return [*paged(front_blocks(wall, paper, natural), paper.room_px), *([block] for block in back)]


def front_blocks(wall: WallSetting, paper: Paper, times: int) -> list[Block]:
    """What stands over the table, the wall drawn so many times smaller than it is [-]."""
    inner = paper.inner_px
    blocks = [drawing_block(wall, paper, times), key_block(wall, paper)]
    if wall.zones:
        listed = "; ".join(f"{code} {why}" for why, code in zone_codes(wall).items())
        blocks.append(boxed(WARNING, paper))
        blocks.append(paragraph(f"Where to look: {listed}. ({SOURCE})", inner, TEXT_PX, 8.0))
    blocks += [tick_line(words, paper) for words in wall.checks]
    return blocks + [paragraph(f"To know: {words}.", inner, TEXT_PX) for words in wall.notices]


def zone_codes(wall: WallSetting) -> dict[str, str]:
    """A mark for each reason to look for cables, Z1, Z2 …: letters are rails and high spots."""
    return {zone.why: f"Z{nth}" for nth, zone in enumerate(wall.zones, start=1)}


# -- above the table -----------------------------------------------------------------------------------


def scale_of(wall: WallSetting, paper: Paper) -> int:
    """How many times smaller than the wall it is drawn [-]."""
    ground = wall.wall.entry.wall
    up = paper.room_px * DRAWING_SHARE - elevation.HEAD_PX - elevation.FOOT_PX
    return fitting_scale(ground.width_m, ground.height_m, (paper.inner_px - elevation.SIDE_PX - 2, up))


def drawing_block(wall: WallSetting, paper: Paper, times: int) -> Block:
    """The elevation to scale, with a metre or a yard to measure on it."""
    ground, bar_m = wall.wall.entry.wall, scale_bar_m(wall.formats)
    px = elevation.PX_PER_M / times
    height = elevation.HEAD_PX + ground.height_m * px + elevation.FOOT_PX

    def draw(figure: Figure, top: float) -> None:
        spare = paper.inner_px - elevation.SIDE_PX - ground.width_m * px
        left = MARGIN_PX + elevation.SIDE_PX + max(spare, 0.0) / 2
        floor = top + elevation.HEAD_PX + ground.height_m * px
        elevation.draw(figure, wall, Drawing(left, floor, px, paper.size_px[1]))
        _bar(figure, paper, top + height + 2, px * bar_m, f"{wall.formats.length(bar_m)} at 1:{times}")

    return Block(height + 26, draw)


def _bar(figure: Figure, paper: Paper, at: float, long_px: float, words: str) -> None:
    """A length of the drawing, `at` from the top, at the right of the sheet [px]."""
    right = paper.size_px[0] - MARGIN_PX
    level_line(figure, (right - long_px, right), at + 8, 1.6, marker="|", markersize=8, gid="scale-bar")
    write(figure, right - long_px - 10, at, words, TEXT_PX, across="right")


def key_block(wall: WallSetting, paper: Paper) -> Block:
    """What the marks on the drawing mean, two beside each other."""
    fixing = Fixing("1", 1, 0.0, 0.0, 5.0, 0.0, 11.0, 35.0, 40.0)
    zoned, first = _like(fixing, zones=("",)), _like(fixing, first=True)
    proud = _like(fixing, take_down_mm=1.0)
    marks: list[tuple[Callable[[Figure, tuple[float, float]], None], str]] = [
        (lambda figure, at: draw_fixing(figure, at, fixing), wall.held_by),
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
    marks.append((lambda figure, at: draw_spot(figure, at, "A"), SPOT_WORDS))
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


# -- the whole job -------------------------------------------------------------------------------------


def job_blocks(setting: SettingOut, paper: Paper) -> list[Block]:
    """Rails to cut from stock, screws to bring, walls without rails, cautions."""
    inner = paper.inner_px
    blocks = [boxed(f"{wall.name}: {wall.why_none}", paper) for wall in setting.refused]
    blocks.append(paragraph(cut_words(setting), inner, TABLE_PX, 6.0, bold=True))
    blocks += [tick_line(words, paper) for words in stock_words(setting)]
    blocks.append(Block(6.0, lambda figure, top: None))
    blocks += [paragraph(words, inner, TABLE_PX, 10.0, bold=True) for words in screw_words(setting)]
    blocks += packed_blocks(setting, paper)
    missing = [
        f"{wall.name}: {wall.why_none}" for wall in setting.walls if not wall.rails and not wall.refused
    ]
    cautions = cautions_for(setting.job, [wall.wall for wall in setting.walls])
    said = [f"{each.title}. {each.text} ({each.source})" for each in cautions]
    said += [DEFER] if said else []
    blocks += [paragraph(words, inner, TEXT_PX, 6.0) for words in (*missing, *setting.not_read)]
    return [*blocks, *(paragraph(words, inner, TEXT_PX - 1, 5.0) for words in said)]


def screw_words(setting: SettingOut) -> list[str]:
    """Screws to bring by their length, and where it is seen on the wall only which one is needed."""
    formats, said = setting.job.formats, []
    if setting.screws:
        listed = ", ".join(f"{count} of {formats.depth(length)}" for length, count in setting.screws.items())
        said.append(f"Screws: {listed}, in plugs of {formats.depth(setting.job.rails.plug_mm)}.")
    return [*said, *filter(None, [unread_words(setting)])]


def unread_words(setting: SettingOut) -> str:
    """Which fixings have no screw in that list; empty where each has one or nothing is drilled."""
    unread = [
        f"{wall.name} {fixing.label}" for wall in setting.walls if wall.drilled for fixing in wall.unread
    ]
    more = f"{counted(len(unread), 'fixing')} more where nobody measured"
    return f"{more}: {', '.join(unread)}." if unread else ""


def cut_words(setting: SettingOut) -> str:
    """How many stock lengths, how much is over, and whether fewer could do."""
    cuts, formats = setting.cuts, setting.job.formats
    if not cuts.count:
        return "No rails to cut."
    proof = "no fewer will do" if cuts.exact else f"at least {cuts.at_least} are needed"
    stock, cut = formats.length(cuts.stock_mm / 1000), formats.length(cuts.cut_m, places=2)
    return (
        f"Rails: {counted(cuts.count, 'length')} of {stock} for {cut}, "
        f"{formats.fixed(cuts.left_share * 100)} % over; {proof}."
    )


def stock_words(setting: SettingOut) -> list[str]:
    """What is cut from stock lengths, those that are cut alike together."""
    alike: dict[tuple[int, ...], list[Stock]] = {}
    for stock in setting.cuts.stocks:
        alike.setdefault(tuple(piece.length_mm for piece in stock.pieces), []).append(stock)
    return [_alike_words(stocks, setting.job.formats) for stocks in alike.values()]


def _alike_words(stocks: Sequence[Stock], formats: Formats) -> str:
    """So many lengths, what is cut from each, what is over, and where the pieces go."""
    by_length: dict[str, list[Piece]] = {}
    for stock in stocks:
        for piece in stock.pieces:
            by_length.setdefault(cut_length(piece.length_mm, formats), []).append(piece)
    cuts = " and ".join(f"{len(found) // len(stocks)} × {cut}" for cut, found in by_length.items())
    each = "each " if len(stocks) > 1 else ""
    head = f"{counted(len(stocks), 'length')}, {each}{cuts}, {cut_length(stocks[0].left_mm, formats)} over"
    if len(by_length) == 1:
        return f"{head}: {_places(next(iter(by_length.values())))}."
    return f"{head}: {'; '.join(f'{cut} for {_places(found)}' for cut, found in by_length.items())}."


def _places(pieces: Sequence[Piece]) -> str:
    """Where pieces go, the rails of a wall together.

    Examples
    --------
    >>> _places([Piece("A, rail 1", 900), Piece("A, rail 2", 900), Piece("B, rail 1", 900)])
    'A, rails 1, 2; B, rail 1'
    """
    walls: dict[str, list[str]] = {}
    for piece in pieces:
        wall, _, rail = piece.name.rpartition(", rail ")
        walls.setdefault(wall, []).append(rail)
    return "; ".join(
        f"{wall}, {'rail' if len(rails) == 1 else 'rails'} {', '.join(rails)}"
        for wall, rails in walls.items()
    )
