"""The options workbook in a real browser: it runs by itself, fills up, and carries an option to the job."""

from __future__ import annotations

from driving import WAIT_MS, JobServer, open_workbook, wait_until_run
from playwright.sync_api import Page, expect

import mytakeoff as mt
from mytakeoff.options import OptionResult, compare


def test_options_fill_up_and_one_is_carried_to_the_job(page: Page, lab: JobServer) -> None:
    job = mt.open_job(lab.folder)
    open_workbook(page, lab, "options.ipynb")
    wait_until_run(page)
    status = page.locator(".mt-options-panel .mt-said").first
    expect(status).to_contain_text("All options are worked out", timeout=3 * WAIT_MS)
    rows = page.locator(".mt-options:not(.mt-figures) tbody tr")
    wanted = {option.name: option for option in compare(job) if isinstance(option, OptionResult)}
    assert rows.count() == len(wanted)
    for option in wanted.values():
        row = rows.filter(has_text=option.name)
        expect(row).to_contain_text(f"{round(option.total):,}".replace(",", "\u202f"))
    page.locator(".mt-option select").select_option("float following the lean")
    page.locator(".mt-carry").click()
    expect(page.locator(".mt-options-panel .mt-said").last).to_contain_text("is now the job", timeout=WAIT_MS)
    assert mt.evaluate(mt.open_job(lab.folder)).cost.total == wanted["float following the lean"].total
