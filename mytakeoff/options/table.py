"""The table of several ways of treating the walls, for the screen and the file alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from mytakeoff.audience import CLIENT, ESTIMATOR, SHOWN_TO, Audience, check_audience
from mytakeoff.options import in_words
from mytakeoff.options.result import OptionResult, Refused
from mytakeoff.ranges.job_ranges import JobRanges

if TYPE_CHECKING:
    import pandas as pd

RANGED = ("low_10", "middle_50", "high_90")


def _ends(figure: str) -> tuple[str, ...]:
    """Columns of a figure's range."""
    return tuple(f"{figure}_{end}" for end in RANGED)


COLUMNS = (
    *("option", "price", *_ends("price"), "currency", "litres", *_ends("litres"), "bags", *_ends("bags")),
    *("days", "days_to_paint", "dry_kg", "dry_kg_per_m2", "room_lost_mm", "greatest_gap_mm", "gap_95_mm"),
    *("over_tolerance_share", "belly_mm", "lean_mm", "passes", "verdict"),
    *("in_words", "room_in_words", "why_it_fails", "not_in_price", SHOWN_TO),
)
CLIENT_COLUMNS = (
    *("option", "price", "currency", "days_to_paint", "room_lost_mm", "greatest_gap_mm", "lean_mm"),
    *("passes", "verdict", "in_words", "room_in_words", "why_it_fails", "not_in_price", SHOWN_TO),
)
"""No litres, bags, weights or days' work: with the price beside them they give the rates away."""


def options_frame(
    options: Iterable[OptionResult | Refused],
    sure: Mapping[str, JobRanges] | None = None,
    audience: Audience = ESTIMATOR,
) -> pd.DataFrame:
    """The table of options: one row an option.

    Parameters
    ----------
    options : iterable of OptionResult or Refused
    sure : mapping of str to JobRanges, optional
        How sure the figures of an option are (`job_ranges` of its result), by its name.
    audience : "estimator" or "client"
        The client's has the price, what still shows and when paint may go on: neither bags, litres, hours
        nor ranges.

    Returns
    -------
    pandas.DataFrame
        Columns option, price (Decimal, with tax), currency, litres, bags, days, days_to_paint, dry_kg,
        dry_kg_per_m2, room_lost_mm, greatest_gap_mm, gap_95_mm, over_tolerance_share, belly_mm, lean_mm,
        passes, verdict, in_words, room_in_words, why_it_fails, not_in_price, shown_to; after price, litres
        and bags their range, as in ``price_low_10``, ``price_middle_50`` and ``price_high_90``, empty where
        it is not given.

    Raises
    ------
    TakeoffError
        Another audience.
    """
    import pandas as pd

    check_audience(audience)
    ranges = sure or {}
    says = {SHOWN_TO: audience}
    rows = [
        {**each.row, **range_row(ranges.get(each.name)), **_said(each, audience), **says} for each in options
    ]
    columns = CLIENT_COLUMNS if audience == CLIENT else COLUMNS
    return pd.DataFrame([{**dict.fromkeys(COLUMNS), **row} for row in rows], columns=list(columns))


def range_row(sure: JobRanges | None) -> dict[str, object]:
    """Ranges of an option's price, litres and bags, by column; none where they are not worked out."""
    if sure is None:
        return {}
    figures = {
        "price": sure.total_money,
        "litres": sure.litres.rounded(1),
        "bags": sure.bags.rounded(0),
    }
    return {
        column: value
        for figure, values in figures.items()
        for column, value in zip(_ends(figure), values, strict=True)
    }


def _said(option: OptionResult | Refused, audience: Audience) -> dict[str, object]:
    """The option in words; of one that cannot be taken its verdict has the reason.

    The client reads the verdict of the screen, without the figure that fails by most.
    """
    if isinstance(option, Refused):
        return {}
    failing = (f"{reason.wall}: {reason.why}" for reason in in_words.why_fails(option))
    plain = {"verdict": in_words.verdict(option)} if audience == CLIENT else {}
    return {
        **plain,
        "in_words": in_words.sentence(option),
        "room_in_words": in_words.room_lost(option),
        "why_it_fails": "; ".join(failing),
        "not_in_price": "; ".join((*option.cost.excluded, *option.result.not_read)),
    }
