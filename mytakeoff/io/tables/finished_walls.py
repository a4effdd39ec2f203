"""Finished walls as files: a row for each snag, and for each thing that was judged."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pandas as pd

from mytakeoff.acceptance.checked_wall import CheckedWall
from mytakeoff.acceptance.snag_table import snag_frame
from mytakeoff.acceptance.snags import SnagList
from mytakeoff.acceptance.verdict_table import verdict_frame
from mytakeoff.audience import ESTIMATOR, Audience, check_name
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.io.files.csv_table import write_csv


def write_snags(
    lists: Sequence[SnagList],
    path: str | Path,
    *,
    audience: Audience = ESTIMATOR,
    formats: Formats = HOUSE,
    decimal_comma: bool | None = None,
) -> None:
    """Write the snags of some walls as CSV, exactly as `snag_frame` has them.

    Parameters
    ----------
    lists : sequence of SnagList
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
    _write(snag_frame(lists, audience, formats), path, audience, formats, decimal_comma)


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
    path, audience, formats, decimal_comma
        As `write_snags` has them.

    Raises
    ------
    TakeoffError
        A name that is not for this audience, or a file that cannot be written.
    """
    _write(verdict_frame(walls, audience, formats), path, audience, formats, decimal_comma)


def _write(
    frame: pd.DataFrame, path: str | Path, audience: Audience, formats: Formats, decimal_comma: bool | None
) -> None:
    check_name(path, audience)
    comma = formats.decimal_comma if decimal_comma is None else decimal_comma
    write_csv(frame, path, decimal_comma=comma)
