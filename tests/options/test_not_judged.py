"""A scanned wall that its instrument may have bent is not judged, and rows, words and the file say so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from option_jobs import FALLEN, OPTIONS, flat_job

import mytakeoff as mt
from mytakeoff.charts.maps.wall_strip import UNTOLD
from mytakeoff.options import in_words
from mytakeoff.options.compare import option_result
from mytakeoff.options.table import options_frame
from mytakeoff.panels.options_panel import pictures

AS_IT_IS, STRAIGHT, PLUMB = OPTIONS[0], OPTIONS[3], OPTIONS[5]


def bent_job(bow_mm: float, hollow_mm: float = 9.0, **wall) -> mt.Job:
    """A wall of 3 × 2.4 m scanned every 50 mm, hollow along its middle by so much [mm]."""
    job = flat_job(**wall)
    entry = job.walls[0]
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.025, 3, 0.05), np.arange(0.025, 2.4, 0.05)))
    proud = -hollow_mm * (1.0 - (x / 1.5 - 1.0) ** 2)
    survey = mt.Survey.from_readings(entry.wall, x, z, proud, layout="scan", bow_mm=bow_mm)
    return replace(job, walls=(replace(entry, survey=survey),))


def test_the_wall_as_it_is_neither_passes_nor_fails() -> None:
    option = option_result(bent_job(bow_mm=6.0), AS_IT_IS)
    assert not option.passes
    assert option.untold
    assert option.verdict.startswith("not judged on A: hollow gap ")
    assert "6.0 mm may be the instrument's own bow" in option.verdict
    assert in_words.verdict(option) == "not judged"
    [reason] = in_words.why_fails(option)
    assert "not judged, 6.0 mm may be the instrument's own bow" in reason.why
    row = options_frame([option]).iloc[0]
    assert row["passes"] is None
    assert "not judged" in row["verdict"]
    assert "not judged" in row["why_it_fails"]
    assert f"1{UNTOLD}" in pictures.strip(option, 20.0)


def test_beyond_the_bow_it_fails_and_without_one_it_is_judged_as_ever() -> None:
    assert option_result(bent_job(bow_mm=6.0, hollow_mm=40.0), AS_IT_IS).verdict.startswith("fails on A")
    without = option_result(bent_job(bow_mm=0.0), AS_IT_IS)
    assert not without.untold
    assert without.verdict.startswith("fails on A")


def test_what_an_edge_on_the_wall_has_made_is_judged() -> None:
    for way in (STRAIGHT, PLUMB):
        assert option_result(bent_job(bow_mm=6.0), way).passes


def test_a_wall_left_open_is_not_finished_whatever_its_scan_tells() -> None:
    option = option_result(bent_job(bow_mm=40.0, loose=(FALLEN,)), AS_IT_IS)
    assert not option.untold
    assert in_words.verdict(option) == "fails"
    assert [reason.why for reason in in_words.why_fails(option)] == ["fallen plaster stays open"]
    assert option.verdict == "not finished: A"
