"""What saving a job would write, and the job that opens from it, before anything is replaced."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from mytakeoff.chain import evaluate
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.files.journal import Content
from mytakeoff.io.files.sheet import Sheet, read_sheet, split
from mytakeoff.io.files.text import FileText, decode, path_inside
from mytakeoff.io.files.three_way import Clash, reconciled
from mytakeoff.io.files.toml_fields import as_toml
from mytakeoff.io.job.job_file import check_same, edited_job
from mytakeoff.io.job.merging import Merged, merged
from mytakeoff.io.job.open_job import FoundBeside, Reader, check_tables, job_in, job_text, parsed, read_entry
from mytakeoff.io.job.packs import edited_packs, packs_in, packs_text
from mytakeoff.io.job.prices import edited_prices, prices_in, prices_text
from mytakeoff.io.job.shape import FORMAT, JOB_FILE, PACK_FILE, PRICE_FILE, SurveyEntry, full, tables_of
from mytakeoff.io.job.taken_along import opened_from, survey_places
from mytakeoff.io.job.worked_out import WORKED_OUT_FILE, read_worked_out, worked_out_text
from mytakeoff.io.scan.kind import is_scan
from mytakeoff.job.job import Job
from mytakeoff.job.packs import Pack, PackList
from mytakeoff.job.prices import Price, PriceList
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall

NOTHING_BROUGHT: Mapping[str, Path] = MappingProxyType({})
NOT_RENAMED: Mapping[str, str] = MappingProxyType({})
NEW_FILE = FileText(f"format = {FORMAT}\n", "utf-8")
NOT_TOGETHER = Mistake(
    "what was changed here does not go with what was changed in the folder by now",
    "what is saved can be opened and priced",
    "go back to the saved job and change it again, or save into a new folder to keep yours",
    JOB_FILE,
)


@dataclass(frozen=True)
class Planned:
    """What saving a job comes to.

    Parameters
    ----------
    contents : mapping of Path to bytes or Path
        What each file shall hold, in the order of writing: what ``job.toml`` names comes before it.
    job : Job
        As it opens from them.
    clashes : tuple of Clash
        What was changed here and in the folder: it is written as it is here.
    """

    contents: Mapping[Path, Content]
    job: Job
    clashes: tuple[Clash, ...]


def planned(
    job: Job,
    folder: Path,
    opened: Job | None = None,
    brought: Mapping[str, Path] = NOTHING_BROUGHT,
    renamed: Mapping[str, str] = NOT_RENAMED,
) -> Planned:
    """What saving a job to a folder would write; nothing is changed there.

    Parameters
    ----------
    job : Job
    folder : Path
    opened : Job or None
        As it was opened: what others have changed in the folder since then stays.
    brought : mapping of str to Path
        Survey files from elsewhere, by where they shall stand in the folder.
    renamed : mapping of str to str
        New names of walls where more was changed than the name, by their old ones.

    Raises
    ------
    TakeoffError
        The files there are no longer those of a job; edits of both sides that do not go together; what would
        be written could not be opened, or not be priced though the job itself can.
    """
    surveys, contents = survey_places(job, folder, opened, brought)
    text, said = _job_bytes(job, folder, surveys, opened, renamed)
    clashes = list(said.clashes)
    packs, others = _pack_bytes(job, folder, opened, clashes)
    if packs is not None:
        contents[folder / PACK_FILE] = packs
    contents[folder / PRICE_FILE], more = _price_bytes(job, folder, opened, clashes)
    from_file = said.from_file or others or more
    made = _opened_from({**contents, folder / JOB_FILE: text}, job, folder, surveys, from_file)
    if from_file:
        _check_priced(made, job)
    if made.worked_out.walls:
        contents[folder / WORKED_OUT_FILE] = worked_out_text(made).encode()
    return Planned({**contents, folder / JOB_FILE: text}, made, tuple(clashes))


# -- the job that would be opened ---------------------------------------------------------------------


def _opened_from(
    contents: Mapping[Path, Content], job: Job, folder: Path, surveys: Mapping[str, str], from_file: bool
) -> Job:
    """The job as it will open from these files, new surveys among them.

    Raises
    ------
    TakeoffError
        It would not.
    """
    check = Check(JOB_FILE)
    text, prices, packs = (contents.get(folder / name) for name in (JOB_FILE, PRICE_FILE, PACK_FILE))
    assert isinstance(text, bytes)
    assert isinstance(prices, bytes)
    with tempfile.TemporaryDirectory(prefix="mytakeoff-") as beside:
        made = job_in(
            parsed(decode(text, JOB_FILE)),
            prices_in(_sheet(prices, PRICE_FILE)),
            packs_in(_sheet(packs, PACK_FILE)) if isinstance(packs, bytes) else PackList(),
            folder,
            check,
            _reader(job, surveys, _laid_ready(contents, Path(beside))),
        )
    if check.mistakes and from_file:
        check.mistakes.insert(0, NOT_TOGETHER)
    check.done()
    assert made is not None  # else a mistake was noted
    known = read_worked_out(folder).learnt(job.worked_out.walls)
    return replace(made, worked_out=known)


def _sheet(content: bytes, name: str) -> Sheet:
    return split(decode(content, name), name)


def _laid_ready(contents: Mapping[Path, Content], beside: Path) -> dict[Path, Path]:
    """Where each new file can be read before it is in place."""
    found = {path: content for path, content in contents.items() if isinstance(content, Path)}
    for nth, (path, content) in enumerate(contents.items()):
        if isinstance(content, bytes):
            found[path] = beside / f"{nth}{path.suffix}"
            found[path].write_bytes(content)
    return found


def _reader(job: Job, surveys: Mapping[str, str], ready: Mapping[Path, Path]) -> Reader:
    """Reads a survey from where it is laid ready, else from its place; a scan that the job has read stays."""

    def read(path: Path, entry: SurveyEntry, wall: Wall, found: FoundBeside) -> Survey:
        path = ready.get(path, path)
        for own in job.walls:
            said = surveys[own.name], own.survey.plumb, own.survey.scan, own.survey.said
            sizes = own.wall.width_m, own.wall.height_m
            same = said == (entry.file, entry.plumb, entry.scan, found.said)
            if same and sizes == (wall.width_m, wall.height_m) and is_scan(path):
                survey = replace(own.survey, wall=wall, source=entry.file)
                return survey.with_high_spots(found.spots, entry.swept).with_sweeps(found.sweeps)
        return read_entry(path, entry, wall, found)

    return read


def _check_priced(made: Job, job: Job) -> None:
    """See that a job can be priced with what others have changed, if it can without."""
    mistakes = _mistakes(made)
    if mistakes and not _mistakes(job):
        raise TakeoffError(NOT_TOGETHER, *mistakes)


def _mistakes(job: Job) -> tuple[Mistake, ...]:
    """Why a job cannot be priced, by what is known of it by now; none where it can."""
    try:
        evaluate(replace(job, worked_out=replace(job.worked_out, held=True)))
    except TakeoffError as error:
        return error.mistakes
    return ()


# -- the bytes of each file ---------------------------------------------------------------------------


def _price_bytes(job: Job, folder: Path, opened: Job | None, clashes: list[Clash]) -> tuple[bytes, bool]:
    """The price file with the cells changed that differ; whether it held what the job did not know."""
    path = path_inside(folder, PRICE_FILE, str(folder))
    prices, others = job.prices, False
    if path.exists():
        sheet = read_sheet(path, PRICE_FILE)
        if opened is not None:
            rows = _rows(opened.prices, prices, prices_in(sheet), PRICE_FILE, clashes)
            prices, others = PriceList(tuple(Price(**row) for row in rows)), prices_in(sheet) != opened.prices
        text = edited_prices(sheet, prices)
        content = path.read_bytes() if text == sheet.file.text else sheet.file.encoded(text)
    else:
        content = _taken_along(job, folder, PRICE_FILE, edited_prices, prices) or prices_text(prices).encode()
    check_same(prices_in(_sheet(content, PRICE_FILE)) == prices, PRICE_FILE)
    return content, others


def _pack_bytes(
    job: Job, folder: Path, opened: Job | None, clashes: list[Clash]
) -> tuple[bytes | None, bool]:
    """The list of packs with the cells changed that differ, None where there shall be none; whether it held
    what the job did not know."""
    path = path_inside(folder, PACK_FILE, str(folder))
    sheet = read_sheet(path, PACK_FILE) if path.exists() else None
    there = packs_in(sheet) if sheet is not None else PackList()
    packs, others = job.packs, False
    if opened is not None and (folder / JOB_FILE).exists():  # else nobody can have changed the list there
        rows = _rows(opened.packs, packs, there, PACK_FILE, clashes)
        packs, others = PackList(tuple(Pack(**row) for row in rows)), there != opened.packs
    if sheet is None:
        taken = _taken_along(job, folder, PACK_FILE, edited_packs, packs)
        return (taken or packs_text(packs).encode()) if packs.rows else None, others
    if opened is None and not packs.rows:  # a job that says nothing of packs leaves them as they are
        packs = there
    text = edited_packs(sheet, packs)
    return path.read_bytes() if text == sheet.file.text else sheet.file.encoded(text), others


def _rows(
    opened: PriceList | PackList,
    now: PriceList | PackList,
    file: PriceList | PackList,
    name: str,
    clashes: list[Clash],
) -> list[dict[str, Any]]:
    """The rows of a list with the edits of both sides."""
    before, here, there = (as_toml(each.rows) for each in (opened, now, file))
    return reconciled(before, here, there, clashes, (name,))  # type: ignore[no-any-return]


def _taken_along(
    job: Job, folder: Path, name: str, edited: Callable[[Sheet, Any], str], rows: PriceList | PackList
) -> bytes | None:
    """A list in the layout that it has in the folder that the job was opened from; None without one."""
    home = opened_from(job, folder)
    if home is None or not (home / name).is_file():
        return None
    with suppress(TakeoffError):  # else it is written anew
        sheet = read_sheet(path_inside(home, name, str(home)), name)
        return sheet.file.encoded(edited(sheet, rows))
    return None


def _job_bytes(
    job: Job, folder: Path, surveys: Mapping[str, str], opened: Job | None, renamed: Mapping[str, str]
) -> tuple[bytes, Merged]:
    """The job file with the keys changed that differ, and what it says then."""
    tables = tables_of(job, surveys)
    if (folder / JOB_FILE).exists():
        file, before = job_text(folder), None
        there = full(_checked(file))
        if opened is not None:
            before = tables_of(opened, survey_places(opened, folder, opened, {})[0])
        said = merged(before, tables, there, renamed)
        if there == said.tables:
            return (folder / JOB_FILE).read_bytes(), said
        return file.encoded(edited_job(file, said.tables, said.names)), said
    if (home := opened_from(job, folder)) is not None:
        with suppress(TakeoffError):  # else it is written anew
            taken = job_text(home)
            said = merged(None, tables, full(_checked(taken)), renamed)
            return taken.encoded(edited_job(taken, tables, said.names)), said
    return NEW_FILE.encoded(edited_job(NEW_FILE, tables, {})), Merged(tables, {})


def _checked(file: FileText) -> dict[str, Any]:
    """The tables of a job file in which every key is known and of its kind.

    Raises
    ------
    TakeoffError
        Someone has changed the file so that it is no job file any more.
    """
    document = parsed(file)
    check = Check(JOB_FILE)
    check_tables(document, check)
    check.done()
    return document
