"""Verdicts on finished walls as a file: a row for each thing that was promised and judged."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mytakeoff.acceptance.checked_wall import CheckedWall
from mytakeoff.acceptance.verdict_table import verdict_frame
from mytakeoff.audience import ESTIMATOR, Audience, check_name
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.io.files.csv_table import write_csv


def write_verdicts(
    walls: Sequence[CheckedWall],
    path: str | Path,
    *,
    audience: Audience = ESTIMATOR,
    formats: Formats = HOUSE,
    decimal_comma: bool | None = None,
) -> None:
    """Write the verdicts on some walls as CSV, exactly as `verdict_frame` has them.

    Parameters
    ----------
    walls : sequence of CheckedWall
    path : str or Path
        In a folder that exists.
    audience : "estimator" or "client"
        Whom it is for; a client's name ends in ``-client``.
    formats : Formats
        Of the words in it: the job's.
    decimal_comma : bool or None
        For spreadsheets that write decimals so; None: as `formats` has it.

    Raises
    ------
    TakeoffError
        A name that is not for this audience, or a file that cannot be written.
    """
    check_name(path, audience)
    comma = formats.decimal_comma if decimal_comma is None else decimal_comma
    write_csv(verdict_frame(walls, audience, formats), path, decimal_comma=comma)
