"""A job saved into a new folder takes everything along: it opens there as the same job, at its price."""

from __future__ import annotations

import csv
import shutil
import tempfile
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from clouds import wall_cloud, write_las, write_xyz
from demo import copy_of_demo
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

import mytakeoff as mt
from mytakeoff.io.finished.after_surveys import named_surveys
from mytakeoff.io.finished.finished_file import open_finished, save_finished
from mytakeoff.io.forms.desk import survey_files
from mytakeoff.resources import starting_job_folder

SCANNED = """\
# measured on a wet day
format = 1
title = "scanned, invented"
missed_high_spot_mm = 4.0

[[room]]
name = "room"

[system]
backing = "light gypsum backing"

[[wall]] # the long one
name = "long wall"
room = "room"
width_m = 4.0
height_m = 2.6
background = "brick"
[wall.survey]
file = "scans/by laser/long.{kind}"
plumb = true
unit = "m"
up = "z"
found = 1
"""


PRICED = (starting_job_folder() / "prices.csv").read_text() + "our plaster,bag,12.50,\n"


@pytest.fixture(scope="module")
def made(made_folder: Path) -> Path:
    """The folder of two walls with all prices, quickly worked out; tests only read it."""
    (made_folder / "prices.csv").write_text(PRICED)
    text = (made_folder / "job.toml").read_text()
    quick = "cell_m = 0.1\nmissed_high_spot_mm = 4.0\n\n[plane]"
    (made_folder / "job.toml").write_text(text.replace("[plane]", quick))
    return made_folder


@pytest.fixture
def folder(made: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copytree(made, tmp_path / "job"))


def check_same(job: mt.Job, new: Path) -> mt.Job:
    """A folder holds a job equal to another one, at the same price and with the same results."""
    there = mt.open_job(new)
    assert replace(there, folder="") == replace(job, folder="")
    assert there.worked_out == job.worked_out
    before, after = mt.evaluate(job), mt.evaluate(there)
    assert after.cost == before.cost
    assert all(one is other for one, other in zip(after.walls, before.walls, strict=True))  # nothing anew
    return there


def write_ods(path: Path, rows: list[list[str]]) -> None:
    book, table = OpenDocumentSpreadsheet(), Table(name="readings")
    for row in rows:
        written = TableRow()
        for text in row:
            number = {"valuetype": "float", "value": text} if text[:1].isdigit() or text[:1] == "-" else {}
            cell = TableCell(**(number or {"valuetype": "string"} if text else {}))
            cell.addElement(P(text=text))
            written.addElement(cell)
        table.addElement(written)
    book.spreadsheet.addElement(table)
    book.save(str(path))


def write_xlsx(path: Path, rows: list[list[str]]) -> None:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(
            [float(cell) if cell[:1].isdigit() or cell[:1] == "-" else cell or None for cell in row]
        )
    book.save(path)


def test_the_demo_job_is_byte_for_byte_the_same(tmp_path, files):
    folder = copy_of_demo(tmp_path)
    before = files(folder)
    mt.save_job(mt.open_job(folder), tmp_path / "new")
    assert files(tmp_path / "new") == {name: text for name, text in before.items() if name != "README.md"}
    check_same(mt.open_job(folder), tmp_path / "new")


def test_what_was_written_down_when_it_was_done_goes_along_with_its_surveys(tmp_path, files):
    folder, new = copy_of_demo(tmp_path), tmp_path / "new"
    job = mt.open_job(folder)
    finished = open_finished(folder)
    named = {name for wall in finished.walls for name in named_surveys(wall)}
    assert named
    mt.save_job(job, new)
    assert open_finished(new) == finished
    assert {name: files(new)[name] for name in named} == {name: files(folder)[name] for name in named}
    save_finished(replace(finished, trips=()), new)  # what is written down there later is not written over
    mt.save_job(replace(job, waste_share=0.2), new, mt.open_job(new))
    assert open_finished(new).trips == ()


def test_what_was_written_down_goes_along_even_where_it_cannot_be_read(tmp_path, files):
    folder = copy_of_demo(tmp_path)
    (folder / "finished.toml").write_bytes(b"format = ")
    mt.save_job(mt.open_job(folder), tmp_path / "new")
    assert files(tmp_path / "new")["finished.toml"] == b"format = "


def test_no_survey_of_a_finished_wall_is_taken_for_another_ones(tmp_path, files):
    folder, new = copy_of_demo(tmp_path), tmp_path / "new"
    name = open_finished(folder).walls[0].after
    (new / name).parent.mkdir(parents=True)
    (new / name).write_text("theirs")
    before = files(new)
    with pytest.raises(mt.TakeoffError, match="is there already"):
        mt.save_job(mt.open_job(folder), new)
    assert files(new) == before


def test_remarks_and_layout_go_along_with_an_edit(folder, tmp_path, files):
    with (folder / "prices.csv").open("w", newline="") as file:
        for item, unit, price, *_ in csv.reader(PRICED.splitlines()):
            csv.writer(file, delimiter=";").writerow([item, unit, price.replace(".", ",")])
    job = mt.open_job(folder)
    edited = replace(job, waste_share=0.2, prices=job.prices.with_price("rail", Decimal("1.05")))
    before = files(folder)
    mt.save_job(edited, tmp_path / "new", job)
    after = files(tmp_path / "new")
    assert after["job.toml"] == before["job.toml"].replace(b"0.10", b"0.2")
    assert after["prices.csv"] == before["prices.csv"].replace(b"rail;m;0,90", b"rail;m;1,05")
    assert files(folder) == before
    check_same(edited, tmp_path / "new")


@pytest.mark.parametrize("kind", ["xyz", "las"])
def test_a_scan_goes_along_as_it_is(tmp_path, files, kind):
    folder = tmp_path / "job"
    (folder / "scans/by laser").mkdir(parents=True)
    shutil.copy(starting_job_folder() / "prices.csv", folder)
    (folder / "job.toml").write_text(SCANNED.format(kind=kind))
    points = np.round(wall_cloud(np.random.default_rng(5), 40_000, 0.002), 3)  # to the millimetre: in steps
    path = folder / "scans/by laser" / f"long.{kind}"
    write_xyz(path, points) if kind == "xyz" else write_las(path, points, scale=0.001)
    mt.save_job(mt.open_job(folder), tmp_path / "new")
    assert files(tmp_path / "new") == files(folder)
    there = check_same(mt.open_job(folder), tmp_path / "new")
    assert there.walls[0].survey.layout == "scan"


def test_a_scan_that_is_nowhere_is_told_and_once_it_is_there_the_job_is_saved(tmp_path, made):
    path = write_xyz(tmp_path / "long.xyz", np.round(wall_cloud(np.random.default_rng(5), 40_000, 0.002), 3))
    survey = mt.find_walls(path, unit="m", up="z")[0].survey(mt.Wall("long wall", 4.0, 2.6))
    job = mt.open_job(made)
    wall = mt.JobWall(survey.wall, job.rooms[0].name, survey, "brick")
    job = replace(job, walls=(wall,), folder="")
    with pytest.raises(mt.TakeoffError, match=r"wall 'long wall': the scan 'long\.xyz' is neither there"):
        mt.save_job(job, tmp_path / "new")
    assert not (tmp_path / "new").exists()
    (tmp_path / "new").mkdir()
    shutil.copy(path, tmp_path / "new")
    mt.save_job(job, tmp_path / "new")
    there = mt.open_job(tmp_path / "new")
    assert mt.evaluate(there).cost == mt.evaluate(job).cost


@pytest.mark.parametrize(("ending", "write"), [("xlsx", write_xlsx), ("ods", write_ods)])
def test_a_sheet_goes_along_as_it_is(folder, tmp_path, files, change, ending, write):
    rows = [line.split(",") for line in (folder / "surveys/north.csv").read_text().splitlines()]
    write(folder / f"north.{ending}", rows)
    (folder / "surveys/north.csv").unlink()
    change("job.toml", "surveys/north.csv", f"north.{ending}")
    mt.save_job(mt.open_job(folder), tmp_path / "new")
    assert files(tmp_path / "new") == files(folder)
    check_same(mt.open_job(folder), tmp_path / "new")


def test_another_wall_in_a_file_of_the_same_name_is_not_taken_for_it(folder, tmp_path, files):
    new = Path(shutil.copytree(folder, tmp_path / "new"))
    (new / "surveys/north.csv").write_text((new / "surveys/north.csv").read_text().replace("12,14", "22,24"))
    theirs = files(new)["surveys/north.csv"]
    job = mt.open_job(folder)
    for _ in range(2):
        mt.save_job(job, new)
        assert files(new)["surveys/north.csv"] == theirs
        assert survey_files(new) == ("surveys/north-2.csv", "surveys/north.csv", "surveys/south.csv")
        assert mt.open_job(new).wall("north").survey == job.wall("north").survey


def test_readings_that_are_no_longer_those_of_the_file_are_written(folder, tmp_path, change):
    job = mt.open_job(folder)
    change("surveys/north.csv", "12,14", "22,24")
    mt.save_job(job, tmp_path / "new")
    assert mt.open_job(tmp_path / "new").wall("north").survey == job.wall("north").survey
    mt.save_job(job, folder)  # in its own folder too: the file there stays
    assert "22,24" in (folder / "surveys/north.csv").read_text()
    assert mt.open_job(folder).wall("north").survey == job.wall("north").survey


def test_what_somebody_else_measured_meanwhile_stays(folder, change):
    job = mt.open_job(folder)
    change("surveys/north.csv", "12,14", "22,24")
    mt.save_job(replace(job, waste_share=0.2), folder, job)
    assert survey_files(folder) == ("surveys/north.csv", "surveys/south.csv")
    assert mt.open_job(folder).wall("north").survey != job.wall("north").survey


def test_a_job_file_that_is_none_any_more_is_written_anew(folder, tmp_path, change):
    job = mt.open_job(folder)
    change("job.toml", "format = 1", "format = 1 1")
    change("prices.csv", "12.50", "-")
    mt.save_job(job, tmp_path / "new")
    check_same(job, tmp_path / "new")


PARTS = st.text("abc é'-", min_size=1, max_size=5).map(str.strip).filter(lambda text: text.strip("- '"))
NAMES = st.lists(PARTS, min_size=1, max_size=3).map("/".join)


@examples(15)
@given(
    names=st.lists(NAMES, min_size=2, max_size=2, unique_by=lambda name: name.split("/")[0].lower()),
    endings=st.lists(st.sampled_from([".csv", ".xlsx", ".ods", ".txt", ""]), min_size=2, max_size=2),
    waste=st.floats(0, 0.8),
)
def test_wherever_its_files_lie_it_costs_the_same(made, names, endings, waste):
    with tempfile.TemporaryDirectory() as place:
        folder = Path(shutil.copytree(made, f"{place}/job"))
        for wall, name, ending in zip(("north", "south"), names, endings, strict=True):
            old, new = f"surveys/{wall}.csv", f"{name}{ending}"
            text = (folder / old).read_text()
            (folder / new).parent.mkdir(parents=True, exist_ok=True)
            if ending in (".xlsx", ".ods"):
                mark = ";" if ";" in text else ","
                rows = [[cell.replace(",", ".") for cell in line.split(mark)] for line in text.splitlines()]
                (write_ods if ending == ".ods" else write_xlsx)(folder / new, rows)
                (folder / old).unlink()
            else:
                (folder / old).rename(folder / new)
            job_file = (folder / "job.toml").read_text()
            (folder / "job.toml").write_text(
                job_file.replace(f'"{old}"', f'"{new}"').replace(f"'{old}'", f'"{new}"')
            )
        job = replace(mt.open_job(folder), waste_share=waste)
        mt.save_job(job, f"{place}/new")
        check_same(job, Path(place, "new"))
        assert survey_files(f"{place}/new") == survey_files(folder)
