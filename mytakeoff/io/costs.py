"""A result's costed table as files: the CSV, and beside it totals, notices and cautions as text."""

from __future__ import annotations

from pathlib import Path

from mytakeoff.cautions import cautions_for
from mytakeoff.chain import Result
from mytakeoff.io.atomic import write_all
from mytakeoff.io.export import companion_bytes, companion_path, csv_bytes


def export_costs(result: Result, path: str | Path, *, decimal_comma: bool | None = None) -> Path:
    """Write the cost table as CSV, exactly as `result.cost.to_frame()` has it, and its companion text.

    Parameters
    ----------
    result : Result
    path : str or Path
        Of the table.
    decimal_comma : bool or None
        For spreadsheets that write decimals so; None: as the job has it.

    Returns
    -------
    Path
        The companion text, beside the table.

    Raises
    ------
    TakeoffError
        A file cannot be written; then neither is.
    """
    cost, job = result.cost, result.job
    priced = ", ".join(wall.entry.name for wall in result.walls)
    excluded = [f"Not in the price: {item}." for item in cost.excluded]
    text = companion_bytes(
        job.title,
        f"{cost.total} {cost.currency}",
        [f"Walls priced: {priced}.", *result.notices, *excluded],
        [str(caution) for caution in cautions_for(job, result.walls)],
        job.notes,
    )
    beside = companion_path(path)
    comma = job.decimal_comma if decimal_comma is None else decimal_comma
    write_all({Path(path): csv_bytes(cost.to_frame(), comma), beside: text})
    return beside
