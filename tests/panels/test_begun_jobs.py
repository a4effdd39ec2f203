"""Panels on a job that is only begun: they say what to do first, and come alive with the first wall."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import pytest
from unread_jobs import BEGUN, READ, UNREAD, bare, small, unread

import mytakeoff as mt
from mytakeoff.panels import budget, buying_and_days, finished, job_sheet, options, setting_out, survey
from mytakeoff.panels.parts.panel import JobPanel
from mytakeoff.panels.parts.words import first_step

PRICED = [budget, options, setting_out, buying_and_days, finished]
NOTHING = [name for name in BEGUN if name != "some read"]


def texts(widget: Any) -> list[str]:
    """All words of a widget and what is in it."""
    inside = [text for child in getattr(widget, "children", ()) for text in texts(child)]
    value = getattr(widget, "value", "")
    return [*inside, value] if isinstance(value, str) else inside


def hidden(widget: Any) -> bool:
    return bool(widget.layout.display == "none")


def said(panel: Any) -> str:
    return re.sub(r"<style>.*?</style>|<[^>]+>", " ", " ".join(texts(panel.widget)), flags=re.S)


@pytest.mark.parametrize("panel_of", [*PRICED, survey])
@pytest.mark.parametrize("name", BEGUN)
def test_it_stands_and_says_in_one_sentence_what_to_do_first(panel_of, name):
    job = BEGUN[name]()
    panel = panel_of(job)
    words = said(panel)
    assert not re.search(r"\b(nan|inf|None)\b", words)
    assert panel.problem.value == ""
    first = first_step(job)
    assert (first in panel.first.value) if first else panel.first.value == ""
    assert first.count(".") - first.count(".ipynb") == (1 if first else 0)
    assert ("job.ipynb" in words) == bool(first)


@pytest.mark.parametrize(("name", "part"), [
    ("no wall", "Begin with a room"), ("none read", f"Type the readings of {READ}"), ("some read", ""),
])  # fmt: skip
def test_the_job_sheet_says_what_to_do_first_on_itself(name, part):
    panel = job_sheet(replace(BEGUN[name](), folder=""))
    assert part in panel.headline.value
    assert ("mt-first" in panel.headline.value) == bool(part)
    assert not re.search(r"\b(nan|inf|None)\b|job\.ipynb", said(panel))


def test_a_room_added_on_the_job_sheet_leads_on_to_its_walls():
    panel = job_sheet(replace(bare(small()), folder=""))
    panel.store.apply(lambda job: replace(job, rooms=(small().rooms[0],)))
    assert f"Add the walls of {small().rooms[0].name}" in panel.headline.value


@pytest.mark.parametrize(("name", "part"), [
    ("no wall", "no wall yet"), ("none read", f"readings of {READ}"), ("none of the priced read", UNREAD),
])  # fmt: skip
def test_the_sentence_names_what_is_missing(name, part):
    assert part in first_step(BEGUN[name]())


@pytest.mark.parametrize("panel_of", PRICED)
@pytest.mark.parametrize("name", NOTHING)
def test_a_client_can_be_shown_it_and_everything_can_be_pressed(tmp_path, panel_of, name):
    panel = panel_of(replace(BEGUN[name](), folder=str(tmp_path)))
    if "view" in panel.controls:
        for who in ("client", "estimator"):
            panel.controls["view"].value = who
    for button, pressed in panel.buttons.items():
        if button not in ("save", "restore"):  # there is no job on the disk here
            pressed.click()
    assert panel.first.value
    assert not re.search(r"\b(nan|inf)\b", said(panel))


@pytest.mark.parametrize(("panel_of", "write"), [
    (setting_out, "write"), (buying_and_days, "write_order"), (buying_and_days, "write_programme"),
    (buying_and_days, "write_calendar"), (buying_and_days, "write_chart"), (options, "export"),
])  # fmt: skip
def test_no_file_is_written_of_nothing(tmp_path, panel_of, write):
    panel = panel_of(replace(BEGUN["no wall"](), folder=str(tmp_path)))
    with pytest.raises(mt.TakeoffError, match=r"job\.ipynb"):
        getattr(panel, write)()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("panel_of", PRICED)
def test_it_comes_alive_with_the_first_wall_and_goes_empty_with_the_last(panel_of):
    whole = panel_of(small())
    panel: JobPanel = panel_of(bare(small()))
    assert panel.store.apply(lambda _: small())
    assert panel.first.value == ""
    assert panel.controls["wall" if "wall" in panel.controls else "way"].value
    assert facts(panel) == facts(whole)
    assert panel.store.apply(lambda _: bare(small()))
    assert panel.first.value
    assert READ not in said_where_it_is_seen(panel)


def facts(panel: Any) -> str:
    """The headline of a panel, or the first row of the options."""
    return str(panel.headline.value if hasattr(panel, "headline") else panel.table.rows[0]["cells"])


def said_where_it_is_seen(panel: Any) -> str:
    def seen(widget: Any) -> list[str]:
        if hidden(widget):
            return []
        if isinstance(widget, widgets.Box):
            return [text for child in widget.children for text in seen(child)]
        return texts(widget)

    return " ".join(seen(panel.widget))


@pytest.mark.parametrize("panel_of", PRICED)
def test_a_wall_that_is_not_read_is_named_as_not_priced(panel_of):
    panel = panel_of(unread(small(), UNREAD))
    assert f"{UNREAD} is not priced: no readings yet." in said(panel)


def test_the_map_of_a_job_that_began_empty_is_on_the_scale_of_its_walls():
    panel, whole = budget(bare(small())), budget(small())
    panel.store.apply(lambda _: small())
    assert panel.wall_view.top_mm == whole.wall_view.top_mm
    assert panel.wall_view.map.ramp_top_mm == whole.wall_view.map.ramp_top_mm


def test_a_survey_of_a_job_without_walls_begins_with_a_new_one_and_says_that_it_needs_a_room():
    panel = survey(bare(small()))
    assert panel.wall.pick.value == "a new wall"
    assert panel.draft.room == ""
    assert panel.unsaved == ()


@pytest.mark.parametrize("audience", ["estimator", "client"])
def test_the_texts_beside_files_say_which_walls_are_missing(tmp_path: Path, audience):
    panel = budget(replace(unread(small(), UNREAD), folder=str(tmp_path)))
    panel.view.value = audience
    table = panel.export_csv()
    assert f"{UNREAD} is not priced: no readings yet." in table.with_suffix(".txt").read_text("utf-8-sig")


def test_order_sheets_and_options_say_which_walls_are_missing(tmp_path):
    job = replace(unread(small(), UNREAD), folder=str(tmp_path))
    setting_out(job).write()
    buying_and_days(job).write_order()
    options(job).export()
    missing = f"{UNREAD} is not priced: no readings yet."
    written = {path.name: path for path in tmp_path.iterdir()}
    for name in ("setting-out.txt", "order.txt", "options-client.csv"):
        assert missing in written[name].read_text("utf-8-sig"), name
