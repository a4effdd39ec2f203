"""Exported tables: read back equal by two readers, no formula from a user's text, whole or not at all."""

from __future__ import annotations

import csv
import os
from dataclasses import replace
from decimal import Decimal

import pandas as pd
import pytest
from csv_back import read_back
from demo import demo, demo_result
from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from mytakeoff import TakeoffError, evaluate
from mytakeoff.io.files.csv_table import companion_bytes, companion_path, write_csv
from mytakeoff.io.tables.costs import export_costs


def frame_of(**columns) -> pd.DataFrame:
    return pd.DataFrame({name: pd.Series(column, dtype=object) for name, column in columns.items()})


FRAME = frame_of(
    item=["light gypsum, 25 kg", 'the "best" lime', "tax", "Größe"],
    quantity=[12.5, 3, None, 1e-7],
    amount=[Decimal("162.50"), Decimal("-0.10"), Decimal("1E+3"), Decimal("0.00")],
)


def test_the_file_is_what_a_spreadsheet_expects(tmp_path):
    write_csv(FRAME, tmp_path / "a.csv")
    # RFC 4180 section 2: CRLF between records, quotes doubled, fields with comma or quote in quotes
    assert (tmp_path / "a.csv").read_bytes() == (
        "\ufeffitem,quantity,amount\r\n"
        '"light gypsum, 25 kg",12.5,162.50\r\n'
        '"the ""best"" lime",3,-0.10\r\n'
        "tax,,1000\r\n"
        "Größe,0.0000001,0.00\r\n"
    ).encode()


@pytest.mark.parametrize("decimal_comma", [False, True])
def test_it_reads_back_equal(tmp_path, decimal_comma):
    write_csv(FRAME, tmp_path / "a.csv", decimal_comma=decimal_comma)
    again = read_back(tmp_path / "a.csv")
    assert again["item"].tolist() == FRAME["item"].tolist()
    assert again["amount"].tolist() == FRAME["amount"].tolist()
    assert again["quantity"].tolist() == [Decimal("12.5"), 3, None, Decimal("0.0000001")]
    separator, decimal = (";", ",") if decimal_comma else (",", ".")
    pandas = pd.read_csv(tmp_path / "a.csv", sep=separator, decimal=decimal)
    assert pandas.columns.tolist() == ["item", "quantity", "amount"]
    assert pandas["amount"].tolist() == [162.5, -0.1, 1000, 0]
    assert pandas["item"].tolist() == FRAME["item"].tolist()


# characters that a spreadsheet takes for a formula's start: OWASP, CSV Injection
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", " =", "＝"])
def test_a_users_text_never_starts_a_formula(tmp_path, start):
    text = f"{start}cmd()"
    write_csv(frame_of(item=[text, "sand"], amount=[Decimal("-5"), Decimal(5)]), tmp_path / "a.csv")
    with open(tmp_path / "a.csv", encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[1:] == [["'" + text, "-5"], ["sand", "5"]]
    assert read_back(tmp_path / "a.csv")["item"].tolist() == [text, "sand"]


LETTERS = st.characters(codec="utf-8", exclude_categories=("Cs", "Cc"))


@examples(100, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    rows=st.lists(
        st.tuples(
            st.text(LETTERS | st.sampled_from("=+-@'\t\r\n"), max_size=8),
            st.decimals(-(10**6), 10**6, places=2),
        ),
        min_size=1,
        max_size=4,
    ),
    comma=st.booleans(),
)
def test_any_text_reads_back_and_starts_no_formula(tmp_path, rows, comma):
    items, amounts = (list(column) for column in zip(*rows, strict=True))
    items = ["item", *items]
    write_csv(frame_of(item=items, amount=[None, *amounts]), tmp_path / "a.csv", decimal_comma=comma)
    again = read_back(tmp_path / "a.csv")
    assert again["item"].tolist() == [item or None for item in items]
    assert again["amount"].tolist() == [None, *amounts]
    with open(tmp_path / "a.csv", encoding="utf-8-sig", newline="") as file:
        for row in csv.reader(file, delimiter=";" if comma else ","):
            assert not row[0].startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


def test_the_companion_says_total_notices_and_cautions(tmp_path):
    said = companion_bytes("client", "Flat", "1 234.50 EUR", ["thin\nsurvey"], ["dust"], ["invented"])
    assert said.decode("utf-8-sig") == (
        "For the client\nFlat\nTotal: 1 234.50 EUR\n\nNotes\n- invented\n\n"
        "About these figures\n- thin survey\n\nCautions\n- dust\n"
    )
    with pytest.raises(TakeoffError, match=r"ends? in \.csv"):
        companion_path(tmp_path / "flat.txt")
    assert companion_path(tmp_path / "flat.csv") == tmp_path / "flat.txt"


def test_a_clients_files_say_so_and_hold_nothing_of_method(tmp_path):
    path = tmp_path / "flat-client.csv"
    companion = export_costs(demo_result(), path, audience="client")
    frame, back = demo_result().cost.to_frame("client"), read_back(path)
    assert back["item"].tolist() == frame["item"].tolist()
    assert back["amount"].tolist() == frame["amount"].tolist()
    assert set(back["shown_to"]) == {"client"}
    text = companion.read_text(encoding="utf-8-sig")
    assert text.startswith("For the client\nTwo rooms over the net loft, Hollow Quay\nTotal: ")
    assert text.split("\n")[2].endswith(" EUR with tax")
    assert "Not in the price: painting and decoration." in text
    assert "29 CFR 1926.1153" in text
    assert not any(notice in text for notice in demo_result().notices)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["flat-client.csv", "flat-client.txt"]


@pytest.mark.parametrize(
    ("name", "audience"), [("costed-table.csv", "client"), ("a-client.csv", "estimator")]
)
def test_a_table_for_one_is_not_written_to_a_file_named_for_the_other(tmp_path, name, audience):
    with pytest.raises(TakeoffError) as told:
        export_costs(demo_result(), tmp_path / name, audience=audience)
    assert len(told.value.mistakes) == 1
    assert not list(tmp_path.iterdir())


def test_a_failed_export_leaves_the_old_one(tmp_path, monkeypatch):
    path = tmp_path / "a.csv"
    path.write_bytes(b"old")

    def fail(*_):
        raise OSError(13, "Permission denied")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(TakeoffError, match="Permission denied"):
        write_csv(FRAME, path)
    monkeypatch.undo()
    assert path.read_bytes() == b"old"
    assert [one.name for one in tmp_path.iterdir()] == ["a.csv"]


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(TakeoffError, match="could not be written"):
        write_csv(FRAME, tmp_path / "none" / "a.csv")


@pytest.mark.parametrize("name", ["flat.txt", "none/flat.csv"])
def test_a_refused_export_of_costs_writes_neither_file(tmp_path, name):
    with pytest.raises(TakeoffError):
        export_costs(demo_result(), tmp_path / name)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("decimal_comma", [False, True])
def test_exported_costs_read_back_equal_and_add_up_to_their_total(tmp_path, decimal_comma):
    result = demo_result()
    companion = export_costs(result, tmp_path / "flat.csv", decimal_comma=decimal_comma)
    again, frame = read_back(tmp_path / "flat.csv"), result.cost.to_frame()
    assert again.columns.tolist() == frame.columns.tolist()
    for name in frame.columns:
        expected = [None if value in ("", None) else value for value in frame[name].tolist()]
        assert again[name].tolist() == expected, name
    assert sum(again["amount"]) == result.cost.total
    text = companion.read_text(encoding="utf-8-sig")
    assert f"Total: {result.cost.total:,} EUR".replace(",", "\u202f") in text
    assert "dust" in text


def test_a_job_may_ask_for_decimal_commas(tmp_path):
    job = replace(demo(), decimal_comma=True)
    result = evaluate(job)
    export_costs(result, tmp_path / "asked.csv")
    export_costs(result, tmp_path / "said.csv", decimal_comma=True)
    asked = (tmp_path / "asked.csv").read_bytes()
    assert asked == (tmp_path / "said.csv").read_bytes()
    assert asked.decode("utf-8-sig").splitlines()[0].count(";") == len(result.cost.to_frame().columns) - 1


def test_each_wall_s_part_is_a_table_of_its_own_beside_it(tmp_path):
    result = demo_result()
    text = export_costs(result, tmp_path / "flat.csv").read_text(encoding="utf-8-sig")
    again = read_back(tmp_path / "flat-walls.csv")
    assert sum(map(Decimal, again["amount"].astype(str))) == result.cost.total
    assert again["wall"].tolist() == [*(wall.entry.name for wall in result.walls), "tax"]
    assert set(again["shown_to"]) == {"estimator"}
    assert "flat-walls.csv" in text


def test_a_client_s_table_has_none_beside_it(tmp_path):
    export_costs(demo_result(), tmp_path / "flat-client.csv", audience="client")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["flat-client.csv", "flat-client.txt"]
