"""The ranges of a job as a table."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from mytakeoff.audience import ESTIMATOR, SHOWN_TO
from mytakeoff.ranges.band import Band
from mytakeoff.ranges.job_ranges import ALL_WALLS, JobRanges

if TYPE_CHECKING:
    import pandas as pd

RANGE_COLUMNS = ("figure", "unit", "low_10", "middle_50", "high_90")


def range_frame(sure: JobRanges) -> pd.DataFrame:
    """The ranges as a table: litres by wall and in all, bags and the order for each mix, price, places.

    What a place saves is one figure, an average, in all three columns.

    Returns
    -------
    pandas.DataFrame
        Columns figure, unit, low_10, middle_50, high_90, shown_to; numbers are Decimal.
    """
    import pandas as pd

    rows = [_row(f"plaster, {wall.name}", "l", wall.litres, 1) for wall in sure.walls]
    rows.append(_row(f"plaster, {ALL_WALLS}", "l", sure.litres, 1))
    for mix in sure.mixes:
        order = Decimal(mix.order.bags)
        rows.append(_row(mix.mix.name, "bag", mix.bags, 0))
        rows.append((f"{mix.mix.name}, to order", "bag", order, order, order))
    rows.append(_row("all mixes", "bag", sure.bags, 0))
    rows.append(("price with tax", sure.result.job.currency, *sure.total_money))
    for wall in sure.walls:
        for number, place in enumerate(wall.readings, start=1):
            where = f"measure next on {wall.name}, {number}: x {place.x_m:.2f} m, z {place.z_m:.2f} m"
            off = Band(-place.guess_mm - place.sd_mm, -place.guess_mm, -place.guess_mm + place.sd_mm)
            rows.append(_row(f"{where}, off the line", "mm", off, 1))
        for number, saving in enumerate(wall.savings, start=1):
            saved = f"saved on average by measuring on {wall.name}, {number}"
            amount = saving.total
            rows.append((saved, sure.result.job.currency, amount, amount, amount))
    return pd.DataFrame(rows, columns=list(RANGE_COLUMNS)).assign(**{SHOWN_TO: ESTIMATOR})


def _row(figure: str, unit: str, band: Band, places: int) -> tuple[str, str, Decimal, Decimal, Decimal]:
    return figure, unit, *band.rounded(places)
