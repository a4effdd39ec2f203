"""Every panel at every width: nothing spills, selects have arrows, sliders say what their boxes say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from driving import WAIT_MS, JobServer, serving
from playwright.sync_api import Page

import mytakeoff as mt
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.resources import JOB_WORKBOOKS

WIDTHS = (390, 800, 1440)
SPILT = """() => [...document.querySelectorAll(".mt-panel :is(button, label, .widget-label, summary)")]
  .filter((each) => each.clientWidth && each.scrollWidth > each.clientWidth + 1)
  .map((each) => each.textContent)"""
UNFOLD = (
    """() => document.querySelectorAll(".mt-fold-head.mt-shut > button").forEach((each) => each.click())"""
)
ARROWS = """() => [...document.querySelectorAll(".mt-panel select")].filter((each) => each.clientWidth)
  .filter((each) => getComputedStyle(each).appearance === "none")  // the browser's own follow the colour
  .map((each) => [getComputedStyle(each).color, getComputedStyle(each).backgroundImage])"""
SAID = """() => Object.fromEntries([...document.querySelectorAll(".mt-panel .noUi-handle")].map((each) =>
  [each.getAttribute("aria-label"), each.getAttribute("aria-valuetext")]))"""


@pytest.fixture(scope="module", params=sorted(JOB_WORKBOOKS))
def served(
    request: pytest.FixtureRequest, chromium: str, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[JobServer]:
    """A panel on the demo job, whose walls were carried from the options: more is said and offered then."""
    room = tmp_path_factory.mktemp(request.param)
    folder = new_job_folder(room / "job", demo=True)
    _carry(folder)
    (room / "scratch").mkdir()
    with serving(folder, room / "scratch", "--workbook", request.param, "--app") as server:
        yield server


def _carry(folder: Path) -> None:
    job = mt.open_job(folder)
    way = next(each.treatment for each in mt.compare(job) if "straighten" in each.name)
    mt.save_job(replace(job, treatment=way), folder, job)


def _shown(page: Page, server: JobServer) -> None:
    page.goto(server.address)
    page.locator(".mt-panel:is(.mt-wide, .mt-widest) button:visible").first.wait_for(timeout=WAIT_MS)
    page.evaluate(UNFOLD)


def test_no_words_spill_from_buttons_and_labels(page: Page, served: JobServer) -> None:
    _shown(page, served)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        name = "narrow" if width < 620 else "middle" if width < 980 else "wide"
        page.locator(f".mt-panel[class*=mt-{name}]").first.wait_for(timeout=WAIT_MS)
        assert page.evaluate(SPILT) == [], width
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), width
    # white words on dark paper have white arrows
    page.add_style_tag(content=".mt-panel select { color: rgb(255, 255, 255) !important; }")
    arrows = page.evaluate(ARROWS)
    assert arrows
    for colour, image in arrows:
        assert colour == "rgb(255, 255, 255)"
        assert image.count("linear-gradient") == image.count(colour) == 2
    # a slider is read as its box is: 5 per cent, not 0.1
    said = page.evaluate(SAID)
    for label, text in said.items():
        box = page.get_by_label(label, exact=True).and_(page.locator("input"))
        assert float(text) == pytest.approx(float(box.first.input_value())), label
