"""The workbook as a page: no code to be seen."""

from __future__ import annotations

import urllib.request

from driving import WAIT_MS, JobServer
from playwright.sync_api import Page


def test_app_shows_the_controls_and_no_code(page: Page, app: JobServer) -> None:
    job = app.folder / "job.toml"
    job.write_text(job.read_text("utf-8").replace("Two rooms over the net loft", "Another flat"), "utf-8")
    page.goto(app.address)
    page.locator(".mt-controls .noUi-handle").first.wait_for(timeout=WAIT_MS)
    assert page.locator(".jp-CodeCell .jp-InputArea, .cm-editor, .jp-CodeMirrorEditor").count() == 0
    shown = page.locator("body").inner_text()
    assert "import " not in shown
    assert "Another flat" in shown, "the job shown is not the one in the folder"
    assert page.title() == "mytakeoff: budget"
    assert page.locator('meta[name="viewport"]').count() == 1


def test_app_wants_its_token(app: JobServer) -> None:
    with urllib.request.urlopen(app.root + "/", timeout=WAIT_MS / 1000) as answer:
        assert "/login" in answer.url
