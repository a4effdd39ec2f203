"""The sheet of a wall that is typed into while it is read: which file that is, its survey, and writing it.

A sheet of text that is the wall's alone is written into, however it is laid out. A spreadsheet's own file and
one that another wall reads too stay as they are: what was read then goes to a sheet beside it, of the wall's
own name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.atomic import put_all, writing_in
from mytakeoff.io.files.journal import Content
from mytakeoff.io.files.sheet import Sheet, split
from mytakeoff.io.files.spreadsheet import read_cells
from mytakeoff.io.files.text import FileText, file_stem, path_inside
from mytakeoff.io.job.news import note_of_save
from mytakeoff.io.survey.reading_sheet import ReadingSheet, new_sheet, reading_sheet
from mytakeoff.io.survey.survey_file import survey_in
from mytakeoff.job.job import Job
from mytakeoff.survey.reading_grid import Typed, TypedGrid, TypedList, first_grid
from mytakeoff.survey.said import SAID_M, SaidOf, ScanChoice
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall

SURVEYS = "surveys"
MM_PLACES = 3


@dataclass(frozen=True)
class WallSheet:
    """A wall's sheet.

    Parameters
    ----------
    wall : str
    name : str
        Of the file, below the job's folder.
    own : ReadingSheet
    is_new : bool
        It is not there yet.
    instead_of : str
        The file in which the readings stand now and which stays as it is; "" where it is this one, or none.
    """

    wall: str
    name: str
    own: ReadingSheet
    is_new: bool = False
    instead_of: str = ""


def sheet_of(job: Job, wall: str, begun: str = "") -> WallSheet:
    """The sheet that readings of a wall are typed into.

    Parameters
    ----------
    job : Job
    wall : str
        Its name.
    begun : str
        A file that was begun for this wall and that the job does not name by now.

    Raises
    ------
    TakeoffError
        The wall was scanned, or what stands in its file is no survey.
    """
    entry = job.wall(wall)
    survey, source = entry.survey, entry.survey.source
    if survey.layout == "scan":
        raise TakeoffError(
            Mistake("this wall was scanned", "readings are typed for a wall that is read by hand",
                    "look at its scan in the survey workbook", f"wall {wall!r}")
        )  # fmt: skip
    others = {each.survey.source for each in job.walls if each.name != wall}
    for name in filter(None, (source, begun)):
        if name not in others and (sheet := _text_sheet(job, name)) is not None:
            return WallSheet(wall, name, reading_sheet(sheet, entry.wall, survey.scan.headings))
    name = next(
        each for each in _names(wall) if each not in others and not (Path(job.folder) / each).exists()
    )
    return WallSheet(wall, name, _begun(survey), True, source)


def survey_with(job: Job, sheet: WallSheet, typed: Typed) -> tuple[str, Survey]:
    """The text of a wall's sheet with other readings or places, and the survey that it is then.

    Raises
    ------
    TakeoffError
        A reading that cannot be, or whatever else is wrong with it.
    """
    text = sheet.own.text_with(typed)
    before = job.wall(sheet.wall).survey
    scan = ScanChoice() if sheet.is_new else before.scan
    found = survey_in(
        split(FileText(text, "utf-8"), sheet.name), before.wall, before.plumb, scan, so_far=True
    )
    spots = zip(before.high_x_m.tolist(), before.high_z_m.tolist(), before.high_mm.tolist(), strict=True)
    said = tuple(one for one in before.said if _is_read(one, found))
    found = found.with_said(said, so_far=True) if said else found
    return text, found.with_high_spots(list(spots), before.swept).with_sweeps(before.sweeps)


def write_sheet(job: Job, sheet: WallSheet, text: str, workbook: str = "") -> None:
    """Put a wall's sheet into the job's folder, with a note of the workbook that does.

    Raises
    ------
    TakeoffError
        It cannot be written; the file is as it was.
    """
    folder = Path(job.folder)
    path = path_inside(folder, sheet.name, f"wall {sheet.wall!r}")
    with writing_in(folder):
        path.parent.mkdir(exist_ok=True)
        written: dict[Path, Content] = {path.absolute(): sheet.own.sheet.file.encoded(text)}
        note = note_of_save(folder, {path: written[path.absolute()]}, workbook) if workbook else {}
        put_all(folder, {**note, **written})


def saying(sheet: WallSheet, survey: Survey) -> Typed:
    """What the sheet holds once it says the same as a survey: its places stay, and so do its dashes.

    Parameters
    ----------
    sheet : WallSheet
        Of any kind but plumb lines, whose readings are each off a line of its own.
    survey : Survey
    """
    typed = sheet.own.typed
    for spot in typed.spots:
        if isinstance(typed.value(spot), float):
            typed = typed.with_read(spot, None)
    for x_m, z_m, proud_mm in _readings_of(survey):
        if isinstance(typed, TypedList):
            typed = typed.with_place(x_m, z_m)
        else:
            typed = typed.with_column(x_m).with_row(z_m)
        at = typed.at(x_m, z_m)
        assert at is not None  # it was added where it was not there
        typed = typed.with_read(at, sheet.own.as_read(proud_mm))
    return typed


def _text_sheet(job: Job, name: str) -> Sheet | None:
    """A file of the job's folder, if it is there and is text."""
    path = path_inside(Path(job.folder), name, "survey file") if job.folder else None
    if path is None or not path.is_file():
        return None
    sheet = read_cells(path, name)
    return sheet if sheet.file.text else None


def _names(wall: str) -> Iterator[str]:
    """What a sheet of a wall may be called."""
    stem = file_stem(wall)
    return (f"{SURVEYS}/{stem}{'' if nth == 1 else f'-{nth}'}.csv" for nth in count(1))


def _begun(survey: Survey) -> ReadingSheet:
    """A sheet with the readings that there are, or with the places of a form."""
    readings = [(x, z, round(0.0 - mm, MM_PLACES) + 0.0) for x, z, mm in _readings_of(survey)]
    if survey.x_m.size and survey.layout != "grid":
        return new_list(TypedList(tuple(readings)), survey.wall)
    if not readings:
        return new_sheet(first_grid(survey.wall))
    grid = TypedGrid.empty(sorted({x for x, _, _ in readings}), sorted({z for _, z, _ in readings})[::-1])
    for x_m, z_m, off_mm in readings:
        spot = grid.at(x_m, z_m)
        assert spot is not None  # its column and row are made of the readings' places
        grid = grid.with_read(spot, off_mm)
    return new_sheet(grid)


def new_list(places: TypedList, wall: Wall) -> ReadingSheet:
    """A list of single places, off one line."""
    empty = reading_sheet(split(FileText("x_m,z_m,off_line_mm\n", "utf-8")), wall)
    return reading_sheet(split(FileText(empty.text_with(places), "utf-8")), wall)


def _readings_of(survey: Survey) -> Iterator[tuple[float, float, float]]:
    return zip(survey.x_m.tolist(), survey.z_m.tolist(), survey.proud_mm.tolist(), strict=True)


def _is_read(one: SaidOf, survey: Survey) -> bool:
    """Whether there is a reading where a word was said."""
    near = (survey.x_m - one.x_m) ** 2 + (survey.z_m - one.z_m) ** 2 <= SAID_M**2
    return bool(near.any())
