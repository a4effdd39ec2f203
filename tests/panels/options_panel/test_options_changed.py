"""The options panel, driven as the front end drives it: sliders, ways of the user, what is carried."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets
import pytest
from demo import copy_of_demo, demo_in
from option_panels import DAY, WALL, done, row, small_job

import mytakeoff as mt
from mytakeoff.formats.formats import say
from mytakeoff.options.compare import (
    carry,
    compare,
    option_result,
    options_of,
)
from mytakeoff.panels import OptionsPanel, budget, options
from mytakeoff.panels.options_panel.work import OptionsWork


def test_prices_and_coats_move_without_any_drawing_anew(tmp_path: Path) -> None:
    own_panel = options(small_job(copy_of_demo(tmp_path), "door wall"), DAY)
    maps = {place: svg for place, svg in own_panel.table.pictures.items() if place.endswith("|walls")}
    for name, value in (("mix_density_kg_per_l", 1.6), ("waste_share", 0.2), ("max_coat_mm", 8.0)):
        before = row(own_panel, "float plumb")["cells"]["price"]
        own_panel.controls[name].value = value
        assert row(own_panel, "float plumb")["cells"]["price"] != before, name
    assert {p: s for p, s in own_panel.table.pictures.items() if p.endswith("|walls")} == maps
    for option in compare(own_panel.store.job):
        assert row(own_panel, option.name)["cells"]["price"][0] == f"{say(option.total)} EUR"


def test_another_tolerance_works_everything_out_anew(own_panel: OptionsPanel) -> None:
    own_panel.controls["grade"].value = "own"
    own_panel.controls["tolerance_mm"].value = 6.0
    assert own_panel.store.job.compare.tolerance_mm == 6.0
    for option in compare(own_panel.store.job):
        assert own_panel.work.named(option.name).passes == option.passes


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("tolerance_mm", 0.0, "0.01 to 200 mm"),
        ("straightedge_m", -2.0, "0.05 to 10 m"),
        ("waste_share", 120.0, "120 %"),
    ],
)
def test_what_cannot_be_is_refused_and_the_table_stays(
    own_panel: OptionsPanel, name: str, value: float, told: str
) -> None:
    shown = own_panel.table.rows
    own_panel.bound[name].box.value = value
    assert told in own_panel.problem.value
    assert own_panel.bound[name].box.value == value
    assert own_panel.table.rows == shown


def test_a_track_that_sends_back_noise_changes_nothing(own_panel: OptionsPanel) -> None:
    job = own_panel.store.job
    own_panel.bound["max_coat_mm"].slider.value = job.system.backing.max_coat_mm * (1 + 1e-15)
    assert own_panel.store.job is job


def test_carrying_an_option_makes_it_the_job(own_panel: OptionsPanel) -> None:
    option = own_panel.work.named("patch and skim")
    assert option is not None
    own_panel.table.chosen = {"key": "patch and skim", "count": 1}
    assert own_panel.problem.value == ""
    kept = mt.open_job(own_panel.store.job.folder)
    assert mt.evaluate(replace(kept, only=(WALL,))).cost.total == option.total
    own_panel.view.value = "estimator"
    assert row(own_panel, "patch and skim")["carry"] == "In the budget now"
    again = {each.name: each.total for each in compare(own_panel.store.job)}
    assert {each.name: each.total for each in done(own_panel)} == again


def test_the_budget_says_what_a_job_carries_and_goes_back_to_floating(folder: Path) -> None:
    job = replace(demo_in(folder), only=(WALL, "door wall"))
    carried = carry(job, options_of(job)[1])
    panel = budget(carried)
    assert "Every wall: patch and skim." in panel.treated.text.value
    panel.treated.float_all()
    assert panel.treated.widget.layout.display == "none"
    assert panel.store.result.cost.total == mt.evaluate(job).cost.total


def test_an_option_of_the_users_own_is_kept_in_the_job_and_removed(own_panel: OptionsPanel) -> None:
    own_panel.own.name.value = "patch, bare"
    own_panel.own.skim.value = False
    own_panel.own.add()
    bare = own_panel.work.named("patch, bare")
    assert bare is not None
    assert (
        bare.total
        == option_result(
            own_panel.store.job, mt.Treatment("patch, bare", "patch what has fallen", skim=False)
        ).total
    )
    own_panel.save()
    again = mt.open_job(own_panel.store.job.folder)
    assert [treatment.name for treatment in again.treatments] == ["patch, bare"]
    own_panel.own.remove()
    assert own_panel.work.named("patch, bare") is None
    own_panel.save()
    assert mt.open_job(own_panel.store.job.folder).treatments == ()


def test_an_option_without_a_name_is_refused(own_panel: OptionsPanel) -> None:
    own_panel.own.name.value = "  "
    assert not own_panel.own.add()
    assert "an option has a name" in own_panel.problem.value
    assert own_panel.store.job.treatments == ()


def test_something_plumb_is_placed_seen_and_taken_away(own_panel: OptionsPanel) -> None:
    things = own_panel.things
    things.name.value, things.wall.value, things.x.value, things.width.value = "door frame", WALL, 0.1, 0.1
    things.add()
    own_panel.beside.value = "door frame"
    for option in done(own_panel):
        assert "door frame" in own_panel.table.pictures[f"{option.name}|shows"]
    things.x.value = 7.0
    assert not things.add()
    assert "stands against wall that was measured" in own_panel.problem.value
    things.there.value = "door frame"
    things.remove()
    assert "door frame" not in [thing.name for thing in own_panel.store.job.compare.beside]


def test_many_moves_leave_nothing_behind(own_panel: OptionsPanel) -> None:
    before = len(widgets.widget._instances)
    for step in range(12):
        own_panel.controls["waste_share"].value = 0.1 + 0.01 * (step % 10)
    assert len(widgets.widget._instances) == before
    assert len(own_panel.table.pictures) <= 3 * len(own_panel.table.rows)


def test_what_is_known_stays_marked_until_it_is_worked_out_anew(folder: Path) -> None:
    job = small_job(folder)
    before = OptionsWork(job)
    list(before.work_options())
    work = OptionsWork(replace(job, waste_share=0.2), before)
    assert [option.name for option in work.options] == [option.name for option in before.options]
    assert work.best is None
    assert work.named("float plumb") is None
    list(work.work_options())
    assert work.complete
    assert work.named("float plumb").total > before.named("float plumb").total
