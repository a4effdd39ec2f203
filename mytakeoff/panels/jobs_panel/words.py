"""What the table of jobs says: its cells, what jobs come to together, the chart in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any
from urllib.parse import quote

from mytakeoff.formats.formats import Formats, counted, in_a_row
from mytakeoff.io.files.text import as_typed
from mytakeoff.jobs.chosen import WHY, totals, value_of
from mytakeoff.jobs.odd import FURTHER, LEAST_JOBS, WORTH_SHARE, PriceLine, PricePoint, price_line
from mytakeoff.jobs.rows import Row
from mytakeoff.panels.parts import html
from mytakeoff.panels.parts.html import Html, element, joined, listed, paragraphs
from mytakeoff.resources import FIRST_WORKBOOK, JOBS_WORKBOOK

NUMBERS = {
    "total": "Total",
    "total_per_m2": "a m²",
    "mean_mm": "Mean, mm",
    "litres": "Litres",
    "work_days": "Days’ work",
}
HEADS = {"title": "Job", "state": "State", **NUMBERS, WHY: "Not priced, and why"}
# What may be limited beside what the table shows.
MORE = {
    "place": "Place",
    "client": "Client",
    "folder": "Folder",
    "currency": "Currency",
    "walls": "Walls",
    "area_m2": "Area, m²",
    "bags": "Bags",
    "dry_kg": "Dry weight, kg",
    "site_days": "Days on site",
    "max_mm": "Thickest, mm",
}
BUSY = "being priced …"
ODD_RULE = (
    f"The line is drawn through the middle: its slope is the middle one of the slopes between any two jobs, "
    f"and as many jobs lie above it as below. A job is called odd when its price is further from the line "
    f"than {FURTHER} times the usual distance (the middle one of all distances, divided by 0.6745), and by "
    f"more than {100 * WORTH_SHARE:g} % of the middle price. Of fewer than {LEAST_JOBS} jobs none is odd."
)


def head_of_table() -> list[dict[str, Any]]:
    """The columns."""
    return [{"key": key, "text": text, "number": key in NUMBERS} for key, text in HEADS.items()]


def formats_of(rows: Iterable[Row]) -> Formats:
    """How numbers are written: one table has one way, that of most jobs."""
    locales = Counter(str(row["locale"]) for row in rows if row["total"] is not None)
    return Formats(locale=max(sorted(locales), key=locales.__getitem__, default=""))


def amount(value: Decimal, currency: str, formats: Formats) -> str:
    """An amount of a row, to the places that it has."""
    places = max(-int(value.as_tuple().exponent), 0)
    return formats.of(currency, places).amount(value)


def line_of(row: Row, formats: Formats, place: Path, *, busy: bool) -> dict[str, Any]:
    """A row as the table shows it, with the way to its budget."""
    folder = place / row["folder"]
    workbook = f"{FIRST_WORKBOOK}.ipynb"
    led = (place / f"{JOBS_WORKBOOK}.ipynb").is_file() and (folder / workbook).is_file()
    under = (row["folder"] if row["title"] else "", row["place"], row["client"])
    return {
        "key": row["folder"],
        "title": row["title"] or row["folder"],
        "under": " · ".join(filter(None, under)),
        "href": quote(f"{row['folder']}/{workbook}") if led else "",
        "command": "" if led else f"mytakeoff open {as_typed(folder)}",
        "busy": BUSY if busy else "",
        "cells": _cells(row, formats),
    }


def _cells(row: Row, formats: Formats) -> dict[str, str]:
    said = {"state": str(row["state"]), WHY: str(value_of(row, WHY))}
    if row["total"] is None:
        return said
    for key in ("total", "total_per_m2"):
        said[key] = amount(row[key], row["currency"], formats) if row[key] is not None else ""
    return said | {
        "mean_mm": formats.number(row["mean_mm"], 1),
        "litres": formats.number(row["litres"]),
        "work_days": formats.days(row["work_days"]),
    }


def headline(rows: Sequence[Row], of: int, place: str, formats: Formats) -> Html:
    """What the shown jobs come to together, by currency."""
    priced = [row for row in rows if row["total"] is not None]
    sums = [amount(total, currency, formats) for currency, total in totals(rows).items()]
    count = counted(len(rows), "job") if len(rows) == of else f"{len(rows)} of {counted(of, 'job')}"
    without = len(rows) - len(priced)
    known = [
        count,
        f"{formats.number(sum(row['litres'] for row in priced))} litres",
        f"{formats.days(sum(row['work_days'] for row in priced))} days’ work",
        f"{without} without a price" if without else "",
    ]
    return html.headline(" + ".join(sums) or "Nothing priced yet", html.facts(filter(None, known)), place)


def order_words(column: str, *, falling: bool) -> str:
    """How the rows are sorted, for whoever does not see it."""
    first = "largest" if falling else "smallest"
    if column not in NUMBERS:
        first = "from the end of the alphabet" if falling else "by the alphabet"
        return f"sorted by {HEADS[column].lower()}, {first}"
    return f"sorted by {HEADS[column].lower()}, {first} first"


def points_of(rows: Iterable[Row]) -> dict[str, list[PricePoint]]:
    """The priced jobs as points, by currency, the currency of most first."""
    by_currency: dict[str, list[PricePoint]] = {}
    for row in rows:
        if row["total_per_m2"] is not None:
            point = PricePoint(row["title"] or row["folder"], row["mean_mm"], float(row["total_per_m2"]))
            by_currency.setdefault(row["currency"], []).append(point)
    return dict(sorted(by_currency.items(), key=lambda each: -len(each[1])))


def chart_words(points: Sequence[PricePoint], currency: str, formats: Formats) -> tuple[str, ...]:
    """What the chart shows: where the jobs lie, and the line they follow."""
    money = formats.of(currency, 2)
    thinnest, thickest = (pick(each.mean_mm for each in points) for pick in (min, max))
    cheapest, dearest = (pick(each.per_m2 for each in points) for pick in (min, max))
    thick = " to ".join(dict.fromkeys(formats.number(each, 1) for each in (thinnest, thickest)))
    costs = " to ".join(dict.fromkeys(map(money.amount, (cheapest, dearest))))
    where = (
        f"{counted(len(points), 'job')}, mean thickness {thick} mm: {costs} a m² of what is plastered, with "
        f"tax and all that is no plaster."
    )
    line = price_line(points)
    if line is None:
        return where, f"Too few for a line: it takes {LEAST_JOBS}. So none is called odd."
    middle = (thinnest + thickest) / 2
    slope = "more" if line.per_mm >= 0 else "less"
    return where, (
        f"The line: {money.amount(line.at(middle))} a m² at {formats.number(middle, 1)} mm, and "
        f"{money.amount(abs(line.per_mm))} {slope} for each millimetre. Usually a job lies "
        f"{money.amount(line.usual)} from it."
    )


def odd_words(line: PriceLine, currency: str, formats: Formats) -> tuple[str, ...]:
    """A sentence for each odd job, the furthest first."""
    money = formats.of(currency, 2)
    return tuple(
        f"{each.name}: {money.amount(each.per_m2)} a m² at {formats.number(each.mean_mm, 1)} mm, "
        f"{money.amount(abs(each.per_m2 - line.at(each.mean_mm)))} "
        f"{'above' if each.per_m2 > line.at(each.mean_mm) else 'below'} the line"
        for each in line.odd
    )


def beside_chart(points: Sequence[PricePoint], currency: str, formats: Formats) -> Html:
    """The same as the chart in words."""
    line = price_line(points)
    said = paragraphs(chart_words(points, currency, formats))
    if line is None:
        return said
    odd = odd_words(line, currency, formats)
    title = element("p", f"{counted(len(odd), 'odd job')}:" if odd else "No job is odd.")
    rule = element("details", element("summary", "When a job is called odd"), element("p", ODD_RULE))
    return joined([said, title, listed(odd, "mt-odd"), rule])


def progress(waiting: Mapping[str, None], of: int) -> str:
    """How far the pricing is; "" where nothing is left to do."""
    if not waiting:
        return ""
    some = in_a_row(list(waiting)[:2]) if len(waiting) < 3 else f"{len(waiting)} jobs"
    return f"Pricing {some}; {of - len(waiting)} of {of} done. The table can be used meanwhile."
