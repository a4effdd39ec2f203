"""What saving a job would write: each file's bytes, edits of others in the files kept."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import count
from pathlib import Path
from typing import Any

from mytakeoff.errors import Check
from mytakeoff.io.files.sheet import read_sheet, split
from mytakeoff.io.files.text import FileText, decode, file_stem, path_inside
from mytakeoff.io.files.three_way import reconciled
from mytakeoff.io.files.toml_fields import as_toml
from mytakeoff.io.job.job_file import check_same, edited_job
from mytakeoff.io.job.open_job import check_tables, job_text, parsed
from mytakeoff.io.job.packs import edited_packs, packs_in, packs_text
from mytakeoff.io.job.prices import edited_prices, prices_in, prices_text
from mytakeoff.io.job.shape import FORMAT, JOB_FILE, PACK_FILE, PRICE_FILE, full, tables_of
from mytakeoff.io.job.worked_out import WORKED_OUT_FILE, worked_out_text
from mytakeoff.io.survey.survey_file import survey_text
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.packs import Pack, PackList
from mytakeoff.job.prices import Price, PriceList

NEW_FILE = FileText(f"format = {FORMAT}\n", "utf-8")


def contents_of(job: Job, folder: Path, opened: Job | None) -> dict[Path, bytes]:
    """What each file of the folder shall hold once the job is saved there.

    Raises
    ------
    TakeoffError
        The files there are no longer those of a job.
    """
    surveys = {wall.name: _survey_file(wall, folder) for wall in job.walls}
    contents = {
        folder / JOB_FILE: _job_bytes(job, folder, surveys, opened),
        folder / PRICE_FILE: _price_bytes(job, folder, opened),
    }
    for wall in job.walls:
        path = path_inside(folder, surveys[wall.name], f"wall {wall.name!r}")
        if not path.exists():
            contents[path] = survey_text(wall.survey).encode()
    if job.packs.rows:
        contents[folder / PACK_FILE] = _pack_bytes(job, folder, opened)
    if job.worked_out.walls:
        contents[folder / WORKED_OUT_FILE] = worked_out_text(job).encode()
    return contents


def on_disk(path: Path) -> bytes | None:
    """What a file holds; None where there is none."""
    return path.read_bytes() if path.exists() else None


def _survey_file(wall: JobWall, folder: Path) -> str:
    """The file of a wall's survey in the folder: its own, or a new name."""
    source = wall.survey.source
    if source and (source.lower().endswith(".csv") or (folder / source).is_file()):
        path_inside(folder, source, f"wall {wall.name!r}")
        return source
    stem = file_stem(wall.name)
    text = survey_text(wall.survey).encode()
    names = (f"surveys/{stem}{'' if nth == 1 else f'-{nth}'}.csv" for nth in count(1))
    return next(name for name in names if on_disk(folder / name) in (None, text))


def _price_bytes(job: Job, folder: Path, opened: Job | None) -> bytes:
    """The price file with the cells changed that differ."""
    path = path_inside(folder, PRICE_FILE, str(folder))
    prices = job.prices
    if path.exists():
        sheet = read_sheet(path, PRICE_FILE)
        prices = _merged_prices(job, opened, prices_in(sheet))
        text = edited_prices(sheet, prices)
        content = path.read_bytes() if text == sheet.file.text else sheet.file.encoded(text)
    else:
        content = prices_text(prices).encode()
    check_same(prices_in(split(decode(content, PRICE_FILE), PRICE_FILE)) == prices, PRICE_FILE)
    return content


def _pack_bytes(job: Job, folder: Path, opened: Job | None) -> bytes:
    """The list of packs with the cells changed that differ."""
    path = path_inside(folder, PACK_FILE, str(folder))
    if not path.exists():
        return packs_text(job.packs).encode()
    sheet, packs = read_sheet(path, PACK_FILE), job.packs
    if opened is not None:
        rows = reconciled(*(as_toml(each.rows) for each in (opened.packs, packs, packs_in(sheet))))
        packs = PackList(tuple(Pack(**row) for row in rows))
    text = edited_packs(sheet, packs)
    return path.read_bytes() if text == sheet.file.text else sheet.file.encoded(text)


def _merged_prices(job: Job, opened: Job | None, file: PriceList) -> PriceList:
    if opened is None:
        return job.prices
    rows = reconciled(*(as_toml(prices.rows) for prices in (opened.prices, job.prices, file)))
    return PriceList(tuple(Price(**row) for row in rows))


def _job_bytes(job: Job, folder: Path, surveys: Mapping[str, str], opened: Job | None) -> bytes:
    """The job file with the keys changed that differ."""
    exists = (folder / JOB_FILE).exists()
    file = job_text(folder) if exists else NEW_FILE
    tables = tables_of(job, surveys)
    if exists:
        there = full(_checked(file))
        if opened is not None:
            before = tables_of(opened, {wall.name: _survey_file(wall, folder) for wall in opened.walls})
            tables = reconciled(before, tables, there)
        if there == tables:
            return (folder / JOB_FILE).read_bytes()
    return file.encoded(edited_job(file, tables))


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
