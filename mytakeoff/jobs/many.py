"""Many job folders priced into one table, in several processes; what is unchanged is not priced again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from mytakeoff.errors import Mistake, told
from mytakeoff.io.files.atomic import write_all
from mytakeoff.jobs.kept import Kept, digests, files_of, kept_bytes, kept_path, read_kept
from mytakeoff.jobs.pool import shared_out
from mytakeoff.jobs.pricing import price_folder
from mytakeoff.jobs.rows import Row, blank, row_of
from mytakeoff.jobs.table import check_table, table_bytes

SAVED_EVERY = 50  # jobs worked out: so much is lost at most when the machine stops
Tell = Callable[[int, int], None]
Priced = tuple[Kept | None, tuple[Mistake, ...]]


@dataclass(frozen=True)
class ManyJobs:
    """What a run over many folders gave.

    Parameters
    ----------
    rows : tuple of Row
        One a folder, by folder.
    unchanged : int
        Of them, taken from the last run [-].
    mistakes : dict
        By folder, why it could not be priced.
    """

    rows: tuple[Row, ...]
    unchanged: int
    mistakes: dict[str, tuple[Mistake, ...]]


def price_many(folders: Sequence[str], table: Path, processes: int, tell: Tell) -> ManyJobs:
    """Price job folders into a table, a row each, whatever is wrong with some of them.

    Parameters
    ----------
    folders : sequence of str
    table : Path
        Ends in ``.csv`` or ``.parquet``; beside it `kept_path` holds what the next run need not work out
        again. Both are written at the end, whole; the latter also between.
    processes : int
        At a time, 1 or more [-].
    tell : function
        Is told how many are done, of how many.

    Raises
    ------
    TakeoffError
        The table cannot be written: told before anything is worked out, as far as that can be seen.
    """
    check_table(table)
    names = sorted({Path(folder).as_posix() for folder in folders})
    before = read_kept(kept_path(table))
    kept = {name: before[name] for name in names if name in before and before[name].fits(name)}
    unchanged, mistakes = len(kept), dict[str, tuple[Mistake, ...]]()
    try:
        _keep(table, kept)
        for name, priced in shared_out(price_apart, [n for n in names if n not in kept], processes):
            row, wrong = priced or (None, (_ended(name),))
            if row is not None:
                kept[name] = row
            else:
                mistakes[name] = wrong
            tell(len(kept) + len(mistakes), len(names))
            if (len(kept) - unchanged) % SAVED_EVERY == 0:
                _keep(table, kept)
    except KeyboardInterrupt:
        _keep(table, kept)
        raise
    rows = tuple(kept[n].row if n in kept else blank(n, _in_one(mistakes[n])) for n in names)
    write_all({table: table_bytes(rows, table), kept_path(table): kept_bytes(kept)})
    return ManyJobs(rows, unchanged, mistakes)


def price_apart(folder: str) -> Priced:
    """Price one folder, in whatever process: its row with what it was worked out from, or its mistakes.

    What the files held is looked at before they are read: what changes meanwhile is worked out again.
    """
    try:
        files = digests(folder, files_of(folder))
        priced = price_folder(folder)
        if priced.result is None:
            return None, priced.mistakes
        return Kept(files, row_of(folder, priced.result)), ()
    except Exception as error:  # whatever it is, the other jobs are priced
        said = f"could not be priced ({type(error).__name__}: {error})"
        return None, (Mistake(said, "this is a fault of the program", "report it with the folder", folder),)


def _keep(table: Path, kept: dict[str, Kept]) -> None:
    write_all({kept_path(table): kept_bytes(kept)})


def _ended(folder: str) -> Mistake:
    return Mistake(
        "the process that priced it was ended",
        "a job needs memory to be priced",
        "close other programs, or price it by itself",
        folder,
    )


def _in_one(mistakes: Sequence[Mistake]) -> str:
    return "; ".join(told(mistakes))
