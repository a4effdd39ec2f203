"""Priced jobs as JSON and CSV: on the standard output, or in files that are whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pandas as pd

from mytakeoff.audience import SHOWN_TO, Audience, check_name
from mytakeoff.figures.in_words import figures_told, to_know
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.csv_table import csv_bytes
from mytakeoff.io.tables.costs import export_costs
from mytakeoff.jobs.pricing import PricedFolder


def json_text(priced: Sequence[PricedFolder], audience: Audience) -> str:
    """All of them, a list with an object each; money and quantities are numbers, days are text."""
    return json.dumps([_object(each, audience) for each in priced], indent=1, default=_plain) + "\n"


def _object(priced: PricedFolder, audience: Audience) -> dict[str, Any]:
    """A job by name: its headline's figures, the rows of its costed table; or its mistakes."""
    result, said = priced.result, {"folder": priced.folder, SHOWN_TO: audience}
    mistakes = [vars(mistake) for mistake in priced.mistakes]
    if result is None:
        return said | {"mistakes": mistakes}
    return said | {
        "title": result.job.title,
        "state": result.job.state,
        "currency": result.cost.currency,
        "headline": figures_told(result, audience),
        "to_know": to_know(result, audience),
        "table": result.cost.to_frame(audience).to_dict("records"),
        "mistakes": mistakes,
    }


def _plain(value: Any) -> float | str:
    if isinstance(value, Decimal):
        return int(value) if value == value.to_integral_value() else float(value)
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(type(value))


def csv_text(priced: Sequence[PricedFolder], audience: Audience) -> str:
    """The costed table for other programs: commas, a point before decimals, no mark at its beginning."""
    text = csv_bytes(_frame(priced, audience)).decode("utf-8-sig")
    return text.replace("\r\n", "\n")


def _frame(priced: Sequence[PricedFolder], audience: Audience) -> pd.DataFrame:
    """The costed table of one job; of several one below the other, their folders in the first column."""
    frames = {each.folder: each.result.cost.to_frame(audience) for each in priced if each.result}
    if len(priced) == 1:
        return next(iter(frames.values()), pd.DataFrame())
    for folder, frame in frames.items():
        frame.insert(0, "folder", folder)
    return pd.concat(frames.values(), ignore_index=True) if frames else pd.DataFrame()


def write_json(priced: Sequence[PricedFolder], path: Path, audience: Audience) -> None:
    """See `json_text`.

    Raises
    ------
    TakeoffError
        A name that is not for this audience, or a file that cannot be written.
    """
    check_name(path, audience)
    write_all({path: json_text(priced, audience).encode()})


def write_costs(priced: Sequence[PricedFolder], path: Path, audience: Audience) -> None:
    """The costed table of one job with what goes beside it, as its workbook writes it; of several one table.

    Raises
    ------
    TakeoffError
        A name that is not for this audience, or a file that cannot be written; then none is.
    """
    results = [each.result for each in priced if each.result]
    if not results:
        return
    if len(priced) == 1:
        export_costs(results[0], path, audience=audience)
        return
    check_name(path, audience)
    comma = all(result.job.decimal_comma for result in results)
    write_all({path: csv_bytes(_frame(priced, audience), comma)})
