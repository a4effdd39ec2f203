"""All jobs in a browser: sorted and filtered by hand and by keys, from a job to its budget and back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from driving import WAIT_MS, JobServer, assert_accessible, open_workbook, serving, wait_until_run
from firm import COUNT, DEAR, FRANCS, firm
from playwright.sync_api import Page, expect

ROWS = ".mt-jobs tbody tr"
AT_REST_MS = 2000  # what the page still has to tell its kernel is told
WIDTHS = (1440, 800, 390)


@pytest.fixture(scope="module")
def pages(chromium: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobServer]:
    """A firm's jobs as pages without code."""
    room = tmp_path_factory.mktemp("firm-app")
    (room / "scratch").mkdir()
    with serving(firm(room / "firm & sons"), room / "scratch", "--app") as server:
        yield server


@pytest.fixture(scope="module")
def lab_of_jobs(chromium: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobServer]:
    """The same in JupyterLab."""
    room = tmp_path_factory.mktemp("firm-lab")
    (room / "scratch").mkdir()
    with serving(firm(room / "firm"), room / "scratch") as server:
        yield server


def shown(page: Page) -> list[str]:
    return [str(row.get_attribute("data-job")) for row in page.locator(ROWS).all()]


def show(page: Page, server: JobServer) -> None:
    """The page, from its beginning, with all that is priced."""
    page.goto(server.address, timeout=WAIT_MS)
    expect(page.locator(ROWS)).to_have_count(COUNT + 1, timeout=WAIT_MS)
    expect(page.locator(".mt-price-chart svg:visible")).to_have_count(2, timeout=WAIT_MS)
    expect(page.locator(f"{ROWS}[aria-busy=true]")).to_have_count(0, timeout=WAIT_MS)


def test_it_is_sorted_and_filtered_by_keys_alone(page: Page, pages: JobServer) -> None:
    show(page, pages)
    head = page.locator("thead th", has_text="Total")
    expect(page.locator("thead th", has_text="Job")).to_have_attribute("aria-sort", "ascending")
    expect(head).to_have_attribute("aria-sort", "none")
    head.locator("button").focus()
    page.keyboard.press("Enter")
    expect(head).to_have_attribute("aria-sort", "ascending")
    page.keyboard.press("Space")
    expect(head).to_have_attribute("aria-sort", "descending")
    expect(page.locator(ROWS).nth(1)).to_have_attribute("data-job", DEAR)
    assert shown(page)[0] == FRANCS
    expect(head.locator("button")).to_be_focused()
    expect(page.locator(".mt-counted")).to_contain_text("sorted by total, largest first")

    page.get_by_label("Words in it").focus()
    page.keyboard.type("client 2")
    expect(page.locator(ROWS)).to_have_count(4)
    expect(page.locator(".mt-counted")).to_contain_text("4 of 11 shown")
    total = page.locator(".mt-total").inner_text()
    page.get_by_label("State").focus()
    page.keyboard.type("done")
    page.keyboard.press("Tab")
    expect(page.locator(ROWS)).to_have_count(1)
    expect(page.locator(".mt-total")).not_to_have_text(total)
    page.get_by_role("button", name="Show all jobs").focus()
    page.keyboard.press("Enter")
    expect(page.locator(ROWS)).to_have_count(COUNT + 1)

    page.get_by_label("Limit a column").select_option("Litres")
    page.get_by_label("At least").fill("200")
    page.keyboard.press("Enter")
    expect(page.locator(ROWS)).to_have_count(3)
    expect(page.get_by_label("What stands in it")).to_be_hidden()
    page.get_by_label("At least").fill("many")
    page.keyboard.press("Enter")
    expect(page.locator(".mt-problem")).to_contain_text("'many'")
    page.get_by_role("button", name="Show all jobs").click()
    expect(page.locator(".mt-problem")).to_have_count(0)


@pytest.mark.parametrize("width", WIDTHS)
def test_it_fits_is_accessible_and_the_chart_is_said_in_words(
    page: Page, pages: JobServer, width: int
) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    show(page, pages)
    assert_accessible(page, ".mt-panel")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    beside = page.locator(".mt-price-chart").first
    expect(beside.locator(".mt-odd li").first).to_contain_text("Flat 4, Invented Row")
    expect(beside.locator("svg:visible text", has_text="Flat 4, Invented Row")).to_have_count(1)
    for each in page.locator("thead button").all():
        box = each.bounding_box()
        assert box is not None, "the heads are there to sort by, on a phone too"
        assert box["height"] >= 24


def test_a_row_leads_to_the_budget_of_its_job_and_back(page: Page, pages: JobServer) -> None:
    show(page, pages)
    page.get_by_role("link", name="Flat 3, Invented Row").click()
    page.wait_for_url(f"{pages.root}/flat-03/budget.ipynb", timeout=WAIT_MS)
    expect(page.locator(".mt-what").first).to_contain_text("Flat 3, Invented Row", timeout=WAIT_MS)
    page.locator('.mt-links a[data-workbook="options"]').wait_for(timeout=WAIT_MS)
    page.wait_for_timeout(AT_REST_MS)
    page.locator('.mt-links a[data-workbook="jobs"]').click()
    page.wait_for_url(f"{pages.root}/jobs.ipynb", timeout=WAIT_MS)
    expect(page.locator(ROWS)).to_have_count(COUNT + 1, timeout=WAIT_MS)


def test_a_job_that_is_edited_is_priced_again_while_it_is_looked_at(page: Page, pages: JobServer) -> None:
    show(page, pages)
    row = page.locator(f'{ROWS}[data-job="flat-11"]')
    expect(row.locator(".mt-of-why")).to_contain_text("waste_share")
    file = Path(pages.folder, "flat-11", "job.toml")
    before = file.read_text("utf-8")
    file.write_text(before.replace('waste_share = "much" ', "waste_share = 0.1 "), "utf-8")
    expect(row.locator(".mt-of-total")).to_contain_text("EUR", timeout=WAIT_MS)
    expect(row.locator(".mt-of-why .mt-value")).to_be_hidden()
    file.write_text(before, "utf-8")
    expect(row.locator(".mt-of-why")).to_contain_text("waste_share", timeout=WAIT_MS)


def test_in_jupyterlab_a_row_opens_a_tab_and_the_way_back_finds_the_table(
    page: Page, lab_of_jobs: JobServer
) -> None:
    open_workbook(page, lab_of_jobs, "jobs.ipynb")
    wait_until_run(page)
    page.get_by_role("link", name="Flat 2, Invented Row").click()
    page.wait_for_function(
        "() => window.jupyterapp.shell.currentWidget?.context?.path === 'flat-02/budget.ipynb'",
        timeout=WAIT_MS,
    )
    wait_until_run(page)
    page.locator('.mt-links a[data-workbook="jobs"]:visible').click()
    page.wait_for_function("() => window.jupyterapp.shell.currentWidget.context.path === 'jobs.ipynb'")
    expect(page.locator(f"{ROWS}:visible")).to_have_count(COUNT + 1)
