"""A sheet in feet and inches whose first cell is words: what its numbers are is chosen and kept."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo import demo_in
from survey_panels import new_wall

import mytakeoff as mt
from mytakeoff.panels import SurveyPanel, survey

SHEET = b'height / along;1;5;9\n8\' 2";1 3/8;1 1/2;1\n4;1 1/4;1;7/8\n4";1;1 1/8;1\n'
HEADINGS = "off_line_in x_ft z_ft"


@pytest.fixture
def panel(folder: Path) -> SurveyPanel:
    made = survey(demo_in(folder))
    new_wall(made, name="hall")
    made.bring("hall.csv", SHEET)
    return made


def choose(panel: SurveyPanel) -> None:
    for control, value in zip(panel.file.headings.watched, ("off_line", "in", "ft", "ft"), strict=True):
        control.value = value


def test_it_is_asked_for_only_where_the_first_cell_does_not_say_it(panel: SurveyPanel) -> None:
    asked = panel.file.headings.widget
    assert "height / along" in panel.problem.value
    assert "or choose in the survey workbook" in panel.problem.value
    assert asked.layout.display != "none"
    assert [control.label for control in panel.file.headings.watched] == ["not said yet"] * 4
    panel.bring("said.csv", SHEET.replace(b"height / along", HEADINGS.encode()))
    assert panel.problem.value == ""
    assert asked.layout.display == "none"


def test_what_is_chosen_reads_as_if_it_stood_there_and_is_kept(panel: SurveyPanel, folder: Path) -> None:
    choose(panel)
    assert panel.problem.value == ""
    chosen = panel.survey
    assert "Readings in inches, from one line" in panel.facts.value
    # 8 ft 2 in is 2.4892 m, 1 3/8 in is 34.925 mm: the inch is 25.4 mm exactly
    at = list(zip(chosen.x_m.tolist(), chosen.z_m.tolist(), chosen.proud_mm.tolist(), strict=True))
    assert (0.3048, 2.4892, -34.925) in at
    panel.save()
    assert f'headings = "{HEADINGS}"' in (folder / "job.toml").read_text("utf-8")
    assert (folder / "surveys" / "hall.csv").read_bytes() == SHEET
    kept = mt.open_job(folder).wall("hall").survey
    assert kept.proud_mm.tolist() == chosen.proud_mm.tolist()
    again = survey(mt.open_job(folder))
    again.wall.pick.value = "hall"
    assert again.file.headings.value == HEADINGS
    assert again.problem.value == ""
    again.wall.pick.value = "party wall"
    assert again.file.headings.widget.layout.display == "none"


def test_half_of_it_is_not_enough(panel: SurveyPanel) -> None:
    panel.file.headings.side.value = "off_line"
    assert "height / along" in panel.problem.value
    assert panel.survey is None
