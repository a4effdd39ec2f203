"""An exported table read back as it was before export."""

from __future__ import annotations

import csv
import io
from decimal import Decimal, InvalidOperation
from pathlib import Path

import pandas as pd

from mytakeoff.io.files.csv_table import FORMULA
from mytakeoff.io.files.text import read_text


def read_back(path: str | Path) -> pd.DataFrame:
    """The table: a column of numbers as Decimal, texts without the apostrophe, None where nothing stands."""
    text = read_text(Path(path)).text
    head = text.split("\r\n", 1)[0]
    separator = ";" if ";" in head and "," not in head else ","
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    mark = "," if separator == ";" else "."
    columns = {_bare(name): _column([row[nth] for row in rows[1:]], mark) for nth, name in enumerate(rows[0])}
    return pd.DataFrame({name: pd.Series(column, dtype=object) for name, column in columns.items()})


def _bare(text: str) -> str:
    """A text without the apostrophe that keeps a spreadsheet from running it."""
    behind = text.lstrip("'")
    guarded = behind.startswith(FORMULA) or behind.lstrip().startswith(FORMULA)
    return text[1:] if text.startswith("'") and guarded else text


def _column(cells: list[str], mark: str) -> list[Decimal | str | None]:
    try:
        return [Decimal(cell.replace(mark, ".")) if cell else None for cell in cells]
    except InvalidOperation:
        return [_bare(cell) if cell else None for cell in cells]
