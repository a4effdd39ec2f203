"""A wall renamed on the survey panel, as the front end drives it: nothing stops it or is left behind."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from demo import demo_in
from taken_apart import of_walls

import mytakeoff as mt
from mytakeoff.panels import survey


def remarks(folder: Path) -> list[str]:
    return [line for line in (folder / "job.toml").read_text().splitlines() if "#" in line]


def test_a_wall_that_something_stands_beside_is_renamed_with_it(folder: Path) -> None:
    before = remarks(folder)
    panel = survey(demo_in(folder))
    panel.wall.name.value = "stair side"
    panel.buttons["save"].click()
    assert panel.problem.value == ""
    assert "Saved" in panel.said.value
    job = mt.open_job(folder)
    assert job == panel.job
    assert job.walls[0].name == "stair side"
    assert [thing.wall for thing in job.compare.beside] == ["stair side", "window wall"]
    assert remarks(folder) == before


def test_a_wall_renamed_with_a_file_of_its_own_keeps_its_remarks(folder: Path) -> None:
    before = remarks(folder)
    panel = survey(demo_in(folder))
    panel.wall.name.value = "stair side"
    panel.bring("stairs.csv", (folder / "surveys/party-wall.csv").read_bytes().replace(b"60,60", b"61,60", 1))
    panel.file.same_plane.value = True
    panel.buttons["save"].click()
    assert panel.problem.value == ""
    job = mt.open_job(folder)
    assert job == panel.job
    assert job.wall("stair side").survey.source == "surveys/stairs.csv"
    assert remarks(folder) == before  # those of high spots too: they were read off the same plane


def test_what_others_saved_meanwhile_comes_into_the_panel(folder: Path) -> None:
    """Somebody has priced rails anew and renamed another wall; both clash nowhere."""
    panel = survey(demo_in(folder))
    opened = mt.open_job(folder)
    prices = opened.prices.with_price("rail fixing", Decimal("9.99"))
    others = survey(opened)
    others.wall.pick.value = "door wall"
    others.wall.name.value = "hall side"
    others.buttons["save"].click()
    mt.save_job(replace(opened, prices=prices), folder, opened)
    panel.wall.name.value = "stair side"
    panel.buttons["save"].click()
    assert panel.problem.value == ""
    assert panel.job.prices.of("rail fixing").price == Decimal("9.99")
    assert "hall side" in panel.wall.pick.options
    assert panel.job == mt.open_job(folder)


def test_what_both_changed_is_told(folder: Path) -> None:
    panel = survey(demo_in(folder))
    opened = mt.open_job(folder)
    walls = tuple(
        replace(wall, background="brick") if wall.name == "party wall" else wall for wall in opened.walls
    )
    mt.save_job(replace(opened, walls=walls), folder, opened)
    panel.wall.background.value = "dense block"
    panel.buttons["save"].click()
    assert panel.problem.value == ""
    assert "background: dense block here, brick in the file by then; saved as it is here" in panel.said.value


def test_a_wall_that_was_taken_out_meanwhile_is_refused_in_words(folder: Path) -> None:
    panel = survey(demo_in(folder))
    opened = mt.open_job(folder)
    beside = opened.compare.beside[1:]
    without = of_walls(opened, opened.walls[1:], compare=replace(opened.compare, beside=beside))
    mt.save_job(without, folder, opened)
    panel.wall.name.value = "stair side"
    panel.buttons["save"].click()
    assert "taken out of job.toml by now" in panel.problem.value
    assert mt.open_job(folder) == without
