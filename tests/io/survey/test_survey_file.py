"""Survey files: what is read, and each kind of slip told with its value, rule, remedy and place."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from effort import examples
from hypothesis import HealthCheck, assume, example, given
from hypothesis import strategies as st
from places import MEASURED
from survey_files import readings, survey_in
from told import read_or_told

from mytakeoff import Survey, TakeoffError, Wall, read_survey
from mytakeoff.io.survey.survey_file import survey_text

WALL = Wall("north", 2.0, 2.5)
SHARED = MEASURED
GRID = "off_line_mm,0.5,1.0,1.5\n2.0,12,14,13\n1.0,11,,12\n0.5,10,11,12\n"


def survey_of(tmp_path: Path, content: str | bytes, wall: Wall = WALL, **details) -> Survey:
    return survey_in(tmp_path, content, wall, **details)


def mistakes_in(tmp_path: Path, content: str | bytes):
    with pytest.raises(TakeoffError) as caught:
        survey_of(tmp_path, content)
    return caught.value.mistakes


def test_grid_is_read_with_its_blank_left_out(tmp_path):
    survey = survey_of(tmp_path, GRID, plumb=False)
    assert survey.layout == "grid"
    assert not survey.plumb
    assert readings(survey) == {
        (0.5, 2.0): -12, (1.0, 2.0): -14, (1.5, 2.0): -13, (0.5, 1.0): -11, (1.5, 1.0): -12,
        (0.5, 0.5): -10, (1.0, 0.5): -11, (1.5, 0.5): -12,
    }  # fmt: skip


@pytest.mark.parametrize(
    "content",
    [
        "off_line_mm,0.5,1.0,1.5\n0.5,10,11,12\n1.0,11,,12\n2.0,12,14,13\n",  # from the floor up
        "off_line_mm,1.5,1.0,0.5\n2.0,13,14,12\n1.0,12,,11\n0.5,12,11,10\n",  # from the right
        "proud_mm,0.5,1.0,1.5\n2.0,-12,-14,-13\n1.0,-11,,-12\n0.5,-10,-11,-12\n",
        "off_line_mm;0,5;1,0;1,5\r\n2,0;12;14;13\r\n1,0;11;;12\r\n0,5;10;11;12\r\n",
        "off_line_mm\t0,5\t1,0\t1,5\n2,0\t12\t14\t13\n1,0\t11\t\t12\n0,5\t10\t11\t12\n",
        'off_line_mm,"0,5","1,0","1,5"\n"2,0",12,14,13\n"1,0",11,,12\n"0,5",10,11,12\n',
        "off_line_cm,0.5,1.0,1.5\n2.0,1.2,1.4,1.3\n1.0,1.1,,1.2\n0.5,1.0,1.1,1.2\n",
        "off_line_mm x_cm z_mm,50,100,150\n2000,12,14,13\n1000,11,,12\n500,10,11,12\n",
        "Off_Line_MM,0.5,1.0,1.5,\n\n2.0,12,14,13,\n1.0,11,,12,\n0.5,10,11,12,\n,,,,\n",  # spare cells
        "z_m,off_line_mm,x_m\n2,12,.5\n2,14,1\n2,13,1.5\n1,11,.5\n1,,1\n1,12,1.5\n.5,10,.5\n.5,11,1\n.5,12,1.5\n",
        "x_cm;z_m;off_line_mm\n50;2;12\n100;2;14\n150;2;13\n50;1;11\n150;1;12\n50;0,5;10\n100;0,5;11\n150;0,5;12\n",
    ],
)
def test_the_same_readings_however_they_are_written(tmp_path, content):
    assert readings(survey_of(tmp_path, content)) == readings(survey_of(tmp_path, GRID))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings(tmp_path, encoding):
    assert readings(survey_of(tmp_path, GRID.encode(encoding))) == readings(survey_of(tmp_path, GRID))


@pytest.mark.parametrize(
    ("unit", "text", "metres"),
    # the international foot is 0.3048 m and the inch 25.4 mm exactly: NIST SP 811 (2008), appendix B.6
    [("m", "1.5", 1.5), ("cm", "70", 0.7), ("mm", "1250", 1.25), ("ft", "5", 1.524), ("in", "40", 1.016)],
)
def test_units_of_headings(tmp_path, unit, text, metres):
    content = f"x_{unit},z_{unit},off_line_in\n{text},{text},1\n0,0,2\n0,{text},0\n"
    found = readings(survey_of(tmp_path, content))
    assert found == {(metres, metres): -25.4, (0, 0): -50.8, (0, metres): 0}


def test_high_spots_and_sweeping_are_taken_over(tmp_path):
    survey = survey_of(tmp_path, GRID, swept=True, high_spots=[(0.7, 1.1, -8.0)])
    assert survey.swept
    assert (survey.high_x_m[0], survey.high_z_m[0], survey.high_mm[0]) == (0.7, 1.1, -8.0)


LIST = "x_m,z_m,off_line_mm\n0,0,10\n1,0,11\n0,2,12\n"
BAD = [
    # file, value, rule, remedy, place
    (GRID.replace("14", "1e1"), "'1e1'", "a number", "digits", "north.csv, row 2, column C"),
    (GRID.replace("14", "nan"), "'nan'", "a number", "empty", "north.csv, row 2, column C"),
    (GRID.replace("14", "14 nm"), "'14 nm'", "a number", "digits", "north.csv, row 2, column C"),
    (GRID.replace("14", "=2+3"), "'=2+3'", "a number", "digits", "north.csv, row 2, column C"),
    (GRID.replace(",14,", ',"1,4",'), "'1,4'", "decimal mark", "alike", "north.csv, row 2, column C"),
    (GRID.replace(",1.5\n", ",2.1\n"), "2.1 m", "0 to 2 m", "left end", "north.csv, row 1, column D"),
    (GRID.replace("\n2.0", "\n20"), "20 m", "0 to 2.5 m", "floor", "north.csv, row 2, column A"),
    (GRID.replace("14", "4200"), "4200 mm", "500 mm", "tenths of a millimetre", "row 2, column C"),
    (GRID.replace("\n1.0,", "\n,"), "an empty cell", "a number", "digits", "north.csv, row 3, column A"),
    (GRID.replace("13\n", "13,9\n"), "'9'", "its distance", "semicolons", "north.csv, row 2, column E"),
    (GRID.replace(",1.5\n", ",1.0\n"), "1 m after 1 m", "one way", "as a list", "row 1, column D"),
    (GRID.replace("\n1.0,", "\n2.2,"), "2.2 m after 2 m", "one way", "as a list", "row 3, column A"),
    (GRID.replace("off_line_mm", "off_line"), "'off_line'", "off_line_mm", "unit", "row 1, column A"),
    (GRID.replace("off_line_mm", "off_line_mm y_cm"), "'y_cm'", "units", "x_cm z_cm", "row 1, column A"),
    (LIST.replace("x_m,", "y_m,"), "no column x_m", "x_m, z_m", "add it", "row 1, column C"),
    (LIST.replace("off_line_mm", "note"), "no column off_line_mm", "x_m", "add it", "row 1, column C"),
    (LIST.replace("mm\n", "mm,proud_mm\n"), "'proud_mm'", "one column", "keep one", "row 1, column D"),
    (LIST.replace("mm\n", "mm,by\n"), "'by'", "a list has", "take it out", "north.csv, row 1, column D"),
    (LIST.replace("11\n", "11,3\n"), "'3'", "its heading", "semicolons", "north.csv, row 3, column D"),
    (LIST.replace("1,0,11", "100,0,11"), "100 m", "0 to 2 m", "unit", "north.csv, row 3, column A"),
    (LIST.replace("1,0,11", "1,,11"), "an empty cell", "a number", "empty", "north.csv, row 3, column B"),
    (LIST + "1,0,14\n", "11 and 14 at x 1 m, z 0 m", "0.5 mm", "keep one", "north.csv, rows 3, 5"),
    (LIST.replace("0,2,12\n", ""), "2 readings", "three", "more", "north.csv"),
    (LIST.replace("0,2,12", "2,0,12"), "one straight line", "beside the line", "second", "north.csv"),
    ("x_m,z_m,off_line_mm\n0,0,0.010\n1,0,0.012\n0,2,0.009\n", "0.012 mm", "0.1 mm", "off_line_m", "north"),
    ("", "nothing in it", "readings", "save", "north.csv"),
    (" \n,,\n", "nothing in it", "readings", "save", "north.csv"),
    (b"%PDF-1.7 text", "not text", "plain text", "CSV", "north.csv"),
    (b"PK\x03\x04rest", "not text", "plain text", "CSV", "north.csv"),
    (GRID.encode("utf-16-le"), "not text", "plain text", "CSV", "north.csv"),  # without its mark
    (b"off_line_mm,\x81\x8d", "not text", "plain text", "CSV", "north.csv"),
]  # fmt: skip


@pytest.mark.parametrize(("content", "found", "rule", "remedy", "place"), BAD)
def test_each_slip_says_value_rule_remedy_and_place(tmp_path, content, found, rule, remedy, place):
    said = mistakes_in(tmp_path, content)
    fitting = [one for one in said if found in one.found and place in one.place]
    assert len(fitting) == 1, [str(one) for one in said]
    assert rule in fitting[0].rule
    assert remedy in fitting[0].remedy


def test_all_slips_are_told_together(tmp_path):
    content = "x_m,z_m,off_line_mm\n0,0,ten\n9,0,11\n0,2,12\n0,2.4,\n1,1,900\n"
    places = [one.place for one in mistakes_in(tmp_path, content)]
    assert places == [
        "north.csv, row 2, column C", "north.csv, row 3, column A", "north.csv, row 6, column C",
    ]  # fmt: skip


def test_rows_are_counted_as_a_spreadsheet_shows_them(tmp_path):
    content = '"x_m","z_m","off_line_mm"\r\n\r\n0,0,10\r\n"0","1","a ""wrong""\r\none"\r\n1,1,x\r\n'
    assert [one.place for one in mistakes_in(tmp_path, content)] == [
        "north.csv, row 4, column C", "north.csv, row 5, column C",
    ]  # fmt: skip


def test_thousands_cannot_be_told_from_a_decimal_comma(tmp_path):
    said = mistakes_in(tmp_path, 'x_m,z_m,off_line_mm\n0,0,10\n1,0,11\n0,2,"1,250"\n')
    assert [one.place for one in said] == ["north.csv, row 4, column C"]
    assert "thousands" in said[0].found


def test_a_file_full_of_slips_tells_the_first_and_counts_the_rest(tmp_path):
    said = mistakes_in(tmp_path, "x_m,z_m,off_line_mm\n" + "0,0,x\n" * 3000)
    assert len(said) == 2001
    assert said[-1].found == "1000 more mistakes"


def test_missing_file_and_folder_in_its_place(tmp_path):
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(TakeoffError, match="cannot be read"):
            read_survey(path, WALL)


NUMBERISH = st.decimals(-600, 600, places=2).map(str) | st.sampled_from(["", "x", "1,5", "-", "0.5"])
HEADS = st.sampled_from(["off_line_mm", "proud_cm", "x_m", "z_m", "x_ft", "", "off_line_mm x_cm"])


@examples(150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    content=st.one_of(
        st.binary(max_size=200),
        st.text(max_size=200).map(lambda text: text.encode("utf-8", "surrogatepass")),
        st.builds(
            lambda mark, head, rows: "\n".join(mark.join(row) for row in [head, *rows]).encode(),
            st.sampled_from([",", ";", "\t"]),
            st.lists(st.one_of(HEADS, NUMBERISH), min_size=1, max_size=4),
            st.lists(st.lists(NUMBERISH, min_size=1, max_size=5), max_size=6),
        ),
    )
)
@example(b'"')
@example(b"\xff\xfe\x00")
@example(b"off_line_mm," + b"9" * 5000)
def test_any_bytes_give_a_survey_or_a_message(tmp_path, content):
    with read_or_told():
        survey = survey_of(tmp_path, content)
        assert survey.proud_mm.size >= 3
        assert np.isfinite(survey.proud_mm).all()


@examples(60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    places=st.sets(st.tuples(st.integers(0, 200), st.integers(0, 250)), min_size=3, max_size=12),
    data=st.data(),
)
def test_a_written_survey_is_read_back(tmp_path, places, data):
    x_m, z_m = (np.array(column) / 100 for column in zip(*sorted(places), strict=True))
    proud = data.draw(st.lists(st.floats(-400, 400, width=32), min_size=x_m.size, max_size=x_m.size))
    assume(max(abs(value) for value in proud) >= 0.1)
    assume(np.linalg.matrix_rank(np.column_stack([x_m - x_m[0], z_m - z_m[0]]), tol=1e-3) == 2)
    survey = Survey.from_readings(WALL, x_m, z_m, proud)
    again = survey_of(tmp_path, survey_text(survey))
    assert readings(again) == readings(survey)
    assert again.layout == survey.layout


@pytest.mark.skipif(not SHARED.is_dir(), reason="the measured surfaces are not beside this checkout")
@pytest.mark.parametrize(
    "name", ["setts_A_hand.csv", pytest.param("setts_A_dense.csv", marks=pytest.mark.slow)]
)
def test_a_measured_surface_reads_as_a_grid(name):
    survey = read_survey(SHARED / name, Wall("setts", 5.0, 3.41))
    with open(SHARED / name, newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))
    across, up = [float(cell) for cell in rows[0][1:]], [float(row[0]) for row in rows[1:]]
    cells = [cell for row in rows[1:] for cell in row[1:]]
    assert survey.layout == "grid"
    assert survey.proud_mm.size == sum(cell != "" for cell in cells)
    assert sorted(set(survey.x_m.tolist())) == sorted(across)
    assert set(survey.z_m.tolist()) <= set(up)
    expected = {
        (x, z): -float(cell)
        for z, row in zip(up, rows[1:], strict=True)
        for x, cell in zip(across, row[1:], strict=True)
        if cell
    }
    assert readings(survey) == expected
