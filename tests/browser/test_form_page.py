"""The survey form in a browser: filled on a phone, given out as CSV, printed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from demo import copy_of_demo
from playwright.sync_api import Browser

from mytakeoff import open_job, read_survey
from mytakeoff.io.forms.form import write_forms


@pytest.fixture
def form(tmp_path: Path) -> Path:
    return write_forms(copy_of_demo(tmp_path), "window wall")[0]


def test_a_form_filled_on_a_phone_by_keyboard_is_read_back(form, browser: Browser, tmp_path):
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True)
    page = context.new_page()
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(form.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= 390  # only the table scrolls sideways
    boxes = page.locator("input[data-row]")
    boxes.first.focus()
    for nth in range(boxes.count()):
        page.keyboard.type(f"{30 + nth},5" if nth else "30")
        page.keyboard.press("Tab")
    page.reload()  # what was typed is kept
    assert page.get_by_role("status").inner_text() == f"{boxes.count()} of {boxes.count()} places read."
    with page.expect_download() as given:
        page.get_by_role("button", name="Save the readings as CSV").click()
    assert given.value.suggested_filename == "window-wall.csv"
    given.value.save_as(tmp_path / "read.csv")
    wall = open_job(form.parents[1]).wall("window wall").wall
    survey = read_survey(tmp_path / "read.csv", wall)
    assert sorted(-survey.proud_mm) == [30.0, *(30.5 + nth for nth in range(1, boxes.count()))]
    assert complaints == []
    context.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_on_two_sheets(form, browser: Browser, paper, tmp_path):
    page = browser.new_page()
    page.goto(form.as_uri())
    page.emulate_media(media="print")
    assert not page.get_by_role("button").first.is_visible()
    content = page.pdf(format=paper)
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", content)) == 2
    page.close()
