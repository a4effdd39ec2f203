"""Whatever the files of a job may say can be entered on the job sheet, and comes to the files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from demo import coarse_demo
from sheets import enter, unfolded, whole_sheet

import mytakeoff as mt
from mytakeoff.io.files.toml_fields import Key, keys_of
from mytakeoff.io.job import packs, prices
from mytakeoff.io.job.shape import JOB_KEYS, WALL_KEYS, key_kind
from mytakeoff.job.mixes import Mix
from mytakeoff.panels import JobSheetPanel, job_sheet
from mytakeoff.panels.job_sheet_panel.asked import Question
from mytakeoff.panels.job_sheet_panel.entries import Entries

# What is not entered in boxes of the sheet, and why.
ELSEWHERE = {
    "wall.survey": "where the readings come from is chosen with them",
    "wall.said": "a word on a reading is said where the reading is shown",
    "scenario": "what-if is kept from what was changed beside the price, in the budget",
    "learnt": "what finished jobs say is taken or left where it is offered, in words and not in boxes",
}
# What the sheet asks in another way than the file says it.
OTHERWISE = {
    "wall.high_spot.off_line_mm": "wall.high_spot.mm",
    "wall.high_spot.proud_mm": "wall.high_spot.way",
    "wall.fixed_place.proud_mm": "wall.fixed_place.mm",
    "wall.corner.x_m": "wall.corner.x1",
    "wall.corner.off_square_mm": "wall.corner.off2",
}


def walked(keys: Mapping[str, Key], path: str) -> Iterator[str]:
    """Every key that holds a value, with the tables that it stands in."""
    for name, key in keys.items():
        kind, cls = key_kind(key)
        if kind == "value":
            yield f"{path}{name}"
        else:
            yield from walked(keys_of(cls), f"{path}{name}.")


def every_key() -> list[str]:
    """Of the job's file, of its walls and mixes, and each column of its lists."""
    return [
        *walked(JOB_KEYS, ""),
        *walked(WALL_KEYS, "wall."),
        *walked(keys_of(Mix), "mix."),
        *(f"prices.{column}" for column in prices.COLUMNS),
        *(f"packs.{column}" for column in packs.COLUMNS),
    ]


def asked_on(sheet: JobSheetPanel) -> set[str]:
    """The keys that boxes of a sheet stand for."""
    return {asked.key for entries in sheet.entries.values() for asked in entries.kind.asked}


def test_every_key_has_a_box(folder: Path) -> None:
    asked = asked_on(whole_sheet(folder))
    left = [
        key
        for key in every_key()
        if OTHERWISE.get(key, key) not in asked
        and not any(f"{key}.".startswith(f"{other}.") for other in ELSEWHERE)
    ]
    assert len(every_key()) > 200
    assert left == []


def test_no_box_stands_for_what_no_file_says(folder: Path) -> None:
    beside = {"wall.corner.x2", "wall.corner.off1", "wall.fixed_place.way"}
    known = {*every_key(), *OTHERWISE.values(), *beside}
    assert asked_on(whole_sheet(folder)) <= known


# -- each box, typed into -------------------------------------------------------------------------

# What cannot be just any other value, by its key: what a job needs, names that other tables know, what hangs
# together with another box.
TYPED: dict[str, str] = {
    "locale": "de_AT",
    "currency": "CHF",
    "rails.straightedge_m": "1.8",
    "rails.overhang_m": "0.2",
    "rails.stock_m": "2.7",
    "rails.width_m": "25",
    "calendar.break_from_h": "12.5",
    "calendar.break_h": "0.75",
    "wall.rails_x_m": "0.4 1.6",
    "mix.least_coat_mm": "1",
    "mix.max_coat_mm": "31",
    "mix.max_total_mm": "61",
    "range.low": "0.9",
    "range.high": "1.2",
    "compare.grade": "IS 1661",
    "rails.screws_mm": "40; 60; 90",
    "cell_m": "0.09",
    "system.finish_mm": "3",
    "sureness.likely.short_share": "80",
    "packs.from_packs": "2",
    "buying.in_stock": "primer",
    "sureness.likely.short_m": "0.2",
    "money_places": "0",
    "reach_m": "0.6",
    "rails.opening_clear_m": "0.12",
    "rails.free_play_m": "0.02",
    "wall.opening.z_m": "0.8",
    "wall.opening.height_m": "1.3",
}


def another(asked: Question, entries: Entries, nth: int) -> Any:
    """Something else for a box than what stands there; None where there is nothing else that would do."""
    now = entries.rows[nth]["cells"][asked.name]
    if asked.key in TYPED:
        return TYPED[asked.key]
    if asked.kind == "tick":
        return not now
    if asked.kind == "choice":
        return next((value for value, _ in entries.options[asked.name] if value != now), None)
    if asked.kind in ("text", "lines"):
        return f"{now} again".strip()
    if asked.kind == "day":
        return date(2027, 5, 4).isoformat()
    within = asked.within
    value = float(now) if now else 0.0
    step = 1.0 if asked.kind in ("whole", "share") else 0.5
    most = within.high * (100 if asked.kind == "share" else 1) if within else 1e6
    return f"{value + step if value + step <= most else value + 0.05 if now else most:g}"


def typed_into(sheet: JobSheetPanel, entries: Entries, *but: str) -> None:
    """Type something else into each box of the first row, by itself, and take it back."""
    before = sheet.store.job
    for asked in (
        each for each in entries.kind.asked if each.name not in but and not each.name.startswith("recipe.")
    ):
        enter(entries, asked.name, another(asked, entries, 0))
        assert entries.mistakes == [], asked.key
        assert sheet.store.job != before, asked.key
        sheet.undo()
        assert sheet.store.job == before, asked.key


def held_demo() -> mt.Job:
    """The demo job on coarse cells and in no folder, where nothing is worked out."""
    job = coarse_demo()
    return replace(job, folder="", worked_out=replace(job.worked_out, held=True))


@pytest.fixture(scope="module")
def sheet() -> JobSheetPanel:
    """All of it unfolded, and a wall with a window chosen."""
    made = unfolded(job_sheet(held_demo()))
    made.choose("window wall")
    return made


FORMS = (
    "job",
    "job.amounts",
    "plane",
    "rails",
    "margins",
    "rates",
    "calendar",
    "compare",
    "site",
    "sureness",
    "buying",
    "system",
)


@pytest.mark.parametrize("path", FORMS)
def test_what_is_typed_into_a_form_is_in_the_job(sheet: JobSheetPanel, path: str) -> None:
    typed_into(sheet, sheet.entries[path])


def test_a_wall_says_all_that_it_can(sheet: JobSheetPanel) -> None:
    typed_into(sheet, sheet.entries["wall.form"], "width_m", "height_m")
    typed_into(sheet, sheet.entries["wall.more"])


LISTS = (
    "room",
    "wall",
    "wall.opening",
    "prices",
    "packs",
    "mix",
    "buying.supplier",
    "extra",
    "compare.beside",
    "calendar.holidays",
)


@pytest.mark.parametrize("path", LISTS)
def test_what_is_typed_into_a_row_is_in_the_job(sheet: JobSheetPanel, path: str) -> None:
    """Names that other tables know, and what has to fit the readings, are tried where that is looked at."""
    apart = {
        "packs": ("item", "unit"),
        "buying.supplier": (),
        "wall": ("width_m", "height_m"),
        "extra": ("item",),
    }
    typed_into(sheet, sheet.entries[path], *apart.get(path, ()))


def test_all_that_was_typed_is_in_the_folder(folder: Path) -> None:
    """Every box of some parts at once: saved, and opened again as the same job."""
    job = held_demo()
    sheet = unfolded(job_sheet(job))
    for path in ("margins", "rates", "site", "calendar", "sureness", "buying", "compare"):
        entries = sheet.entries[path]
        for asked in entries.kind.asked:
            enter(entries, asked.name, another(asked, entries, 0))
    assert sheet.problem.value == ""
    mt.save_job(sheet.store.job, folder)
    again = mt.open_job(folder)
    for part in ("margins", "rates", "site", "calendar", "sureness", "buying", "compare"):
        assert getattr(again, part) == getattr(sheet.store.job, part) != getattr(job, part)


def test_only_what_is_opened_is_made(folder: Path) -> None:
    sheet = job_sheet(mt.open_job(folder))
    assert set(sheet.entries) == {"job", "room", "wall", "wall.form"}
    assert len(unfolded(sheet).entries) > 30
