"""Every workbook takes over what another one saved, walls and mixes that came and went among it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from demo import copy_of_demo
from taken_apart import of_walls

from mytakeoff import Job, Price, PriceList, open_job, save_job
from mytakeoff.io.job.news import Looks
from mytakeoff.job.catalogue import LIGHT_GYPSUM
from mytakeoff.job.edits import with_backing, with_wall_name
from mytakeoff.panels import budget, buying_and_days, finished, options, setting_out, survey
from mytakeoff.panels.parts.panel import JobPanel
from mytakeoff.panels.survey_panel.panel import SurveyPanel

OWN_MIX = replace(LIGHT_GYPSUM, name="our own backing", density_kg_per_l=0.85)
PANELS: list[Callable[[Job], JobPanel]] = [budget, options, setting_out, buying_and_days, finished]


def look(panel: Any) -> None:
    """What the loop does once the files of the folder have come to rest as something else."""
    before: Looks = dict.fromkeys(panel.folder_watch.looks())
    panel._look_again(before, panel.folder_watch.looks())


def rebuilt(job: Job) -> Job:
    """A wall renamed, one taken out, another mix on all of them."""
    job = with_wall_name(job, "door wall", "hall wall")
    job = of_walls(job, (wall for wall in job.walls if wall.name != "breast front"))
    prices = PriceList((*job.prices.rows, Price(OWN_MIX.name, "bag", Decimal(14))))
    return with_backing(replace(job, mixes=(*job.mixes, OWN_MIX), prices=prices), OWN_MIX)


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Each workbook, on a folder that another one has saved to since, and what it showed before."""
    folder = copy_of_demo(tmp_path_factory.mktemp("flat"))
    (folder / "finished.toml").unlink()  # it is of the job as it was agreed
    panels = {make.__name__: make(open_job(folder)) for make in PANELS}
    for panel in panels.values():
        if "wall" in panel.controls:
            panel.controls["wall"].value = "breast front"
    save_job(rebuilt(open_job(folder)), folder, open_job(folder), "survey")
    for panel in panels.values():
        look(panel)
    return {"folder": folder, **panels}


@pytest.mark.parametrize("make", PANELS)
def test_walls_and_mixes_follow_the_folder(shown: dict[str, Any], make: Callable[[Job], JobPanel]) -> None:
    panel, folder = shown[make.__name__], shown["folder"]
    there = open_job(folder)
    assert panel.problem.value == ""
    assert [wall.name for wall in panel.store.job.walls] == [wall.name for wall in there.walls]
    assert panel.unsaved == ()
    said = panel.folder_line.said.value
    assert "renamed &#x27;hall wall&#x27;" in said
    assert "The survey workbook" in said
    if "wall" in panel.controls:
        assert panel.controls["wall"].value in [wall.name for wall in there.walls]
    if "backing" in panel.controls:
        assert panel.controls["backing"].value == OWN_MIX.name


@pytest.mark.parametrize("make", PANELS)
def test_and_follow_undo_back(shown: dict[str, Any], make: Callable[[Job], JobPanel]) -> None:
    """After the test before: one step takes all of it back, in the panel and not in the folder."""
    panel, folder = shown[make.__name__], shown["folder"]
    before = (folder / "job.toml").read_bytes()
    panel.undo()
    assert panel.problem.value == ""
    names = [wall.name for wall in panel.store.job.walls]
    assert "door wall" in names
    assert "breast front" in names
    assert panel.unsaved != ()
    assert (folder / "job.toml").read_bytes() == before


def test_a_job_that_cannot_be_priced_leaves_the_last_good_result(shown: dict[str, Any]) -> None:
    panel, folder = shown["setting_out"], shown["folder"]
    panel.restore()
    before = panel.store.result
    save_job(with_backing(open_job(folder), replace(OWN_MIX, name="nobody priced this")), folder)
    look(panel)
    assert panel.store.result is before
    said = panel.folder_line.said.value
    assert "what is shown is from before" in said
    assert "nobody priced this" in said


def test_days_begun_by_the_panel_are_no_change_of_the_hand(tmp_path: Path) -> None:
    folder = copy_of_demo(tmp_path)
    job = open_job(folder)
    save_job(replace(job, calendar=replace(job.calendar, start=None)), folder)
    panel = buying_and_days(open_job(folder))
    assert panel.unsaved == ()
    save_job(replace(open_job(folder), waste_share=0.12), folder)
    look(panel)
    assert panel.store.job.waste_share == 0.12
    assert panel.store.job.calendar.start is not None


def test_an_option_carried_is_the_open_budgets_job(tmp_path: Path) -> None:
    folder = copy_of_demo(tmp_path)
    panel, other = options(open_job(folder)), budget(open_job(folder))
    name = panel.options[-1].name
    panel.carry(name)
    assert "shows it in a moment" in panel.said.value
    look(other)
    assert other.store.job.treatment == panel.saved.treatment
    assert other.store.result.cost.total == panel.work.named(name).result.cost.total
    assert "The options workbook" in other.folder_line.said.value


# -- the survey -------------------------------------------------------------------------------------


@pytest.fixture
def panel(folder: Path) -> SurveyPanel:
    return survey(open_job(folder))


def save_there(folder: Path, change: Callable[[Job], Job]) -> None:
    job = open_job(folder)
    save_job(change(job), folder, job, "budget")


def test_a_survey_without_entries_follows_the_folder(panel: SurveyPanel, folder: Path) -> None:
    panel.controls["wall"].value = "door wall"
    save_there(folder, lambda job: with_wall_name(job, "door wall", "hall wall"))
    look(panel)
    assert "hall wall" in panel.controls["wall"].options
    assert panel.controls["name"].value == panel.draft.wall.name != "door wall"
    assert "The budget workbook" in panel.folder_line.said.value
    assert panel.unsaved == ()


def test_a_price_elsewhere_does_not_read_the_survey_again(panel: SurveyPanel, folder: Path) -> None:
    before = panel.survey
    save_there(folder, lambda job: replace(job, waste_share=0.12))
    look(panel)
    assert panel.job.waste_share == 0.12
    assert panel.survey is before


def test_entries_are_counted_in_words(panel: SurveyPanel) -> None:
    panel.controls["width"].value = 4.1
    panel.count()
    assert "1 change not saved yet" in panel.unsaved_line.value
    assert "width 3.9 m → 4.1 m" in panel.unsaved_line.value


def test_entries_are_kept_over_what_the_folder_says(panel: SurveyPanel, folder: Path) -> None:
    panel.controls["width"].value = 4.1
    save_there(folder, lambda job: job_with_height(job, 2.65))
    look(panel)
    assert "In the folder: wall" in panel.folder_line.said.value
    panel.folder_line.buttons["keep_mine"].click()
    assert (panel.controls["width"].value, panel.controls["height"].value) == (4.1, 2.65)
    panel.save()
    wall = open_job(folder).wall("party wall").wall
    assert (wall.width_m, wall.height_m) == (4.1, 2.65)
    assert panel.unsaved == ()


def test_entries_are_dropped_for_what_the_folder_says(panel: SurveyPanel, folder: Path) -> None:
    panel.controls["width"].value = 4.1
    save_there(folder, lambda job: job_with_height(job, 2.65))
    look(panel)
    panel.folder_line.buttons["take_theirs"].click()
    assert (panel.controls["width"].value, panel.controls["height"].value) == (3.9, 2.65)
    assert panel.unsaved == ()


def test_a_wall_that_was_taken_out_elsewhere_is_kept_as_a_new_one(panel: SurveyPanel, folder: Path) -> None:
    panel.controls["wall"].value = "door wall"
    panel.controls["width"].value = 3.5
    save_there(folder, lambda job: of_walls(job, (w for w in job.walls if w.name != "door wall")))
    look(panel)
    panel.folder_line.buttons["keep_mine"].click()
    panel.save()
    assert open_job(folder).wall("door wall").wall.width_m == 3.5


def job_with_height(job: Job, height_m: float) -> Job:
    """The job with the party wall so high."""
    entry = job.wall("party wall")
    wall = replace(entry.wall, height_m=height_m)
    taller = replace(entry, wall=wall, survey=replace(entry.survey, wall=wall))
    return replace(job, walls=tuple(taller if each is entry else each for each in job.walls))
