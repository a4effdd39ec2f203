"""What finished jobs say, in a browser: offered on the job sheet by keys alone, and told over all jobs."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from done_jobs import BACKING, lay_out, small_job
from driving import WAIT_MS, JobServer, assert_accessible, serving
from playwright.sync_api import Page, expect

import mytakeoff as mt
from mytakeoff.formats.inches import NBSP
from mytakeoff.launch.folder import add_missing_workbooks
from mytakeoff.panels.lessons.words import TITLE

WIDTHS = (1440, 390)
SAVED_LIMIT_S = 20.0
OFFERS = ".mt-offers .mt-offer"


@pytest.fixture(scope="module")
def pages(chromium: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobServer]:
    """Three done jobs and one that begins, as pages without code."""
    room = tmp_path_factory.mktemp("lessons")
    (room / "scratch").mkdir()
    place = lay_out(room / "jobs", 1, 2, 3, denser=1.06, wasted=0.15, slower=1.2)
    with serving(place, room / "scratch", "--app") as server:
        yield server


@pytest.fixture
def begun(pages: JobServer) -> Path:
    """A job that nothing was taken into yet, beside the others."""
    folder = pages.folder / "next"
    job = replace(small_job(7), state="draft", title="next job")
    mt.save_job(job, folder, mt.open_job(folder) if folder.exists() else None)
    add_missing_workbooks(folder)
    return folder


def show(page: Page, pages: JobServer) -> None:
    """The job sheet with the fold opened by a key."""
    page.goto(f"{pages.root}/next/job.ipynb?token={pages.token}", timeout=WAIT_MS)
    head = page.get_by_role("button", name=TITLE)
    expect(head).to_have_attribute("aria-expanded", "false", timeout=WAIT_MS)
    head.press("Enter")
    expect(page.locator(OFFERS).first).to_be_visible(timeout=WAIT_MS)


def once_saved(folder: Path) -> mt.Job:
    """The job in a folder, once it says what became of offers, or nothing more is to be expected."""
    until = time.monotonic() + SAVED_LIMIT_S
    while not (job := mt.open_job(folder)).learnt and time.monotonic() < until:
        time.sleep(0.1)
    return job


def test_taken_by_keys_alone_the_reason_stays(page: Page, pages: JobServer, begun: Path) -> None:
    show(page, pages)
    expect(page.locator(OFFERS)).to_have_count(5)
    expect(page.get_by_text("Learnt from 3 finished jobs: job 1, job 2 and job 3.")).to_be_visible()
    waste = page.get_by_label("waste: 10.0", exact=False)
    expect(waste).to_be_checked()
    waste.press("Space")
    expect(waste).not_to_be_checked()
    page.get_by_role("button", name="Take what is ticked").press("Enter")
    reasons = page.locator(".mt-reasons")
    expect(reasons).to_contain_text("From 3 finished jobs of your own", timeout=WAIT_MS)
    expect(page.locator(OFFERS)).to_have_count(1)
    expect(page.get_by_text("Taken: ", exact=False)).to_be_visible()
    saved = once_saved(begun)
    assert saved.system.backing.density_kg_per_l == pytest.approx(0.8 * 1.06**0.6, abs=1e-4)
    assert [each.name for each in saved.ranges] == ["mix density", "labour rate"]
    assert saved.waste_share == 0.1

    page.reload(timeout=WAIT_MS)
    expect(page.locator(".mt-reasons")).to_contain_text(f"density of {BACKING}", timeout=WAIT_MS)


def test_left_by_one_click_it_stays_left(page: Page, pages: JobServer, begun: Path) -> None:
    show(page, pages)
    page.get_by_role("button", name="Leave all as they are").click()
    expect(page.locator(OFFERS)).to_have_count(0, timeout=WAIT_MS)
    expect(page.get_by_text("5 figures left as they are.")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(OFFERS)).to_have_count(5, timeout=WAIT_MS)
    page.get_by_role("button", name="Leave all as they are").click()
    expect(page.locator(OFFERS)).to_have_count(0, timeout=WAIT_MS)
    assert {each.taken for each in once_saved(begun).learnt} == {False}
    page.reload(timeout=WAIT_MS)
    page.get_by_role("button", name=TITLE).press("Enter")
    expect(page.get_by_text("They offer this job nothing", exact=False)).to_be_visible(timeout=WAIT_MS)
    expect(page.locator(OFFERS)).to_have_count(0)
    page.get_by_role("button", name="Offer again what was left").click()
    expect(page.locator(OFFERS)).to_have_count(5, timeout=WAIT_MS)


@pytest.mark.parametrize("width", WIDTHS)
def test_it_fits_and_axe_finds_nothing(page: Page, pages: JobServer, begun: Path, width: int) -> None:
    assert begun.is_dir()
    page.set_viewport_size({"width": width, "height": 900})
    show(page, pages)
    page.get_by_role("button", name="Before and after, as pictures").press("Enter")
    pictures = page.locator(".mt-learnt-picture svg:visible")
    expect(pictures).to_have_count(6, timeout=WAIT_MS)
    label = str(pictures.first.get_attribute("aria-label")).replace(NBSP, " ")
    assert "came out 6 % denser over 3 jobs" in label
    assert_accessible(page, ".mt-lessons")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.parametrize("width", WIDTHS)
def test_over_all_jobs_each_figure_is_said(page: Page, pages: JobServer, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(pages.address, timeout=WAIT_MS)
    page.get_by_role("button", name=TITLE).press("Enter")
    fold = page.locator(".mt-fold-lessons")
    expect(fold).to_contain_text("came out 6 % denser over 3 jobs", timeout=WAIT_MS)
    expect(fold).to_contain_text("Learnt from 3 finished jobs")
    assert_accessible(page, ".mt-fold-lessons")
