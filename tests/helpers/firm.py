"""A firm's folder of invented jobs: one wall each, the hollower the later, one of them far too dear."""

from __future__ import annotations

import shutil
from functools import cache, partial
from pathlib import Path
from tempfile import mkdtemp

from example_job import copy_of_example

from mytakeoff.jobs.kept import kept_path
from mytakeoff.jobs.many import price_many
from mytakeoff.jobs.pool import shared_out
from mytakeoff.launch.folder import add_missing_workbooks

STATES = ("draft", "quoted", "signed", "done")
COUNT, DEAR, FRANCS = 10, "flat-04", "flat-10"  # prices of two: three times the rate, another currency
HEIGHTS_M = (2.4, 1.9, 1.3, 0.7, 0.1)
PLACES_M = (0.25, 0.75, 1.25, 1.75, 2.25, 2.75, 3.25)


def write_job(folder: Path, nth: int) -> Path:
    """The invented job of that number, with the workbooks of a job."""
    copy_of_example(folder)
    (folder / "surveys" / "long-wall.csv").write_text(_sheet(6.0 * nth), "utf-8")
    job = folder / "job.toml"
    own = f'title = "Flat {nth}, Invented Row"\nclient = "Client {nth % 3}"\nstate = "{STATES[nth % 4]}"\n'
    text = job.read_text("utf-8").replace('title = "My job"\n', own)
    if folder.name == FRANCS:
        text = text.replace('currency = "EUR"', 'currency = "CHF"')
    job.write_text(text, "utf-8")
    if folder.name == DEAR:
        prices = folder / "prices.csv"
        prices.write_text(
            prices.read_text("utf-8").replace("plasterer,h,34.00", "plasterer,h,102.00"), "utf-8"
        )
    add_missing_workbooks(folder)
    return folder


def _sheet(hollow_mm: float) -> str:
    """Readings off the line of a wall that bows back in its middle by so much [mm]."""
    rows = [
        [20 + round(hollow_mm * (1 - abs(x - 1.75) / 1.5) * (1 - abs(z - 1.25) / 1.15)) for x in PLACES_M]
        for z in HEIGHTS_M
    ]
    lines = [",".join(map(str, (z, *row))) for z, row in zip(HEIGHTS_M, rows, strict=True)]
    return "\n".join((",".join(map(str, ("off_line_mm", *PLACES_M))), *lines)) + "\n"


@cache
def _priced() -> Path:
    """The firm, priced once: what is kept of that lies beside the jobs."""
    around = Path(mkdtemp(prefix="mytakeoff-firm-"))
    for nth in range(1, COUNT + 1):
        write_job(around / f"flat-{nth:02}", nth)
    wrong = write_job(around / "flat-11", 11) / "job.toml"
    wrong.write_text(wrong.read_text("utf-8").replace("waste_share = 0.1 ", 'waste_share = "much" '), "utf-8")
    (around / "notes").mkdir()
    jobs = sorted(each for each in around.iterdir() if each.name != "notes")
    table = around / "jobs.csv"
    price_many([str(each) for each in jobs], table, partial(shared_out, processes=2), lambda done, of: None)
    table.unlink()
    kept = kept_path(table)
    kept.write_text(kept.read_text("utf-8").replace(f"{around.as_posix()}/", ""), "utf-8")
    return around


def firm(place: Path) -> Path:
    """A copy of it, to be written to; the place is not there yet."""
    return Path(shutil.copytree(_priced(), place))
