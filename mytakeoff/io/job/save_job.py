"""A job back to its folder: only what differs is written, the rest stays as the user wrote it.

A remark in ``job.toml`` goes with its table: tables without a name are known again by what they say.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, MutableMapping
from dataclasses import MISSING
from itertools import count
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.sheet import read_sheet, split
from mytakeoff.io.files.text import FileText, decode, file_stem, path_inside
from mytakeoff.io.files.three_way import labels, reconciled
from mytakeoff.io.files.toml_fields import Key, as_toml, keys_of
from mytakeoff.io.job.open_job import check_tables, job_text, parsed, upgrade
from mytakeoff.io.job.packs import edited_packs, packs_in, packs_text
from mytakeoff.io.job.prices import edited_prices, prices_in, prices_text
from mytakeoff.io.job.shape import (
    FORMAT,
    JOB_FILE,
    JOB_KEYS,
    PACK_FILE,
    PRICE_FILE,
    WALL_KEYS,
    full,
    key_kind,
    mix_keys,
    table_with_all,
    tables_of,
)
from mytakeoff.io.job.worked_out import WORKED_OUT_FILE, worked_out_text
from mytakeoff.io.survey.survey_file import survey_text
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.packs import Pack, PackList
from mytakeoff.job.prices import Price, PriceList

Table = MutableMapping[str, Any]
NEW_FILE = FileText(f"format = {FORMAT}\n", "utf-8")


def save_job(job: Job, folder: str | Path, opened: Job | None = None) -> None:
    """Write a job to its folder, or to a new one.

    Parameters
    ----------
    job : Job
        Where it and the files differ, the job wins. Survey files that stand there are never changed; a wall
        whose survey has no file gets one.
    folder : str or Path
        Made if it is not there.
    opened : Job or None
        The job as it was opened or last saved. Given, only what has changed since is written, and what
        somebody else has changed in the files meanwhile stays.

    Raises
    ------
    TakeoffError
        The files there are no longer those of a job, or cannot be written. Nothing was changed then.

    Notes
    -----
    A job that says what the files say leaves every byte of them. Else only the keys and cells that differ
    are replaced, comments and layout kept, and all files are put in place together.
    """
    if not str(folder):
        raise TakeoffError(
            Mistake("no folder", "a job is saved in a folder", "name one", f"job {job.title!r}")
        )
    folder = Path(folder)
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
    changed = {path: content for path, content in contents.items() if _on_disk(path) != content}
    try:
        for path in changed:
            path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise TakeoffError(
            Mistake(f"{error.strerror}", "a job is saved in a folder", "choose another folder", str(folder))
        ) from error
    write_all(changed)


def _on_disk(path: Path) -> bytes | None:
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
    return next(name for name in names if _on_disk(folder / name) in (None, text))


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
    _check_same(prices_in(split(decode(content, PRICE_FILE), PRICE_FILE)) == prices, PRICE_FILE)
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
    return file.encoded(_edited(file, tables))


def _edited(file: FileText, tables: Mapping[str, Any]) -> str:
    """The text of a job file with the keys changed that differ from the tables."""
    document = _editable(file)
    upgrade(document)
    merge(document, tables, JOB_KEYS)
    _merge_many(document, "mix", tables["mix"], lambda mix: mix_keys(mix["name"]))
    _merge_many(document, "wall", tables["wall"], lambda _: WALL_KEYS)
    text = tomlkit.dumps(document)
    try:
        same = full(tomllib.loads(text)) == tables
    except tomllib.TOMLDecodeError:
        same = False
    _check_same(same, JOB_FILE)
    return text


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


def _editable(file: FileText) -> tomlkit.TOMLDocument:
    """The document with its comments and layout."""
    try:
        document = tomlkit.parse(file.text)
        same = tomlkit.dumps(document) == file.text and document.unwrap() == tomllib.loads(file.text)
    except (TOMLKitError, ValueError):
        same = False
    _check_same(same, JOB_FILE)
    return document


def _check_same(same: bool, name: str) -> None:
    """Refuse to write a file that would not say what the job says."""
    if not same:
        raise TakeoffError(
            Mistake(
                "the file is laid out in a way that cannot be changed in place",
                "a saved job opens as the same job",
                "save the job into a new folder",
                name,
            )
        )


def merge(table: Table, new: Mapping[str, Any], keys: Mapping[str, Key]) -> None:
    """Change the keys of a table whose values differ, and no other.

    Parameters
    ----------
    table : a table of the document
        A key that is not there stands for its default.
    new : mapping
        What each key shall say; None for not there.
    keys : mapping of str to Key
    """
    for name, key in keys.items():
        kind, cls = key_kind(key)
        if kind == "tables":
            _merge_many(table, name, new[name], _always(keys_of(cls)))
        elif kind == "table" and new[name] is not None:
            _merge_one(table, key, new[name], keys_of(cls))
        else:
            _set(table, key, new[name])


def _always(keys: Mapping[str, Key]) -> Callable[[Any], Mapping[str, Key]]:
    return lambda _: keys


def _default(key: Key) -> Any:
    return None if key.default is MISSING else as_toml(key.default)


def _set(table: Table, key: Key, value: Any) -> None:
    """Say one value, where the table does not say it already."""
    if key.name in table:
        if value is None:
            del table[key.name]
        elif _bare(table[key.name]) != value:
            table[key.name] = value
    elif value is not None and (value != _default(key) or key.required):
        table[key.name] = value


def _bare(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item


def _merge_one(table: Table, key: Key, new: Mapping[str, Any], keys: Mapping[str, Key]) -> None:
    if key.name in table:
        merge(table[key.name], new, keys)
    elif new != _default(key):
        table[key.name] = _fresh(new, keys)


def _fresh(new: Mapping[str, Any], keys: Mapping[str, Key]) -> Any:
    made = tomlkit.table()
    merge(made, new, keys)
    return made


def _merge_many(
    table: Table, name: str, new: list[dict[str, Any]], keys: Callable[[Any], Mapping[str, Key]]
) -> None:
    """Change an array of tables: those of one name are the same one, others come or go.

    Those without a name are the same one where they say the same: what is taken out takes its remark along.
    """
    old = table.get(name, [])
    if not new:
        if name in table:
            del table[name]
        return
    before, after = labels(old), _known_again(old, new, keys)
    if before == after:
        for one, wanted in zip(old, new, strict=True):
            merge(one, _as_written(one, wanted), keys(wanted))
        return
    if isinstance(old, AoT) and after[: len(old)] == before:  # what is there keeps its layout
        for one, wanted in zip(old, new, strict=False):
            merge(one, _as_written(one, wanted), keys(wanted))
        for wanted in new[len(old) :]:
            added = _fresh(wanted, keys(wanted))
            added.add(tomlkit.nl())
            old.append(added)
        return
    there = dict(zip(before, old, strict=True))
    made = tomlkit.aot()
    for label, wanted in zip(after, new, strict=True):
        one = there.get(label) if isinstance(old, AoT) else None
        if one is None:
            made.append(_fresh(wanted, keys(wanted)))
        else:
            merge(one, _as_written(one, wanted), keys(wanted))
            made.append(one)
    if isinstance(old, Array):
        del table[name]
    table[name] = made


def _known_again(
    old: Any, new: list[dict[str, Any]], keys: Callable[[Any], Mapping[str, Key]]
) -> list[tuple[Any, int]]:
    """The label of the old table that each new one is, or a label of its own."""
    before, after = labels(old), labels(new)
    if any(name is not None for name, _ in (*before, *after)):
        return after
    filled = [table_with_all(one, keys(one)) for one in old]
    left = list(range(len(filled)))
    found: list[int | None] = []
    for wanted in new:
        same = next((nth for nth in left if filled[nth] == wanted), None)
        found.append(same)
        if same is not None:
            left.remove(same)
    if len(new) < len(old):  # of those that went and those that changed nobody can tell which is which
        left = []
    own = count(len(filled))
    return [(None, nth if nth is not None else left.pop(0) if left else next(own)) for nth in found]


def _as_written(table: Mapping[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """A high spot's new reading in the way in which the file gives the old one."""
    if "proud_mm" in table and new.get("off_line_mm") is not None:
        return {**new, "off_line_mm": None, "proud_mm": 0.0 - new["off_line_mm"]}
    return new
