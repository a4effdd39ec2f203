"""Plaster on reveals in the steps of the work, reckoned by hand."""

from __future__ import annotations

import pytest
from hand import BARE, NO_RAILS, SKIMMED, entry_of, flat, job_of
from option_jobs import PATCH_AND_SKIM, PATCH_ONLY, flat_job

import mytakeoff as mt
from mytakeoff.labour.waits import wall_steps
from mytakeoff.measure.wall_measures import measure_wall
from mytakeoff.options.compare import option_result

# left, right and top are plastered: 1.4 + 1.4 + 1.2 = 4.0 m × 180 mm = 0.72 m²
WINDOW = mt.Opening("window", 1.0, 0.5, 1.2, 1.4, reveal_mm=180)
REVEALS_M2 = 0.72


def litres_of(job, wall) -> dict[str, float]:
    """Litres of each step that lays a mix."""
    steps = wall_steps(job, wall, measure_wall(job, wall)).steps
    return {step.task: step.litres for step in steps if step.mix is not None}


def floated(system: mt.System, opening: mt.Opening, **details):
    entry = entry_of(mt.Wall("A", 3.0, 2.5, (opening,)))
    job = job_of(entry, system=system, rails=NO_RAILS, **details)
    return job, flat(job, entry, 12.0)


def skimmed(system: mt.System, background: str, opening: mt.Opening, way=PATCH_AND_SKIM):
    job = flat_job(system, background, openings=(opening,))
    [wall] = option_result(job, way).result.walls
    return job, wall


def deeper(by: float) -> mt.Opening:
    """The same window with reveals so many times as deep."""
    return mt.Opening("window", 1.0, 0.5, 1.2, 1.4, reveal_mm=180 * by)


@pytest.mark.parametrize("depth_mm", [8.0, 12.0, 20.0])
def test_a_floated_wall_has_its_reveals_backed_as_thick_as_the_job_says(depth_mm):
    found = litres_of(*floated(BARE, WINDOW, reveal_thickness_mm=depth_mm))
    assert found["reveals"] == pytest.approx(REVEALS_M2 * depth_mm)


def test_the_finish_of_a_floated_walls_reveals_goes_on_with_that_of_the_wall():
    once, twice = (litres_of(*floated(SKIMMED, deeper(by)))["finish coat"] for by in (1, 2))
    assert twice - once == pytest.approx(REVEALS_M2 * 2.0)


@pytest.mark.parametrize(
    ("system", "background", "backing_mm", "finish_mm"),
    [
        # on masonry a backing as thin as it is laid, 8 mm of light gypsum, goes under the skim
        (SKIMMED, "brick", 8.0, 2.0),
        # old plaster takes the skim; reveals have no step of their own then
        (SKIMMED, "sound old plaster", None, 2.0),
        (BARE, "sound old plaster", 8.0, None),
    ],
)
def test_a_wall_that_coats_only_follow_has_the_same_coats_on_its_reveals(
    system, background, backing_mm, finish_mm
):
    once, twice = (litres_of(*skimmed(system, background, deeper(by))) for by in (1, 2))
    if backing_mm is None:
        assert "reveals" not in once
    else:
        assert once["reveals"] == pytest.approx(REVEALS_M2 * backing_mm)
    if finish_mm is None:
        assert "finish coat" not in once
    else:
        assert twice["finish coat"] - once["finish coat"] == pytest.approx(REVEALS_M2 * finish_mm)


def test_a_wall_that_is_only_patched_has_none_on_its_reveals():
    assert "reveals" not in litres_of(*skimmed(SKIMMED, "brick", WINDOW, PATCH_ONLY))
