"""``packs.csv``: what things are sold in. The file is optional; only cells that say something else change."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path

from mytakeoff.errors import Check, Mistake, TakeoffError
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
from mytakeoff.io.job.prices import applied, changed_cells
from mytakeoff.job.packs import Pack, PackList

NEEDED = ("item", "holds", "unit", "price")
COLUMNS = (
    "item", "supplier", "pack", "holds", "unit", "price", "from_packs", "least_packs", "weight_kg", "note"
)  # fmt: skip
NUMBERS = ("holds", "price", "from_packs", "least_packs", "weight_kg")
WHOLE = ("from_packs", "least_packs")


def read_packs(path: Path, name: str = "") -> PackList:
    """The packs of a job.

    Parameters
    ----------
    path : Path
        Separated by commas, semicolons or tabs, with decimal point or comma. The columns item, holds, unit
        and price are needed; supplier, pack, from_packs, least_packs, weight_kg and note may stand beside.
    name : str
        What the file is called in messages; its own name if empty.

    Raises
    ------
    TakeoffError
        Columns missing or unknown, an amount that is negative, blank or text, price breaks out of order: all
        of them together, each with its row.
    """
    return packs_in(read_sheet(path, name))


def packs_in(sheet: Sheet) -> PackList:
    """The packs in a sheet.

    Examples
    --------
    >>> from mytakeoff.io.files.sheet import split
    >>> from mytakeoff.io.files.text import FileText
    >>> sheet = split(FileText("item;pack;holds;unit;price\\nprimer;tub;5;l;17,50\\n", "utf-8"), "packs.csv")
    >>> packs_in(sheet).rows[0].price
    Decimal('17.50')
    """
    check = Check(sheet.name)
    columns = columns_in(sheet, COLUMNS, NEEDED, check)
    check.done()
    rows = sheet.filled[1:]
    mark = decimal_mark(cell_in(row, columns[name]) for row in rows for name in NUMBERS if name in columns)
    packs = [_pack(sheet, row, columns, mark, check) for row in rows]
    read = tuple(pack for pack in packs if pack is not None)
    try:
        listed = PackList(read)
    except TakeoffError as error:
        _add(check, error, sheet.name)
        listed = PackList()
    check.done()
    return listed


def _pack(
    sheet: Sheet, row: tuple[Cell, ...], columns: Mapping[str, int], mark: str, check: Check
) -> Pack | None:
    """One row, or None with its mistakes noted."""
    before = len(check.mistakes)
    cells = {name: cell_in(row, column) for name, column in columns.items()}
    values: dict[str, object] = {}
    for name in ("item", "supplier", "pack", "unit", "note"):
        if name in cells and (cells[name].text or name in NEEDED):
            values[name] = cells[name].text
    for name in ("item", "unit"):
        check.that(
            bool(cells[name].text),
            f"an empty {name}",
            "a pack has an item and the unit that it is counted in",
            "write both",
            sheet.place(cells[name]),
        )
    for name in (name for name in NUMBERS if name in cells):
        if cells[name].text or name in NEEDED:
            values[name] = _number(sheet, cells[name], name, mark, check)
    if len(check.mistakes) > before:
        return None
    try:
        return Pack(**values)  # type: ignore[arg-type]
    except TakeoffError as error:
        _add(check, error, f"{sheet.name}, row {row[0].row}")
        return None


def _number(sheet: Sheet, cell: Cell, name: str, mark: str, check: Check) -> Decimal | int:
    """The number in a cell, 1 with a mistake noted where there is none."""
    text = number_in(sheet, cell, mark, check)
    number = Decimal(text) if text is not None else Decimal(1)
    if name not in WHOLE:
        return number
    check.that(
        number == number.to_integral_value(),
        f"{name} {cell.text}",
        "packs are counted in whole ones",
        "write a whole number",
        sheet.place(cell),
    )
    return int(number)


def _add(check: Check, error: TakeoffError, place: str) -> None:
    """Take over mistakes, each with the place in the file before its own."""
    for each in error.mistakes:
        where = f"{place}: {each.place}" if each.place else place
        check.mistakes.append(Mistake(each.found, each.rule, each.remedy, where))


def edited_packs(sheet: Sheet, packs: PackList) -> str:
    """The text of a list of packs with only those cells changed that say something else."""
    old = packs_in(sheet)
    if old == packs:
        return sheet.file.text
    if len(old.rows) == len(packs.rows):
        columns = columns_in(sheet, COLUMNS, NEEDED, Check())
        rows = sheet.filled[1:]
        mark = decimal_mark(
            cell_in(row, columns[name]) for row in rows for name in NUMBERS if name in columns
        )
        changes = [
            change
            for row, before, after in zip(rows, old.rows, packs.rows, strict=True)
            for change in changed_cells(sheet, row, columns, mark, before, after)
        ]
        text = applied(sheet.file.text, changes)
        if packs_in(split(FileText(text, "utf-8"), sheet.name)) == packs:
            return text
    return packs_text(packs)


def packs_text(packs: PackList) -> str:
    """A list of packs as the text of a new file.

    Examples
    --------
    >>> print(packs_text(PackList((Pack("primer", Decimal(5), "l", Decimal("17.50"), "tub"),))))
    item,supplier,pack,holds,unit,price,from_packs,least_packs,weight_kg,note
    primer,,tub,5,l,17.50,1,1,0,
    <BLANKLINE>
    """
    rows = [COLUMNS, *(tuple(_written(getattr(row, name)) for name in COLUMNS) for row in packs.rows)]
    return "".join(",".join(map(_quoted, row)) + "\n" for row in rows)


def _written(value: object) -> str:
    return format(value, "f") if isinstance(value, Decimal) else str(value)


def _quoted(text: str) -> str:
    """A cell's text, in quotes where it needs them."""
    if any(mark in text for mark in (",", ";", "\t", '"', "\r", "\n")):
        return '"' + text.replace('"', '""') + '"'
    return text
