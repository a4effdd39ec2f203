"""A variation as a workbook, for the client and for the estimator: every sum is a formula.

As of a quotation, the client's is written from the client's lines alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
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
    """What was signed, the lines, and all from now on."""
    variation = page.variation
    base, places = variation.base.cost, _places(page)
    for columns, width in (((0, 0), NARROW), ((1, 1), WIDE), ((2, 5), FIGURES)):
        sheet.page.set_column(*columns, width)
    rate = sheet.line(["Tax", "", decimal_of(variation.changed.job.margins.tax_share)], figures="share")
    sheet.gap()
    sheet.line(["Price", f"Amounts in {base.currency}", "Net", "Tax", "With tax"], "head")
    signed = sheet.row + 1
    tax = (f"ROUND(C{signed}*C${rate},{places})", base.tax)
    sheet.line(["Signed so far", "", base.before_tax, tax, (f"C{signed}+D{signed}", base.total)])
    here, all_of_it = signed + 1, signed + 2
    last = all_of_it + 2 + len(variation.lines)  # of the lines, which stand below a gap and their head
    sums = _sums(all_of_it + 3, last, page)
    sheet.line([f"Variation {variation.number}", "", *sums])
    totals = zip("CDE", (_now(page).before_tax, _now(page).tax, _now(page).total), strict=True)
    sheet.line(["In all from now on", "", *((f"{c}{signed}+{c}{here}", value) for c, value in totals)], "sum")
    sheet.gap()
    _lines(sheet, page, f"C${signed}", f"D${signed}", f"C${rate}")
    more_of(sheet, "What changes", changes_told(variation))
    more_of(sheet, "When", [f"{name}: {words}" for name, words in days_told(variation)])


def _places(page: HandedOver) -> int:
    return page.variation.base.cost.money_places


def _now(page: HandedOver) -> Cost:
    return page.variation.changed.cost


def _sums(first: int, last: int, page: HandedOver) -> Sequence[Cell]:
    """Net, tax and with tax of the lines between two rows; of none, nothing."""
    variation = page.variation
    if last < first:
        return Decimal(0), Decimal(0), Decimal(0)
    return (
        (f"SUM(C{first}:C{last})-SUM(D{first}:D{last})", variation.net),
        (f"SUM(E{first}:E{last})", variation.tax),
        (f"SUM(F{first}:F{last})", variation.gross),
    )


def _lines(sheet: BookSheet, page: HandedOver, net: str, tax: str, rate: str) -> None:
    """A row for each piece of work: its tax is what the tax grows by with it, as `client_lines` has it."""
    places = _places(page)
    sheet.line(["Room", "Work", "Added", "Less", "Tax", "With tax"], "head")
    first = sheet.row + 1
    for line in page.variation.lines:
        here = sheet.row + 1
        so_far = f"{net}+SUM(C${first}:C{here})-SUM(D${first}:D{here})"
        before = "" if here == first else f"-SUM(E${first}:E{here - 1})"
        taxed = (f"ROUND(({so_far})*{rate},{places})-{tax}{before}", line.tax)
        sides = [line.added or "", line.less or ""]
        gross = (f"C{here}-D{here}+E{here}", line.gross)
        sheet.line([capital(line.room), line_name(line), *sides, taxed, gross])


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
