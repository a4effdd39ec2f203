"""Whatever a job's texts hold is shown as text: on every workbook, in every picture, under the mouse."""

from __future__ import annotations

from pathlib import Path

import pytest
from driving import JobServer, open_workbook, wait_until_run
from playwright.sync_api import Page

from mytakeoff.resources import JOB_WORKBOOKS

pytestmark = pytest.mark.long

# One that asks the server for a picture that is not there, which the page would complain of, and runs.
HOSTILE = "<img src='/nowhere.png' onerror='window.jobRan = true'>"
FILES = ("job.toml", "packs.csv", "prices.csv", "finished.toml")
NAMES = (
    "Two rooms over the net loft, Hollow Quay", "Quay merchant (invented)", "Hill yard (invented)",
    "wardrobe side",
    "bookcase side", "dubbing-out gypsum", "flue lime", "front room",
    "back bedroom", "party wall", "window wall", "breast front", "breast left cheek", "door wall",
    "socket by the breast", "double socket", "dust extractor hire", "skirting and architrave",
)  # fmt: skip


def _make_hostile(folder: Path) -> None:
    """Put the hostile words behind every name of the demo job, in each of its files."""
    for path in (folder / name for name in FILES):
        text = path.read_text("utf-8")
        for name in NAMES:
            text = text.replace(f'"{name}"', f'"{name}{HOSTILE}"')
            text = text.replace(f"{name},", f"{name}{HOSTILE},")
        path.write_text(text, "utf-8")


@pytest.mark.parametrize("workbook", JOB_WORKBOOKS)
def test_no_text_of_a_job_runs_on_a_workbook(page: Page, lab: JobServer, workbook: str) -> None:
    _make_hostile(lab.folder)
    open_workbook(page, lab, f"{workbook}.ipynb")
    wait_until_run(page)
    page.locator(".jp-OutputArea-output", has_text="onerror").first.wait_for()
    for place in page.locator(".jp-OutputArea-output button:visible").all()[:40]:
        place.hover(timeout=2000, force=True)
    assert page.locator("img[src='/nowhere.png']").count() == 0
    assert page.evaluate("() => window.jobRan") is None
