"""What was found on a wall: read off a wall of a job and put back, every mistake told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mytakeoff import Corner, JobWall, LaidEdge, LooseArea, Survey, TakeoffError, Wall
from mytakeoff.job.findings import Findings, findings_of, with_findings
from mytakeoff.job.job_wall import Fitting, FixedPlace

WALL = Wall("A", 4.0, 2.5)
SURVEY = Survey.from_readings(
    WALL, [0, 2, 4] * 3, [0] * 3 + [1.2] * 3 + [2.5] * 3, [0, 1, 0, 2, 1, 0, 0, 1, 3]
)
FOUND = Findings(
    ((1.0, 1.0, 4.0),),
    (LaidEdge(0.5, 1.2, 2.0, 6.0),),
    (LooseArea(0.5, 0.5, 0.4, 0.4, 15.0), LooseArea(3.0, 0.5, 0.4, 0.4, 15.0, fallen=True)),
    Corner((0.1, 3.9), (30.0, 33.0), 1.2),
    None,
    (Fitting("socket", "socket", 0.5, 0.4),),
    (),
    (FixedPlace("door frame", 4.0, 1.0, -212.0),),
)


def entry() -> JobWall:
    return JobWall(WALL, "hall", SURVEY, "brick", angle_bead_m=2.0)


def test_what_was_put_on_a_wall_is_read_off_it_again_and_nothing_else_changes():
    made = with_findings(entry(), FOUND, SURVEY)
    assert findings_of(made) == FOUND
    bare = with_findings(made, Findings(), SURVEY)
    assert findings_of(bare) == Findings()
    assert replace(bare, survey=SURVEY) == entry()


def test_only_fallen_plaster_is_gone():
    assert FOUND.fallen == (FOUND.loose[1],)


def test_every_mistake_is_told_at_once():
    """Each rule stands in the docstring of its own type."""
    bad = Findings(
        ((9.0, 1.0, 4.0),),
        (LaidEdge(3.5, 1.2, 2.0, 6.0),),
        (LooseArea(3.9, 0.5, 0.4, 0.4, 15.0),),
        None,
        None,
        (Fitting("socket", "socket", 4.5, 0.4),),
        (),
        (FixedPlace("door frame", 4.2, 1.0, -212.0),),
    )
    with pytest.raises(TakeoffError) as told:
        with_findings(entry(), bad, SURVEY)
    said = [str(mistake) for mistake in told.value.mistakes]
    assert len(said) == 5
    told_of = ("x 9 m", "to x 5.50", "loose area from 3.9", "'socket' at x 4.5", "'door frame' at x 4.2")
    for words in told_of:
        assert any(words in mistake for mistake in said)
