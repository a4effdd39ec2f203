"""The order as files: the list for the merchant as CSV; beside it what is over, what to carry, cautions."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from mytakeoff.audience import ESTIMATOR, check_name
from mytakeoff.buying.order import Order
from mytakeoff.formats.formats import counted
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.csv_table import companion_bytes, companion_path, csv_bytes
from mytakeoff.result import Result
from mytakeoff.takeoff.purchases import amount_words
from mytakeoff.treatment.cautions import cautions_for, lifting_guideline_kg

WOMAN_SHARE = 2 / 3  # of the guideline for a man: HSE INDG143 (seen on a secondary page)


def export_order(
    order: Order, result: Result, path: str | Path, *, decimal_comma: bool | None = None
) -> Path:
    """Write the order list as CSV, exactly as `order.to_frame()` has it, and its companion text.

    Parameters
    ----------
    order : Order
    result : Result
        What is bought for.
    path : str or Path
        Of the list.
    decimal_comma : bool or None
        For spreadsheets that write decimals so; None: as the job has it.

    Returns
    -------
    Path
        The companion text, beside the list.

    Raises
    ------
    TakeoffError
        A name for the client, or a file that cannot be written; then neither is.
    """
    check_name(path, ESTIMATOR)
    job = result.job
    text = companion_bytes(
        ESTIMATOR,
        f"{job.title}: order",
        f"{job.formats.amount(order.total)} before tax",
        [*result.not_read, *order_lines(order)],
        [str(caution) for caution in cautions_for(job, result.walls)],
        result.notes,
    )
    companion, comma = companion_path(path), job.decimal_comma if decimal_comma is None else decimal_comma
    write_all({Path(path): csv_bytes(order.to_frame(), comma), companion: text})
    return companion


def order_lines(order: Order) -> list[str]:
    """What there is to know about an order, in sentences."""
    return [*stock_lines(order), *over_lines(order), *back_lines(order), *carry_lines(order)]


def proof_words(order: Order) -> str:
    """Whether an order that was searched for could be cheaper."""
    if order.basket.exact:
        return "No order with one pack and one supplier for each product is cheaper."
    least = order.job.formats.amount(order.basket.at_least or Decimal(0))
    return f"The cheapest order that was found; no order is under {least}."


def stock_lines(order: Order) -> list[str]:
    """What the user keeps: priced by what is used of it, and not ordered."""
    formats = order.job.formats
    used = ", ".join(
        f"{amount_words(offer.need.amount, offer.need.unit, formats)} of {offer.need.item}"
        for offer in order.from_stock
    )
    return [f"From stock, not ordered: {used}."] if used else []


def over_lines(order: Order) -> list[str]:
    """What is left over of each product, which the price pays for."""
    formats = order.job.formats
    over = ", ".join(
        f"{amount_words(offer.over, offer.need.unit, formats)} of {offer.need.item}"
        for offer in order.basket.bought
        if offer.over >= 0.005
    )
    if not over:
        return []
    return [f"Left over, and in the price: {over}. What you keep in stock is priced by what is used of it: "
            "name it in in_stock under buying."]  # fmt: skip


def back_lines(order: Order) -> list[str]:
    """What bringing unopened packs back gives, supplier by supplier."""
    formats, lines = order.job.formats, []
    for back in order.bringing_back:
        packs = ", ".join(f"{count} × {item}" for item, count in back.packs)
        where = f" to {back.supplier}" if back.supplier else ""
        sums = f"{formats.amount(back.refund)} come back, the trip costs {formats.money(back.trip)}"
        pays = "it pays" if back.pays else "it does not pay: keep them"
        lines.append(f"If only what is likely is used, these stay unopened: {packs}. Brought back{where}, "
                     f"{sums}: {pays}.")  # fmt: skip
    return lines


def carry_lines(order: Order) -> list[str]:
    """Weight, trips and the floor under the stack."""
    buying, formats = order.job.buying, order.job.formats
    number, short, fixed = formats.number, formats.short, formats.fixed
    lines = []
    for up in order.carrying:
        floor = f"floor {up.storey}" if up.storey else "street level"
        stairs = f", {counted(up.flights, 'flight')} of stairs with a load" if up.flights else ""
        lines.append(
            f"To {floor} ({', '.join(up.rooms)}): {number(up.weight_kg)} kg in {counted(up.trips, 'trip')}, "
            f"about {short(buying.carry_kg)} kg at a time{stairs}."
        )
    man, woman = lifting_guideline_kg(0.5), lifting_guideline_kg(0.5, WOMAN_SHARE * 25)
    lines.append(
        f"The heaviest pack is {short(order.heaviest_kg)} kg. The guideline for lifting at waist "
        "height, up to 30 "
        f"times an hour, is {short(man)} kg for a man and about {fixed(woman)} kg for a woman; less "
        "further out, lower, higher or more often."
    )
    if order.heaviest_kg > buying.carry_kg:
        lines.append(
            f"That is over the {short(buying.carry_kg)} kg that you carry at a time: share it "
            "between two, split it, or buy it smaller."
        )
    if order.not_weighed:
        lines.append(f"Without a weight in packs.csv, so not counted: {', '.join(order.not_weighed)}.")
    holds = "within" if order.floor_holds else "over"
    lines.append(
        f"Stacked on {short(buying.stack_m2)} m² the floor carries "
        f"{number(order.stack_kn_per_m2, 1)} kN/m², {holds} "
        f"{short(buying.floor_limit_kn_per_m2)} kN/m²: spread it over "
        f"{number(order.least_stack_m2, 1)} m² at least, "
        "along a bearing wall and across the joists. In an old house ask somebody who knows its floors."
    )
    return lines
