"""Many job folders priced into one table, in several processes; what is unchanged is not priced again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from mytakeoff.errors import Mistake, told
from mytakeoff.io.files.atomic import write_all
from mytakeoff.jobs.kept import Kept, Priced, kept_bytes, kept_path, read_kept
from mytakeoff.jobs.pool import Share
from mytakeoff.jobs.rows import Row, blank
from mytakeoff.jobs.table import check_table, table_bytes

SAVED_EVERY = 50  # jobs worked out: so much is lost at most when the machine stops
Tell = Callable[[int, int], None]


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


def price_many(folders: Sequence[str], table: Path, share: Share[Priced], tell: Tell) -> ManyJobs:
    """Price job folders into a table, a row each, whatever is wrong with some of them.

    Parameters
    ----------
    folders : sequence of str
    table : Path
        Ends in ``.csv`` or ``.parquet``; beside it `kept_path` holds what the next run need not work out
        again. Both are written at the end, whole; the latter also between.
    share : function
        How the work is shared out: to processes, or on a cluster.
    tell : function
        Is told how many are done, of how many.

    Raises
    ------
    TakeoffError
        The table cannot be written: told before anything is worked out, as far as that can be seen.
    ConnectionError, KeyboardInterrupt
        It was cut off; what is done is kept.
    """
    check_table(table)
    names = sorted({Path(folder).as_posix() for folder in folders})
    before = read_kept(kept_path(table))
    kept = {name: before[name] for name in names if name in before and before[name].fits(name)}
    unchanged, mistakes = len(kept), dict[str, tuple[Mistake, ...]]()
    try:
        _keep(table, kept)
        work = partial(price_apart, base=str(Path.cwd()))
        for name, priced in share(work, [n for n in names if n not in kept]):
            row, wrong = priced or (None, (_ended(name),))
            if row is None:
                mistakes[name] = wrong
            else:
                kept[name] = row
            tell(len(kept) + len(mistakes), len(names))
            if row is not None and (len(kept) - unchanged) % SAVED_EVERY == 0:
                _keep(table, kept)
    except (ConnectionError, KeyboardInterrupt):
        _keep(table, kept)
        raise
    rows = tuple(kept[n].row if n in kept else blank(n, _in_one(mistakes[n])) for n in names)
    write_all({table: table_bytes(rows, table), kept_path(table): kept_bytes(kept)})
    return ManyJobs(rows, unchanged, mistakes)


def price_apart(folder: str, base: str) -> Priced:
    """Price one folder, whatever is wrong with it, in whatever process, whose working folder may be another.

    What prices is loaded only where that is done.
    """
    try:
        from mytakeoff.jobs.apart import priced_row

        return priced_row(folder, base)
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
