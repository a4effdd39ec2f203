"""The `mytakeoff` command: job folders made and opened, forms, what is signed, prices, mistakes.

What prices and checks loads neither notebook nor browser: each command imports what it needs.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.resources import JOBS_WORKBOOK, WORKBOOK_PANELS, WORKBOOK_WORDS
from mytakeoff.terminal.ends import ALL_WELL, HOW_IT_ENDS, INTERRUPTED, REFUSED

DEMO_FOLDER = "mytakeoff-demo"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; a mistake is told on one line each and ends with code 2.

    Parameters
    ----------
    arguments : sequence of str, optional
        Those of the command line unless given.
    """
    chosen = _parser().parse_args(arguments)
    try:
        return chosen.run(chosen) or ALL_WELL
    except TakeoffError as error:
        print(error, file=sys.stderr)
        return REFUSED
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:  # nobody reads on, as `head` does: have nothing complain of it at the end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ALL_WELL


def _parser() -> argparse.ArgumentParser:
    """Describe the command line."""
    parser = argparse.ArgumentParser(prog="mytakeoff", description="A takeoff workbook for levelling walls.")
    every = "new | open | form | quote | sign | variation | price | check"
    commands = parser.add_subparsers(required=True, metavar=every)
    new = commands.add_parser("new", help="make a job folder with the workbooks and a job to start from")
    new.add_argument("folder", type=Path, help="not there yet, or empty")
    new.add_argument("--demo", action="store_true", help="start from the demo job")
    new.add_argument("--learn-from", type=Path, default=None, metavar="JOBS",
                     help="begin with what the finished jobs in a folder say, each change told")  # fmt: skip
    new.set_defaults(run=_new)
    form = commands.add_parser("form", help="write blank survey forms for the walls of a job")
    form.add_argument("folder", type=Path, help="a folder that holds a job.toml")
    form.add_argument("--wall", default=None, help="the name of one wall; all of them unless given")
    form.add_argument("--step", type=float, default=0.5, help="greatest distance between readings in m (0.5)")
    form.set_defaults(run=_form)
    for name, run, words in (
        ("quote", _quote, "write the quotation of a job: PDF, page and workbook"),
        ("sign", _sign, "keep a job as it was signed, later its next variation"),
        ("variation", _variation, "write what has changed since a job was signed, at the signed rates"),
    ):
        handed = commands.add_parser(name, help=words)
        handed.add_argument("folder", type=Path, help="a folder that holds a job.toml; it is written into it")
        handed.set_defaults(run=run)
    start = commands.add_parser("open", help="open a job folder, or a folder of them, in the browser")
    start.add_argument("folder", type=Path, nargs="?", help="holds a job.toml, or folders that hold one each")
    start.add_argument("--demo", action="store_true", help=f"open the demo job, copied to {DEMO_FOLDER}")
    start.add_argument(
        "--workbook",
        choices=tuple(WORKBOOK_PANELS),
        help="which one first (a new job: job, else budget; a folder of jobs: jobs)",
    )
    start.add_argument("--app", action="store_true", help="as pages without code, through Voila")
    start.add_argument("--no-browser", action="store_true", help="print the address, open no browser")
    start.add_argument("--port", type=int, default=None, help="first port to try (8888, with --app 8866)")
    start.add_argument("--public-address", default="", metavar="URL", help="where a proxy on this machine is "
                       "asked for it, as https://office.example/takeoff/")  # fmt: skip
    start.set_defaults(run=_open)
    _add_price(commands)
    _add_check(commands)
    return parser


def _add_price(commands: Any) -> None:
    """Describe `price`."""
    price = commands.add_parser(
        "price",
        help="price jobs: headline and costed table; or hundreds of them into one table",
        description="Price jobs and print the headline and the costed table of each. Progress and mistakes "
        "go to the standard error.",
        epilog=HOW_IT_ENDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    price.add_argument("folders", nargs="*", metavar="FOLDER", help="a folder that holds a job.toml")
    price.add_argument(
        "--client", action="store_true", help="as the client sees it, without rates and margins"
    )
    for kind in ("json", "csv"):
        price.add_argument(f"--{kind}", nargs="?", const="-", metavar="FILE",
                           help=f"as {kind.upper()} into a file; without FILE: to the standard output, "
                           "instead of the table")  # fmt: skip
    price.add_argument("--out", metavar="TABLE", help="one row a job into TABLE.csv or TABLE.parquet; what "
                       "the next run need not work out again is kept in TABLE-kept.json")  # fmt: skip
    price.add_argument("--processes", type=int, metavar="N",
                       help="with --out: so many jobs at a time (as many as there are cores)")  # fmt: skip
    price.add_argument("--scheduler", metavar="ADDRESS",
                       help="with --out: on the Dask cluster whose scheduler is there, as "
                       "tcp://192.0.2.7:8786; its workers see the same folders")  # fmt: skip
    price.add_argument("--quotation", action="store_true",
                       help="write the quotation of each into its folder too, as `quote` does")  # fmt: skip
    price.set_defaults(run=_price)


def _add_check(commands: Any) -> None:
    """Describe `check`."""
    check = commands.add_parser(
        "check",
        help="tell all mistakes of jobs, and nothing else",
        description="Tell every mistake of some jobs with its place; one line where there are none.",
        epilog=HOW_IT_ENDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    check.add_argument("folders", nargs="*", metavar="FOLDER", help="a folder that holds a job.toml")
    check.set_defaults(run=_check)


def _price(chosen: argparse.Namespace) -> int:
    """Price jobs."""
    from mytakeoff.terminal.commands import price

    return price(chosen)


def _check(chosen: argparse.Namespace) -> int:
    """Tell mistakes of jobs."""
    from mytakeoff.terminal.commands import check

    return check(chosen)


def _new(chosen: argparse.Namespace) -> None:
    """Make a job folder and say what comes next."""
    from mytakeoff.io.files.text import as_typed
    from mytakeoff.launch.folder import new_job_folder

    lessons: Any = None
    if chosen.learn_from is not None:
        from mytakeoff.io.finished.finished_jobs import learn_from

        lessons = learn_from(chosen.learn_from)
    folder = new_job_folder(chosen.folder, chosen.demo)
    if lessons is not None:
        from mytakeoff.terminal.lessons import take_lessons

        for said in take_lessons(folder, lessons):
            print(said)
    print(f"Made {folder}. Open it with: mytakeoff open {as_typed(folder)}")


def _form(chosen: argparse.Namespace) -> None:
    """Write the forms and say where they are."""
    from mytakeoff.io.forms.form import write_forms

    for path in write_forms(chosen.folder, chosen.wall, chosen.step):
        print(path)
    print("Print the pages or fill them on a phone; the CSV is the same form as a sheet.")


def _quote(chosen: argparse.Namespace) -> None:
    """Write the quotation into the job's folder and say where it is."""
    import mytakeoff as mt

    for path in mt.write_quotation(mt.evaluate(mt.open_job(chosen.folder)), chosen.folder):
        print(path)


def _sign(chosen: argparse.Namespace) -> None:
    """Keep the job, or its variation, as it was signed, and say where."""
    import mytakeoff as mt
    from mytakeoff.io.signed.kept import signed_place

    signed = mt.sign_job(chosen.folder)
    total, day = signed.job.formats.amount(signed.total), signed.job.formats.day(signed.signed_on)
    print(f"Signed on {day}: {signed.name}, {total} with tax in all. "
          f"Kept in {signed_place(chosen.folder, signed.number)}.")  # fmt: skip


def _variation(chosen: argparse.Namespace) -> None:
    """Write the variation into the job's folder, say what it comes to and where it is."""
    import mytakeoff as mt
    from mytakeoff.variations.said import standing_told

    made = mt.variation(chosen.folder)
    files = mt.write_variation(made, chosen.folder)
    print(standing_told(made))
    for path in files:
        print(path)


def _open(chosen: argparse.Namespace) -> None:
    """Start the server on a job folder; it runs until it is stopped."""
    # The servers take a second to import, which neither `new` nor a mistyped folder should cost.
    from mytakeoff.launch.server import check_public, serve_app, serve_lab

    options: dict[str, Any] = {"browser": not chosen.no_browser}
    if chosen.port is not None:
        options["port"] = chosen.port
    if chosen.public_address:
        options["public"] = check_public(chosen.public_address).geturl()
    workbook = _workbook_to_open(chosen.folder, chosen.demo, chosen.workbook)
    _say_which(workbook, chosen.app)
    serve = serve_app if chosen.app else serve_lab
    serve(workbook, **options)


def _workbook_to_open(folder: Path | None, demo: bool, name: str | None) -> Path:
    """Return the workbook of the folder asked for, put there if it is missing."""
    from mytakeoff.launch.folder import (
        add_missing_workbooks,
        check_job_folder,
        first_workbook,
        new_job_folder,
        workbooks_of,
    )

    if folder is None and not demo:
        raise TakeoffError(
            Mistake(
                "no folder", "open needs a job folder", "name one, or try the demo job: mytakeoff open --demo"
            )
        )
    folder = Path(folder or DEMO_FOLDER)
    if demo and not folder.exists():
        new_job_folder(folder, demo=True)
    check_job_folder(folder)
    if name and name not in workbooks_of(folder):
        raise _not_there(name, folder)
    add_missing_workbooks(folder)
    return (folder / f"{name or first_workbook(folder)}.ipynb").resolve()


def _not_there(name: str, folder: Path) -> TakeoffError:
    """Say where a workbook is that is none of this folder."""
    if name == JOBS_WORKBOOK:
        rule, remedy = (
            "this workbook is over a folder of job folders",
            "name the folder that this job lies in",
        )
    else:
        rule, remedy = "this workbook is of one job, and here are many", "name the folder of one of them"
    return TakeoffError(Mistake(f"--workbook {name}", rule, remedy, str(folder)))


def _say_which(first: Path, app: bool) -> None:
    """Say which workbooks lie in the folder, what each is for, and which will not run by themselves."""
    from mytakeoff.launch.folder import workbooks_of
    from mytakeoff.launch.own_workbooks import is_own

    names = workbooks_of(first.parent)
    width = max(map(len, names))
    others = ", each with links to the others" if len(names) > 1 else ""
    print(f"Workbooks in {first.parent}{others}:")
    for name in names:
        opens = " (opens now)" if name == first.stem else ""
        print(f"  {name:<{width}}  {WORKBOOK_WORDS[name][1]}{opens}")
        if not is_own(first.with_name(f"{name}.ipynb")):
            then = "it is not shown without its code" if app else "it opens unrun"
            print(f"  {'':<{width}}  not the package's own here (changed, or of another version): {then}")


if __name__ == "__main__":
    sys.exit(main())
