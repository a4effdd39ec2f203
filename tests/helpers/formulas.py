"""Formulas of a workbook worked out anew by Decimal, without the package and without what wrote them."""

from __future__ import annotations

import re
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from openpyxl import load_workbook

from mytakeoff.units import round_money


def cells(content: bytes, values: bool = True) -> dict[str, Any]:
    """What stands in each cell: a value, or the formula."""
    page = load_workbook(BytesIO(content), data_only=values).active
    return {cell.coordinate: cell.value for row in page.iter_rows() for cell in row if cell.value is not None}


class Worked:
    """Formulas worked out by Decimal, without the package: SUM, ROUND, + - * and cells."""

    def __init__(self, formulas: dict[str, Any]) -> None:
        self.formulas = {name.replace("$", ""): value for name, value in formulas.items()}

    def cell(self, name: str) -> Decimal:
        value = self.formulas.get(name, 0)
        if not isinstance(value, str):
            return Decimal(repr(value))
        if not value.startswith("="):
            return Decimal(0)
        said = re.sub(r"SUM\(([A-Z])(\d+):[A-Z](\d+)\)", r"self.sum('\1',\2,\3)", value[1:].replace("$", ""))
        said = re.sub(r"(?<![\w'])([A-Z]\d+)", r"self.cell('\1')", said)
        said = said.replace("ROUND(", "round_money(")
        return eval(said, {"self": self, "round_money": round_money})

    def sum(self, column: str, first: int, last: int) -> Decimal:
        return sum((self.cell(f"{column}{row}") for row in range(first, last + 1)), Decimal(0))


def check_formulas(content: bytes) -> int:
    """See that every formula carries the value that it comes to; how many there are."""
    values, formulas = cells(content), cells(content, values=False)
    written = [name for name, value in formulas.items() if str(value).startswith("=")]
    worked = Worked(formulas)
    for name in written:
        assert float(worked.cell(name)) == pytest.approx(values[name], abs=1e-9), name
    return len(written)
