"""A sheet of a workbook, written row by row: every sum is a formula and carries its value.

Phones compute none, so a formula without its value would show nothing there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

from mytakeoff.quotation.said import capital

WIDE, NARROW, FIGURES = 62, 22, 14  # widths of columns, in letters


@dataclass(frozen=True)
class About:
    """What a workbook says of itself: title, who wrote it, what it is traced by, its day."""

    title: str
    author: str
    mark: str
    day: date


@dataclass
class BookSheet:
    """A sheet that is written row by row from the top."""

    page: Any
    formats: dict[str, Any]
    row: int = 0

    def line(self, values: Sequence[Any], kind: str = "", figures: str = "money") -> int:
        """Write a row, and give its number as formulas have it, counted from 1.

        A formula is a pair: what it says after the sign, and its value.
        """
        for column, value in enumerate(values):
            plain = self.formats[kind or "plain"]
            shown = self.formats[f"{figures} {kind}".strip()]
            if isinstance(value, tuple):
                self.page.write_formula(self.row, column, f"={value[0]}", shown, float(value[1]))
            elif isinstance(value, Decimal):
                self.page.write_number(self.row, column, float(value), shown)
            elif value:
                self.page.write_string(self.row, column, value, plain)
            else:
                self.page.write_blank(self.row, column, None, plain)
        self.row += 1
        return self.row

    def gap(self) -> None:
        """Leave a row empty."""
        self.row += 1


def workbook_bytes(about: About, name: str, places: int, fill: Callable[[BookSheet], None]) -> bytes:
    """A workbook of one sheet, on A4 upright where it is printed.

    Parameters
    ----------
    about : About
    name : str
        Of the sheet.
    places : int
        Decimal places of an amount [-].
    fill : function of BookSheet
        Writes its rows.
    """
    import xlsxwriter

    buffer = BytesIO()
    book = xlsxwriter.Workbook(
        buffer, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    )
    made = datetime(about.day.year, about.day.month, about.day.day)
    book.set_properties(
        {"title": about.title, "author": about.author, "keywords": about.mark, "created": made}
    )
    page = book.add_worksheet(name)
    page.set_paper(9)  # A4
    page.set_portrait()
    page.fit_to_pages(1, 0)
    page.set_footer(f"&L{about.mark.replace('&', '&&')}&RPage &P of &N")
    fill(BookSheet(page, _formats(book, places)))
    book.close()
    return buffer.getvalue()


def _formats(book: Any, places: int) -> dict[str, Any]:
    money = "#,##0" + (f".{'0' * places}" if places else "")
    made = {}
    for kind, look in (("plain", {}), ("bold", {"bold": True}), ("sum", {"bold": True, "top": 1}),
                       ("head", {"bold": True, "bottom": 1})):  # fmt: skip
        base = {"font_name": "Calibri", "font_size": 11, "valign": "top", "text_wrap": True, **look}
        made[kind] = book.add_format(base)
        name = "" if kind == "plain" else f" {kind}"
        made[f"money{name}"] = book.add_format({**base, "num_format": money, "align": "right"})
        made[f"exact{name}"] = book.add_format({**base, "num_format": "General", "align": "right"})
        made[f"share{name}"] = book.add_format({**base, "num_format": "0.###%", "align": "right"})
    return made


def more_of(sheet: BookSheet, title: str, items: Sequence[str]) -> None:
    """Sentences under a title, where there are any."""
    if items:
        sheet.gap()
        sheet.line([title], "bold")
        for item in items:
            sheet.line(["", capital(item)])
