"""Packs and needs put together by hand, and what a price has for goods."""

from __future__ import annotations

from decimal import Decimal

import mytakeoff as mt
from mytakeoff.job.packs import Pack
from mytakeoff.takeoff.needs import Need


def pack(item, holds, price, supplier="", from_packs=1, least=1, unit="kg", name="bag", weight=0):
    return Pack(
        item, Decimal(str(holds)), unit, Decimal(str(price)), name, supplier, from_packs, least,
        Decimal(str(weight)),
    )  # fmt: skip


def need(item, amount, unit="kg", likely=None, **details):
    return Need(item, amount, amount if likely is None else likely, unit, "by hand", **details)


def bought_amount(result: mt.Result) -> Decimal:
    """What the price has for goods and what their suppliers charge, read off its lines."""
    items = {need.item for need in mt.order_as_priced(result).needs}
    return sum(
        line.amount
        for line in result.cost.lines
        if line.priced_as in items or line.item.split(", ")[0] in ("delivery", "extra")
    )
