"""The workbooks, read back by another library: formulas that are worked out anew, and no figure too many."""

from __future__ import annotations

import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from io import BytesIO
from pathlib import Path

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


def test_the_estimators_total_follows_a_changed_price_as_the_job_does():
    content = estimator_sheet(fixed())
    formulas = cells(content, values=False)
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
    found = Worked({**formulas, f"D{row}": float(price)}).cell(f"E{total}")
    assert found == changed.cost.total


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


@pytest.mark.long
@pytest.mark.skipif(shutil.which("soffice") is None, reason="no LibreOffice here")
@pytest.mark.parametrize("which", SHEETS)
def test_a_spreadsheet_program_comes_to_the_same(which, tmp_path: Path):
    path = tmp_path / f"{which}.xlsx"
    path.write_bytes(SHEETS[which](fixed()))
    out = tmp_path / "out"
    command = ["soffice", "--headless", "--convert-to", "xlsx", "--outdir", str(out), str(path)]
    subprocess.run(command, check=True, timeout=120, capture_output=True)
    ours, theirs = cells(path.read_bytes()), cells((out / path.name).read_bytes())
    for name, value in ours.items():
        if isinstance(value, float):
            assert round(theirs[name], 2) == round(value, 2), name
