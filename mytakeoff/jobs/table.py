"""The table of jobs as files: CSV for spreadsheets, Parquet for other programs."""

from __future__ import annotations

import io
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from mytakeoff.audience import ESTIMATOR, check_name
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.csv_table import csv_of
from mytakeoff.jobs.rows import COLUMNS, Column, Row

if TYPE_CHECKING:
    import pyarrow as pa

CSV, PARQUET = ".csv", ".parquet"
DIGITS, PLACES = 28, 6  # of money in Parquet: as many places as a currency may have


def check_table(path: Path) -> None:
    """See that a table of this name can be written, before hours are spent on what stands in it.

    Raises
    ------
    TakeoffError
        Another ending, no such folder, a name for the client, or Parquet without the library that writes it.
    """
    check_name(path, ESTIMATOR)
    ending, place = path.suffix.lower(), str(path)
    if ending not in (CSV, PARQUET):
        said = f"a table called {path.name!r}", "a table of jobs is CSV or Parquet"
        raise TakeoffError(Mistake(*said, f"let its name end in {CSV} or {PARQUET}", place))
    if not path.parent.is_dir():
        said = f"no folder {str(path.parent)!r}", "a table is written into a folder that is there"
        raise TakeoffError(Mistake(*said, "make it, or choose another", place))
    if ending == PARQUET and find_spec("pyarrow") is None:
        said = "pyarrow is not installed", "Parquet is written by it"
        remedy = f"pip install 'mytakeoff[parquet]', or let the name end in {CSV}"
        raise TakeoffError(Mistake(*said, remedy, place))


def table_bytes(rows: Sequence[Row], path: Path) -> bytes:
    """The file of that name: the same bytes for the same rows, whatever order they were worked out in."""
    rows = sorted(rows, key=lambda row: str(row["folder"]))
    if path.suffix.lower() == CSV:
        return csv_of(tuple(COLUMNS), ([row[name] for name in COLUMNS] for row in rows))
    return _parquet(rows)


def _parquet(rows: Sequence[Row]) -> bytes:
    """Its columns carry their units beside their names too."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    def field(name: str, column: Column) -> pa.Field:
        return pa.field(name, types[column.kind], metadata={"unit": column.unit} if column.unit else None)

    types = {"text": pa.string(), "money": pa.decimal128(DIGITS, PLACES), "number": pa.float64(),
             "count": pa.int64(), "day": pa.date32()}  # fmt: skip
    schema = pa.schema([field(name, column) for name, column in COLUMNS.items()])
    out = io.BytesIO()
    pq.write_table(pa.Table.from_pylist(list(rows), schema=schema), out)
    return out.getvalue()
