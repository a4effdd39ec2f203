"""The options panel, driven as the front end drives it; without a loop its steps are done at once."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

import mytakeoff as mt
from mytakeoff.io.export import read_back
from mytakeoff.options import OptionResult, best_of, option_result, options_frame
from mytakeoff.package_files import demo_folder
from mytakeoff.panels import OptionsPanel, options
from mytakeoff.panels.steps import Steps
from mytakeoff.units import say

DAY = date(2027, 3, 1)
WALL = "breast left cheek"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(demo_folder(), tmp_path_factory.mktemp("options") / "flat"))


@pytest.fixture(scope="module")
def panel(folder: Path) -> OptionsPanel:
    """One small wall of the demo job: the geometry of all of them is tested in the core."""
    made = options(replace(mt.open_job(folder), only=(WALL,)), DAY)
    made.wall.value = WALL
    return made


def done(panel: OptionsPanel) -> list[OptionResult]:
    return [option for option in panel.options if isinstance(option, OptionResult)]


def test_every_option_has_a_row_with_its_own_figures(panel: OptionsPanel) -> None:
    assert len(done(panel)) == 5
    for option in done(panel):
        again = option_result(panel.store.job, option.treatment)
        assert option.total == again.total
        assert f"{say(again.total)} EUR" in panel.table.value
        assert option.name in panel.table.value


def test_the_best_is_marked_in_words(panel: OptionsPanel) -> None:
    best = best_of(panel.options)
    assert best is not None
    assert panel.table.value.count("least price that passes") == 1
    row = panel.table.value.split("<tr class='mt-best'>")[1].split("</tr>")[0]
    assert best.name in row
    assert panel.choice.value == best.name


def test_the_day_to_paint_follows_the_first_day(panel: OptionsPanel) -> None:
    plumb = done(panel)[-1]
    for start in (DAY, date(2027, 6, 7)):
        panel.controls["start"].value = start
        paint = start + timedelta(days=plumb.days_to_paint)
        assert f"paint from {paint:%d.%m.%Y}" in panel.table.value


def test_each_price_has_a_range_that_holds_its_middle(panel: OptionsPanel) -> None:
    for option in done(panel):
        band = panel.bands[option.name]
        assert band.p10 <= band.p50 <= band.p90
        assert f"{say(band.p10)} to {say(band.p90)} EUR" in panel.table.value


def test_the_estimator_sees_what_the_file_has(panel: OptionsPanel) -> None:
    frame = options_frame(panel.options)
    for row in frame.to_dict("records"):
        assert say(float(row["greatest_gap_mm"]), 1) in panel.figures.value
        assert str(row["bags"]) in panel.figures.value


def test_export_reads_back_equal(panel: OptionsPanel, tmp_path: Path) -> None:
    written = panel.export(tmp_path)
    back, frame = read_back(written[0]), options_frame(panel.options)
    assert back["option"].tolist() == frame["option"].tolist()
    assert [Decimal(price) for price in back["price"]] == frame["price"].tolist()
    pictures = {path.suffix for path in written[1:]}
    assert pictures == {".png", ".svg"}
    assert all(path.stat().st_size > 5000 for path in written[1:])


def test_the_curve_has_every_option_on_it(panel: OptionsPanel) -> None:
    panel.draw_curve()
    assert panel.progress.value == panel.progress.max
    assert panel.curve.value.startswith("<svg")
    for option in done(panel):
        assert option.name in panel.curve.value
    assert "labour rate" in panel.drivers.value


def test_another_tolerance_works_everything_out_anew(folder: Path) -> None:
    panel = options(replace(mt.open_job(folder), only=(WALL,)), DAY)
    before = panel.options
    panel.controls["tolerance_mm"].value = 6.0
    assert panel.options is not before
    assert len(done(panel)) == 5
    assert panel.store.job.compare.tolerance_mm == 6.0


def test_a_tolerance_of_nothing_is_refused_and_the_table_stays(folder: Path) -> None:
    panel = options(replace(mt.open_job(folder), only=(WALL,)), DAY)
    shown = panel.table.value
    panel.numbers["tolerance_mm"].box.value = 0.0
    assert "more than 0" in panel.problem.value
    assert panel.table.value == shown
    assert panel.store.job.compare.tolerance_mm == 3.0


def test_carrying_an_option_makes_it_the_job(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(demo_folder(), tmp_path / "flat"))
    panel = options(replace(mt.open_job(folder), only=(WALL,)), DAY)
    panel.choice.value = "patch and skim"
    option = panel.chosen()
    assert option is not None
    panel.carry()
    assert panel.problem.value == ""
    again = replace(mt.open_job(folder), only=(WALL,))
    assert mt.evaluate(again).cost.total == option.total


def test_a_newer_piece_of_work_drops_the_older() -> None:
    steps, seen = Steps(), []

    def work(name: str, follow: bool = False) -> Iterator[None]:
        for number in range(3):
            seen.append((name, number))
            if follow and number == 1:
                steps.start(work("new"), lambda: seen.append(("new", "done")), seen.append)
            yield

    steps.start(work("old", follow=True), lambda: seen.append(("old", "done")), seen.append)
    assert ("new", "done") in seen
    assert ("old", 2) not in seen
    assert ("old", "done") not in seen
