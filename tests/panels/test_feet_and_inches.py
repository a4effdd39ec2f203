"""A job that shows feet and inches has no metric length left in its words, but for what is listed here."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from demo import demo
from shown_texts import PANELS, shown

import mytakeoff as mt
from mytakeoff.flatness.judging import HOLLOW, Finding
from mytakeoff.formats.formats import Formats
from mytakeoff.formats.inches import NBSP
from mytakeoff.options.in_words import finding
from mytakeoff.panels import job_sheet
from mytakeoff.panels.job_sheet_panel.labels import JOB_WORDS
from mytakeoff.panels.job_sheet_panel.panel import JobSheetPanel
from mytakeoff.panels.job_sheet_panel.wall_labels import MIX_WORDS, WALL_WORDS
from mytakeoff.panels.parts.boxes import NumberBox

METRIC = re.compile(r"(?<![\w/])(?:mm|m)\b(?![²³/])")
STAYS = {
    "boxes keep the unit of their label, so that a plain number is in no doubt": r"^[^.;:]*, m+\b"
    r"( per m, where known| for each metre( up)?|, from the left end|, up from the floor| along it)?"
    r"( \([^)]*\))?$",
    "what is usual stands in the unit of the box beside it": r"^[\d.]+( (to|or) [\d.]+)? m+ is usual\b",
    "readings are typed in the unit of their sheet": r"off the line, mm \(larger: hollower\)$",
    "the unit of an item in the price list, a key of the page's own": r"^m+$",
    "labour rates and coverage are by the depth that they name": r"(each|further|to|for) \d+ mm\b"
    r"|/m² to [\d.]+ mm|at 10 mm\b|/m: ",
    "what is counted by the metre is sold and priced so": r"[\d.]+ m(?=$|, 0\.|:| of rail| of [a-z]|"
    r" along reveals| over; from|\|)",
    "packs and products have the names that they are sold by": r"length of [\d.]+ m\b|with 6 mm plugs",
    "cautions give what a standard says in its own words": r"(than|within|of) \d+ mm (deep|of|or)\b",
    "a survey file says the units of its own columns": r"distances in m, heights in m|Readings in mm",
}
WORDS = {**JOB_WORDS, **WALL_WORDS, **MIX_WORDS}
SHEETS = {"job sheet": lambda job: opened(job_sheet(job))}


def opened(sheet: JobSheetPanel) -> JobSheetPanel:
    """Every fold of the sheet open, those within others too."""
    for _ in range(3):
        for fold in list(sheet.folds.values()):
            fold.enter()
    return sheet


def left(texts: list[str]) -> Iterator[str]:
    for text in dict.fromkeys(texts):
        for reason in STAYS.values():
            text = re.sub(reason, "", text)
        if METRIC.search(text):
            yield text


@pytest.mark.parametrize("name", [*PANELS, *SHEETS])
def test_no_length_is_metric_but_for_what_is_listed(name: str) -> None:
    texts = shown((PANELS | SHEETS)[name](replace(demo(), feet_and_inches=True)))
    hints = {part for words in WORDS.values() for part in words.split(" | ")}
    assert name == "days" or any('"' in text for text in texts)
    assert list(left([text for text in texts if text not in hints])) == []


def test_what_a_grade_allows_is_in_the_unit_of_what_was_found() -> None:
    """At 25.4 mm to the inch: 5.6 mm are 7.06 of 32 parts, 3 mm 3.78, and 2 m 6 feet and 6.74 inches."""
    found = Finding(HOLLOW, 5.6, 3.0, "mm", 1.0, 1.0, edge_m=2.0)
    said = finding(found, Formats(feet_and_inches=True)).replace(NBSP, " ")
    assert said == 'gap of 7/32" under a 6\' 6 3/4" edge, 1/8" allowed'


@pytest.mark.parametrize("name", ["budget", "setting out"])
def test_a_panel_that_is_open_follows_the_choice_and_goes_back(name: str) -> None:
    panel = PANELS[name](demo())
    before = shown(panel)
    assert panel.store.apply(lambda job: replace(job, feet_and_inches=True))
    assert list(left(shown(panel))) == []
    assert panel.store.apply(lambda job: replace(job, feet_and_inches=False))
    assert shown(panel) == before


def test_the_choice_is_kept_in_the_job_file_and_is_no_part_of_a_price(tmp_path: Path) -> None:
    job = replace(demo(), feet_and_inches=True)
    mt.save_job(replace(job, folder=""), tmp_path)
    assert "feet_and_inches = true" in (tmp_path / "job.toml").read_text(encoding="utf-8")
    again = mt.open_job(tmp_path)
    assert again.formats.feet_and_inches
    assert mt.evaluate(again).cost.total == mt.evaluate(demo()).cost.total


def test_boxes_take_both_and_say_the_other() -> None:
    box = NumberBox(unit="mm", formats=Formats(feet_and_inches=True), description="Depth, mm", value='5/16"')
    assert (box.value, box.label) == (7.9375, "Depth, mm")
    assert box.description == 'Depth, mm (5/16")'
    box.value = "12"
    assert (box.value, box.description) == (12.0, 'Depth, mm (15/32")')
    box.write_as(Formats())
    assert box.description == "Depth, mm"
