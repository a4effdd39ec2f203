"""Sheets that are typed into: what a hand wrote stays to the letter, and what was typed is read again."""

from __future__ import annotations

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.io.files.sheet import split
from mytakeoff.io.files.text import FileText
from mytakeoff.io.survey.reading_sheet import ReadingSheet, new_sheet, reading_sheet
from mytakeoff.survey.reading_grid import Read, Typed, TypedGrid, TypedList, first_grid

WALL = mt.Wall("north", 4.0, 2.6)
GRID = "off_line_mm;0,50;1,5;3\n2,40;12;8;-\n\n0,5;20,0;;7\n"
LINES = (
    "off_plumb_lines_mm, 0.3, 1.2, 2.1\n2.4, 31, 40, 28\n1.3, 29, 42, 30\n0.2, 33, 41, \n"
    "level 1.3, 52, 50, 49\n"
)
LIST = 'z_m,"x_m",proud_mm\n0.5,1,3\n2.0,1,\n2.0,3.5,-\n'


def sheet_of(text: str) -> ReadingSheet:
    return reading_sheet(split(FileText(text, "utf-8"), "north.csv"), WALL)


def again(own: ReadingSheet, typed: Typed) -> tuple[str, Typed]:
    text = own.text_with(typed)
    return text, sheet_of(text).typed


def test_a_grid_is_read_with_its_blanks_and_dashes() -> None:
    own = sheet_of(GRID)
    assert own.typed == TypedGrid((0.5, 1.5, 3.0), (2.4, 0.5), ((12.0, 8.0, "-"), (20.0, None, 7.0)))
    assert (own.sense, own.unit, own.mark, own.towards) == ("off_line", "mm", ",", False)


@pytest.mark.parametrize("text", [GRID, LINES, LIST, "sep=;\nproud_cm x_cm z_cm;50;150\r\n30;1.2;\r\n200;;-"])
def test_a_sheet_in_which_nothing_was_typed_stays_to_the_letter(text: str) -> None:
    own = sheet_of(text)
    assert own.text_with(own.typed) == text


def test_a_reading_changes_its_own_cell_only() -> None:
    own = sheet_of(GRID)
    assert isinstance(own.typed, TypedGrid)
    text, typed = again(own, own.typed.with_read((1, 1), 9.5).with_read((0, 2), None))
    assert text == "off_line_mm;0,50;1,5;3\n2,40;12;8;\n\n0,5;20,0;9,5;7\n"
    assert typed.value((1, 1)) == 9.5


def test_a_column_and_a_height_come_where_they_belong_whichever_way_the_sheet_runs() -> None:
    own = sheet_of("proud_cm x_cm z_cm\t300\t50\n30\t1.2\t-0.5\n200\t1\t0\n")
    assert isinstance(own.typed, TypedGrid)
    assert own.typed.read == ((0.0, 1.0), (-0.5, 1.2))  # from the left and from the top
    text, typed = again(own, own.typed.with_column(1.255).with_row(1.0).with_read((1, 1), 0.25))
    assert text == "proud_cm x_cm z_cm\t300\t125.5\t50\n30\t1.2\t\t-0.5\n100\t\t0.25\t\n200\t1\t\t0\n"
    assert typed == own.typed.with_column(1.255).with_row(1.0).with_read((1, 1), 0.25)


def test_level_rows_of_plumb_lines_stay_under_their_lines() -> None:
    own = sheet_of(LINES)
    assert isinstance(own.typed, TypedGrid)
    text, _ = again(own, own.typed.with_column(0.8).with_read((2, 3), 31.0))
    assert text.endswith("level 1.3, 52,, 50, 49\n")
    assert text.splitlines()[3] == "0.2, 33,, 41,31"


def test_a_list_takes_new_places_at_its_end() -> None:
    own = sheet_of(LIST)
    assert own.typed == TypedList(((1.0, 0.5, 3.0), (1.0, 2.0, None), (3.5, 2.0, "-")))
    more = own.typed.with_place(2.25, 1.1)
    text, typed = again(own, more.with_read((1, 0), -4.0).with_read((3, 0), 2.5))
    assert text == 'z_m,"x_m",proud_mm\n0.5,1,3\n2.0,1,-4\n2.0,3.5,-\n1.1,2.25,2.5\n'
    assert typed.count == 3


def test_inches_keep_their_fractions_where_nothing_changed() -> None:
    own = sheet_of('off_line_in x_ft z_ft,1,"5\' 6"""\n8,1 3/8,2\n1,1/2,\n')
    assert isinstance(own.typed, TypedGrid)
    assert own.typed.read[0] == (1.375, 2.0)
    assert again(own, own.typed.with_read((1, 1), 0.75))[0].splitlines()[1:] == ["8,1 3/8,2", "1,1/2,0.75"]


def test_a_decimal_comma_between_commas_is_quoted() -> None:
    own = sheet_of('off_line_mm,"0,5","1,5"\n"2,4",12,8\n1,"3,5",\n')
    text, typed = again(own, own.typed.with_read((1, 1), 7.25))
    assert text.splitlines()[2] == '1,"3,5","7,25"'
    assert typed.value((1, 1)) == 7.25


READS = st.one_of(st.none(), st.just("-"), st.floats(-49, 49).map(lambda mm: round(mm, 1) + 0.0))
CHANGES = st.lists(
    st.tuples(
        st.sampled_from(["read", "column", "row", "moved"]),
        st.integers(0, 99), st.integers(0, 99), READS, st.floats(0, 2.6).map(lambda m: round(m, 3)),
    ),
    max_size=12,
)  # fmt: skip


def changed(grid: TypedGrid, what: str, one: int, other: int, read: Read, at_m: float) -> TypedGrid:
    if what == "read":
        return grid.with_read((one % len(grid.z_m), other % len(grid.x_m)), read)
    if what == "column":
        return grid.with_column(at_m)
    if what == "row":
        return grid.with_row(at_m)
    return (
        grid if any(abs(x - at_m) < 0.002 for x in grid.x_m) else grid.moved_column(one % len(grid.x_m), at_m)
    )


@examples(80)
@given(CHANGES, st.sampled_from([GRID, "", "proud_cm x_cm z_cm\t300\t50\n30\t1.2\t-0.5\n200\t1\t0\n"]))
def test_whatever_is_typed_is_read_again(changes: list[tuple[str, int, int, Read, float]], text: str) -> None:
    own = sheet_of(text) if text else new_sheet(first_grid(WALL))
    for change in changes:
        assert isinstance(own.typed, TypedGrid)
        wanted = changed(own.typed, *change)
        own = sheet_of(own.text_with(wanted))
        assert own.typed == wanted


def test_what_is_no_sheet_of_readings_is_refused() -> None:
    with pytest.raises(mt.TakeoffError, match="neither a grid nor a list"):
        sheet_of("item,price\nsand,3\n")
