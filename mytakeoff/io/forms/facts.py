"""What was understood of a survey file, in sentences for the person who wrote it."""

from __future__ import annotations

import numpy as np

from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.io.files.sheet import Sheet, decimal_mark
from mytakeoff.io.files.spreadsheet import read_cells
from mytakeoff.io.forms.desk import SurveyFile
from mytakeoff.io.survey.cells import NOT_READ, Format, heading
from mytakeoff.io.survey.found_rows import readings_part
from mytakeoff.io.survey.plumb_lines import LEVEL, NAME
from mytakeoff.io.survey.survey_file import format_of, with_headings
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import readings_of
from mytakeoff.survey.survey import Survey

SIDES = {
    "off_line": "from one line or laser back to the wall: bigger is hollower",
    NAME: "from plumb lines back to the wall, tied by level lines: bigger is hollower",
    "proud": "towards the room: bigger is prouder",
}
SEPARATED = {",": "commas", ";": "semicolons", "\t": "tabs"}


def facts_of(file: SurveyFile, survey: Survey, surface: Surface, formats: Formats = HOUSE) -> tuple[str, ...]:
    """What a file was taken for: kind, units, side, extent, how much of the wall is known.

    Parameters
    ----------
    file : SurveyFile
    survey : Survey
        As it was read.
    surface : Surface
        The wall's face by it.
    formats : Formats
    """
    said = (
        _scan_facts(survey, formats)
        if survey.layout == "scan"
        else _hand_facts(readings_part(read_cells(file.path, file.name)), survey)
    )
    return (*said, *_reach(survey, formats), *_known(surface, formats), *survey.notes)


def _hand_facts(sheet: Sheet, survey: Survey) -> tuple[str, ...]:
    head = with_headings(sheet.filled[0], survey.scan.headings)
    words = [word for cell in head for word in cell.text.lower().split()]
    found = {match[1]: match[2] for match in (heading(word, "xzop") for word in words) if match}
    kind = format_of(head)
    assert kind is not None  # else it was not read
    units = tuple(
        f"Readings in {_called(found[reading])}, {SIDES[reading]}; "
        f"distances in {_called(found.get('x', 'm'))}, heights in {_called(found.get('z', 'm'))}."
        for reading in [word for word in SIDES if word in found][:1]
    )
    mark = decimal_mark(cell for row in sheet.rows for cell in row)
    wrote = f"decimal {'comma' if mark == ',' else 'point'}"
    between = "the first sheet" if not sheet.file.text else f"cells separated by {_separator(sheet)}"
    return (f"It is {kind.name}: {_counted(sheet, survey, kind)}; {between}, {wrote}.", *units)


def _called(unit: str) -> str:
    return {"in": "inches", "ft": "feet"}.get(unit, unit)


def _separator(sheet: Sheet) -> str:
    return SEPARATED.get(sheet.separator, repr(sheet.separator))


def _counted(sheet: Sheet, survey: Survey, kind: Format) -> str:
    if not kind.crossings:
        return f"{survey.x_m.size} readings"
    head, *body = sheet.filled
    columns = [cell.column for cell in head[1:] if cell.text]
    rows = [row for row in body if not LEVEL.fullmatch(row[0].text)]
    read = sum(cell.text not in NOT_READ for row in rows for cell in row[1:])
    blank = len(columns) * len(rows) - read
    return f"{len(columns)} columns, {len(rows)} rows, {read} readings" + (
        f", {blank} of the places empty" if blank else ""
    )


def _scan_facts(survey: Survey, formats: Formats) -> tuple[str, ...]:
    choice = survey.scan
    said = [f"It is a scan: {formats.number(survey.x_m.size)} points on this wall"]
    if choice.unit:
        said.append(f"in {choice.unit}, as you said")
    return (", ".join(said) + ".",)


def _reach(survey: Survey, formats: Formats) -> tuple[str, ...]:
    read = readings_of(survey)
    across, up = (
        formats.length(float(np.min(places)), float(np.max(places)), places=2)
        for places in (read.x_m, read.z_m)
    )
    low, high = float(read.proud_mm.min()), float(read.proud_mm.max())
    over = formats.depth(high - low, places=1)
    return (f"They reach from x {across} and z {up}, over {over} from the hollowest to the proudest.",)


def _known(surface: Surface, formats: Formats) -> tuple[str, ...]:
    number, whole = formats.number, float(surface.cell_area_m2.sum())
    read = surface.net_area_m2 - surface.extended_area_m2
    said = [f"Known by readings: {number(read, 1)} of {number(whole, 1)} m²"]
    if surface.extended_area_m2 >= 0.05:
        said.append(f"carried on beyond them: {number(surface.extended_area_m2, 1)} m²")
    if surface.unknown_area_m2 >= 0.05:
        said.append(f"not known: {number(surface.unknown_area_m2, 1)} m²")
    return ("; ".join(said) + ".",)
