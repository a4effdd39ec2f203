"""Price files: money exactly as written, every slip with its row and column, edits cell by cell."""

from __future__ import annotations

from decimal import Decimal

import pytest
from effort import examples
from hypothesis import HealthCheck, example, given
from hypothesis import strategies as st
from told import read_or_told

from mytakeoff import Price, PriceList, TakeoffError
from mytakeoff.io.files.sheet import split
from mytakeoff.io.files.text import FileText
from mytakeoff.io.job.prices import edited_prices, prices_in, prices_text, read_prices


def sheet_of(text: str):
    return split(FileText(text, "utf-8"), "prices.csv")


def test_money_is_kept_exactly_as_written():
    prices = prices_in(sheet_of("price;note;unit;item\n12,50;;bag;a\n0,10;b;kg;c\n7;;h;d\n"))
    assert [str(row.price) for row in prices.rows] == ["12.50", "0.10", "7"]
    assert prices.of("c") == Price("c", "kg", Decimal("0.10"), "b")


@pytest.mark.parametrize(
    ("text", "found", "remedy", "place"),
    [
        (
            "item,unit,price\na,h,-1\n",
            "price -1",
            "0 if it is free",
            "prices.csv, row 2, column C: price of 'a'",
        ),
        ("item,unit,price\n\na,h,\n", "no price for 'a'", "0 if it is free", "prices.csv, row 3, column C"),
        ("item,unit,price\na,h\n", "no price for 'a'", "0 if it is free", "prices.csv, row 2, column C"),
        ("item,unit,price\na,h,€12\n", "'€12'", "digits", "prices.csv, row 2, column C"),
        ("item,unit,price\na,h,1e3\n", "'1e3'", "digits", "prices.csv, row 2, column C"),
        ("item,unit,price\na,h,NaN\n", "'NaN'", "digits", "prices.csv, row 2, column C"),
        ("item;unit;price\na;h;1.250,00\n", "'1.250,00'", "digits", "prices.csv, row 2, column C"),
        ('item,unit,price\na,h,"1,250"\n', "thousands", "without a mark", "prices.csv, row 2, column C"),
        ("item;unit;price\na;h;1,5\nb;h;2,5\nc;h;2.5\n", "'2.5'", "alike", "prices.csv, row 4, column C"),
        ("item,unit,price\n,h,1\n", "no item", "name it", "prices.csv, row 2, column A"),
        ("item,unit,price\na,h,1\nb,h,1\na,m,2\n", "'a' stands 2 times", "keep one", "prices.csv, rows 2, 4"),
        ("item,unit,prise\na,h,1\n", "column 'prise'", "'price'", "prices.csv, row 1, column C"),
        ("item,unit,price,price\na,h,1,2\n", "column 'price' again", "out", "prices.csv, row 1, column D"),
        ("item,price\na,1\n", "no column 'unit'", "add it", "prices.csv, row 1"),
        ("item,unit,price\na,h,1,5\n", "'5'", "take the cell out", "prices.csv, row 2, column D"),
        ("", "no column 'item'", "add it", "prices.csv, row 1"),
    ],
)
def test_each_slip_says_value_rule_remedy_and_place(text, found, remedy, place):
    with pytest.raises(TakeoffError) as caught:
        prices_in(sheet_of(text))
    fitting = [one for one in caught.value.mistakes if found in one.found and one.place == place]
    assert len(fitting) == 1, str(caught.value)
    assert remedy in fitting[0].remedy
    assert fitting[0].rule


def test_only_the_changed_cells_change():
    text = 'item , unit,price,note\r\n"a, b", h, 12.50 ,"keep ""this"""\r\n\r\nc,m,1,\r\nd,m,2'
    sheet = sheet_of(text)
    prices = prices_in(sheet).with_price("a, b", Decimal("13.00")).with_price("d", Decimal("2.5"))
    assert edited_prices(sheet, prices) == text.replace(" 12.50 ", "13.00").replace("d,m,2", "d,m,2.5")


def test_rows_come_and_go_in_place():
    text = "item,unit,price\na,h,1\nb,m,2\nc,m,3"
    rows = prices_in(sheet_of(text)).rows
    prices = PriceList((rows[0], rows[2], Price("d, e", "kg", Decimal("0.5"))))
    assert edited_prices(sheet_of(text), prices) == 'item,unit,price\na,h,1\nc,m,3\n"d, e",kg,0.5\n'


def test_a_price_with_cents_goes_into_a_comma_file_with_decimal_commas():
    text = 'item,unit,price\na,h,"1,50"\nb,h,2\n'
    prices = prices_in(sheet_of(text)).with_price("b", Decimal("2.75"))
    assert edited_prices(sheet_of(text), prices) == 'item,unit,price\na,h,"1,50"\nb,h,"2,75"\n'


TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=10).map(str.strip)
LISTS = st.lists(
    st.builds(Price, TEXTS.filter(bool), TEXTS, st.decimals(0, 10**6, places=3), TEXTS),
    max_size=4, unique_by=lambda row: row.item,
).map(lambda rows: PriceList(tuple(rows)))  # fmt: skip


@examples(80)
@given(before=LISTS, after=LISTS)
def test_any_list_over_any_other_reads_back_equal(before, after):
    written = prices_text(before)
    assert prices_in(sheet_of(written)) == before
    assert prices_in(sheet_of(edited_prices(sheet_of(written), after))) == after
    assert edited_prices(sheet_of(written), before) == written


CELLS = st.sampled_from(["a", "1", "-2,5", "", '"', "x;y", "1,250"])


@examples(100, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    content=st.one_of(
        st.binary(max_size=60),
        st.lists(st.lists(CELLS, max_size=5), max_size=4).map(
            lambda rows: "\n".join(["item,unit,price,note", *(",".join(row) for row in rows)]).encode()
        ),
    )
)
@example(b"item,unit,price\na,h," + b"9" * 6000)
def test_any_bytes_give_prices_or_a_message(tmp_path, content):
    path = tmp_path / "prices.csv"
    path.write_bytes(content)
    with read_or_told():
        assert all(row.price >= 0 for row in read_prices(path).rows)
