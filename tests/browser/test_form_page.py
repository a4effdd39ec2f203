"""The survey form in a browser: filled on a phone, given out as CSV, printed."""

from __future__ import annotations

import re
import shutil
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
    count = boxes.count()
    kept = f"{count} of {count} places read. Kept on this device since it was last open."
    assert page.get_by_role("status").inner_text() == kept
    assert boxes.nth(1).input_value() == "31,5"  # as it was typed
    with page.expect_download() as given:
        page.get_by_role("button", name="Save the readings as CSV").click()
    assert given.value.suggested_filename == "window-wall.csv"
    given.value.save_as(tmp_path / "read.csv")
    assert ";31,5;" in (tmp_path / "read.csv").read_text("utf-8")
    wall = open_job(form.parents[1]).wall("window wall").wall
    survey = read_survey(tmp_path / "read.csv", wall)
    assert sorted(-survey.proud_mm) == [30.0, *(30.5 + nth for nth in range(1, boxes.count()))]
    assert complaints == []
    context.close()


def test_a_wall_of_one_name_in_another_job_has_its_own_entries(form, browser: Browser, tmp_path):
    again, other = tmp_path / "copy", tmp_path / "other client"
    for folder in (again, other):
        shutil.copytree(form.parents[1], folder, ignore=shutil.ignore_patterns("forms"))
    text = (other / "job.toml").read_text("utf-8")
    (other / "job.toml").write_text(text.replace("Hollow Quay", "High Street"), encoding="utf-8")
    context = browser.new_context()
    page = context.new_page()
    page.goto(form.as_uri())
    page.locator("input[data-row]").first.fill("34")
    page.get_by_label("The plane was plumb").check()
    for folder in (again, other):
        page.goto(write_forms(folder, "window wall")[0].as_uri())
        assert page.get_by_role("status").inner_text().startswith("0 of")
        assert page.locator("input[data-row]").first.input_value() == ""
        assert not page.get_by_label("The plane was plumb").is_checked()
    assert page.get_by_text("High Street").is_visible()
    write_forms(form.parents[1], "window wall", 0.25)  # places that were read stay read
    page.goto(form.as_uri())
    assert page.get_by_role("status").inner_text().startswith("1 of")
    assert page.get_by_label("The plane was plumb").is_checked()
    context.close()


def test_a_form_is_cleared_only_after_a_question(form, browser: Browser):
    context = browser.new_context()
    page = context.new_page()
    page.goto(form.as_uri())
    first = page.locator("input[data-row]").first
    first.fill("34")
    asked: list[str] = []

    def answer(yes: bool):
        def on(dialog):
            asked.append(dialog.message)
            (dialog.accept if yes else dialog.dismiss)()

        return on

    for yes, left in ((False, "34"), (True, "")):
        page.once("dialog", answer(yes))
        page.get_by_role("button", name="Clear the form").click()
        assert first.input_value() == left
        page.reload()
        assert first.input_value() == left
    assert all("window wall, 1 of its places read" in question for question in asked)
    assert len(asked) == 2
    context.close()


def test_one_comma_makes_it_the_decimal_mark_of_the_file(form, browser: Browser, tmp_path):
    page = browser.new_page()
    page.goto(form.as_uri())
    for nth, typed in enumerate(("34,5", "35.5", "36")):
        page.locator("input[data-row]").nth(nth).fill(typed)
    with page.expect_download() as given:
        page.get_by_role("button", name="Save the readings as CSV").click()
    given.value.save_as(tmp_path / "read.csv")
    assert ";34,5;35,5;36;" in (tmp_path / "read.csv").read_text("utf-8")
    page.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_on_two_sheets(form, browser: Browser, paper, tmp_path):
    page = browser.new_page()
    page.goto(form.as_uri())
    page.emulate_media(media="print")
    assert not page.get_by_role("button").first.is_visible()
    content = page.pdf(format=paper)
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", content)) == 2
    page.close()
