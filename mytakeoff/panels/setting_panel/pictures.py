"""Setting out as drawings: the elevation on the screen, and the sheets as files."""

from __future__ import annotations

import re
from pathlib import Path

from mytakeoff.audience import ESTIMATOR
from mytakeoff.charts.drawing.canvas import pdf_pages, svg_text
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.drawing.paper import Paper
from mytakeoff.charts.settingout import elevation, sheet
from mytakeoff.charts.settingout.room_sheet import lines_words
from mytakeoff.io.files.csv_table import companion_bytes, csv_bytes
from mytakeoff.io.files.written import PACKED_OUT, SETTING_OUT, SQUARE_LINES
from mytakeoff.settingout.cable_zones import SOURCE, WARNING
from mytakeoff.settingout.packed_out import packed_frame
from mytakeoff.settingout.set_out import SettingOut, WallSetting
from mytakeoff.settingout.square_lines import lines_frame
from mytakeoff.treatment.cautions import cautions_for


def elevation_svg(wall: WallSetting, width_px: float, salt: str) -> str:
    """The wall as it stands on the screen; empty where it has no rails.

    Parameters
    ----------
    wall : WallSetting
    width_px : float
        [px]
    salt : str
        Different for each drawing on one page.
    """
    if not wall.rails:
        return ""
    return page_svg(elevation.make(wall, width_px), f"elevation-{salt}", elevation.describe(wall))


def slug(name: str) -> str:
    """A wall's name as part of a file's.

    Examples
    --------
    >>> slug("Party wall, upper")
    'party-wall-upper'
    """
    return re.sub(r"[^\w]+", "-", name.lower()).strip("-") or "wall"


def companion(setting: SettingOut) -> bytes:
    """What goes beside the table of fixings: what to check and to know wall by wall, and the cautions."""
    said = [
        f"{wall.name}: {words}"
        for wall in setting.walls
        for words in (*wall.checks, *wall.notices, wall.why_none)
        if words
    ]
    said = [
        *setting.not_read,
        *said,
        sheet.cut_words(setting),
        *sheet.stock_words(setting),
        *(words for room in setting.rooms for words in lines_words(room)),
        f"{WARNING} ({SOURCE})",
    ]
    cautions = [str(each) for each in cautions_for(setting.job, [wall.wall for wall in setting.walls])]
    count = f"{setting.fixing_count} fixings"
    return companion_bytes(
        ESTIMATOR, f"{setting.job.title}: setting out", count, said, cautions, setting.notes
    )


def sheet_files(setting: SettingOut, name: str, paper: str, day: str, folder: Path) -> dict[Path, bytes]:
    """What is written: all sheets as one PDF, one wall's as SVG, and the tables as CSV."""
    pages = sheet.make_pages(setting, paper=Paper(paper), day=day)
    files = {
        folder / "setting-out.pdf": pdf_pages(pages, f"{setting.job.title}: setting out"),
        folder / SETTING_OUT: csv_bytes(setting.to_frame(), setting.job.decimal_comma),
        folder / "setting-out.txt": companion(setting),
    }
    for name_of_file, table in (
        (SQUARE_LINES, lines_frame(each for room in setting.rooms for each in room.lines)),
        (PACKED_OUT, packed_frame([wall.wall for wall in setting.walls])),
    ):
        if len(table):
            files[folder / name_of_file] = csv_bytes(table, setting.job.decimal_comma)
    own = sheet.make_pages(setting, (name,), Paper(paper), day)
    for number, page in enumerate(own, start=1):
        stem = f"setting-out-{slug(name)}-{number}"
        files[folder / f"{stem}.svg"] = svg_text(page, stem).encode("utf-8")
    return files
