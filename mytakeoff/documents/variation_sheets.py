"""A variation as a workbook, for the client and for the estimator: every sum is a formula.

As of a quotation, the client's is written from the client's lines alone.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from mytakeoff.cost.cost import Cost
from mytakeoff.documents.workbook import FIGURES, NARROW, WIDE, About, BookSheet, more_of, workbook_bytes
from mytakeoff.quotation.said import capital
from mytakeoff.units import decimal_of
from mytakeoff.variations.client_edition import AT_SIGNED_RATES, HandedOver, line_name, what_was_signed
from mytakeoff.variations.own_edition import TODAYS
from mytakeoff.variations.priced_lines import PricedChange
from mytakeoff.variations.said import changes_told, days_told

Cell = str | Decimal | tuple[str, Decimal]


def client_variation_sheet(page: HandedOver) -> bytes:
    """`variation-1.xlsx`: what each piece of work costs more or less, and what that makes in all."""
    return _written(page, page.title, "For the client", _client_rows)


def own_variation_sheet(page: HandedOver) -> bytes:
    """`variation-1-estimator.xlsx`: every line as signed and as it is now; it follows a changed quantity."""
    title = f"{page.title}, the estimator's edition"
    return _written(page, title, "For the estimator, not for the client", _own_rows)


def _written(page: HandedOver, title: str, for_whom: str, fill: Callable[..., None]) -> bytes:
    job = page.variation.changed.job

    def rows(sheet: BookSheet) -> None:
        sheet.line([for_whom])
        sheet.line([title], "bold")
        facts = (
            *(("From", job.quotation.firm), ("For", job.client), ("At", job.place), ("Work", job.title)),
            *(
                ("To", capital(what_was_signed(page.variation))),
                ("Dated", page.day),
                ("Price", AT_SIGNED_RATES),
            ),
            *(("", note) for note in page.variation.changed.notes),
        )
        for label, words in facts:
            if words:
                sheet.line([label, words])
        sheet.gap()
        fill(sheet, page)

    about = About(f"{title}: {job.title}", job.quotation.firm, str(page.variation.mark), page.dated)
    return workbook_bytes(about, f"Variation {page.variation.number}", job.money_places, rows)


def _client_rows(sheet: BookSheet, page: HandedOver) -> None:
    """What was signed, what is added and less, and all from now on."""
    variation = page.variation
    was, now, places = variation.base.cost, _now(page), _places(page)
    for columns, width in (((0, 0), NARROW), ((1, 1), WIDE), ((2, 4), FIGURES)):
        sheet.page.set_column(*columns, width)
    rate = sheet.line(["Tax", "", decimal_of(variation.changed.job.margins.tax_share)], figures="share")
    sheet.gap()
    sheet.line(["Room", f"Work, amounts in {was.currency} before tax", "Added", "Less"], "head")
    first = sheet.row + 1
    for line in variation.lines:
        sides = (line.added if not line.less else "", line.less if line.less else "")
        sheet.line([capital(line.room), line_name(line), *sides])
    last = sheet.row
    sums = [
        (f"SUM({c}{first}:{c}{last})", sum((getattr(line, side) for line in variation.lines), Decimal(0)))
        for c, side in (("C", "added"), ("D", "less"))
    ]
    added = sheet.line(["In all", "", *(sums if variation.lines else (Decimal(0), Decimal(0)))], "sum")
    sheet.gap()
    sheet.line(["Price", f"Amounts in {was.currency}", "Net", "Tax", "With tax"], "head")
    here = sheet.row + 1  # of what was signed; the variation and all of it follow
    net, in_all = (f"C{added}-D{added}", variation.net), (f"C{here}+C{here + 1}", now.before_tax)
    tax = [(f"ROUND(C{row}*C${rate},{places})", cost.tax) for row, cost in ((here, was), (here + 2, now))]
    moved = (f"D{here + 2}-D{here}", variation.tax)
    totals = enumerate((was.total, variation.gross, now.total), start=here)
    gross = [(f"C{row}+D{row}", value) for row, value in totals]
    sheet.line(["Signed so far", "", was.before_tax, tax[0], gross[0]])
    sheet.line(["This variation", "", net, moved, gross[1]])
    sheet.line(["In all from now on", "", in_all, tax[1], gross[2]], "sum")
    more_of(sheet, "What changes", changes_told(variation))
    more_of(sheet, "When", [f"{name}: {words}" for name, words in days_told(variation)])


def _places(page: HandedOver) -> int:
    return page.variation.base.cost.money_places


def _now(page: HandedOver) -> Cost:
    return page.variation.changed.cost


def _own_rows(sheet: BookSheet, page: HandedOver) -> None:
    """Every line as signed and now, what is added to them, and by how much each moves the price."""
    variation = page.variation
    widths = (44, NARROW, *[FIGURES] * 7, NARROW, WIDE)
    for column, width in enumerate(widths):
        sheet.page.set_column(column, column, width)
    sheet.line(
        ["Item", "Unit", "Signed", "At", "Amount", "Now", "At", f"Amount, {_now(page).currency}", "Change",
         "Price is", "Computed from"], "head",
    )  # fmt: skip
    first = sheet.row + 1
    lines = [each for each in variation.priced if not _is_markup(each, page)]
    for each in lines:
        _own_line(sheet, each, page)
    last = sheet.row
    was, now = variation.base.cost.subtotal, _now(page).subtotal
    sheet.line(
        ["Lines", "", "", "", (f"SUM(E{first}:E{last})", was), "", "", (f"SUM(H{first}:H{last})", now),
         (f"H{last + 1}-E{last + 1}", now - was), "", ""], "sum",
    )  # fmt: skip
    above = sheet.row
    for each, share in zip(variation.priced[len(lines) :], _shares(page), strict=True):
        _markup(sheet, each, share, above, page)
    end, here = sheet.row, sheet.row + 1
    totals = variation.base.cost.total, _now(page).total
    sheet.line(
        ["Total with tax", "", "", "", (f"SUM(E{above}:E{end})", totals[0]), "", "",
         (f"SUM(H{above}:H{end})", totals[1]), (f"H{here}-E{here}", variation.gross), "", ""], "sum",
    )  # fmt: skip
    more_of(sheet, "What changed", variation.told)
    more_of(sheet, "Other prices and rates by now, which count for nothing here", variation.not_counted)


def _shares(page: HandedOver) -> tuple[float, ...]:
    margins = page.variation.changed.job.margins
    return margins.overhead_share, margins.profit_share, margins.contingency_share, margins.tax_share


def _is_markup(change: PricedChange, page: HandedOver) -> bool:
    return change.now is not None and change.now in _now(page).markups


def _own_line(sheet: BookSheet, change: PricedChange, page: HandedOver) -> None:
    here, places = sheet.row + 1, _places(page)
    cells: list[Cell] = []
    for line, (quantity, price) in zip((change.was, change.now), (("C", "D"), ("F", "G")), strict=True):
        known = (
            (Decimal(0), Decimal(0), Decimal(0)) if line is None else (line.quantity, line.price, line.amount)
        )
        cells += [*known[:2], (f"ROUND({quantity}{here}*{price}{here},{places})", known[2])]
    line, priced = change.line, TODAYS if change.todays else "as signed"
    moved = (f"H{here}-E{here}", change.amount)
    sheet.line([line.item, line.unit, *cells, moved, priced, line.basis], figures="exact")
    _as_money(sheet, here, cells[2], cells[5], moved)


def _markup(sheet: BookSheet, change: PricedChange, share: float, above: int, page: HandedOver) -> None:
    here, places, rate = sheet.row + 1, _places(page), decimal_of(share)
    sides = [
        (f"ROUND(SUM({c}${above}:{c}{here - 1})*C{here},{places})", line.amount if line else Decimal(0))
        for c, line in (("E", change.was), ("H", change.now))
    ]
    moved = (f"H{here}-E{here}", change.amount)
    sheet.line(
        [change.line.item, "", rate, "", sides[0], "", "", sides[1], moved, "", change.line.basis],
        figures="share",
    )
    _as_money(sheet, here, *sides, moved)


def _as_money(sheet: BookSheet, here: int, *formulas: Any) -> None:
    """The amounts of a row whose other figures are written otherwise."""
    for column, (formula, value) in zip((4, 7, 8), formulas, strict=True):
        sheet.page.write_formula(here - 1, column, f"={formula}", sheet.formats["money"], float(value))
