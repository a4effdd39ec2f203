"""`mytakeoff price --out`: hundreds of jobs into one table, in processes of this machine or on a cluster."""

from __future__ import annotations

import argparse
import signal
from contextlib import AbstractContextManager, nullcontext
from functools import partial
from pathlib import Path
from typing import Any

from mytakeoff.formats.formats import counted
from mytakeoff.jobs.kept import Priced, kept_path
from mytakeoff.jobs.many import ManyJobs, price_many
from mytakeoff.jobs.pool import Share, cores, shared_out
from mytakeoff.jobs.table import check_table
from mytakeoff.terminal.ends import ALL_WELL, INTERRUPTED, REFUSED, SOME_MISTAKES
from mytakeoff.terminal.out import mistake_lines, tell, tell_done


def price_into_table(chosen: argparse.Namespace) -> int:
    """Price all of them, and tell what could not be.

    Raises
    ------
    TakeoffError
        The table cannot be written, or the cluster not be used.
    """
    table = Path(chosen.out)
    check_table(table)
    signal.signal(signal.SIGTERM, _interrupt)
    try:
        with _sharing(chosen) as share:
            many = price_many(chosen.folders, table, share, tell_done)
    except KeyboardInterrupt:
        return _cut_off("Interrupted", table, INTERRUPTED)
    except ConnectionError as error:
        return _cut_off(str(error).capitalize(), table, REFUSED)
    return _told(many, table)


def _sharing(chosen: argparse.Namespace) -> AbstractContextManager[Share[Priced]]:
    """How the work is shared out."""
    if not chosen.scheduler:
        return nullcontext(partial(shared_out, processes=chosen.processes or cores()))
    from mytakeoff.jobs.cluster import cluster_at

    return cluster_at(chosen.scheduler)


def _cut_off(why: str, table: Path, code: int) -> int:
    tell(f"{why}: {table} is as it was. What is done is kept in {kept_path(table)}, "
         "and the next run goes on from there.")  # fmt: skip
    return code


def _told(many: ManyJobs, table: Path) -> int:
    for folder, mistakes in many.mistakes.items():
        for line in mistake_lines(folder, mistakes):
            tell(line)
    done = len(many.rows) - len(many.mistakes)
    tell(f"{done} of {counted(len(many.rows), 'job')} priced, {many.unchanged} of them unchanged since the "
         f"last run, {len(many.mistakes)} with mistakes. Wrote {table}; what the next run need not work out "
         f"again is kept in {kept_path(table)}.")  # fmt: skip
    return SOME_MISTAKES if many.mistakes else ALL_WELL


def _interrupt(*_: Any) -> None:
    """End as at Ctrl-C."""
    raise KeyboardInterrupt
