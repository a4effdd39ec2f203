"""How a job stands against what was signed, in budget and options; and a sheet that calls a job signed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from demo import coarse_copy_of_demo

import mytakeoff as mt
from mytakeoff.io.signed.kept import times_signed
from mytakeoff.panels import budget, job_sheet, options
from mytakeoff.panels.parts.panel import JobPanel
from mytakeoff.panels.parts.quoting import NOT_KEPT, SAVE_FIRST


@pytest.fixture
def flat(tmp_path: Path) -> Path:
    """The demo job on coarse cells."""
    return coarse_copy_of_demo(tmp_path)


def thicker(job: mt.Job) -> mt.Job:
    return replace(job, plane=replace(job.plane, least_mm=12.0))


def offered(panel: JobPanel) -> list[str]:
    """What of the buttons that hand something over is there."""
    buttons = panel.handing_over.buttons
    return [name for name, button in buttons.items() if button.layout.display != "none"]


@pytest.mark.parametrize("panel", [budget, options])
def test_nothing_is_said_as_long_as_nothing_is_signed(flat: Path, panel: Callable[[mt.Job], JobPanel]):
    shown = panel(mt.open_job(flat))
    assert shown.handing_over.line.value == ""
    assert offered(shown) == ["quote"]


@pytest.mark.parametrize("panel", [budget, options])
def test_it_says_how_the_job_stands_and_writes_the_saved_variation(flat: Path, panel):
    mt.sign_job(flat)
    shown = panel(mt.open_job(flat))
    assert "The job stands as it was signed on" in shown.handing_over.line.value
    assert offered(shown) == ["quote"]
    shown.store.apply(thicker)
    gross = mt.variation(shown.store.job).gross
    assert f"+{shown.store.job.formats.amount(gross)} with tax against" in shown.handing_over.line.value
    assert offered(shown) == ["quote", "vary", "sign"]
    for name in ("vary", "sign"):
        shown.buttons[name].click()
        assert SAVE_FIRST in shown.said.value
    assert not list(flat.glob("variation*"))
    shown.buttons["save"].click()
    shown.buttons["vary"].click()
    assert "for the client variation-1.pdf, variation-1.html and variation-1.xlsx" in shown.said.value
    assert len(list(flat.glob("variation*"))) == 5
    shown.buttons["sign"].click()
    assert "variation 1 is kept in" in shown.said.value
    assert "The job stands as it was signed on" in shown.handing_over.line.value
    assert offered(shown) == ["quote"]
    assert times_signed(flat) == 2


def test_prices_alone_are_said_to_count_for_nothing(flat: Path):
    mt.sign_job(flat)
    shown = budget(mt.open_job(flat))
    shown.store.apply(lambda job: replace(job, prices=job.prices.with_price("plasterer", Decimal(99))))
    assert "Nothing of the work has changed" in shown.handing_over.line.value
    assert offered(shown) == ["quote"]


def test_what_is_kept_and_spoilt_is_said(flat: Path):
    mt.sign_job(flat)
    (flat / "signed/quotation/prices.csv").write_text("spoilt")
    shown = budget(mt.open_job(flat))
    assert "prices.csv is not as it was signed" in shown.handing_over.line.value
    assert offered(shown) == ["quote"]
    assert shown.problem.value == ""


def test_the_sheet_keeps_a_job_that_it_calls_signed(flat: Path):
    sheet = job_sheet(mt.open_job(flat))
    sheet.store.apply(lambda job: replace(job, state="signed"))
    assert "the job is kept in" in sheet.said.value
    assert mt.variation(thickened(flat)).number == 1
    sheet.store.apply(lambda job: replace(job, state="quoted"))
    assert "stays kept in" in sheet.said.value
    sheet.store.apply(lambda job: replace(job, state="signed"))
    assert times_signed(flat) == 1


def thickened(folder: Path) -> mt.Job:
    return thicker(mt.open_job(folder))


def test_the_sheet_says_what_to_do_where_it_cannot_be_kept(flat: Path):
    mt.write_quotation(mt.evaluate(mt.open_job(flat)), flat)
    sheet = job_sheet(mt.open_job(flat))
    sheet.store.apply(thicker)
    sheet.store.apply(lambda job: replace(job, state="signed"))
    assert "say another job than the one that stands here" in sheet.problem.value
    assert mt.open_job(flat).state == "signed"
    assert times_signed(flat) == 0
    assert NOT_KEPT in budget(mt.open_job(flat)).handing_over.line.value


def test_of_a_job_without_a_folder_nothing_is_said(flat: Path):
    shown = budget(replace(mt.open_job(flat), folder="", state="signed"))
    assert shown.handing_over.line.value == ""
