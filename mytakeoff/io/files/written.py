"""What the program writes beside a job, by its name and by how it begins: none of it is ever a survey."""

from __future__ import annotations

import re
import zipfile
import zlib
from io import BytesIO
from pathlib import Path

from mytakeoff.audience import AUDIENCES, SHOWN_TO, first_line, named_for

COSTED_TABLE = "costed-table.csv"
OPTIONS = "options.csv"
SETTING_OUT = "setting-out.csv"
SQUARE_LINES = "square-lines.csv"
PACKED_OUT = "packed-out.csv"
ORDER = "order.csv"
PROGRAMME = "programme.csv"
SNAGS = "snags.csv"
VERDICTS = "verdicts.csv"
ACCOUNT = "account.csv"
QUOTATION = "quotation"
VARIATION = "variation"
HANDED_OVER = re.compile(rf"({QUOTATION}|{VARIATION}-\d+)(-revision-\d+)?(-estimator)?\.(pdf|html|xlsx)")
SIGNED = "signed"  # the folder of what was signed: job folders, and no survey of this one
TABLES = (
    COSTED_TABLE, OPTIONS, SETTING_OUT, SQUARE_LINES, PACKED_OUT, ORDER, PROGRAMME, SNAGS, VERDICTS, ACCOUNT,
)  # fmt: skip
FINISHED = "finished.toml"  # what was written down of the job when it was done
OF_THE_JOB = ("prices.csv", "packs.csv")
PRICED = {"item", "unit", "price"}  # what the heads of prices.csv and packs.csv have, under whatever name
READ = 4096  # bytes of a file that tell
MOST_BYTES = 50_000_000  # of a page that is looked at for its mark
CORE = "docProps/core.xml"  # of a workbook: where its keywords stand
UNREADABLE = (
    OSError, KeyError, EOFError, RuntimeError, ValueError, zipfile.BadZipFile, zlib.error,
)  # fmt: skip
BESIDE = (".csv", ".txt", "-range.csv", "-walls.csv")  # a table, its companion text, ranges, each wall's part


def is_written(name: str) -> bool:
    """Tell whether a file has the name of one that the program writes, or of the job's own lists.

    Examples
    --------
    >>> is_written("costed-table-range.csv"), is_written("options.txt"), is_written("packs.csv")
    (True, True, True)
    >>> is_written("costed-table-client.csv"), is_written("quotation-revision-2-estimator.xlsx")
    (True, True)
    >>> is_written("variation-2.pdf"), is_written("kitchen.csv")
    (True, False)
    """
    stems = [named_for(table, audience).removesuffix(".csv") for table in TABLES for audience in AUDIENCES]
    if HANDED_OVER.fullmatch(name.lower()):
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


def bears(path: Path, mark: str) -> bool:
    """Whether a page that was written before bears a mark: with the version, or a fingerprint alone."""
    try:
        content = path.read_bytes() if path.stat().st_size <= MOST_BYTES else b""
        if path.suffix == ".xlsx":
            with zipfile.ZipFile(BytesIO(content)) as book:
                content = book.read(CORE) if book.getinfo(CORE).file_size <= MOST_BYTES else b""
    except UNREADABLE:
        return False
    return mark.encode() in content


def handed_over(folder: Path, name: str) -> tuple[Path, ...]:
    """Pages of a quotation or variation that were written for the client: PDF and page, of each revision.

    Parameters
    ----------
    folder : Path
    name : str
        As they begin: ``quotation``, ``variation-2``.
    """
    page = re.compile(rf"{re.escape(name)}(-revision-\d+)?\.(pdf|html)")
    return tuple(path for path in sorted(folder.glob(f"{name}*")) if page.fullmatch(path.name))
