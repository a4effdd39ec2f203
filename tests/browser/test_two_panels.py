"""Two panels on one page: each brings the style of all with its own, and the last one changes nothing."""

from __future__ import annotations

import pytest
from places import PACKAGE
from playwright.sync_api import Page

PANELS = {
    "options": "mt-options-panel",
    "days": "mt-day-panel",
    "setting": "mt-setting-panel",
    "survey": "mt-survey-panel",
}
STATES = ("mt-narrow", "mt-middle", "mt-wide", "mt-widest")
LOOK = (PACKAGE / "panels" / "parts" / "look.css").read_text(encoding="utf-8")
LAID = """() => [...document.querySelectorAll(".mt-panel, .mt-panel *")].map((each) => {
  const style = getComputedStyle(each);
  return [...style].map((name) => `${name}: ${style.getPropertyValue(name)}`).join(";");
})"""
INSIDE = """<div class="mt-grid"><div class="mt-map"><p class="mt-hint">words</p><svg></svg></div>
<div class="mt-controls"><div class="mt-row"><div class="mt-box"><label>a</label><input></div></div></div>
</div>"""


def laid_out(page: Page, css: str, panel: str, state: str) -> list[str]:
    """Every computed style of a panel in one of its widths."""
    page.set_content(f'<style>{css}</style><div class="mt-panel {panel} {state}">{INSIDE}</div>')
    return list(page.evaluate(LAID))


@pytest.mark.parametrize("name", PANELS)
def test_the_order_in_which_panels_are_shown_changes_no_style(page: Page, name: str) -> None:
    """With the budget shown after it, the table of options was squeezed to 526 of 1260 px."""
    own = (PACKAGE / "panels" / f"{name}_panel" / "panel.css").read_text(encoding="utf-8")
    for state in STATES:
        alone = laid_out(page, LOOK + own, PANELS[name], state)
        assert laid_out(page, LOOK + own + LOOK, PANELS[name], state) == alone, state


def test_the_options_have_the_width_of_the_page(page: Page) -> None:
    own = (PACKAGE / "panels" / "options_panel" / "panel.css").read_text(encoding="utf-8")
    laid_out(page, LOOK + own + LOOK, PANELS["options"], "mt-widest")
    wide, whole = page.evaluate(
        "['.mt-map', '.mt-grid'].map((each) => document.querySelector(each).clientWidth)"
    )
    assert wide == whole - 250 - 22  # the controls and the gap beside them
