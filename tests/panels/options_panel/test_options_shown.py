"""What each row of the options panel shows, to the estimator and to the client, and what unfolds below."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from demo import copy_of_demo
from option_panels import DAY, done, row, small_job

import mytakeoff as mt
from mytakeoff.formats.formats import say
from mytakeoff.options.compare import (
    OptionResult,
    Refused,
    best_of,
    compare,
    option_result,
    options_of,
)
from mytakeoff.options.price_curve import price_curve
from mytakeoff.options.table import options_frame
from mytakeoff.panels import OptionsPanel, budget, options
from mytakeoff.panels.options_panel import pictures, words
from mytakeoff.panels.options_panel.table import OptionTable
from mytakeoff.ranges.drivers import Driver, price_drivers


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
    assert "<td>7.0 back</td>" in shown  # the cheek as it is, against plumb
    for sure in own_panel.sure.values():
        assert all(
            f"{name} {say(100 * share)} %" in shown for name, share in sure.total_shares if share > 0.01
        )


def test_rows_stand_there_before_anything_is_worked_out(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[list[dict[str, object]]] = []
    monkeypatch.setattr(OptionTable, "show", lambda self, **traits: shown.append(traits["rows"]))
    job = small_job(folder)
    options(job, DAY)
    assert [each["name"] for each in shown[0]] == [way.name for way in options_of(job)]
    assert {each["busy"] for each in shown[0]} == {words.WAITS}
    assert {each["busy"] for each in shown[-1]} == {""}


def test_each_way_keeps_its_letter_where_another_cannot_be_taken(tmp_path: Path) -> None:
    """The table gave the refused way a letter and the curve did not, so both went apart from there on."""
    job = small_job(copy_of_demo(tmp_path))
    square = mt.Treatment("square it", "float plumb", square=True)
    own = mt.Treatment("patch, bare", "patch what has fallen", skim=False)
    no_corner = tuple(replace(wall, turn_mm_per_m=None) for wall in job.walls)
    panel = options(replace(job, walls=no_corner, treatments=(square, own)), DAY)
    panel.folds.open("curve")
    letter = row(panel, "patch, bare")["letter"]
    assert [mark.letter for mark in pictures.marks(panel.work.placed, {}) if mark.name == own.name] == [
        letter
    ]


def test_a_way_that_cannot_be_taken_says_why_in_its_row(tmp_path: Path) -> None:
    job = small_job(copy_of_demo(tmp_path))
    no_corner = tuple(replace(wall, turn_mm_per_m=None) for wall in job.walls)
    square = mt.Treatment("square it", "float plumb", square=True)
    panel = options(replace(job, walls=no_corner, treatments=(square,)), DAY)
    refused = next(option for option in panel.options if isinstance(option, Refused))
    assert row(panel, "square it")["cells"]["walls"] == [str(refused.why)]
    assert row(panel, "square it")["verdict"] == "cannot be done"


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
    plumb = next(way for way in options_of(own_panel.store.job) if way.name == "float plumb")
    job = option_result(own_panel.store.job, plumb).result.job
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
