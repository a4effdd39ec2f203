"""A result's costed table as files: the CSV, and beside it totals, notices and cautions as text."""

from __future__ import annotations

from pathlib import Path

from mytakeoff.audience import CLIENT, ESTIMATOR, Audience, check_audience, check_name
from mytakeoff.cost.by_wall import RULE, wall_frame
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.csv_table import companion_bytes, companion_path, csv_bytes
from mytakeoff.ranges.job_ranges import JobRanges
from mytakeoff.ranges.range_table import range_frame
from mytakeoff.result import Result
from mytakeoff.treatment.cautions import cautions_for


def export_costs(
    result: Result,
    path: str | Path,
    *,
    decimal_comma: bool | None = None,
    sure: JobRanges | None = None,
    audience: Audience = ESTIMATOR,
) -> Path:
    """Write the cost table as CSV, exactly as `cost.to_frame(audience)` has it, and its companion text.

    The estimator's has a table of its own beside it, whose name ends in ``-walls``: what each wall comes to.

    Parameters
    ----------
    result : Result
    path : str or Path
        Of the table.
    decimal_comma : bool or None
        For spreadsheets that write decimals so; None: as the job has it.
    sure : JobRanges or None
        How sure the figures are: a table of its own beside, whose name ends in ``-range``; for the estimator.
    audience : "estimator" or "client"
        Whom it is for; a client gets a name that ends in ``-client``, what is done, what is not in the price,
        what could not be measured and the cautions, but nothing about method and no ranges.

    Returns
    -------
    Path
        The companion text, beside the table.

    Raises
    ------
    TakeoffError
        A name that is not for this audience, or a file that cannot be written; then none is.
    """
    check_audience(audience)
    check_name(path, audience)
    cost, job = result.cost, result.job
    notices = result.notices
    if audience == CLIENT:
        sure, notices = None, (*result.not_priced, *result.not_measured)
    priced = ", ".join(wall.entry.name for wall in result.walls) or "none"
    shared = () if audience == CLIENT else (f"By wall, in {beside_path(path, 'walls').name}: {RULE}",)
    excluded = [f"Not in the price: {item}." for item in cost.excluded]
    text = companion_bytes(
        audience,
        job.title,
        f"{job.formats.amount(cost.total)} with tax",
        [f"Walls priced: {priced}.", *shared, *_range_words(sure), *notices, *excluded],
        [str(caution) for caution in cautions_for(job, result.walls)],
        result.notes,
    )
    companion = companion_path(path)
    comma = job.decimal_comma if decimal_comma is None else decimal_comma
    files = {Path(path): csv_bytes(cost.to_frame(audience), comma), companion: text}
    if audience == ESTIMATOR:
        files[beside_path(path, "walls")] = csv_bytes(wall_frame(cost, result.walls), comma)
    if sure is not None:
        files[beside_path(path, "range")] = csv_bytes(range_frame(sure), comma)
    write_all(files)
    return companion


def beside_path(path: str | Path, what: str) -> Path:
    """A table beside an exported one.

    Examples
    --------
    >>> beside_path("flat.csv", "range").name
    'flat-range.csv'
    """
    table = Path(path)
    return table.with_name(f"{table.stem}-{what}{table.suffix}")


def _range_words(sure: JobRanges | None) -> list[str]:
    """The ranges in a sentence, for the companion text."""
    if sure is None:
        return []
    low, _, high = sure.total_money
    formats = sure.result.job.formats
    number = formats.number
    return [
        f"Likely (8 in 10): {number(sure.litres.low)} to {number(sure.litres.high)} l of plaster, "
        f"{formats.money(low)} to {formats.amount(high)} with tax."
    ]
