"""`mytakeoff price` and `mytakeoff check`: what they take, what they do, how they end."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from mytakeoff.audience import CLIENT, ESTIMATOR, Audience
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import counted
from mytakeoff.terminal.ends import ALL_WELL, SOME_MISTAKES
from mytakeoff.terminal.out import mistake_lines, say, tell

if TYPE_CHECKING:
    from mytakeoff.jobs.pricing import PricedFolder
    from mytakeoff.result import Result

STDOUT = "-"


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
        from mytakeoff.terminal.many import price_into_table

        return price_into_table(chosen)
    printed = STDOUT in (chosen.csv, chosen.json)
    priced = [_priced(folder, chosen, audience, not printed) for folder in chosen.folders]
    _write(chosen, priced, audience)
    return SOME_MISTAKES if any(each.mistakes for each in priced) else ALL_WELL


def _priced(folder: str, chosen: argparse.Namespace, audience: Audience, shown: bool) -> PricedFolder:
    """One folder, shown as soon as it is priced; its title stands there before."""
    from mytakeoff.jobs.pricing import price_folder

    if len(chosen.folders) > 1:
        tell(f"{folder} ({chosen.folders.index(folder) + 1} of {len(chosen.folders)})")
    priced = price_folder(folder, lambda job: say([job.titled(audience)] if shown else []))
    for line in mistake_lines(folder, priced.mistakes):
        tell(line)
    if shown and priced.result:
        from mytakeoff.terminal.shown import show

        show(priced.result, audience)
    return _quoted(priced, priced.result) if chosen.quotation and priced.result else priced


def _quoted(priced: PricedFolder, result: Result) -> PricedFolder:
    """The same folder with its quotation written into it, or with the mistakes of that."""
    from mytakeoff.documents.write import write_quotation

    try:
        for path in write_quotation(result, priced.folder):
            tell(f"Wrote {path}")
    except TakeoffError as error:
        for line in mistake_lines(priced.folder, error.mistakes):
            tell(line)
        return replace(priced, mistakes=error.mistakes)
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


def check(chosen: argparse.Namespace) -> int:
    """Tell all mistakes of the folders that were named; one line where there are none."""
    from mytakeoff.jobs.pricing import price_folder

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
    _check_out(chosen)


def _check_out(chosen: argparse.Namespace) -> None:
    """See that what stands beside ``--out`` goes with it, and that what needs it does not stand alone."""
    if chosen.out and (chosen.client or chosen.csv or chosen.json or chosen.quotation):
        said = (
            "--out with --client, --csv, --json or --quotation",
            "the table of jobs is the estimator's, and written alone",
        )
        raise TakeoffError(Mistake(*said, "ask for one after the other"))
    if chosen.processes is not None and not 1 <= chosen.processes <= 1024:
        said = f"--processes {chosen.processes}", "1 to 1024 processes work at a time"
        raise TakeoffError(Mistake(*said, "leave it out for as many as there are cores"))
    if chosen.scheduler and (not chosen.out or chosen.processes):
        said = "--scheduler", "a cluster prices jobs into a table, with as many processes as it has"
        raise TakeoffError(Mistake(*said, "name the table, --out TABLE.csv, and leave --processes out"))


def _check_folders(folders: Sequence[str], command: str) -> None:
    if not folders:
        remedy = f"name one or more: mytakeoff {command} FOLDER"
        raise TakeoffError(Mistake("no folder", f"{command} needs job folders", remedy))
