"""What the program writes beside a job, by its name and by how it begins: none of it is ever a survey."""

from __future__ import annotations

import re
from pathlib import Path

from mytakeoff.audience import AUDIENCES, SHOWN_TO, first_line, named_for

COSTED_TABLE = "costed-table.csv"
OPTIONS = "options.csv"
SETTING_OUT = "setting-out.csv"
SQUARE_LINES = "square-lines.csv"
PACKED_OUT = "packed-out.csv"
ORDER = "order.csv"
PROGRAMME = "programme.csv"
QUOTATION = "quotation"
QUOTED = re.compile(rf"{QUOTATION}(-revision-\d+)?(-estimator)?\.(pdf|html|xlsx)")
TABLES = (COSTED_TABLE, OPTIONS, SETTING_OUT, SQUARE_LINES, PACKED_OUT, ORDER, PROGRAMME)
OF_THE_JOB = ("prices.csv", "packs.csv")
PRICED = {"item", "unit", "price"}  # what the heads of prices.csv and packs.csv have, under whatever name
READ = 4096  # bytes of a file that tell
BESIDE = (".csv", ".txt", "-range.csv", "-walls.csv")  # a table, its companion text, ranges, each wall's part


def is_written(name: str) -> bool:
    """Tell whether a file has the name of one that the program writes, or of the job's own lists.

    Examples
    --------
    >>> is_written("costed-table-range.csv"), is_written("options.txt"), is_written("packs.csv")
    (True, True, True)
    >>> is_written("costed-table-client.csv"), is_written("quotation-revision-2-estimator.xlsx")
    (True, True)
    >>> is_written("kitchen.csv")
    False
    """
    stems = [named_for(table, audience).removesuffix(".csv") for table in TABLES for audience in AUDIENCES]
    if QUOTED.fullmatch(name.lower()):
        return True
    return name.lower() in (*OF_THE_JOB, *(f"{stem}{ending}" for stem in stems for ending in BESIDE))


def begins_as_written(path: Path) -> bool:
    """Tell whether a text file begins as one of those, whatever it was renamed to.

    Parameters
    ----------
    path : Path
        A file that cannot be read begins as none: whoever reads it says why.
    """
    try:
        with path.open("rb") as file:
            start = file.read(READ).decode("utf-8-sig", "replace")
    except OSError:
        return False
    first = next((line for line in start.splitlines() if not line.lower().startswith("sep=")), "")
    head = {cell.strip(' "').lower() for cell in re.split(r"[,;\t]", first)}
    said = any(first.startswith(first_line(audience)) for audience in AUDIENCES)
    return said or SHOWN_TO in head or head >= PRICED
