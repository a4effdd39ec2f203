"""A quotation as a workbook: what is done and what it comes to, sums and tax as formulas.

What the client's holds is the client's to the last hidden corner: it is written from the client's rows alone.
"""

from __future__ import annotations

from collections.abc import Callable

from mytakeoff.cost.cost import CostLine
from mytakeoff.documents.workbook import FIGURES, NARROW, WIDE, About, BookSheet, more_of, workbook_bytes
from mytakeoff.quotation.client_page import title_of
from mytakeoff.quotation.content import Quotation
from mytakeoff.quotation.said import capital, likely
from mytakeoff.units import decimal_of


def client_sheet(quotation: Quotation) -> bytes:
    """`quotation.xlsx`: what is done, for how much, sums and tax as formulas."""
    return _written(quotation, title_of(quotation), "For the client", _client_rows)


def estimator_sheet(quotation: Quotation) -> bytes:
    """`quotation-estimator.xlsx`: quantities, prices, margins and tax; it follows a changed price."""
    title = f"{title_of(quotation)}, the estimator's edition"
    return _written(quotation, title, "For the estimator, not for the client", _estimator_rows)


def _written(quotation: Quotation, title: str, for_whom: str, fill: Callable[..., None]) -> bytes:
    job = quotation.result.job

    def rows(sheet: BookSheet) -> None:
        _head(sheet, quotation, title, for_whom)
        fill(sheet, quotation)

    about = About(f"{title}: {job.title}", quotation.terms.firm, str(quotation.mark), quotation.dated)
    return workbook_bytes(about, title_of(quotation), job.money_places, rows)


def _head(sheet: BookSheet, quotation: Quotation, title: str, for_whom: str) -> None:
    job, terms, day = quotation.result.job, quotation.terms, quotation.formats.day
    sheet.line([for_whom])
    sheet.line([f"{title} {terms.number}".strip()], "bold")
    kind = f"{capital(terms.kind)}, tax included"
    revision = f"revision {terms.revision}" if terms.revision else ""
    facts = (
        *(("From", terms.firm), ("For", job.client), ("At", job.place), ("Work", job.title), ("", revision)),
        *(("Dated", day(quotation.dated)), ("Holds until", day(quotation.until)), ("Price", kind)),
        ("", likely(quotation.sure) if quotation.sure is not None else ""),
        *(("", note) for note in quotation.result.notes),
    )
    for label, words in facts:
        if words:
            sheet.line([label, words])
    sheet.gap()


def _client_rows(sheet: BookSheet, quotation: Quotation) -> None:
    """Rows of finished work, room sums, tax by room, totals."""
    cost, share = quotation.result.cost, quotation.result.job.margins.tax_share
    sheet.page.set_column(0, 0, NARROW)
    sheet.page.set_column(1, 1, WIDE)
    sheet.page.set_column(2, 4, FIGURES)
    rate = sheet.line(["Tax", "", decimal_of(share)], figures="share")
    sheet.gap()
    sheet.line(["Room", f"Work, amounts in {cost.currency}", "Net"], "head")
    spans = []
    for room in quotation.rooms:
        first = sheet.row + 1
        for row in room.rows:
            sheet.line([capital(room.room), capital(row.item), row.amount])
        spans.append((first, sheet.row))
    sheet.gap()
    sheet.line(["Room", "", "Net", "Tax", "With tax"], "head")
    first = sheet.row + 1
    for room, (start, end) in zip(quotation.rooms, spans, strict=True):
        here = sheet.row + 1
        net = (f"SUM(C{start}:C{end})", room.net)
        sheet.line([capital(room.room), "", net, (_tax(first, here, rate, cost.money_places), room.tax),
                    (f"C{here}+D{here}", room.gross)])  # fmt: skip
    last = sheet.row
    totals = zip("CDE", (cost.before_tax, cost.tax, cost.total), strict=True)
    sheet.line(["In all", "", *((f"SUM({c}{first}:{c}{last})", value) for c, value in totals)], "sum")
    more_of(sheet, "Not in the price", quotation.excluded)
    more_of(sheet, "When it is paid", quotation.terms.payment)
    more_of(sheet, "Terms", quotation.terms.terms)


def _tax(first: int, here: int, rate: int, places: int) -> str:
    """What the tax grows by with this room, as `room_sums` has it."""
    grown = f"ROUND(SUM(C${first}:C{here})*C${rate},{places})"
    return grown if here == first else f"{grown}-SUM(D${first}:D{here - 1})"


def _estimator_rows(sheet: BookSheet, quotation: Quotation) -> None:
    """Every line with its quantity and price, then what is added, then the total."""
    result = quotation.result
    cost, margins, places = result.cost, result.job.margins, result.job.money_places
    for column, width in enumerate((44, FIGURES, NARROW, FIGURES, FIGURES, WIDE)):
        sheet.page.set_column(column, column, width)
    sheet.line(["Item", "Quantity", "Unit", "Price", f"Amount, {cost.currency}", "Computed from"], "head")
    first = sheet.row + 1
    for line in cost.lines:
        _line(sheet, line, places)
    last = sheet.row
    sheet.line(["Lines", "", "", "", (f"SUM(E{first}:E{last})", cost.subtotal), ""], "sum")
    shares = (margins.overhead_share, margins.profit_share, margins.contingency_share, margins.tax_share)
    above = sheet.row
    for line, share in zip(cost.markups, shares, strict=True):
        here = sheet.row + 1
        amount = (f"ROUND(SUM(E${above}:E{here - 1})*B{here},{places})", line.amount)
        sheet.line([line.item, decimal_of(share), "", "", "", line.basis], figures="share")
        sheet.page.write_formula(here - 1, 4, f"={amount[0]}", sheet.formats["money"], float(amount[1]))
    sheet.line(["Total with tax", "", "", "", (f"SUM(E{above}:E{sheet.row})", cost.total), ""], "sum")
    more_of(sheet, "Not in the price", quotation.excluded)


def _line(sheet: BookSheet, line: CostLine, places: int) -> None:
    here = sheet.row + 1
    amount = (f"ROUND(B{here}*D{here},{places})", line.amount)
    sheet.line([line.item, line.quantity, line.unit, line.price, "", line.basis], figures="exact")
    sheet.page.write_formula(here - 1, 4, f"={amount[0]}", sheet.formats["money"], float(amount[1]))
