"""The row of links: what it lists, and what it asks before a page is left."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from demo import demo, demo_in

import mytakeoff as mt
from mytakeoff import panels
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.panels import BudgetPanel, budget, survey
from mytakeoff.panels.parts.frame import links_between
from mytakeoff.resources import WORKBOOK_PANELS, WORKBOOK_WORDS

Sent = list[dict[str, Any]]
MAKERS = {
    "survey": panels.survey,
    "budget": panels.budget,
    "options": panels.options,
    "setting-out": panels.setting_out,
    "buying-and-days": panels.buying_and_days,
    "finished-wall": panels.finished,
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo job with its workbooks."""
    return new_job_folder(tmp_path / "job", demo=True)


def to_page(panel: Any, monkeypatch: pytest.MonkeyPatch) -> Sent:
    """What the panel tells its page from here on."""
    sent: Sent = []
    monkeypatch.setattr(panel.page, "send", sent.append)
    return sent


@pytest.fixture
def panel(folder: Path) -> BudgetPanel:
    return budget(demo_in(folder))


def row_of(panel: Any) -> str:
    return str(panel.links.widget.children[0].value)


@pytest.mark.parametrize(("name", "maker"), MAKERS.items())
def test_every_panel_leads_to_every_workbook_and_marks_its_own(
    name: str, maker: Callable[[mt.Job], Any], folder: Path
) -> None:
    panel = maker(demo_in(folder))
    assert panel.links.widget in panel.widget.children[:2], "it stands at the top"
    found = re.findall(r"<a href='([\w-]+)\.ipynb'[^>]*?( aria-current='page')?>([^<]+)</a>", row_of(panel))
    there = [each for each in WORKBOOK_PANELS if (folder / f"{each}.ipynb").is_file()]
    assert [each[0] for each in found] == there
    assert [each[2] for each in found] == [WORKBOOK_WORDS[each][0] for each in there]
    assert [each[0] for each in found if each[1]] == [name]


def test_a_workbook_that_is_not_there_has_no_link(folder: Path) -> None:
    (folder / "options.ipynb").unlink()
    assert "options" not in links_between("", str(folder))
    assert "survey.ipynb" in links_between("", str(folder))


def test_a_job_without_a_folder_has_no_row() -> None:
    panel = budget(replace(demo(), folder=""))
    assert row_of(panel) == ""
    assert panel.links.widget not in panel.widget.children


def test_a_page_with_all_saved_is_left_at_once(panel: BudgetPanel, monkeypatch: pytest.MonkeyPatch) -> None:
    sent = to_page(panel, monkeypatch)
    panel.links.leave("survey")
    assert sent == [{"go": "survey"}]


def test_what_is_not_saved_is_told_before_the_page_is_left(
    panel: BudgetPanel, monkeypatch: pytest.MonkeyPatch
) -> None:
    sent = to_page(panel, monkeypatch)
    panel.controls["waste_share"].value = 0.25
    panel.links.leave("survey")
    assert sent == [{"asked": True}]
    question = panel.links.widget.children[1]
    assert question.layout.display != "none"
    assert "25 %" in question.children[0].value
    panel.links.buttons["stay"].click()
    assert question.layout.display == "none"
    assert sent[1:] == [{"stay": "survey"}]
    assert panel.unsaved, "nothing was saved or taken back by asking"


def test_it_is_saved_first_where_that_is_wanted(
    panel: BudgetPanel, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sent = to_page(panel, monkeypatch)
    panel.controls["waste_share"].value = 0.25
    panel.links.leave("options")
    panel.links.buttons["save-and-go"].click()
    assert sent == [{"asked": True}, {"go": "options"}]
    assert mt.open_job(folder).waste_share == 0.25


def test_a_page_is_not_left_when_saving_fails(
    panel: BudgetPanel, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sent = to_page(panel, monkeypatch)
    panel.controls["waste_share"].value = 0.25
    panel.links.leave("options")
    (folder / "job.toml").write_text("title = ")
    panel.links.buttons["save-and-go"].click()
    assert sent == [{"asked": True}]
    assert panel.problem.value


def test_it_can_be_left_without_saving(panel: BudgetPanel, monkeypatch: pytest.MonkeyPatch) -> None:
    sent = to_page(panel, monkeypatch)
    panel.controls["waste_share"].value = 0.25
    panel.links.leave("setting-out")
    panel.links.buttons["go"].click()
    assert sent == [{"asked": True}, {"go": "setting-out"}]


def test_what_was_entered_for_a_wall_is_told_too(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    panel = survey(demo_in(folder))
    sent = to_page(panel, monkeypatch)
    panel.controls["swept"].value = not panel.controls["swept"].value
    panel.links.leave("budget")
    assert sent == [{"asked": True}]


def test_a_page_asks_for_workbooks_only(panel: BudgetPanel, monkeypatch: pytest.MonkeyPatch) -> None:
    sent = to_page(panel, monkeypatch)
    for said in ({"leave_for": "survey"}, {"leave_for": "../job"}, {"other": 1}, {"leave_for": ["survey"]}):
        panel.page._handle_custom_msg(said, [])
    assert sent == [{"go": "survey"}]
