"""The workbooks, read back by another library: formulas that are worked out anew, and no figure too many."""

from __future__ import annotations

import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from formulas import Worked, cells, check_formulas
from openpyxl import load_workbook
from quoted import DAY, asking, estimate, fixed

import mytakeoff as mt
from mytakeoff.documents.sheet import client_sheet, estimator_sheet
from mytakeoff.quotation.content import quotation_of
from mytakeoff.quotation.said import likely

SHEETS = {"client": client_sheet, "estimator": estimator_sheet}


@pytest.mark.parametrize("which", SHEETS)
def test_every_formula_carries_the_value_that_it_comes_to(which):
    assert check_formulas(SHEETS[which](fixed())) >= 9


def test_the_clients_sums_are_those_of_the_page():
    values = cells(client_sheet(fixed()))
    rows = {
        values[f"A{row}"]: [values.get(f"{c}{row}") for c in "CDE"]
        for row in range(1, 60)
        if f"A{row}" in values
    }
    cost = fixed().result.cost
    assert rows["In all"] == [float(each) for each in (cost.before_tax, cost.tax, cost.total)]
    for room in fixed().rooms:
        assert rows[room.room.capitalize()] == [float(each) for each in (room.net, room.tax, room.gross)]


def test_a_range_stands_in_an_estimate_alone():
    said = likely(estimate().sure)
    assert said in cells(client_sheet(estimate())).values()
    assert said not in cells(client_sheet(fixed())).values()


def a_changed_price(formulas: dict[str, Any]) -> tuple[str, float, str, Decimal]:
    """Where a price stands, another one for it, where the total stands, and what the job comes to with it."""
    job, lines = fixed().result.job, fixed().result.cost.lines
    priced = [line.priced_as for line in lines]
    line = next(
        each
        for each in lines
        if each.priced_as in job.prices
        and priced.count(each.priced_as) == 1
        and each.price == job.prices.of(each.priced_as).price
    )
    row = next(name[1:] for name, value in formulas.items() if value == line.item and name.startswith("A"))
    price = line.price + 7
    changed = mt.evaluate(replace(job, prices=job.prices.with_price(line.priced_as, price)))
    total = next(name[1:] for name, value in formulas.items() if value == "Total with tax")
    return f"D{row}", float(price), f"E{total}", changed.cost.total


def test_the_estimators_total_follows_a_changed_price_as_the_job_does():
    formulas = cells(estimator_sheet(fixed()), values=False)
    cell, price, total, comes_to = a_changed_price(formulas)
    assert Worked({**formulas, cell: price}).cell(total) == comes_to


def test_the_client_gets_no_estimators_figure_in_any_part_of_the_file():
    result = fixed().result
    with zipfile.ZipFile(BytesIO(client_sheet(fixed()))) as book:
        assert not [name for name in book.namelist() if re.search("sheet[2-9]|hidden|comment|custom", name)]
        text = " ".join(book.read(name).decode() for name in book.namelist())
    assert 'state="hidden"' not in text
    for line in result.cost.lines:
        assert line.basis not in text
    shares = result.job.margins
    numbers = {float(number) for number in re.findall(r"<v>([\d.eE+-]+)</v>", text)}
    assert shares.tax_share in numbers
    for hidden in (result.cost.subtotal, *(line.amount for line in result.cost.markups[:-1])):
        assert float(hidden) not in numbers
    for word in ("overhead", "profit", "contingency"):
        assert word not in text


def test_a_name_that_begins_as_a_formula_is_words():
    job = replace(asking(firm="=1+1", terms=("@SUM(A1)",)), client='=HYPERLINK("http://x")')
    content = client_sheet(quotation_of(mt.evaluate(job), DAY, "0.0.0"))
    formulas = cells(content, values=False)
    page = load_workbook(BytesIO(content)).active
    for name, value in formulas.items():
        if value in ("=1+1", "@SUM(A1)", '=HYPERLINK("http://x")'):
            assert page[name].data_type == "s"
    assert '=HYPERLINK("http://x")' in formulas.values()


def worked_out_anew(content: bytes, folder: Path, **changed: float) -> dict[str, Any]:
    """Cells as LibreOffice computes them: openpyxl writes formulas without values, so that it has to."""
    book = load_workbook(BytesIO(content))
    for name, value in changed.items():
        book.active[name] = value
    folder.mkdir()
    book.save(folder / "book.xlsx")
    assert not [
        v for v in cells((folder / "book.xlsx").read_bytes()).values() if v == fixed().result.cost.total
    ]
    command = ["soffice", "--headless", "--convert-to", "xlsx", "--outdir", str(folder / "out"), "book.xlsx"]
    home = f"-env:UserInstallation={(folder / 'home').as_uri()}"
    subprocess.run([*command, home], check=True, timeout=120, capture_output=True, cwd=folder)
    return cells((folder / "out" / "book.xlsx").read_bytes())


@pytest.mark.long
@pytest.mark.skipif(shutil.which("soffice") is None, reason="no LibreOffice here")
class TestASpreadsheetProgram:
    @pytest.mark.parametrize("which", SHEETS)
    def test_comes_to_the_same(self, which, tmp_path: Path):
        content = SHEETS[which](fixed())
        ours, theirs = cells(content), worked_out_anew(content, tmp_path / which)
        numbers = {name: value for name, value in ours.items() if isinstance(value, (int, float))}
        assert len(numbers) >= 9
        for name, value in numbers.items():
            assert round(float(theirs[name]), 2) == round(float(value), 2), name

    def test_follows_a_changed_price_as_the_job_does(self, tmp_path: Path):
        content = estimator_sheet(fixed())
        cell, price, total, comes_to = a_changed_price(cells(content, values=False))
        theirs = worked_out_anew(content, tmp_path / "changed", **{cell: price})
        assert round(Decimal(theirs[total]), 2) == comes_to
