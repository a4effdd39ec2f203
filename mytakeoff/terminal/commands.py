"""`mytakeoff price` and `mytakeoff check`: what they take, what they do, how they end."""

from __future__ import annotations

import argparse
import signal
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from mytakeoff.audience import CLIENT, ESTIMATOR, Audience
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import counted
from mytakeoff.jobs.pricing import PricedFolder, price_folder
from mytakeoff.terminal.out import mistake_lines, say, tell, tell_done

STDOUT = "-"
ALL_WELL, SOME_MISTAKES, INTERRUPTED = 0, 1, 130


def price(chosen: argparse.Namespace) -> int:
    """Price the folders that were named, and print or write what was asked for.

    Raises
    ------
    TakeoffError
        What was asked for cannot be, or a file cannot be written.
    """
    _check(chosen)
    audience: Audience = CLIENT if chosen.client else ESTIMATOR
    if chosen.out:
        return _price_many(chosen)
    printed = STDOUT in (chosen.csv, chosen.json)
    priced = [_priced(folder, chosen.folders, audience, not printed) for folder in chosen.folders]
    _write(chosen, priced, audience)
    return SOME_MISTAKES if any(each.mistakes for each in priced) else ALL_WELL


def _priced(folder: str, folders: Sequence[str], audience: Audience, shown: bool) -> PricedFolder:
    """One folder, shown as soon as it is priced; its title stands there before."""
    if len(folders) > 1:
        tell(f"{folder} ({folders.index(folder) + 1} of {len(folders)})")
    priced = price_folder(folder, lambda job: say([job.titled(audience)] if shown else []))
    for line in mistake_lines(folder, priced.mistakes):
        tell(line)
    if shown and priced.result:
        from mytakeoff.terminal.shown import show

        show(priced.result, audience)
    return priced


def _write(chosen: argparse.Namespace, priced: Sequence[PricedFolder], audience: Audience) -> None:
    if not (chosen.csv or chosen.json):
        return
    from mytakeoff.terminal import written

    if chosen.json == STDOUT:
        _print(written.json_text(priced, audience))
    elif chosen.json:
        written.write_json(priced, Path(chosen.json), audience)
        tell(f"Wrote {chosen.json}")
    if chosen.csv == STDOUT:
        _print(written.csv_text(priced, audience))
    elif chosen.csv and any(each.result for each in priced):
        written.write_costs(priced, Path(chosen.csv), audience)
        tell(f"Wrote {chosen.csv}")


def _print(text: str) -> None:
    """A whole file to the standard output, as other programs read it: UTF-8, line ends as they are."""
    import sys

    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode())
    sys.stdout.buffer.flush()


def _price_many(chosen: argparse.Namespace) -> int:
    """All of them into one table."""
    from mytakeoff.jobs.kept import kept_path
    from mytakeoff.jobs.many import price_many
    from mytakeoff.jobs.pool import cores

    table = Path(chosen.out)
    signal.signal(signal.SIGTERM, _interrupt)
    try:
        many = price_many(chosen.folders, table, chosen.processes or cores(), tell_done)
    except KeyboardInterrupt:
        tell(f"Interrupted: {table} is as it was. What is done is kept in {kept_path(table)}, "
             "and the next run goes on from there.")  # fmt: skip
        return INTERRUPTED
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


def check(chosen: argparse.Namespace) -> int:
    """Tell all mistakes of the folders that were named; one line where there are none."""
    _check_folders(chosen.folders, "check")
    found = [line for name in chosen.folders for line in mistake_lines(name, price_folder(name).mistakes)]
    say(found or [f"{counted(len(chosen.folders), 'job')} without mistakes."])
    return SOME_MISTAKES if found else ALL_WELL


def _check(chosen: argparse.Namespace) -> None:
    """See that what was asked for goes together."""
    for option, file in (("--csv", chosen.csv), ("--json", chosen.json)):
        if file not in (None, STDOUT) and Path(file).is_dir():
            raise TakeoffError(
                Mistake(
                    f"{option} {file}",
                    f"what stands behind {option} is the file to write",
                    f"name the folders first, {option} last: mytakeoff price {file} {option}",
                )
            )
    _check_folders(chosen.folders, "price")
    if chosen.csv == chosen.json == STDOUT:
        said = "--csv and --json", "one of them goes to the standard output"
        raise TakeoffError(Mistake(*said, "give one of them a file: --csv FILE"))
    if chosen.out and (chosen.client or chosen.csv or chosen.json):
        said = (
            "--out with --client, --csv or --json",
            "the table of jobs is the estimator's, and written alone",
        )
        raise TakeoffError(Mistake(*said, "ask for one after the other"))
    if chosen.processes is not None and not 1 <= chosen.processes <= 1024:
        said = f"--processes {chosen.processes}", "1 to 1024 processes work at a time"
        raise TakeoffError(Mistake(*said, "leave it out for as many as there are cores"))


def _check_folders(folders: Sequence[str], command: str) -> None:
    if not folders:
        remedy = f"name one or more: mytakeoff {command} FOLDER"
        raise TakeoffError(Mistake("no folder", f"{command} needs job folders", remedy))
