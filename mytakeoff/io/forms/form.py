"""Blank survey forms made for the walls of a job: a page to print or fill on a phone, and a CSV to fill."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.sheet import split
from mytakeoff.io.files.text import file_stem, path_inside, read_text
from mytakeoff.io.files.toml_fields import construct, keys_of, read_table
from mytakeoff.io.forms.page import BLANK_ROWS, form_html
from mytakeoff.io.job.open_job import job_text, parsed
from mytakeoff.io.job.shape import JOB_FILE
from mytakeoff.io.survey.found_rows import COLUMNS, PLUMB, SWEPT, TITLE, found_typed, readings_part
from mytakeoff.survey.reading_grid import FormGrid, form_grid
from mytakeoff.survey.wall import Wall

FORMS = "forms"


def form_rows(grid: FormGrid) -> list[list[str]]:
    """The blank field grid: a dash where there is nothing to read.

    Places are whole centimetres: a decimal mark would be read as a date in half of the world's spreadsheets.

    Examples
    --------
    >>> form_rows(FormGrid((0.1, 1.1), (2.0, 0.5), ((True, False), (True, True))))
    [['off_line_mm x_cm z_cm', '10', '110'], ['200', '', '-'], ['50', '', '']]
    """
    head = ["off_line_mm x_cm z_cm", *(f"{round(x_m * 100)}" for x_m in grid.x_m)]
    rows = zip(grid.z_m, grid.clear, strict=True)
    return [head, *([f"{round(z_m * 100)}", *("" if clear else "-" for clear in row)] for z_m, row in rows)]


def found_rows() -> list[list[str]]:
    """The rows under it for what is found beside the readings, blank."""
    rows = [[""], [TITLE], [PLUMB, ""], [SWEPT, ""]]
    for kind, columns in COLUMNS.items():
        rows += [[kind, *columns], *([""] * (len(columns) + 1) for _ in range(BLANK_ROWS[kind]))]
    return rows


def walls_of(folder: Path) -> tuple[Wall, ...]:
    """The walls that a job's file describes, whether or not they have been surveyed yet.

    Raises
    ------
    TakeoffError
        No job file, or a wall in it whose size or openings break their rules.
    """
    check = Check(JOB_FILE)
    keys = keys_of(Wall)
    tables = parsed(job_text(folder)).get("wall", [])
    walls = []
    for nth, table in enumerate(tables if isinstance(tables, list) else [], start=1):
        place = f"{JOB_FILE}, wall {nth}"
        own = {key: table[key] for key in keys if key in table} if isinstance(table, dict) else table
        values = read_table(keys, own, place, check)
        if {"name", "width_m", "height_m"} <= set(values):
            walls.append(construct(Wall, values, place, check))
    check.that(
        bool(tables), "no wall", "a form is made for a wall of the job", "add a [[wall]] with its size"
    )
    check.done()
    return tuple(walls)


def write_forms(folder: str | Path, wall: str | None = None, step_m: float = 0.5) -> tuple[Path, ...]:
    """Write blank survey forms into the job folder's ``forms``, a page and a CSV for each wall.

    Parameters
    ----------
    folder : str or Path
        A job folder; its walls need no survey yet.
    wall : str, optional
        The name of one wall; all of them unless given.
    step_m : float
        Greatest distance between readings [m].

    Returns
    -------
    tuple of Path
        What was written.

    Raises
    ------
    TakeoffError
        No such wall, a step that nobody measures at, or a form there that has been filled in.
    """
    folder = Path(folder)
    walls, title = walls_of(folder), str(parsed(job_text(folder)).get("title", ""))
    names = [one.name for one in walls]
    check = Check(JOB_FILE)
    check.that(
        wall is None or wall in names,
        f"no wall called {wall!r}",
        "a form is made for a wall of the job",
        f"choose from {', '.join(map(repr, names))}",
    )
    check.done()
    contents: dict[Path, bytes] = {}
    for name, stem in zip(names, _stems(names), strict=True):
        if wall in (None, name):
            one = next(one for one in walls if one.name == name)
            contents |= _form(folder, one, stem, step_m, title)
    _make(folder / FORMS)
    write_all(contents)
    return tuple(contents)


def _stems(names: Sequence[str]) -> list[str]:
    """A file name for each wall, none twice."""
    plain = [file_stem(name) for name in names]
    return [stem if plain.index(stem) == nth else f"{stem}-{nth + 1}" for nth, stem in enumerate(plain)]


def _form(folder: Path, wall: Wall, stem: str, step_m: float, job: str) -> dict[Path, bytes]:
    grid = form_grid(wall, step_m)
    rows = [*form_rows(grid), *found_rows()]
    sheet, page = (path_inside(folder, f"{FORMS}/{stem}.{kind}", FORMS) for kind in ("csv", "html"))
    _check_blank(sheet)
    text = "sep=;\r\n" + "".join(f"{';'.join(row)}\r\n" for row in rows)
    made = form_html(wall, grid, rows, sheet.name, job, folder)
    return {page: made.encode(), sheet: text.encode("utf-8-sig")}


def _check_blank(path: Path) -> None:
    """Refuse to write over readings that somebody has typed in."""
    if not path.exists():
        return
    sheet = split(read_text(path))
    cells = [cell for row in readings_part(sheet).filled[1:] for cell in row[1:]]
    typed = sum(cell.text not in ("", "-") for cell in cells) + found_typed(sheet)
    if typed:
        raise TakeoffError(
            Mistake(
                f"{typed} entries in it already",
                "a form that has been filled in is not written over",
                "move it to surveys and name it in job.toml, or give it another name",
                f"{FORMS}/{path.name}",
            )
        )


def _make(folder: Path) -> None:
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise TakeoffError(
            Mistake(
                f"{error.strerror}",
                "forms are written into the job folder",
                "see that it may be written to",
                str(folder),
            )
        ) from None
