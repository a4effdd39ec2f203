"""``prices.csv``: the columns item, unit, price and note, read into a price list and edited cell by cell."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from pathlib import Path
from typing import Any

from mytakeoff.errors import Check, TakeoffError
from mytakeoff.io.files.sheet import (
    Cell,
    Sheet,
    cell_in,
    columns_in,
    decimal_mark,
    number_in,
    read_sheet,
    split,
)
from mytakeoff.io.files.text import FileText
from mytakeoff.io.files.toml_fields import construct
from mytakeoff.job.prices import BY_UNIT, Price, PriceList

COLUMNS = ("item", "unit", "price", "note")


def read_prices(path: Path, name: str = "") -> PriceList:
    """The prices of a job.

    Parameters
    ----------
    path : Path
        Separated by commas, semicolons or tabs, with decimal point or comma.
    name : str
        What the file is called in messages; its own name if empty.

    Returns
    -------
    PriceList
        Rows in the file's order, each price exactly as written.

    Raises
    ------
    TakeoffError
        Columns missing or unknown, a price that is negative, blank or text, an item without a name or there
        twice: all of them together, each with its row and column.
    """
    return prices_in(read_sheet(path, name))


def prices_in(sheet: Sheet) -> PriceList:
    """The prices in a sheet.

    Examples
    --------
    >>> sheet = split(FileText("item;unit;price\\nsack;piece;0,80\\n", "utf-8"), "prices.csv")
    >>> prices_in(sheet).of("sack").price
    Decimal('0.80')
    """
    check = Check(sheet.name)
    columns = columns_in(sheet, COLUMNS, COLUMNS[:3], check)
    check.done()
    rows = sheet.filled[1:]
    mark = decimal_mark(cell_in(row, columns["price"]) for row in rows)
    prices = [_price(sheet, row, columns, mark, check) for row in rows]
    _check_repeats(sheet, [cell_in(row, columns["item"]) for row in rows], check)
    check.done()
    return PriceList(tuple(price for price in prices if price is not None))


def _price(
    sheet: Sheet, row: tuple[Cell, ...], columns: dict[str, int], mark: str, check: Check
) -> Price | None:
    """One row's price, or None with its mistakes noted."""
    before = len(check.mistakes)
    cells = {name: cell_in(row, column) for name, column in columns.items() if name}
    item, price = cells["item"], cells["price"]
    check.that(bool(item.text), "no item", "each price belongs to an item", "name it", sheet.place(item))
    for cell in (cell for cell in row if cell.text and cell.column not in columns.values()):
        check.that(False, f"{cell.text!r}", "each column has its heading", "take the cell out",
                   sheet.place(cell))  # fmt: skip
    if not price.text:
        check.that(False, f"no price for {item.text!r}", "each item in the list has one", BY_UNIT,
                   sheet.place(price))  # fmt: skip
        return None
    number = number_in(sheet, price, mark, check)
    if number is None or len(check.mistakes) > before:
        return None
    note = cells["note"].text if "note" in cells else ""
    values = {"item": item.text, "unit": cells["unit"].text, "price": Decimal(number), "note": note}
    made: Price | None = construct(Price, values, sheet.place(price), check)
    return made


def _check_repeats(sheet: Sheet, items: list[Cell], check: Check) -> None:
    """Note items that stand in the list twice, with their rows."""
    rows: dict[str, list[int]] = defaultdict(list)
    for cell in items:
        rows[cell.text].append(cell.row)
    for item, places in rows.items():
        check.that(
            len(places) == 1 or not item,
            f"{item!r} stands {len(places)} times",
            "each item has one price",
            "keep one of them",
            f"{sheet.name}, rows {', '.join(map(str, places))}",
        )


def prices_text(prices: PriceList) -> str:
    """A price list as the text of a new file.

    Examples
    --------
    >>> print(prices_text(PriceList((Price("sack", "piece", Decimal("0.80"), "strong, big"),))))
    item,unit,price,note
    sack,piece,0.80,"strong, big"
    <BLANKLINE>
    """
    rows = [COLUMNS, *((row.item, row.unit, format(row.price, "f"), row.note) for row in prices.rows)]
    return "".join(",".join(_quoted(text, ",") for text in row) + "\n" for row in rows)


def edited_prices(sheet: Sheet, prices: PriceList) -> str:
    """The text of a price file with only those cells changed that say something else than the list.

    Items that are new stand at the end, items that are gone lose their row; everything else stays as it is.
    """
    old = prices_in(sheet)
    if old == prices:
        return sheet.file.text
    columns = columns_in(sheet, COLUMNS, COLUMNS[:3], Check())
    mark = decimal_mark(cell_in(row, columns["price"]) for row in sheet.filled[1:])
    wanted = {row.item: row for row in prices.rows}
    changes: list[tuple[int, int, str]] = []
    for row, before in zip(sheet.filled[1:], old.rows, strict=True):
        if before.item not in wanted:
            changes.append((*_whole_row(sheet, row), ""))
        else:
            changes.extend(changed_cells(sheet, row, columns, mark, before, wanted[before.item]))
    added = [row for row in prices.rows if row.item not in old]
    text = applied(sheet.file.text, changes)
    end = "\r\n" if "\r\n" in text else "\n"
    if added and text and not text.endswith(("\r", "\n")):
        text += end
    text += "".join(_new_row(sheet, columns, mark, row) + end for row in added)
    if _reads_as(text, prices):
        return text
    return prices_text(prices)  # another order, or a note without its column


def _reads_as(text: str, prices: PriceList) -> bool:
    try:
        return prices_in(split(FileText(text, "utf-8"))) == prices
    except TakeoffError:
        return False


def _whole_row(sheet: Sheet, row: tuple[Cell, ...]) -> tuple[int, int]:
    """Where a row starts and where the next one does."""
    after = next((cells[0].start for cells in sheet.rows if cells[0].row == row[0].row + 1), None)
    return row[0].start, len(sheet.file.text) if after is None else after


def changed_cells(
    sheet: Sheet, row: tuple[Cell, ...], columns: dict[str, int], mark: str, before: Any, after: Any
) -> list[tuple[int, int, str]]:
    """Start, end and new text of each cell of a row that changes from what was read to what it shall say."""
    changes = []
    for name in filter(None, columns):
        if getattr(before, name) != getattr(after, name):
            cell = cell_in(row, columns[name])
            short = sheet.separator * max(0, columns[name] - len(row))
            text = short + _quoted(_written(getattr(after, name), mark), sheet.separator)
            changes.append((cell.start, cell.end, text))
    return changes


def _new_row(sheet: Sheet, columns: dict[str, int], mark: str, price: Price) -> str:
    cells = [""] * max(columns.values())
    for name in (name for name in COLUMNS if name in columns):
        cells[columns[name] - 1] = _quoted(_written(getattr(price, name), mark), sheet.separator)
    return sheet.separator.join(cells)


def applied(text: str, changes: list[tuple[int, int, str]]) -> str:
    """The text with some places replaced: start, end and new text of each."""
    for start, end, new in sorted(changes, reverse=True):
        text = text[:start] + new + text[end:]
    return text


def _written(value: Decimal | int | str, mark: str) -> str:
    return value if isinstance(value, str) else format(Decimal(value), "f").replace(".", mark)


def _quoted(text: str, separator: str) -> str:
    """A cell's text, in quotes where it needs them.

    Examples
    --------
    >>> _quoted('a "big" sack', ","), _quoted("12,50", ","), _quoted("12,50", ";")
    ('"a ""big"" sack"', '"12,50"', '12,50')
    """
    if any(mark in text for mark in (separator, '"', "\r", "\n")):
        return '"' + text.replace('"', '""') + '"'
    return text
