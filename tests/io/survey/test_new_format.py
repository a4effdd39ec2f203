"""A new kind of survey file is one module and one line: everything else takes it from there."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from demo import copy_of_demo
from gauge_list import GAUGE

import mytakeoff as mt
from mytakeoff.io.forms.desk import file_in, survey_files
from mytakeoff.io.forms.facts import facts_of
from mytakeoff.io.survey import survey_file
from mytakeoff.resources import demo_folder

WALL = mt.Wall("north", 2.0, 2.5)
TEXT = "x;z;proud\n0;0;-3,5\n200;0;1\n0;250;4\n200;250;\n100;120;2\n"


@pytest.fixture
def _registered(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(survey_file, "FORMATS", (*survey_file.FORMATS, GAUGE))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "gauge.csv"
    path.write_text(TEXT)
    return path


@pytest.mark.usefixtures("_registered")
class TestANewFormat:
    def test_it_is_read(self, file: Path) -> None:
        survey = mt.read_survey(file, WALL)
        assert survey.x_m.tolist() == [0.0, 2.0, 0.0, 1.0]
        assert survey.z_m.tolist() == [0.0, 0.0, 2.5, 1.2]
        assert survey.proud_mm.tolist() == [-3.5, 1.0, 4.0, 2.0]
        assert survey.layout == "list"

    def test_a_slip_is_told_with_its_cell(self, file: Path) -> None:
        file.write_text(TEXT.replace("100;120;2", "100;260;2"))
        with pytest.raises(mt.TakeoffError, match=r"row 6, column B: height 260 cm.*0 to 2\.5 m"):
            mt.read_survey(file, WALL)

    def test_the_others_are_read_as_before(self, tmp_path: Path) -> None:
        for entry in mt.open_job(demo_folder()).walls:
            again = mt.read_survey(demo_folder() / entry.survey.source, entry.wall)
            np.testing.assert_array_equal(again.proud_mm, entry.survey.proud_mm)

    def test_a_job_names_such_a_file(self, tmp_path: Path) -> None:
        folder = copy_of_demo(tmp_path)
        entry = mt.open_job(folder).wall("window wall")
        x_cm, z_cm = (np.linspace(0, 100 * size, 5).round() for size in (entry.wall.width_m, 2.4))
        rows = [f"{x:g};{z:g};{x / 50 - z / 40:g}" for z in z_cm for x in x_cm]
        (folder / entry.survey.source).write_text("\n".join(["x;z;proud", *rows]))
        job = mt.open_job(folder)
        assert job.wall("window wall").survey.proud_mm.size == 25
        assert mt.evaluate(job).cost.total > 0
        assert entry.survey.source in survey_files(folder)

    def test_what_was_understood_is_said(self, file: Path) -> None:
        survey = mt.read_survey(file, WALL)
        said, *_ = facts_of(file_in(file.parent, file.name), survey, mt.grid_surface(survey))
        assert said == "It is a depth gauge's list: 4 readings; cells separated by semicolons, decimal comma."

    def test_whoever_wrote_another_one_is_told_of_it(self, file: Path) -> None:
        file.write_text("a;b;c\n1;2;3\n")
        with pytest.raises(mt.TakeoffError, match="depth gauge's list with x, z, proud, a field grid starts"):
            mt.read_survey(file, WALL)


def test_without_its_line_it_is_not_known(file: Path) -> None:
    with pytest.raises(mt.TakeoffError, match="'x' in the first cell") as caught:
        mt.read_survey(file, WALL)
    assert caught.value.mistakes[0].rule == (
        "a field grid starts with off_line_mm or proud_mm, plumb lines with off_plumb_lines_mm, "
        "a list with x_m, z_m and one of the first two"
    )
