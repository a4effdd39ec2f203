"""A variation's workbooks, read back by another library: formulas worked out anew, no figure too many."""

from __future__ import annotations

import re
import zipfile
from dataclasses import replace
from decimal import Decimal
from io import BytesIO

import pytest
from demo import coarse_demo
from formulas import Worked, cells, check_formulas
from varied import CHANGES, DAY, changed, handed, varied

from mytakeoff.documents.variation_sheets import client_variation_sheet, own_variation_sheet
from mytakeoff.variations.client_edition import HandedOver

SHEETS = {"client": client_variation_sheet, "estimator": own_variation_sheet}


@pytest.mark.parametrize("which", SHEETS)
@pytest.mark.parametrize("name", CHANGES)
def test_every_formula_carries_the_value_that_it_comes_to(which, name):
    assert check_formulas(SHEETS[which](handed(name))) >= 8


def row_of(values: dict, first: str) -> list:
    row = next(name[1:] for name, value in values.items() if name[0] == "A" and value == first)
    return [values.get(f"{column}{row}") for column in "CDE"]


@pytest.mark.parametrize("name", CHANGES)
def test_the_clients_sums_are_those_of_the_variation(name):
    made, values = changed(name), cells(client_variation_sheet(handed(name)))
    was, now = made.base.cost, made.changed.cost
    for first, amounts in (
        ("Signed so far", (was.before_tax, was.tax, was.total)),
        ("This variation", (made.net, made.tax, made.gross)),
        ("In all from now on", (now.before_tax, now.tax, now.total)),
    ):
        assert row_of(values, first) == [float(amount) for amount in amounts]


def test_the_clients_follows_a_line_that_is_struck_out():
    made, content = changed("several at once"), client_variation_sheet(handed("several at once"))
    formulas = cells(content, values=False)
    line = made.lines[0]
    row = next(name[1:] for name, value in formulas.items() if str(value).startswith(line.item.capitalize()))
    column = "D" if line.less else "C"
    assert formulas[f"{column}{row}"] == float(abs(line.amount))
    total = next(name[1:] for name, value in formulas.items() if value == "In all from now on")
    found = Worked({**formulas, f"{column}{row}": 0}).cell(f"E{total}")
    assert abs(found - (made.changed.cost.total - line.gross)) <= Decimal("0.01")


def test_the_estimators_follows_a_quantity_as_the_price_does():
    made, content = changed("a thicker coat"), own_variation_sheet(handed("a thicker coat"))
    formulas = cells(content, values=False)
    total = next(name[1:] for name, value in formulas.items() if value == "Total with tax")
    assert float(Worked(formulas).cell(f"I{total}")) == pytest.approx(float(made.gross))
    as_signed = {
        f"F{name[1:]}": formulas[name]
        for name in formulas
        if name[0] == "C" and f"F{name[1:]}" in formulas and formulas.get(f"B{name[1:]}")
    }
    same_price = {f"G{name[1:]}": formulas[f"D{name[1:]}"] for name in as_signed if name[1:].isdigit()}
    assert len(as_signed) > 20
    assert Worked({**formulas, **as_signed, **same_price}).cell(f"I{total}") == 0


def test_what_has_todays_price_is_marked():
    values = cells(own_variation_sheet(handed("no price was signed")))
    row = next(name[1:] for name, value in values.items() if value == "scaffold tower")
    assert values[f"J{row}"] == "today's"
    assert list(values.values()).count("today's") == 1


@pytest.mark.parametrize("name", CHANGES)
def test_the_client_gets_no_estimators_figure_in_any_part_of_the_file(name):
    made = changed(name)
    with zipfile.ZipFile(BytesIO(client_variation_sheet(handed(name)))) as book:
        assert not [part for part in book.namelist() if re.search("sheet[2-9]|hidden|comment|custom", part)]
        text = " ".join(book.read(part).decode() for part in book.namelist())
    for line in (*made.changed.cost.lines, *made.base.cost.lines):
        assert line.basis == "as entered" or line.basis not in text
    numbers = {float(number) for number in re.findall(r"<v>([\d.eE+-]+)</v>", text)}
    for cost in (made.base.cost, made.changed.cost):
        for hidden in (cost.subtotal, *(line.amount for line in cost.markups[:-1])):
            assert float(hidden) not in numbers
    for word in ("overhead", "profit", "contingency", "waste"):
        assert word not in text


def test_a_name_that_begins_as_a_formula_is_words():
    job = replace(coarse_demo(), client="=1+1", title="=2+2")
    content = client_variation_sheet(HandedOver(varied(CHANGES["a wall taken out"](job), job), DAY))
    assert {"=1+1", "=2+2"} <= set(cells(content).values())
