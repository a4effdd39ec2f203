"""The options panel, driven as the front end drives it; without a loop its steps are done at once."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import ipywidgets as widgets
import pytest
from csv_back import read_back
from demo import demo_in

import mytakeoff as mt
from mytakeoff.errors import TakeoffError
from mytakeoff.formats import say
from mytakeoff.options import in_words
from mytakeoff.options.compare import (
    OptionResult,
    Refused,
    best_of,
    carry,
    compare,
    option_result,
    options_of,
)
from mytakeoff.options.price_curve import price_curve
from mytakeoff.options.table import options_frame
from mytakeoff.panels import OptionsPanel, budget, options
from mytakeoff.panels.options_panel import pictures, words
from mytakeoff.panels.options_panel.table import OptionTable
from mytakeoff.panels.options_panel.work import OptionsWork
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.ranges.drivers import Driver, price_drivers
from mytakeoff.resources import demo_folder, workbooks_folder

DAY = date(2027, 3, 1)
WALL = "breast left cheek"


def copy_of_demo(tmp_path: Path) -> Path:
    return Path(shutil.copytree(demo_folder(), tmp_path / "flat"))


def one_wall(folder: Path, name: str = WALL) -> mt.Job:
    """One small wall of the demo job: the geometry of all of them is tested in the core."""
    return replace(demo_in(folder), only=(name,))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_of_demo(tmp_path_factory.mktemp("options"))


@pytest.fixture(scope="module")
def panel(folder: Path) -> OptionsPanel:
    """A panel that no test changes for the next."""
    return options(one_wall(folder), DAY)


@pytest.fixture
def own_panel(tmp_path: Path) -> OptionsPanel:
    """A panel over a folder of its own."""
    return options(one_wall(copy_of_demo(tmp_path)), DAY)


def done(panel: OptionsPanel) -> list[OptionResult]:
    return [option for option in panel.options if isinstance(option, OptionResult)]


def row(panel: OptionsPanel, name: str) -> dict[str, object]:
    return next(row for row in panel.table.rows if row["name"] == name)


def test_every_option_has_a_row_with_its_own_figures(panel: OptionsPanel) -> None:
    wanted = [option for option in compare(panel.store.job) if isinstance(option, OptionResult)]
    assert [each["name"] for each in panel.table.rows] == [option.name for option in wanted]
    for option in wanted:
        cells = row(panel, option.name)["cells"]
        assert cells["price"][0] == f"{say(option.total)} EUR"
        assert (row(panel, option.name)["sign"] == "✓") == option.passes


def test_a_row_says_four_things_of_its_way_and_no_more(panel: OptionsPanel) -> None:
    assert [head["key"] for head in panel.table.head] == ["option", "walls", "price", "shows", "days"]


def test_a_client_reads_on_how_many_days_somebody_comes_and_not_how_much_work_it_is(
    panel: OptionsPanel, tmp_path: Path
) -> None:
    for view, heading in (("client", "days on site"), ("estimator", "days' work")):
        panel.view.value = view
        assert panel.table.head[-1]["text"] == heading
        for option in done(panel):
            said = " ".join(row(panel, option.name)["cells"]["days"])
            assert ("days' work" in said) == (view == "estimator" and option.days > 1)
    panel.view.value = "client"
    assert "days' work" not in panel.export(tmp_path)[2].read_text(encoding="utf-8")


def test_the_best_is_marked_in_words(panel: OptionsPanel) -> None:
    best = best_of(panel.options)
    assert best is not None
    assert [each["name"] for each in panel.table.rows if each["mark"] == "least price that passes"] == [
        best.name
    ]


def test_the_day_to_paint_follows_the_first_day(panel: OptionsPanel) -> None:
    plumb = done(panel)[-1]
    for start in (DAY, date(2027, 6, 7)):
        panel.controls["start"].value = start
        paint = plumb.paint_date(start)
        said = [line.replace("\xa0", " ") for line in row(panel, plumb.name)["cells"]["days"]]
        assert f"paint from {paint.day} {paint:%b %Y}" in said


def test_each_price_has_a_range_that_holds_its_middle_and_a_bar(panel: OptionsPanel) -> None:
    for option in done(panel):
        low, middle, high = panel.sure[option.name].total_money
        assert low <= middle <= high
        if option.total:
            assert row(panel, option.name)["cells"]["price"][1] == f"{say(low)} to {say(high)}"
            assert panel.table.pictures[f"{option.name}|price"].startswith("<svg")


def test_the_range_is_the_one_that_the_budget_says_of_the_same_job(panel: OptionsPanel) -> None:
    for option in done(panel):
        shown = budget(option.result.job).sure.now()
        found = panel.sure[option.name]
        assert (shown.litres, shown.bags, shown.total) == (found.litres, found.bags, found.total)


def test_a_client_sees_no_control_of_the_estimator(panel: OptionsPanel) -> None:
    panel.view.value = "estimator"
    assert all(part.layout.display != "none" for part in panel.estimators)
    assert all(each["carry"] for each in panel.table.rows)
    panel.view.value = "client"
    assert all(part.layout.display == "none" for part in panel.estimators)
    assert not any(each["carry"] for each in panel.table.rows)


def test_a_client_reads_no_days_work_beside_a_price(panel: OptionsPanel) -> None:
    for view, tells in (("estimator", True), ("client", False)):
        panel.view.value = view
        said = " ".join(line for each in panel.table.rows for line in each["cells"]["days"])
        heads = " ".join(head["text"] for head in panel.table.head)
        assert (" work on" in said, "days' work" in heads) == (tells, tells)
        assert "paint from" in said


def test_the_estimator_sees_what_the_file_has(own_panel: OptionsPanel) -> None:
    own_panel.view.value = "estimator"
    own_panel.folds.open("figures")
    shown = own_panel.folds.figures.value
    for each in options_frame(own_panel.options, own_panel.sure).to_dict("records"):
        assert say(float(each["greatest_gap_mm"]), 1) in shown
        for figure in ("litres", "bags"):
            band = getattr(own_panel.sure[each["option"]], figure)
            ends = [float(each[f"{figure}_{end}"]) for end in ("low_10", "high_90")]
            assert ends == pytest.approx([band.low, band.high], abs=0.5)
            low, high = say(band.low), say(band.high)
            told = low if low == high else f"{low}\xa0to\xa0{high}"
            ranged = f"<br><small>{told}</small>" if each["price"] else ""
            assert f"<td>{say(each[figure])}{ranged}</td>" in shown
    assert "<td>6.7 back</td>" in shown  # the cheek as it is, against plumb
    for sure in own_panel.sure.values():
        assert all(
            f"{name} {say(100 * share)} %" in shown for name, share in sure.total_shares if share > 0.01
        )


def test_export_reads_back_equal(panel: OptionsPanel, tmp_path: Path) -> None:
    panel.view.value = "estimator"
    written = panel.export(tmp_path)
    panel.view.value = "client"
    assert written[0].name == "options.csv"
    back, frame = read_back(written[0]), options_frame(panel.options, panel.sure)
    assert back["option"].tolist() == frame["option"].tolist()
    for column in (
        "price",
        "price_low_10",
        "price_middle_50",
        "price_high_90",
        "litres_high_90",
        "bags_low_10",
    ):
        assert [Decimal(value) for value in back[column]] == frame[column].tolist()
    assert {path.suffix for path in written[1:]} == {".png", ".svg"}
    assert all(path.stat().st_size > 5000 for path in written[1:])


def test_what_is_written_in_the_client_s_view_is_for_the_client(panel: OptionsPanel, tmp_path: Path) -> None:
    written = panel.export(tmp_path)
    assert all("-client" in path.name for path in written)
    back = read_back(written[0])
    assert set(back["shown_to"]) == {"client"}
    assert back["in_words"].tolist() == [in_words.sentence(option) for option in panel.work.done]
    assert back["verdict"].tolist() == [in_words.verdict(option) for option in panel.work.done]
    assert not {"bags", "litres", "dry_kg", "days"} & set(back.columns)
    for sheet in written[2::2]:
        assert "For the client: " in sheet.read_text(encoding="utf-8")
        assert "bags" not in sheet.read_text(encoding="utf-8")


def test_rows_stand_there_before_anything_is_worked_out(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[list[dict[str, object]]] = []
    monkeypatch.setattr(OptionTable, "show", lambda self, **traits: shown.append(traits["rows"]))
    job = one_wall(folder)
    options(job, DAY)
    assert [each["name"] for each in shown[0]] == [way.name for way in options_of(job)]
    assert {each["busy"] for each in shown[0]} == {words.WAITS}
    assert {each["busy"] for each in shown[-1]} == {""}


def test_each_way_keeps_its_letter_where_another_cannot_be_taken(tmp_path: Path) -> None:
    """The table gave the refused way a letter and the curve did not, so both went apart from there on."""
    job = one_wall(copy_of_demo(tmp_path))
    square = mt.Treatment("square it", "float plumb", square=True)
    own = mt.Treatment("patch, bare", "patch what has fallen", skim=False)
    no_corner = tuple(replace(wall, turn_mm_per_m=None) for wall in job.walls)
    panel = options(replace(job, walls=no_corner, treatments=(square, own)), DAY)
    panel.folds.open("curve")
    letter = row(panel, "patch, bare")["letter"]
    assert [mark.letter for mark in pictures.marks(panel.work.placed, {}) if mark.name == own.name] == [
        letter
    ]


def test_nothing_is_written_before_the_ranges_are_there(own_panel: OptionsPanel, tmp_path: Path) -> None:
    own_panel.work.sure.popitem()
    assert own_panel.export(tmp_path) == ()
    assert list(tmp_path.glob("options*")) == []
    assert "wait a moment" in own_panel.said.value


def test_the_curve_is_worked_out_once_it_is_opened_and_has_every_option_on_it(
    own_panel: OptionsPanel,
) -> None:
    assert not own_panel.work.points
    own_panel.folds.open("curve")
    assert own_panel.work.points == list(price_curve(own_panel.store.job))
    assert own_panel.folds.progress.value == own_panel.folds.progress.max
    assert own_panel.folds.curve.value.startswith("<svg")
    assert all(option.name in own_panel.folds.curve.value for option in done(own_panel))


def test_the_bars_are_those_of_the_option_in_the_list(own_panel: OptionsPanel) -> None:
    own_panel.view.value = "estimator"
    own_panel.folds.open("drivers")
    own_panel.driven.value = "float plumb"
    job = option_result(own_panel.store.job, options_of(own_panel.store.job)[-1]).result.job
    wanted = {driver.name: driver for driver in price_drivers(job)}
    assert {driver.name: driver.effect for driver in own_panel.work.drivers} == {
        name: driver.effect for name, driver in wanted.items()
    }
    for driver in wanted.values():
        assert all(words in own_panel.folds.drivers.value for words in pictures.end_words(driver))


def test_the_survey_s_ends_are_said_in_litres() -> None:
    none = Decimal(0)
    driver = Driver("survey", none, none, none, litres=(239.6, 1041.0))
    assert pictures.end_words(driver) == ("240 l", f"{say(1041)} l")


def test_prices_and_coats_move_without_any_drawing_anew(tmp_path: Path) -> None:
    own_panel = options(one_wall(copy_of_demo(tmp_path), "door wall"), DAY)
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
        ("tolerance_mm", 0.0, "more than 0"),
        ("straightedge_m", -2.0, "more than 0"),
        ("waste_share", 120.0, "under 100 %"),
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


def test_a_way_that_cannot_be_taken_says_why_in_its_row(tmp_path: Path) -> None:
    job = one_wall(copy_of_demo(tmp_path))
    no_corner = tuple(replace(wall, turn_mm_per_m=None) for wall in job.walls)
    square = mt.Treatment("square it", "float plumb", square=True)
    panel = options(replace(job, walls=no_corner, treatments=(square,)), DAY)
    refused = next(option for option in panel.options if isinstance(option, Refused))
    assert row(panel, "square it")["cells"]["walls"] == [str(refused.why)]
    assert row(panel, "square it")["verdict"] == "cannot be done"


def test_many_moves_leave_nothing_behind(own_panel: OptionsPanel) -> None:
    before = len(widgets.widget._instances)
    for step in range(12):
        own_panel.controls["waste_share"].value = 0.1 + 0.01 * (step % 10)
    assert len(widgets.widget._instances) == before
    assert len(own_panel.table.pictures) <= 3 * len(own_panel.table.rows)


def test_what_is_known_stays_marked_until_it_is_worked_out_anew(folder: Path) -> None:
    job = one_wall(folder)
    before = OptionsWork(job)
    list(before.work_options())
    work = OptionsWork(replace(job, waste_share=0.2), before)
    assert [option.name for option in work.options] == [option.name for option in before.options]
    assert work.best is None
    assert work.named("float plumb") is None
    list(work.work_options())
    assert work.complete
    assert work.named("float plumb").total > before.named("float plumb").total


def test_a_newer_piece_of_work_drops_the_older() -> None:
    steps, seen = Steps(), []

    def work(name: str, follow: bool = False) -> Iterator[bool | None]:
        for number in range(3):
            seen.append((name, number))
            if follow and number == 1:
                steps.start(work("new"), lambda: seen.append(("new", "shown")), seen.append)
            yield None

    steps.start(work("old", follow=True), lambda: seen.append(("old", "shown")), seen.append)
    assert ("new", "shown") in seen
    assert ("old", 2) not in seen
    assert ("old", "shown") not in seen


def test_on_a_loop_messages_are_taken_between_two_slices() -> None:
    seen: list[str] = []

    def work() -> Iterator[bool | None]:
        for number in range(3):
            seen.append(f"work {number}")
            yield True

    async def kernel() -> None:
        steps = Steps()
        steps.start(work(), lambda: seen.append("shown"), lambda error: seen.append(str(error)))
        asyncio.get_running_loop().call_soon(seen.append, "message")
        await asyncio.sleep(0.2)

    asyncio.run(kernel())
    assert seen[:3] == ["work 0", "shown", "message"]
    assert seen.count("shown") == 4


def test_a_step_that_fails_is_told() -> None:
    def work() -> Iterator[bool | None]:
        raise TakeoffError()
        yield None

    told: list[Exception] = []
    Steps().start(work(), lambda: None, told.append)
    assert isinstance(told[0], TakeoffError)


def test_the_workbook_names_the_files_that_each_view_writes(panel: OptionsPanel, tmp_path: Path) -> None:
    told = (workbooks_folder() / "options.ipynb").read_text(encoding="utf-8")
    for view in ("client", "estimator"):
        panel.view.value = view
        assert f"`{panel.export(tmp_path)[0].name}`" in told
    assert "client's sheet" not in told  # the estimator's view writes sheets with litres and bags
