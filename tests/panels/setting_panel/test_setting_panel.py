"""The setting-out panel, driven as the front end drives it; without a loop its steps are done at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from csv_back import read_back
from demo import demo, demo_in

import mytakeoff as mt
from mytakeoff.formats.formats import say
from mytakeoff.job.edits import with_rail_places
from mytakeoff.panels import SettingPanel, setting_out
from mytakeoff.settingout.set_out import set_out

DAY = date(2027, 3, 1)
WALLS = ("breast front", "breast left cheek")


@pytest.fixture
def panel(folder: Path) -> SettingPanel:
    """Two small walls of the demo job: the geometry of all of them is tested in the core."""
    return setting_out(replace(demo_in(folder), only=WALLS), DAY)


def shows_its_result(panel: SettingPanel) -> None:
    """Every figure on the panel is that of the store's own result."""
    setting = set_out(panel.store.result)
    wall = setting.wall(panel.wall.value)
    assert f"{setting.fixing_count} fixings" in panel.headline.value
    assert f"{say(panel.store.result.cost.total)} EUR" in panel.headline.value
    for length, count in setting.screws.items():
        assert f"{count} screw{'s' * (count > 1)} of {length:g} mm" in panel.headline.value
    for name, rail in zip(wall.names, wall.rails, strict=True):
        assert f"Rail {name} at {rail.x_m:.3f} m, cut {rail.length_m * 1000:.0f} mm" in panel.table.value
    for fixing in wall.fixings:
        assert f"<td class='mt-number'>{fixing.z_m:.3f}</td>" in panel.table.value
    assert panel.table.value.count("<th scope='row'>") == len(wall.fixings)
    assert f"reads {say(wall.laser_to_head_mm)} mm" in panel.status.value
    assert f"{setting.cuts.count} lengths of 3 m" in panel.cuts.value
    assert panel.picture.value.count("<svg") == panel.narrow_picture.value.count("<svg") == 1


def test_it_opens_with_the_figures_of_its_result(panel: SettingPanel) -> None:
    assert panel.problem.value == ""
    shows_its_result(panel)


def test_the_picture_says_in_words_what_it_shows(panel: SettingPanel) -> None:
    assert 'role="img" aria-label="Wall breast front, 1.5 × 2.6 m: 2 rails' in panel.picture.value


def test_everything_follows_a_slider(panel: SettingPanel) -> None:
    for name, value in (
        ("straightedge_m", 1.2),
        ("fixing_step_m", 0.25),
        ("depth_mm", 10.0),
        ("laser_mm", 150.0),
    ):
        before = panel.table.value
        panel.controls[name].value = value
        assert panel.problem.value == ""
        assert panel.table.value != before
        shows_its_result(panel)


def test_everything_follows_mix_and_wall(panel: SettingPanel) -> None:
    panel.wall.value = WALLS[1]
    shows_its_result(panel)
    assert "Rail 1 at 0.200 m" in panel.table.value
    panel.choices["bedded"].control.value = "dabs"
    assert "dabs" in panel.headline.value
    assert panel.cables.value == ""


def test_a_wall_that_is_patched_has_no_rails(panel: SettingPanel) -> None:
    panel.way.value = "patch and skim"
    assert panel.problem.value == ""
    assert "has no rails to set out" in panel.table.value
    assert panel.picture.value.count("<svg") == 0
    assert ">No rails<" in panel.headline.value
    assert " 0 " not in panel.headline.value
    panel.way.value = "as the job has it"
    shows_its_result(panel)


def test_better_places_are_found_said_and_carried_to_the_job(panel: SettingPanel, folder: Path) -> None:
    panel.wall.value = WALLS[1]
    plan = panel.plan
    assert plan is not None
    assert plan.best_x_m != plan.even_x_m
    assert f"{say(plan.best_l, 1)} litres instead of {say(plan.even_l, 1)}" in panel.saving.value
    panel.carry()
    assert panel.problem.value == ""
    saved = mt.open_job(folder)
    assert saved.wall(WALLS[1]).rails_x_m == plan.best_x_m
    assert panel.store.result.wall(WALLS[1]).build_up.volume_l == pytest.approx(plan.best_l)
    assert mt.evaluate(saved).cost.total == mt.evaluate(replace(panel.store.job, only=())).cost.total
    assert "The job has them there" in panel.saving.value
    shows_its_result(panel)
    panel.even()
    assert panel.store.job.wall(WALLS[1]).rails_x_m == ()


def test_the_job_file_keeps_its_remarks_when_rails_are_carried(panel: SettingPanel, folder: Path) -> None:
    before = (folder / "job.toml").read_text()
    panel.wall.value = WALLS[1]
    panel.carry()
    after = (folder / "job.toml").read_text()
    added = [line for line in after.splitlines() if line not in before.splitlines()]
    assert [line.partition(" = ")[0] for line in added if line] == ["rails_x_m"]


def test_the_sheets_are_written(panel: SettingPanel, tmp_path: Path) -> None:
    panel.paper.value = "Letter"
    written = panel.write(tmp_path)
    assert str(tmp_path) in panel.said.value
    pages = [f"setting-out-breast-front-{n}.svg" for n in (1, 2)]
    tables = [f"setting-out.{kind}" for kind in ("pdf", "csv", "txt")]
    assert [path.name for path in written] == [*tables, *pages]  # no room with corners, nothing to pack out
    assert written[0].read_bytes().startswith(b"%PDF")
    setting = set_out(panel.store.result)
    back = read_back(written[1])
    assert len(back) == setting.fixing_count
    assert [float(x) for x in back.z_m] == pytest.approx(
        [f.z_m for w in setting.walls for f in w.fixings], abs=6e-4
    )
    assert back.done.isna().all()
    beside = written[2].read_text("utf-8-sig")
    assert "Look here first".lower() in beside.lower()
    assert "Silica dust" in beside


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("screw_mm", 30.0, "need up to"),
        ("stock_m", 2.0, "from stock of 2000 mm"),
        ("laser_mm", 5.0, "clears the heads"),
    ],
)
def test_what_cannot_be_set_out_is_said_and_no_sheet_is_written(
    panel: SettingPanel, tmp_path: Path, name: str, value: float, told: str
) -> None:
    shown = panel.table.value
    panel.numbers[name].box.value = value
    assert told in panel.problem.value
    assert "from before" in panel.status.value
    assert panel.table.value == shown
    with pytest.raises(mt.TakeoffError, match="put this right first"):
        panel.write(tmp_path)
    assert list(tmp_path.glob("*.pdf")) == []
    panel.go_back(name)
    assert panel.problem.value == ""
    shows_its_result(panel)


def test_an_edge_no_longer_than_its_overhangs_is_refused_and_the_picture_stays(panel: SettingPanel) -> None:
    shown = panel.table.value
    panel.numbers["straightedge_m"].box.value = 0.3
    assert "longer than twice its overhang" in panel.problem.value
    assert panel.table.value == shown
    assert panel.store.job.rails.straightedge_m == 1.5


def test_rails_of_the_user_s_own_that_reach_too_little_stop_the_sheet(folder: Path) -> None:
    job = replace(demo_in(folder), only=("breast front",))
    panel = setting_out(with_rail_places(job, "breast front", (0.15, 1.35)), DAY)
    assert panel.problem.value == ""
    panel.controls["straightedge_m"].value = 1.2
    assert "no straightedge of 1.2 m on two rails reaches" in panel.problem.value
    panel.even()
    assert panel.problem.value == ""
    shows_its_result(panel)


def test_a_job_without_a_folder_says_where_nothing_can_be_saved() -> None:
    panel = setting_out(replace(demo(), only=("breast left cheek",), folder=""), DAY)
    panel.save()
    assert "nowhere to save" in panel.said.value


def test_why_nothing_is_set_out_stays_told_when_a_refused_entry_is_put_right(panel: SettingPanel) -> None:
    kept = panel.store.job.waste_share
    panel.numbers["laser_mm"].box.value = 5.0
    why = panel.problem.value
    assert "clears the heads" in why
    panel.store.apply(lambda job: replace(job, waste_share=-1.0))
    assert panel.problem.value != why
    panel.store.apply(lambda job: replace(job, waste_share=kept))
    assert panel.problem.value == why
