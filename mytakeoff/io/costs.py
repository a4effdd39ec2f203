"""A result's costed table as files: the CSV, and beside it totals, notices and cautions as text."""

from __future__ import annotations

from pathlib import Path

from mytakeoff.cautions import cautions_for
from mytakeoff.chain import Result
from mytakeoff.io.export import companion_path, write_companion, write_csv


def export_costs(result: Result, path: str | Path, *, decimal_comma: bool = False) -> Path:
    """Write the cost table as CSV, exactly as `result.cost.to_frame()` has it, and its companion text.

    Parameters
    ----------
    result : Result
    path : str or Path
        Of the table.
    decimal_comma : bool
        For spreadsheets that write decimals so.

    Returns
    -------
    Path
        The companion text, beside the table.

    Raises
    ------
    TakeoffError
        A file cannot be written.
    """
    cost, job = result.cost, result.job
    write_csv(cost.to_frame(), path, decimal_comma=decimal_comma)
    priced = ", ".join(wall.entry.name for wall in result.walls)
    excluded = [f"Not in the price: {item}." for item in cost.excluded]
    write_companion(
        path,
        job.title,
        f"{cost.total} {cost.currency}",
        [f"Walls priced: {priced}.", *result.notices, *excluded],
        [str(caution) for caution in cautions_for(job, result.walls)],
        job.notes,
    )
    return companion_path(path)
