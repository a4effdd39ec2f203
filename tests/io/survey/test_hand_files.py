"""Hand surveys as people write them: units, spreadsheets' habits, damaged files, entries of job.toml."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from demo import copy_of_demo
from effort import examples
from example_job import copy_of_example
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from survey_files import readings, survey_in
from told import read_or_told

from mytakeoff import Corner, LaidEdge, Survey, TakeoffError, Wall, evaluate, open_job, save_job
from mytakeoff.io.files.lengths import feet, inches
from mytakeoff.resources import starting_job_folder

WALL = Wall("north", 3.0, 2.5)
GRID = "off_line_mm,0.5,1.0,1.5\n2.0,12,14,13\n1.0,11,,12\n0.5,10,11,12\n"
LINES = "off_plumb_lines_mm,0.3,1.2,2.1\n2.4,31,40,28\n1.3,29,42,30\n0.2,33,41,31\nlevel 1.3,52,50,49\n"


def survey_of(tmp_path: Path, content: str | bytes) -> Survey:
    return survey_in(tmp_path, content, WALL)


@pytest.mark.parametrize(
    "written",
    ["1 3/8", '1 3/8"', "1-3/8", "1 - 3/8 in", "1⅜", "1 ⅜”", "11/8", "1.375", '1.375"', "1\u00a03/8",
     "1 6/16″", "01 03/08"],
)  # fmt: skip
def test_inches_and_eighths(tmp_path, written):
    """1 3/8 in is 34.925 mm: the inch is 25.4 mm exactly (NIST SP 811, 2008, appendix B.6)."""
    quoted = '"' + written.replace('"', '""') + '"'
    survey = survey_of(tmp_path, f"x_m,z_m,off_line_in\n0,0,{quoted}\n1,0,0\n0,1,1/2\n")
    assert readings(survey) == {(0, 0): -34.925, (1, 0): 0, (0, 1): -12.7}


@pytest.mark.parametrize("written", ["5' 3 1/2\"", "5'3½\"", "5 ft 3 1/2 in", "5'-3 1/2\"", "5′ 3 1/2″"])
def test_feet_and_inches(written):
    assert feet(written) * Fraction(3048, 10000) == Fraction("1.6129")  # 63.5 in of 25.4 mm


@given(whole=st.integers(0, 300), sixteenths=st.integers(0, 15))
def test_every_sixteenth_is_exact(whole, sixteenths):
    said = f"{whole} {sixteenths}/16" if sixteenths else f"{whole}"
    assert inches(said) == inches(f"-{said}") * -1 == whole + Fraction(sixteenths, 16)


@pytest.mark.parametrize("said", ["1 3/0", "1 9/8", "3/", "/8", "1 3/8 mm", "1/2/3", "", "five"])
def test_no_inches(said):
    assert inches(said) is None


@pytest.mark.parametrize(
    "content",
    [
        "sep=;\r\noff_line_mm;0,5;1,0;1,5\r\n2,0;12;14;13\r\n1,0;11;;12\r\n0,5;10;11;12\r\n",
        '"sep=,"\n' + GRID,
        "sep=;;;\n" + GRID.replace(",", "\t"),  # an online sheet that took the line for a row
        "sep=|\n" + GRID.replace(",", "|"),
        "\ufeff" + GRID.replace("\n", "\r"),
        GRID.replace(",,", ",-,"),
        GRID.replace(",,", ",–,") + ",,,,,\n\n\n",
        "\n\n" + GRID.replace("\n", ",,,\r\n"),
    ],
)
def test_spreadsheets_habits(tmp_path, content):
    assert readings(survey_of(tmp_path, content)) == readings(survey_of(tmp_path, GRID))


@pytest.mark.parametrize("encoding", ["utf-16", "utf-8-sig", "cp1252"])
def test_a_spreadsheets_unicode_text(tmp_path, encoding):
    text = GRID.replace(",", "\t").replace("\n", "\r\n")
    assert readings(survey_of(tmp_path, text.encode(encoding))) == readings(survey_of(tmp_path, GRID))


@pytest.mark.parametrize(
    ("cell", "words"),
    [("1.234.567", "thousands"), ('"1 250"', "thousands"), ("1'250", "thousands"), ("8-Mar", "a date"),
     ("2026-03-08", "a date"), ("03.08.2026", "a date"), ("3/8", "a number stands here")],
)  # fmt: skip
def test_numbers_that_a_spreadsheet_has_changed(tmp_path, cell, words):
    with pytest.raises(TakeoffError, match=words) as caught:
        survey_of(tmp_path, GRID.replace("14", cell))
    assert "row 2, column C" in caught.value.mistakes[0].place


@examples(120, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    text=st.sampled_from(
        [GRID, LINES, GRID.replace("_mm", "_in"), "sep=;\nx_ft;z_in;proud_cm\n1;2;3\n4;5;6\n7;1;2\n"]
    ),
    changes=st.lists(
        st.tuples(
            st.integers(0, 200),
            st.integers(0, 4),
            st.one_of(
                st.text(max_size=3),
                st.sampled_from(["level ", "1/2", "'", '"', ",", ";", "\n", "sep=", "-", "9e9"]),
            ),
        ),
        min_size=1,
        max_size=6,
    ),
)
def test_a_changed_file_gives_a_survey_or_a_message(tmp_path, text, changes):
    for place, length, new in changes:
        at = place % (len(text) + 1)
        text = text[:at] + new + text[at + length :]
    with read_or_told():
        assert np.isfinite(survey_of(tmp_path, text.encode("utf-8", "replace")).proud_mm).all()


ADDED = """
[[wall.sweep]]              # over the chimney side
x_m = 0.5
z_m = 1.0
length_m = 2.0
gap_mm = 60.0
touches_m = [0.2, 1.9]

[wall.corner]
x_m = [0.2, 3.7]
off_square_mm = [40.0, 44.0]
z_m = 1.3

[[wall.fitting]]
name = "double socket"
kind = "socket"
x_m = 0.9
z_m = 0.3
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo job with a sweep, a corner and a fitting on its first wall."""
    job = copy_of_demo(tmp_path)
    path = job / "job.toml"
    text = path.read_text(encoding="utf-8").replace("turn_mm_per_m = 4.0", "# turn_mm_per_m = 4.0", 1)
    at = text.index("[[wall]]", text.index("[[wall]]") + 1)
    path.write_text(text[:at] + ADDED.lstrip() + "\n" + text[at:], encoding="utf-8")
    return job


def test_what_was_found_beside_the_readings_stands_in_the_job_file(folder):
    wall = open_job(folder).walls[0]
    assert wall.survey.sweeps == (LaidEdge(0.5, 1.0, 2.0, 60.0, touches_m=(0.2, 1.9)),)
    assert wall.corner == Corner((0.2, 3.7), (40.0, 44.0), 1.3)
    assert wall.square_turn_mm_per_m is not None
    assert wall.fittings[-1].name == "double socket"
    assert evaluate(open_job(folder)).walls


def test_saving_it_changes_no_byte_and_an_edit_keeps_the_comments(folder):
    path = folder / "job.toml"
    before = path.read_bytes()
    job = open_job(folder)
    save_job(job, folder, job)
    assert path.read_bytes() == before
    save_job(job, folder.parent / "copy")
    copied = open_job(folder.parent / "copy").walls[0]
    assert (copied.survey.sweeps, copied.corner, copied.fittings) == (
        job.walls[0].survey.sweeps, job.walls[0].corner, job.walls[0].fittings,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("touches_m = [0.2, 1.9]", "touches_m = [0.2, 2.9]", "measured along it"),
        ("length_m = 2.0", "length_m = 9.0", "lies on its wall"),
        ("off_square_mm = [40.0, 44.0]", "off_square_mm = [40.0]", "two readings"),
        ("x_m = [0.2, 3.7]", "x_m = [0.2, 9.7]", "read on the wall"),
        ("touches_m", "touch_m", "'touches_m'"),
    ],
)
def test_slips_in_the_job_file_say_where(folder, old, new, words):
    path = folder / "job.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    with pytest.raises(TakeoffError, match=words) as caught:
        open_job(folder)
    assert all("job.toml" in one.place or "wall" in one.place for one in caught.value.mistakes)


def test_a_survey_from_a_spreadsheet_stays_where_it_is_when_the_job_is_saved(folder, tmp_path):
    import openpyxl

    book = openpyxl.Workbook()
    for row in (folder / "surveys" / "door-wall.csv").read_text().splitlines():
        cells = row.split(",")
        book.active.append([float(cell) if cell[:1].isdigit() else cell or None for cell in cells])
    book.save(folder / "surveys" / "door-wall.xlsx")
    path = folder / "job.toml"
    path.write_text(path.read_text().replace("door-wall.csv", "door-wall.xlsx"), encoding="utf-8")
    job = open_job(folder)
    before = sorted(one.name for one in (folder / "surveys").iterdir())
    save_job(job, folder, job)
    assert sorted(one.name for one in (folder / "surveys").iterdir()) == before
    save_job(job, tmp_path / "copy")
    copied, original = (one.wall("door wall").survey for one in (open_job(tmp_path / "copy"), job))
    assert copied.proud_mm.tolist() == original.proud_mm.tolist()


def test_the_examples_of_the_starting_job_are_true(tmp_path):
    """Each table that stands there behind a # opens once the # is taken away; a turn or a corner is said."""
    folder = copy_of_example(tmp_path / "job")
    text = (
        (starting_job_folder() / "job.toml").read_text(encoding="utf-8").replace("# turn_mm_per_m", "# not")
    )
    start = text.index("# [[room]]")
    shown = re.sub(r"(?m)^# (?=\[|(?!not)[a-z0-9_]+ =)", "", text[start:])
    (folder / "job.toml").write_text(text[:start] + shown, encoding="utf-8")
    (wall,) = open_job(folder).walls
    assert len(wall.survey.sweeps) == len(wall.fittings) == len(wall.loose) == len(wall.wall.openings) == 1
    assert wall.survey.high_mm.size == 1
    assert (wall.strip, wall.edge_bead, wall.skirting_off_m) == ("paper", "stop bead", 6.0)
    assert wall.corner is not None
