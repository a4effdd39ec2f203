"""What saving a job would write: each file's bytes, edits of others in the files kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from types import MappingProxyType
from typing import Any

from mytakeoff.errors import Check, TakeoffError
from mytakeoff.io.files.journal import Content
from mytakeoff.io.files.sheet import Sheet, read_sheet, split
from mytakeoff.io.files.text import FileText, decode, path_inside
from mytakeoff.io.files.three_way import reconciled
from mytakeoff.io.files.toml_fields import as_toml
from mytakeoff.io.job.job_file import check_same, edited_job
from mytakeoff.io.job.open_job import check_tables, job_text, parsed
from mytakeoff.io.job.packs import edited_packs, packs_in, packs_text
from mytakeoff.io.job.prices import edited_prices, prices_in, prices_text
from mytakeoff.io.job.shape import FORMAT, JOB_FILE, PACK_FILE, PRICE_FILE, full, tables_of
from mytakeoff.io.job.taken_along import opened_from, survey_places
from mytakeoff.io.job.worked_out import WORKED_OUT_FILE, worked_out_text
from mytakeoff.job.job import Job
from mytakeoff.job.packs import Pack, PackList
from mytakeoff.job.prices import Price, PriceList

NOTHING_BROUGHT: Mapping[str, Path] = MappingProxyType({})
NEW_FILE = FileText(f"format = {FORMAT}\n", "utf-8")


def contents_of(
    job: Job, folder: Path, opened: Job | None, brought: Mapping[str, Path] = NOTHING_BROUGHT
) -> dict[Path, Content]:
    """What each file of the folder shall hold once the job is saved there, in the order of writing.

    What ``job.toml`` names comes before it.

    Parameters
    ----------
    job, folder, opened
        See `save_job`.
    brought : mapping of str to Path
        Survey files from elsewhere, by where they shall stand in the folder.

    Raises
    ------
    TakeoffError
        The files there are no longer those of a job.
    """
    surveys, contents = survey_places(job, folder, opened, brought)
    if job.packs.rows:
        contents[folder / PACK_FILE] = _pack_bytes(job, folder, opened)
    contents[folder / PRICE_FILE] = _price_bytes(job, folder, opened)
    if job.worked_out.walls:
        contents[folder / WORKED_OUT_FILE] = worked_out_text(job).encode()
    return {**contents, folder / JOB_FILE: _job_bytes(job, folder, surveys, opened)}


def on_disk(path: Path) -> bytes | None:
    """What a file holds; None where there is none."""
    return path.read_bytes() if path.exists() else None


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
        content = _taken_along(job, folder, PRICE_FILE, edited_prices, prices) or prices_text(prices).encode()
    check_same(prices_in(split(decode(content, PRICE_FILE), PRICE_FILE)) == prices, PRICE_FILE)
    return content


def _pack_bytes(job: Job, folder: Path, opened: Job | None) -> bytes:
    """The list of packs with the cells changed that differ."""
    path = path_inside(folder, PACK_FILE, str(folder))
    if not path.exists():
        taken = _taken_along(job, folder, PACK_FILE, edited_packs, job.packs)
        return taken or packs_text(job.packs).encode()
    sheet, packs = read_sheet(path, PACK_FILE), job.packs
    if opened is not None:
        rows = reconciled(*(as_toml(each.rows) for each in (opened.packs, packs, packs_in(sheet))))
        packs = PackList(tuple(Pack(**row) for row in rows))
    text = edited_packs(sheet, packs)
    return path.read_bytes() if text == sheet.file.text else sheet.file.encoded(text)


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
            before = tables_of(opened, survey_places(opened, folder, opened, {})[0])
            tables = reconciled(before, tables, there)
        if there == tables:
            return (folder / JOB_FILE).read_bytes()
    elif (home := opened_from(job, folder)) is not None:
        with suppress(TakeoffError):  # else it is written anew
            taken = job_text(home)
            _checked(taken)
            return taken.encoded(edited_job(taken, tables))
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
