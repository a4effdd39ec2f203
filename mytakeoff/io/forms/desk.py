"""A survey being entered: the files to choose from, the wall that one makes, and its way into the job."""

from __future__ import annotations

import re
from collections.abc import Generator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.sheet import split
from mytakeoff.io.files.spreadsheet import read_cells
from mytakeoff.io.files.text import file_stem, path_inside, read_text
from mytakeoff.io.files.written import SIGNED, begins_as_written, is_written
from mytakeoff.io.forms.form import FORMS
from mytakeoff.io.job.save_job import Saved, write_job
from mytakeoff.io.scan.kind import ENDINGS, is_scan
from mytakeoff.io.survey.cells import was_read
from mytakeoff.io.survey.found_rows import FoundInSheet, found_in, found_typed, readings_part
from mytakeoff.io.survey.grid import is_grid
from mytakeoff.io.survey.survey_file import format_of, read_survey
from mytakeoff.job.edits import with_wall_name
from mytakeoff.job.findings import Findings, findings_of, with_findings
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.steps import relabel
from mytakeoff.survey.said import ScanChoice
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall

if TYPE_CHECKING:
    from mytakeoff.io.scan.found_wall import FoundWall

SURVEYS = "surveys"
BY_HAND = (".csv", ".tsv", ".txt", ".xlsx", ".xlsm", ".ods")
SCANS = tuple(ending for known in ENDINGS.values() for ending in known)
TEXTS = (".csv", ".tsv", ".txt")
LARGEST_FORM = 100_000  # bytes: a blank form is some hundreds
MOST_FILES = 500
SAFE_NAME = re.compile(r"[^\w.\- ]+")


@dataclass(frozen=True)
class SurveyFile:
    """A file to read: where it lies, and its name in the job (its own name until it is saved there)."""

    path: Path
    name: str
    in_job: bool = True

    @property
    def scan(self) -> bool:
        """Whether it is a scan."""
        return is_scan(self.path)


@dataclass(frozen=True)
class Draft:
    """One wall with its survey as it is being entered.

    Parameters
    ----------
    wall : Wall
    room, background : str
    file : SurveyFile or None
    plumb, swept : bool
        Whether the plane measured off was plumb; whether the whole wall was swept.
    scan : ScanChoice
        What was said about a scan.
    replaces : str
        Name of the job's wall that it takes the place of; empty for a new one.
    found : Findings
        What was found on the wall beside the readings.
    """

    wall: Wall
    room: str
    background: str
    file: SurveyFile | None = None
    plumb: bool = True
    swept: bool = False
    scan: ScanChoice = field(default_factory=ScanChoice)
    replaces: str = ""
    found: Findings = field(default_factory=Findings)

    @property
    def readings(self) -> tuple[Any, ...]:
        """What its readings depend on beside what is said of them."""
        return self.file, self.wall.width_m, self.wall.height_m, self.plumb, self.scan


def survey_files(folder: str | Path) -> tuple[str, ...]:
    """Files of the job folder that may be surveys, by their paths in it: those of ``surveys`` first.

    Parameters
    ----------
    folder : str or Path
    """
    folder = Path(folder)
    found = []
    for path in sorted([*folder.glob("*"), *folder.glob("*/*"), *folder.glob("*/*/*")]):
        inner = path.relative_to(folder)
        hidden = any(part.startswith((".", "_")) for part in inner.parts) or inner.parts[0] == SIGNED
        if path.suffix.lower() in (*BY_HAND, *SCANS) and not hidden and not _no_survey(path):
            found.append(inner.as_posix())
    ranks = {SURVEYS: 0, FORMS: 1}
    return tuple(sorted(found, key=lambda name: (ranks.get(name.split("/")[0], 2), name))[:MOST_FILES])


def _no_survey(path: Path) -> bool:
    """Whether a file is one of ours that never is a survey, or a form that nobody has filled in yet."""
    if is_written(path.name):
        return True
    if path.suffix.lower() not in TEXTS:
        return False
    return begins_as_written(path) or _blank_form(path)


def _blank_form(path: Path) -> bool:
    """Whether a file is a field grid without a reading."""
    try:
        if path.stat().st_size > LARGEST_FORM:
            return False
        sheet = split(read_text(path))
        head, *body = readings_part(sheet).filled
    except (OSError, TakeoffError, ValueError):  # whoever reads it says why it is none
        return False
    read = any(was_read(cell) for row in body for cell in row[1:])
    return is_grid(head) and not read and not found_typed(sheet)


def file_in(folder: str | Path, name: str) -> SurveyFile:
    """One of the job folder's files.

    Raises
    ------
    TakeoffError
        The name leads out of the folder.
    """
    return SurveyFile(path_inside(Path(folder), name, "survey file"), name)


def brought_file(scratch: str | Path, name: str, content: bytes) -> SurveyFile:
    """A file that came from elsewhere, put into a scratch folder under its own bare name."""
    bare = SAFE_NAME.sub("-", Path(name.replace("\\", "/")).name).strip(". ") or "survey.csv"
    path = Path(scratch) / bare
    write_all({path: content})
    return SurveyFile(path, bare, in_job=False)


def draft_of(job: Job, name: str) -> Draft:
    """The job's own wall as a draft.

    Raises
    ------
    TakeoffError
        No wall is called so.
    """
    entry = job.wall(name)
    survey = entry.survey
    known = bool(survey.source) and bool(job.folder) and (Path(job.folder) / survey.source).is_file()
    file = file_in(job.folder, survey.source) if known else None
    return Draft(
        entry.wall, entry.room, entry.background, file, survey.plumb, survey.swept, survey.scan, name,
        findings_of(entry),
    )  # fmt: skip


def read_draft(draft: Draft) -> Survey:
    """The survey of a draft's file, all at once; a scan is better read in steps.

    Raises
    ------
    TakeoffError
        No file was chosen, or whatever is wrong with it.
    """
    file, scan = _file_of(draft), draft.scan
    return read_survey(
        file.path,
        draft.wall,
        draft.plumb,
        swept=draft.swept,
        name=file.name,
        unit=scan.unit,
        up=scan.up,
        found=scan.found,
        other_side=scan.other_side,
        bow_out=scan.bow_out,
        headings=scan.headings,
    )


def says_no_headings(file: SurveyFile | None) -> bool:
    """Whether a file is a sheet whose first row does not say what its numbers are."""
    if file is None or file.scan:
        return False
    try:
        rows = read_cells(file.path, file.name).filled
    except TakeoffError:  # whoever reads it says why
        return False
    return bool(rows) and format_of(rows[0]) is None


def found_beside(file: SurveyFile) -> FoundInSheet:
    """What a form says of its wall under the readings; nothing of a scan.

    Raises
    ------
    TakeoffError
        What stands there and cannot be.
    """
    try:
        sheet = None if file.scan else read_cells(file.path, file.name)
    except TakeoffError:  # whoever reads it says why
        sheet = None
    return FoundInSheet() if sheet is None else found_in(sheet)


def find_steps(draft: Draft) -> Generator[float, None, tuple[FoundWall, ...]]:
    """The walls in a draft's scan, in steps: yields the share done, returns the walls."""
    from mytakeoff.io.scan.find_walls import find_walls_steps

    file = _file_of(draft)
    return (yield from find_walls_steps(file.path, draft.scan.unit, draft.scan.up, file.name))


def ways_steps(walls: Sequence[FoundWall]) -> Generator[float, None, tuple[FoundWall, ...]]:
    """The largest wall by each axis that may be up, in steps, all of them past the reading of the file."""
    from mytakeoff.io.scan.other_ways import each_way_steps

    return (yield from relabel(each_way_steps(walls[0]), lambda _: 1.0))


def scan_steps(draft: Draft, walls: Sequence[FoundWall]) -> Generator[float, None, Survey]:
    """The survey of the wall chosen in a draft's scan with all that stands off it, in steps: yields the share
    done, returns the survey.

    Parameters
    ----------
    draft : Draft
    walls : sequence of FoundWall
        As `find_steps` gave them for the same file, unit and way up.
    """
    survey = yield from chosen_wall(draft, walls).whole_steps(draft.wall, draft.plumb)
    return replace(survey, swept=draft.swept, source=_file_of(draft).name, scan=draft.scan)


def chosen_wall(draft: Draft, walls: Sequence[FoundWall]) -> FoundWall:
    """The wall that is chosen among those found in a scan, seen from the side that is chosen."""
    chosen = walls[min((draft.scan.found or 1), len(walls)) - 1]
    chosen = chosen.other_side() if draft.scan.other_side else chosen
    return chosen.without_bow() if draft.scan.bow_out else chosen


def _file_of(draft: Draft) -> SurveyFile:
    if draft.file is None:
        raise TakeoffError(
            Mistake(
                "no file",
                "a survey is read from a file",
                "choose one of the job folder or bring one",
                "survey",
            )
        )
    return draft.file


def entry_of(job: Job, draft: Draft, survey: Survey) -> JobWall:
    """The job's wall with the draft's outline, survey and findings.

    Raises
    ------
    TakeoffError
        What was found does not fit the outline or the readings: all of it together.
    """
    known = job.wall(draft.replaces) if draft.replaces else None
    entry = known or JobWall(draft.wall, draft.room, survey, draft.background)
    placed = replace(survey, wall=draft.wall, swept=draft.swept)
    return with_findings(
        entry, draft.found, placed, wall=draft.wall, room=draft.room, background=draft.background
    )


def with_entry(job: Job, draft: Draft, entry: JobWall) -> Job:
    """The job with that wall added, or in place of the one that it replaces and named so everywhere."""
    if not draft.replaces:
        return replace(job, walls=(*job.walls, entry))
    called = with_wall_name(job, draft.replaces, entry.name)
    return replace(called, walls=tuple(entry if wall.name == entry.name else wall for wall in called.walls))


def save_draft(job: Job, draft: Draft, survey: Survey) -> tuple[Saved, Draft]:
    """Write a draft to the job's folder: its file into ``surveys``, its wall into ``job.toml``.

    Parameters
    ----------
    job : Job
        As it was opened; what others have changed in its file meanwhile stays.
    draft : Draft
    survey : Survey
        As `read_draft` gave it.

    Returns
    -------
    Saved, Draft
        Both as they are now on the disk.

    Raises
    ------
    TakeoffError
        Nothing to save to, or it cannot be written; then the folder is as it was.
    """
    if not job.folder:
        raise TakeoffError(
            Mistake(
                "a job without a folder",
                "a survey is saved in a job's folder",
                "save the job first",
                "survey",
            )
        )
    folder, file = Path(job.folder), _file_of(draft)
    target = _place_in(folder, file)
    placed = replace(survey, source=target)
    made = with_entry(job, draft, entry_of(job, draft, placed))
    brought = {} if (folder / target).exists() else {target: file.path}
    renamed = {draft.replaces: draft.wall.name} if draft.replaces else {}
    saved = write_job(made, folder, job, "survey", brought, renamed)
    done = replace(draft, file=file_in(folder, target), replaces=draft.wall.name)
    return saved, done


def _place_in(folder: Path, file: SurveyFile) -> str:
    """Where the file stands in the job: where it is, but a form or a file from elsewhere goes to surveys."""
    if file.in_job and not file.name.startswith(f"{FORMS}/"):
        return file.name
    suffix = file.path.suffix.lower() or ".csv"
    stem = file_stem(file.path.stem)
    size = file.path.stat().st_size
    nth = 1
    while True:
        name = f"{SURVEYS}/{stem}{'' if nth == 1 else f'-{nth}'}{suffix}"
        there = folder / name
        if not there.exists() or (there.stat().st_size == size and _same(there, file.path)):
            return name
        nth += 1


def _same(one: Path, other: Path) -> bool:
    """Whether two files of one size hold the same, compared piece by piece."""
    with one.open("rb") as first, other.open("rb") as second:
        while piece := first.read(2**20):
            if piece != second.read(2**20):
                return False
    return True
