"""What the survey panel says of a scan: how far its lean may be off, and the instrument's own bow."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from bent_rooms import room, seen_by
from clouds import write_ply
from demo import demo_in

import mytakeoff as mt
from mytakeoff.panels import SurveyPanel, survey


@pytest.fixture
def panel(folder: Path) -> SurveyPanel:
    """On a new wall of a room whose instrument bends all walls by the square of the height it looks at."""
    (folder / "scans").mkdir()
    write_ply(folder / "scans" / "room.ply", seen_by(room(), "above level", 60.0))
    made = survey(demo_in(folder))
    made.wall.pick.value = "a new wall"
    made.file.pick.value = "scans/room.ply"
    made.scan.unit.value = "m"
    made.file.plumb.value = True
    return made


def test_noise_and_bow_are_one_sentence_and_the_lean_says_how_far_it_may_be_off(panel: SurveyPanel) -> None:
    said = panel.facts.value
    assert said.count("is told by this scan") == 1
    assert "may be the instrument" in said
    assert "right to" not in said
    assert re.search(r"(Leans|Stands plumb).* Give or take \d+ mm", panel.headline.value)
    assert "Bows by" in panel.headline.value
    assert "line it was measured from" not in panel.headline.value  # a scanned wall has no line but itself


def test_the_instruments_bow_is_offered_to_be_taken_out_and_kept_in_the_job(
    panel: SurveyPanel, folder: Path
) -> None:
    assert panel.scan.bow_out.layout.display != "none"
    bent = panel.surface
    panel.scan.bow_out.value = True
    assert "were taken out" in panel.facts.value
    assert np.nanstd(panel.surface.proud_mm) < 0.3 * np.nanstd(bent.proud_mm)
    panel.wall.name.value = "scanned wall"
    panel.save()
    assert "bow_out = true" in (folder / "job.toml").read_text("utf-8")
    kept = mt.open_job(folder).wall("scanned wall").survey
    assert kept.scan.bow_out
    np.testing.assert_allclose(kept.proud_mm, panel.survey.proud_mm)


def test_nothing_is_offered_for_a_scan_whose_walls_share_no_bow(panel: SurveyPanel, folder: Path) -> None:
    write_ply(folder / "scans" / "true.ply", seen_by(room(), "above level", 0.0))
    panel.look()
    panel.file.pick.value = "scans/true.ply"
    panel.scan.unit.value = "m"
    assert panel.problem.value == ""
    assert panel.scan.bow_out.layout.display == "none"
    assert "instrument" not in panel.facts.value


def test_another_wall_of_the_scan_brings_its_own_size_unless_one_was_typed(panel: SurveyPanel) -> None:
    sizes = [(each.wall.width_m, each.wall.height_m) for each in panel.walls]
    other = next(nth for nth, size in enumerate(sizes, start=1) if abs(size[0] - sizes[0][0]) > 0.5)
    for nth in (other, 1):
        panel.scan.found.value = nth
        assert (panel.wall.width.value, panel.wall.height.value) == sizes[nth - 1]
        assert panel.survey is not None
        assert panel.survey.wall.width_m == sizes[nth - 1][0]
    panel.wall.width.value = 4.5
    panel.scan.found.value = other
    assert panel.wall.width.value == 4.5
