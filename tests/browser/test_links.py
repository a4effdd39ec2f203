"""From workbook to workbook: a tab beside the others in JupyterLab, the next page where there is no code."""

from __future__ import annotations

from collections.abc import Iterator

import psutil
import pytest
from driving import WAIT_MS, JobServer, assert_accessible, open_workbook, serving, slider_step, wait_until_run
from playwright.sync_api import Page, expect

import mytakeoff as mt
from mytakeoff.launch.folder import new_job_folder

TABS = "#jp-main-dock-panel .lm-DockPanel-tabBar .lm-TabBar-tab"
AT_REST_MS = 2000  # what the page still has to tell its kernel is told
MOST_KERNELS = 3  # of the page that is shown, of one that is just being left, and one that is ready


def link(page: Page, name: str) -> str:
    return f'.mt-links a[data-workbook="{name}"]:visible'


def shown(page: Page) -> str:
    """The workbook whose tab is shown."""
    path: str = page.evaluate("() => window.jupyterapp.shell.currentWidget.context.path")
    return path


def test_a_link_opens_a_tab_and_the_way_back_finds_the_tab_as_it_was(page: Page, lab: JobServer) -> None:
    open_workbook(page, lab)
    wait_until_run(page)
    assert page.locator(".jp-InputPlaceholder:visible").count() == 0, "a line of code stands over the panel"
    page.locator(link(page, "survey")).click()
    page.locator(".mt-survey-panel").wait_for(timeout=WAIT_MS)
    assert shown(page) == "survey.ipynb"
    wait_until_run(page)

    back = page.locator(link(page, "budget"))
    assert back.evaluate("link => new URL(link.href).pathname").endswith("/tree/budget.ipynb")
    back.focus()
    back.press("Enter")
    page.wait_for_function("() => window.jupyterapp.shell.currentWidget.context.path === 'budget.ipynb'")
    assert page.locator(TABS).count() == 2
    assert page.locator(link(page, "budget")).get_attribute("aria-current") == "page"

    with page.context.expect_page() as opened:
        page.locator(link(page, "survey")).click(button="middle")
    assert shown(page) == "budget.ipynb", "the middle button leaves this window alone"
    opened.value.wait_for_load_state()
    opened.value.close()


@pytest.fixture(scope="module")
def pages(chromium: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobServer]:
    """The workbooks of the demo job as pages without code."""
    folder = new_job_folder(tmp_path_factory.mktemp("links") / "job", demo=True)
    with serving(folder, tmp_path_factory.mktemp("links-server"), "--app") as server:
        yield server


def kernels(server: JobServer) -> int:
    below = psutil.Process(server.pid).children(recursive=True)
    return sum("mytakeoff.launch.kernel" in each.cmdline() for each in below)


def go(page: Page, name: str) -> None:
    page.locator(link(page, name)).click()


def arrived(page: Page, server: JobServer, name: str) -> None:
    page.wait_for_url(f"{server.root}/{name}.ipynb", timeout=WAIT_MS)
    expect(page.locator(f"{link(page, name)}[aria-current=page]")).to_be_visible(timeout=WAIT_MS)


def test_a_page_leads_to_the_next_and_its_kernel_ends(page: Page, pages: JobServer) -> None:
    page.goto(pages.address, timeout=WAIT_MS)
    page.locator(link(page, "survey")).wait_for(timeout=WAIT_MS)
    page.wait_for_timeout(AT_REST_MS)
    for name in ("survey", "setting-out", "budget", "survey"):
        go(page, name)
        arrived(page, pages, name)
        page.wait_for_timeout(AT_REST_MS)
    assert kernels(pages) <= MOST_KERNELS
    for width in (390, 1440):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), width
    assert_accessible(page, ".mt-links")


SPOIL = """(times) => {
  const loads = Number(sessionStorage.getItem('loads')) + 1;
  sessionStorage.setItem('loads', loads);
  const spoil = () => {
    for (const output of document.querySelectorAll('script[type$="cell-output+json"]')) {
      const text = output.textContent.replace(/("model_id": ?")[0-9a-f]{32}/g, '$1' + '0'.repeat(32));
      if (text !== output.textContent) output.textContent = text;
    }
  };
  if (loads <= times) {
    new MutationObserver(spoil).observe(document, { childList: true, subtree: true, characterData: true });
  }
}"""


@pytest.mark.parametrize(("times", "found"), [(1, True), (9, False)])
def test_a_page_whose_widget_was_lost_loads_once_more_and_no_oftener(
    page: Page, pages: JobServer, times: int, found: bool
) -> None:
    page.add_init_script(f"({SPOIL})({times})")
    page.goto(f"{pages.root}/setting-out.ipynb?token={pages.token}", timeout=WAIT_MS)
    page.wait_for_function("() => sessionStorage.getItem('loads') === '2'", timeout=WAIT_MS)
    shown = page.locator(link(page, "setting-out")) if found else page.get_by_text("model not found")
    shown.wait_for(timeout=WAIT_MS)
    page.wait_for_timeout(AT_REST_MS)
    assert page.evaluate("sessionStorage.getItem('loads')") == "2"


def test_what_is_not_saved_is_asked_about_and_saved(page: Page, pages: JobServer) -> None:
    page.goto(f"{pages.root}/budget.ipynb?token={pages.token}", timeout=WAIT_MS)
    page.locator(".mt-waste_share .noUi-handle").wait_for(timeout=WAIT_MS)
    page.locator(link(page, "survey")).wait_for(timeout=WAIT_MS)
    slider_step(page, "mt-waste_share", "ArrowRight", "ArrowRight")
    go(page, "survey")  # at once: before the page has counted it
    stay = page.get_by_role("button", name="Stay here")
    stay.wait_for(timeout=WAIT_MS)
    assert "waste" in page.locator(".mt-leave [role=alert]").inner_text().lower()
    expect(page.get_by_role("button", name="Save, then go on")).to_be_focused()
    assert_accessible(page, ".mt-links")
    stay.click()
    expect(stay).to_be_hidden()
    expect(page.locator(link(page, "survey"))).to_be_focused()
    assert page.url.split("?")[0].endswith("/budget.ipynb")

    before = mt.open_job(pages.folder).waste_share
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Save, then go on").click()
    arrived(page, pages, "survey")
    assert mt.open_job(pages.folder).waste_share == pytest.approx(before + 0.02, abs=0.011)
    assert mt.open_job(pages.folder).waste_share != before


def test_the_present_one_is_no_way_out_of_the_page(page: Page, pages: JobServer) -> None:
    page.goto(f"{pages.root}/budget.ipynb?token={pages.token}", timeout=WAIT_MS)
    page.locator(link(page, "budget")).wait_for(timeout=WAIT_MS)
    page.evaluate("() => { window.stillHere = true; }")
    go(page, "budget")
    page.wait_for_timeout(500)
    assert page.evaluate("() => window.stillHere") is True
