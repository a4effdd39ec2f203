"""The costed table as a CSV that a spreadsheet opens, and the text that goes beside it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal
from numbers import Integral, Real
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mytakeoff.audience import Audience, first_line
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.units import decimal_of

if TYPE_CHECKING:
    import pandas as pd

FORMULA = tuple("=+-@\t\r\n|＝＋－＠")


def write_csv(frame: pd.DataFrame, path: str | Path, *, decimal_comma: bool = False) -> None:
    """Write a table as CSV (RFC 4180), whole or not at all.

    Parameters
    ----------
    frame : DataFrame
        The index is not written.
    path : str or Path
        In a folder that exists.
    decimal_comma : bool
        Semicolons between cells and a comma as decimal mark, as spreadsheets want it in much of the world.

    Raises
    ------
    TakeoffError
        The file cannot be written.

    Notes
    -----
    UTF-8 with its mark, without which spreadsheets guess the encoding wrong; pandas reads it alike. Numbers
    are written as they are. A text that a spreadsheet would take for a formula gets an apostrophe in front,
    whatever it came from.
    """
    write_all({Path(path): csv_bytes(frame, decimal_comma)})


def csv_bytes(frame: pd.DataFrame, decimal_comma: bool = False) -> bytes:
    """The content of `write_csv`'s file."""
    columns = [frame[name].astype(object).tolist() for name in frame.columns]
    return csv_of(tuple(frame.columns), zip(*columns, strict=True), decimal_comma)


def csv_of(names: Sequence[object], rows: Iterable[Sequence[Any]], decimal_comma: bool = False) -> bytes:
    """The same of columns by their names, and rows of values."""
    mark, separator = (",", ";") if decimal_comma else (".", ",")
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator="\r\n")
    writer.writerow([_safe(str(name)) for name in names])
    for row in rows:
        writer.writerow([_written(value, mark) for value in row])
    return out.getvalue().encode("utf-8-sig")


def _written(value: Any, mark: str) -> str:
    """A cell: blank for nothing, a plain number, else a text that is no formula."""
    if value is None or value != value:  # what is not a number is not equal to itself
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Decimal):
        return format(value, "f").replace(".", mark)
    if isinstance(value, Integral):
        return str(int(value))
    if isinstance(value, Real):
        return format(decimal_of(float(value)), "f").removesuffix(".0").replace(".", mark)
    return _safe(str(value))


def _is_formula(text: str) -> bool:
    """Whether a spreadsheet might run a text, bare or behind apostrophes of our own."""
    bare = text.lstrip("'")
    return bare.startswith(FORMULA) or bare.lstrip().startswith(FORMULA)


def _safe(text: str) -> str:
    """A text with an apostrophe in front where a spreadsheet might take it for a formula.

    Examples
    --------
    >>> _safe("=1+1"), _safe("sand, 2 bags"), _safe("'=1+1")
    ("'=1+1", 'sand, 2 bags', "''=1+1")
    """
    return f"'{text}" if _is_formula(text) else text


def companion_path(path: str | Path) -> Path:
    """The text file beside an exported table.

    Raises
    ------
    TakeoffError
        The table itself is called ``.txt``.

    Examples
    --------
    >>> companion_path("flat.csv").name
    'flat.txt'
    """
    companion = Path(path).with_suffix(".txt") if Path(path).name else Path(path)
    if companion == Path(path):
        raise TakeoffError(
            Mistake(
                f"table called {companion.name!r}",
                "the text beside a table takes its name and ends in .txt",
                "let the table's name end in .csv",
            )
        )
    return companion


def companion_bytes(
    audience: Audience,
    title: str,
    total: str,
    notices: Sequence[str],
    cautions: Sequence[str],
    notes: Sequence[str],
) -> bytes:
    """The text that goes with an exported table.

    Parameters
    ----------
    audience : "estimator" or "client"
        Its first line says so.
    title, total : str
        The job's title, and its total with the currency.
    notices, cautions, notes : sequence of str
        What to know about these figures, what to beware of on site, the user's own notes.
    """
    parts = [f"{first_line(audience)}\n{title}\nTotal: {total}\n"]
    for heading, lines in (("Notes", notes), ("About these figures", notices), ("Cautions", cautions)):
        if lines:
            parts.append(f"{heading}\n" + "".join(f"- {' '.join(line.split())}\n" for line in lines))
    return "\n".join(parts).encode("utf-8-sig")
