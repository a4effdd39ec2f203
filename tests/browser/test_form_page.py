"""The survey form in a browser: filled on a phone, given out as CSV, printed."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from demo import copy_of_demo
from playwright.sync_api import Browser
from pypdfium2 import PdfDocument

from mytakeoff import LaidEdge, LooseArea, open_job, read_survey
from mytakeoff.io.forms.form import write_forms
from mytakeoff.job.findings import findings_of
from mytakeoff.job.job_wall import Fitting, FixedPlace
from mytakeoff.panels import survey


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
    boxes = page.locator("input[data-walk]")
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
        page.get_by_role("button", name="Save it as CSV").click()
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
    page.locator("input[data-walk]").first.fill("34")
    page.get_by_label("The plane was plumb").check()
    for folder in (again, other):
        page.goto(write_forms(folder, "window wall")[0].as_uri())
        assert page.get_by_role("status").inner_text().startswith("0 of")
        assert page.locator("input[data-walk]").first.input_value() == ""
        assert not page.get_by_label("The plane was plumb").is_checked()
    assert page.get_by_text("High Street").first.is_visible()
    write_forms(form.parents[1], "window wall", 0.25)  # places that were read stay read
    page.goto(form.as_uri())
    assert page.get_by_role("status").inner_text().startswith("1 of")
    assert page.get_by_label("The plane was plumb").is_checked()
    context.close()


def test_a_form_is_cleared_only_after_a_question(form, browser: Browser):
    context = browser.new_context()
    page = context.new_page()
    page.goto(form.as_uri())
    first = page.locator("input[data-walk]").first
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
        page.locator("input[data-walk]").nth(nth).fill(typed)
    with page.expect_download() as given:
        page.get_by_role("button", name="Save it as CSV").click()
    given.value.save_as(tmp_path / "read.csv")
    assert ";34,5;35,5;36;" in (tmp_path / "read.csv").read_text("utf-8")
    page.close()


def test_enter_goes_down_a_column_and_up_the_next_then_to_what_was_found(form, browser: Browser):
    page = browser.new_page()
    page.goto(form.as_uri())
    named = "document.activeElement.getAttribute('aria-label')"
    page.locator("input[data-walk]").first.focus()
    seen = [page.evaluate(named)]
    for _ in range(page.locator("input[data-walk]").count()):
        page.keyboard.press("Enter")
        seen.append(page.evaluate(named))
    assert seen[-1] == "High spots found with a straightedge, row 1, x [cm]"
    places = [tuple(map(float, re.findall(r"[xz] ([\d.]+) m", each))) for each in seen[:-1]]
    assert len(set(places)) == len(places)
    across = sorted({x for x, _ in places})
    for nth, x_m in enumerate(across):
        up = [z for x, z in places if x == x_m]
        assert up == sorted(up, reverse=nth % 2 == 0)
    assert [x for x, _ in places] == sorted(x for x, _ in places)
    page.close()


def test_two_numbers_in_one_box_are_told_and_not_counted(form, browser: Browser):
    page = browser.new_page()
    page.goto(form.as_uri())
    boxes = page.locator("input[data-walk]")
    boxes.first.focus()
    for text in ("37", "3735", "36", "-"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    assert page.get_by_role("status").inner_text().startswith("2 of")
    told = page.get_by_role("alert").inner_text()
    assert "3735 is more than 500 mm: are these two readings in one box?" in told
    assert "x 0.1 m" in told
    odd = page.locator("input[aria-invalid=true]")
    assert odd.count() == 1
    odd.fill("35")
    assert page.get_by_role("alert").inner_text() == ""
    for nth, text in enumerate(("38", "36", "37", "335")):
        boxes.nth(boxes.count() - 1 - nth).fill(text)
    assert "335 is far from all the others" in page.get_by_role("alert").inner_text()
    page.close()


FOUND = {
    "High spots found with a straightedge": {"x [cm]": "120", "z [cm]": "155,5", "off the line [mm]": "14"},
    "Straightedge laid on the wall": {
        "x [cm]": "40", "z [cm]": "220", "level / upright": "level", "length [cm]": "200",
        "worst gap [mm]": "6", "touches at [cm]": "35 190",
    },
    "Sounds hollow, or has fallen": {
        "x [cm]": "30", "z [cm]": "20", "width [cm]": "50", "height [cm]": "40", "depth [mm]": "18",
        "loose / fallen": "fallen",
    },
    "On the wall": {"what": 'a "double" socket; old', "x [cm]": "45", "z [cm]": "45"},
    "Places that the plaster will not move": {
        "what": "door frame", "x [cm]": "410", "z [cm]": "100", "off the line [mm]": "212",
    },
}  # fmt: skip


def test_what_was_found_is_typed_kept_and_brought_into_the_job(form, browser: Browser, tmp_path):
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True)
    page = context.new_page()
    page.goto(form.as_uri())
    for nth in range(page.locator("input[data-walk]").count()):
        page.locator("input[data-walk]").nth(nth).fill(str(30 + nth % 3))
    for title, values in FOUND.items():
        for heading, text in values.items():
            box = page.get_by_label(f"{title}, row 1, {heading}", exact=True)
            (box.select_option if heading.partition(" /")[1] else box.fill)(text)
    page.get_by_label("The plane was plumb").check()
    page.reload()
    assert page.get_by_label("The plane was plumb").is_checked()
    for title, values in FOUND.items():
        for heading, text in values.items():
            assert page.get_by_label(f"{title}, row 1, {heading}", exact=True).input_value() == text
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    with page.expect_download() as given:
        page.get_by_role("button", name="Save it as CSV").click()
    given.value.save_as(tmp_path / "read.csv")
    context.close()
    panel = survey(open_job(form.parents[1]))
    panel.wall.pick.value = "window wall"
    panel.bring("window-wall.csv", (tmp_path / "read.csv").read_bytes())
    found = panel.draft.found
    assert (1.2, 1.555, -14.0) in found.high_spots
    assert LaidEdge(0.4, 2.2, 2.0, 6.0, "level", (0.35, 1.9)) in found.sweeps
    assert LooseArea(0.3, 0.2, 0.5, 0.4, 18.0, True) in found.loose
    assert Fitting('a "double" socket; old', "socket", 0.45, 0.45) in found.fittings
    assert FixedPlace("door frame", 4.1, 1.0, -212.0) in found.fixed_places
    assert panel.file.plumb.value
    panel.save()
    saved = open_job(form.parents[1]).wall("window wall")
    assert (found.high_spots, found.loose) == (findings_of(saved).high_spots, saved.loose)
    assert saved.fixed_places == found.fixed_places


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_on_two_sheets(form, browser: Browser, paper, tmp_path):
    page = browser.new_page()
    page.goto(form.as_uri())
    page.emulate_media(media="print")
    assert not page.get_by_role("button").first.is_visible()
    pages = [sheet.get_textpage().get_text_range() for sheet in PdfDocument(page.pdf(format=paper))]
    assert len(pages) == 2
    for nth, text in enumerate(pages, start=1):
        words = " ".join(text.split())
        for said in ("window wall", "Hollow Quay", f"page {nth} of 2"):
            assert said in words, text
    page.close()
