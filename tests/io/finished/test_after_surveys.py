"""Surveys of finished walls in every form that a first one may have, read as the first one is."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from clouds import write_las, write_xyz
from read_again import AFTER, LAID_MM, MARKS, OLD_MM, WALL, usual_folder

import mytakeoff as mt
from mytakeoff.account.measured_again import measure_again
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain
from mytakeoff.finished.record import Finished
from mytakeoff.io.finished.after_surveys import named_surveys, read_after
from mytakeoff.io.finished.finished_file import open_finished
from mytakeoff.io.scan import one_wall
from mytakeoff.survey.said import ScanChoice

GRID = "off_line_mm,0.2,1.2,2.9\n2.2,-181,-178,-173\n1.1,-183,-180,-175\n0.1,-185,-182,\n"
WAYS = {
    "grid.csv": GRID,
    "list.csv": "z_cm;x_cm;proud_mm\n220;20;181\n220;120;178\n220;290;173\n110;20;183\n110;120;180\n"
    "110;290;175\n10;20;185\n10;120;182\n",
    "inches.csv": "x_m,z_m,proud_in\n"
    + "".join(
        f"{x},{z},{mm / 25.4:.6f}\n"
        for x, z, mm in (
            (0.2, 2.2, 181), (1.2, 2.2, 178), (2.9, 2.2, 173), (0.2, 1.1, 183), (1.2, 1.1, 180),
            (2.9, 1.1, 175), (0.2, 0.1, 185), (1.2, 0.1, 182),
        )
    ),
    "unsaid.csv": GRID.replace("off_line_mm", "after the skim"),
}  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return usual_folder(tmp_path / "job")


def survey_named(folder: Path, name: str, job: mt.Job | None = None, **details) -> mt.Survey:
    finished = Finished(walls=(FinishedWall(WALL.name, after=name, **details),))
    return read_after(job or mt.open_job(folder), finished, folder)[WALL.name][name]


def with_choice(job: mt.Job, choice: ScanChoice) -> mt.Job:
    """The job, its first survey read with such choices."""
    (wall,) = job.walls
    return replace(job, walls=(replace(wall, survey=replace(wall.survey, scan=choice)),))


def places(survey: mt.Survey) -> list[tuple[float, float, float]]:
    rows = zip(survey.x_m.tolist(), survey.z_m.tolist(), survey.proud_mm.tolist(), strict=True)
    return sorted((round(x, 3), round(z, 3), round(mm, 3)) for x, z, mm in rows)


@pytest.mark.parametrize("name", WAYS)
@pytest.mark.parametrize("plumb", [False, True])
def test_readings_in_every_heading_are_the_same(folder, name, plumb):
    (folder / name).write_text(WAYS[name], encoding="utf-8")
    job = with_choice(mt.open_job(folder), ScanChoice(headings="off_line_mm"))
    survey = survey_named(folder, name, job, plumb=plumb)
    assert (survey.source, survey.wall, survey.plumb) == (name, WALL, plumb)
    assert len(places(survey)) == 8
    assert (0.2, 2.2, 181.0) in places(survey)
    (folder / "grid.csv").write_text(GRID, encoding="utf-8")
    assert places(survey) == places(survey_named(folder, "grid.csv"))


def test_what_nobody_said_of_a_grid_is_told(folder):
    (folder / "unsaid.csv").write_text(WAYS["unsaid.csv"], encoding="utf-8")
    with pytest.raises(mt.TakeoffError, match="'after the skim' in the first cell") as error:
        survey_named(folder, "unsaid.csv")
    assert error.value.mistakes[0].place.startswith("unsaid.csv, row 1")


def test_a_spreadsheet_with_what_was_found(folder):
    """High spots and laid edges under the readings are its survey's, as those of the first are."""
    book = openpyxl.Workbook()
    for row in [line.split(",") for line in GRID.splitlines()] + [
        ["found on the wall"], ["swept all over", "yes"],
        ["high spot", "x_cm", "z_cm", "off_line_mm"], ["", "50", "150", "-190"],
        ["laid straightedge", "x_cm", "z_cm", "lies", "length_cm", "gap_mm", "touches_cm"],
        ["", "20", "110", "level", "100", "2", ""],
        ["fixed place", "what", "x_cm", "z_cm", "off_line_mm"], ["", "screw", "20", "0", "7"],
    ]:  # fmt: skip
        book.active.append([float(cell) if cell.lstrip("-")[:1].isdigit() else cell for cell in row])
    book.save(folder / "surveys" / "after.xlsx")
    survey = survey_named(folder, "surveys/after.xlsx")
    assert (survey.high_x_m.tolist(), survey.high_mm.tolist(), survey.swept) == ([0.5], [190.0], True)
    assert [(edge.x_m, edge.gap_mm) for edge in survey.sweeps] == [(0.2, 2.0)]
    assert survey.x_m.size == 8


def test_plumb_lines(folder):
    text = "off_plumb_lines_mm,0.2,1.2,2.9\n2.2,10,12,9\n1.1,9,11,10\n0.1,8,9,\nlevel 1.1,180,179,181\n"
    (folder / "lines.csv").write_text(text, encoding="utf-8")
    assert survey_named(folder, "lines.csv", plumb=True).x_m.size == 8
    with pytest.raises(mt.TakeoffError, match="plumb lines off a plane that was not plumb"):
        survey_named(folder, "lines.csv", plumb=False)


def cloud(unit_m: float = 1.0, up: str = "z") -> np.ndarray:
    """A scan of the finished wall, 16 mm nearer at its middle, from 2 m away."""
    rng = np.random.default_rng(4)
    x, z = rng.uniform(0, WALL.width_m, 9000), rng.uniform(0, WALL.height_m, 9000)
    door = (x > 1.8) & (x < 2.7) & (z < 2.0)
    x, z = x[~door], z[~door]
    points = np.column_stack([x - 1.5, 2.0 - 0.016 + rng.normal(0, 0.0005, x.size), z])
    return points[:, {"z": [0, 1, 2], "y": [0, 2, 1]}[up]] / unit_m


def test_a_scan_once_for_as_long_as_it_is_held(folder, monkeypatch):
    write_las(folder / "after.las", cloud(), scale=0.0001)
    kept = survey_named(folder, "after.las")
    assert kept.layout == "scan"

    def again(*_args, **_more):
        raise AssertionError("read again")

    monkeypatch.setattr(one_wall, "scan_survey", again)
    assert survey_named(folder, "after.las") is kept
    write_las(folder / "after.las", cloud(), scale=0.001)
    with pytest.raises(AssertionError, match="read again"):
        survey_named(folder, "after.las")


def test_what_was_said_of_the_first_scan_holds_for_this_one(folder):
    write_xyz(folder / "after.xyz", cloud(unit_m=0.0254, up="z"))
    job = with_choice(mt.open_job(folder), ScanChoice(unit="in", up="z"))
    survey = survey_named(folder, "after.xyz", job)
    assert survey.scan == ScanChoice(unit="in", up="z")
    wrong = with_choice(mt.open_job(folder), ScanChoice(unit="ft"))
    with pytest.raises(mt.TakeoffError):
        survey_named(folder, "after.xyz", wrong)


def test_a_scan_after_readings_by_hand_tells_the_same(folder):
    """The scan's own plane is that of its best fit: fixed places are read off it as well."""
    write_las(folder / "after.las", cloud(), scale=0.0001)
    job, finished = mt.open_job(folder), open_finished(folder)
    by_hand = measure_again(job, finished, read_after(job, finished, folder))[0].laid
    scan = survey_named(folder, "after.las")
    face = float(np.median(scan.proud_mm))
    moved = face - (OLD_MM.mean() + LAID_MM)
    again = tuple(FixedAgain(name, mm + moved) for name, _, _, mm in MARKS)
    wall = replace(finished.walls[0], after="after.las", fixed_again=again)
    scanned = Finished(walls=(wall,))
    found = measure_again(job, scanned, read_after(job, scanned, folder))[0].laid
    assert found.mean_mm == pytest.approx(by_hand.mean_mm, abs=found.uncertainty_mm)


def test_every_survey_is_read_and_named_once(folder):
    (folder / "grid.csv").write_text(GRID, encoding="utf-8")
    rounds = (
        CheckRound(date(2027, 6, 1), AFTER),
        CheckRound(date(2027, 6, 2)),
        CheckRound(date(2027, 6, 3), "grid.csv"),
    )
    wall = FinishedWall(WALL.name, after=AFTER, plumb=False, rounds=rounds)
    assert list(named_surveys(wall)) == [AFTER, AFTER, "grid.csv"]
    job = mt.open_job(folder)
    read = read_after(job, Finished(walls=(wall, FinishedWall("nobody's", after=AFTER))), folder)
    assert {name: list(surveys) for name, surveys in read.items()} == {WALL.name: [AFTER, "grid.csv"]}


def test_all_that_is_wrong_is_told_together(folder):
    (folder / "one.csv").write_text("x_m,z_m,proud_mm\n1,1,5\n", encoding="utf-8")
    (folder / "words.csv").write_text("x_m,z_m,proud_mm\n1,1,five\n1,2,5\n2,1,5\n", encoding="utf-8")
    rounds = tuple(
        CheckRound(date(2027, 6, 1), name) for name in ("one.csv", "words.csv", "gone.csv", "../up.csv")
    )
    finished = Finished(walls=(FinishedWall(WALL.name, after=AFTER, plumb=False, rounds=rounds),))
    with pytest.raises(mt.TakeoffError) as error:
        read_after(mt.open_job(folder), finished, folder)
    places = [each.place for each in error.value.mistakes]
    assert places == [
        "one.csv",
        "words.csv, row 2, column C",
        "gone.csv",
        f"finished.toml, wall ({WALL.name})",
    ]
    assert all(each.found and each.rule and each.remedy for each in error.value.mistakes)
