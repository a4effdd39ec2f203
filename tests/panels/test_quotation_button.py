"""The button that writes the quotation, in both panels that have it: of the saved job and of no other."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo import coarse_copy_of_demo

import mytakeoff as mt
from mytakeoff.panels import budget, options
from mytakeoff.panels.parts.quoting import SAVE_FIRST


@pytest.mark.parametrize("panel", [budget, options])
def test_it_writes_the_saved_job_and_nothing_while_something_is_unsaved(tmp_path: Path, panel):
    folder = coarse_copy_of_demo(tmp_path)
    shown = panel(mt.open_job(folder))
    shown.buttons["quote"].click()
    assert "for the client quotation.pdf, quotation.html and quotation.xlsx" in shown.said.value
    written = {path.name: path.read_bytes() for path in folder.glob("quotation*")}
    assert len(written) == 5
    number = next(iter(shown.numbers))
    shown.controls[number].value = shown.controls[number].value + 0.01
    assert shown.unsaved
    shown.buttons["quote"].click()
    assert SAVE_FIRST in shown.said.value
    assert {path.name: path.read_bytes() for path in folder.glob("quotation*")} == written
