"""What stands in a panel is saved into a folder of its own by hand, with all that belongs to the job."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from demo import demo_in

import mytakeoff as mt
from mytakeoff.panels.budget_panel.panel import budget
from mytakeoff.panels.days_panel.panel import buying_and_days


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("panel_of", [budget, buying_and_days])
def test_the_price_goes_along_and_the_old_folder_stays_as_it_was(folder, panel_of):
    before = files_of(folder)
    panel = panel_of(demo_in(folder))
    assert panel.store.apply(lambda job: replace(job, waste_share=0.2))
    panel.new_folder.value = " flat 3, revised "
    panel._save_there()
    there = folder.parent / "flat 3, revised"
    made = mt.open_job(there)
    assert made.waste_share == 0.2
    assert mt.evaluate(made).cost.total == panel.settled().cost.total
    assert str(there) in panel.said.value
    assert files_of(folder) == before


def test_a_folder_that_holds_something_is_not_written_into(folder):
    panel = budget(demo_in(folder))
    with pytest.raises(mt.TakeoffError, match="not empty"):
        panel.save_into(folder)


def test_without_a_name_it_only_asks(folder):
    panel = budget(demo_in(folder))
    before = set(folder.parent.iterdir())
    panel._save_there()
    assert "name" in panel.said.value
    assert set(folder.parent.iterdir()) == before
