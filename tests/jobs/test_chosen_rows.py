"""Some rows of the table of jobs: filtered, sorted, added up."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.io.files.journal import JOURNAL, STAGE
from mytakeoff.jobs.chosen import NOT_PRICED, WHY, Wanted, in_order, totals, value_of
from mytakeoff.jobs.found import job_folders, unpriced
from mytakeoff.jobs.rows import COLUMNS, Row, blank


def row(folder: str, total: str | None = None, **more: Any) -> Row:
    priced = {"total": Decimal(total)} if total is not None else {}
    return blank(folder) | {"currency": "EUR" if total else ""} | priced | more


ROWS = (
    row("a", "100.00", title="Flat 10", client="Ann", state="draft", litres=30.0),
    row("b", "20.50", title="Flat 9", state="done", litres=10.0, not_priced="wall 2 is not read"),
    row("c", "7000.00", title="flat 2", state="done", currency="CHF", litres=20.0),
    row("d", title="Stairs", state="draft", mistakes="job.toml, waste_share: 'much'"),
)


def names(rows: Any) -> str:
    return "".join(each["folder"] for each in rows)


@pytest.mark.parametrize(
    ("wanted", "left"),
    [
        (Wanted(), "abcd"),
        (Wanted(state="done"), "bc"),
        (Wanted(state=NOT_PRICED), "d"),
        (Wanted(text="FLAT 9"), "b"),
        (Wanted(text="ann flat"), "a"),
        (Wanted(text="read"), "b"),
        (Wanted(text="waste"), "d"),
        (Wanted(text="nowhere"), ""),
        (Wanted(column="client", contains=" ann"), "a"),
        (Wanted(column=WHY, contains="wall"), "b"),
        (Wanted(column="total"), "abcd"),
        (Wanted(column="total", least=20.5), "abc"),
        (Wanted(column="total", least=20.51, most=100.0), "a"),
        (Wanted(column="litres", most=20.0), "bc"),
        (Wanted(state="done", text="flat", column="litres", least=15.0), "c"),
    ],
)
def test_only_jobs_that_fit_every_filter_are_left(wanted: Wanted, left: str) -> None:
    assert names(each for each in ROWS if wanted.takes(each)) == left


@pytest.mark.parametrize(
    ("column", "rising", "falling"),
    [
        ("title", "cbad", "dabc"),  # digits as numbers, upper case as lower
        ("litres", "bcad", "acbd"),
        ("total", "cbad", "cabd"),  # francs by themselves, before euros
        (WHY, "dbac", "bdac"),
        ("client", "abcd", "abcd"),
    ],
)
def test_they_stand_by_a_column_those_without_a_value_last(column: str, rising: str, falling: str) -> None:
    assert names(in_order(ROWS, column)) == rising
    assert names(in_order(ROWS, column, falling=True)) == falling


@examples(60)
@given(
    st.lists(st.tuples(st.none() | st.floats(0, 1e6), st.text("ab19 ", max_size=5)), max_size=12),
    st.sampled_from([name for name in COLUMNS if COLUMNS[name].kind in ("number", "text")]),
    st.booleans(),
)
def test_sorting_loses_no_job_and_sorts(values: list[Any], column: str, falling: bool) -> None:
    kind = COLUMNS[column].kind
    rows = [row(f"{nth:03}") for nth in range(len(values))]
    if column != "folder":
        for each, (number, text) in zip(rows, values, strict=True):
            each[column] = text if kind == "text" else number
    found = in_order(rows, column, falling=falling)
    assert sorted(map(id, found)) == sorted(map(id, rows))
    assert names(in_order(found[::-1], column, falling=falling)) == names(found), "however they stood before"
    if kind == "number":
        there = [each[column] for each in found if each[column] is not None]
        assert there == sorted(there, reverse=falling)
        assert all(each[column] is None for each in found[len(there) :])


def test_amounts_are_added_up_by_currency() -> None:
    assert totals(ROWS) == {"CHF": Decimal("7000.00"), "EUR": Decimal("120.50")}
    assert totals(ROWS[3:]) == {}


def test_why_is_the_mistakes_or_else_what_is_not_read() -> None:
    assert [value_of(each, WHY) for each in ROWS] == ["", "wall 2 is not read", "", ROWS[3]["mistakes"]]


def test_jobs_are_the_folders_that_hold_one_and_say_what_they_are_called(tmp_path: Path) -> None:
    for name in ("flat", "notes", ".hidden", "cut off", "broken"):
        (tmp_path / name).mkdir()
    says = {
        "flat": 'format = 1\ntitle = "A"\nstate = "quoted"\nplace = 3\n',
        ".hidden": "",
        "broken": "title =",
    }
    for name, text in says.items():
        (tmp_path / name / "job.toml").write_text(text)
    stage = tmp_path / "cut off" / STAGE
    stage.mkdir()
    (stage / JOURNAL).write_text("{}")
    (tmp_path / "job.txt").write_text("")
    assert job_folders(tmp_path) == ("broken", "cut off", "flat")
    assert job_folders(tmp_path / "nowhere") == ()
    said = unpriced(tmp_path, "flat", "because")
    assert (said["title"], said["state"], said["place"], said["mistakes"]) == ("A", "quoted", "", "because")
    assert unpriced(tmp_path, "broken")["title"] == ""
