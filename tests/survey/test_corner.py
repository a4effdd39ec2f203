"""Square corners from two readings, and fittings as points: what each moves in the job."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hand import entry_of, job_of
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff import (
    Corner,
    Fitting,
    Survey,
    System,
    TakeoffError,
    Treatment,
    Wall,
    evaluate,
    grid_surface,
    target_plane,
)
from mytakeoff.job.catalogue import GYPSUM_SKIM, LIGHT_GYPSUM
from mytakeoff.job.treatments import PATCH
from mytakeoff.measure.wall_measures import measure_wall
from mytakeoff.plane.target_plane import PlaneRule
from mytakeoff.survey.corner import corner_turn

WALL = Wall("north", 4.0, 2.5)


def leaning(turn_mm_per_m: float, bow_mm: float = 0.0) -> Survey:
    x, z = (axis.ravel() for axis in np.meshgrid(np.linspace(0, 4, 9), np.linspace(0, 2.5, 6)))
    return Survey.from_readings(WALL, x, z, turn_mm_per_m * x + bow_mm * np.sin(x) + 1.5 * z)


@given(
    turn=st.floats(-10, 10), square=st.floats(-10, 10), at=st.floats(0, 1.5), apart=st.floats(0.5, 2.5),
    off=st.floats(5, 80),
)  # fmt: skip
def test_the_square_line_gives_its_own_slope_back(turn, square, at, apart, off):
    """Readings off a line of that slope in the survey's frame, on a wall of any slope."""
    survey = leaning(turn)
    places = (at, at + apart)
    read = tuple(off + square * x - (turn * x + 1.5 * 1.2) for x in places)
    assert corner_turn(survey, Corner(places, read, 1.2)) == pytest.approx(square, abs=1e-6)


def test_a_square_plane_follows_the_corner():
    entry = entry_of(WALL)
    survey = leaning(2.0, bow_mm=6.0)
    corner = Corner((0.5, 3.5), (30.0 - survey.proud_mm[1], 30.0 + 5.0 * 3.0 - survey.proud_mm[7]), 0.0)
    entry = replace(entry, survey=survey, corner=corner)
    assert entry.square_turn_mm_per_m == pytest.approx(5.0)
    job = job_of(entry)
    square = evaluate(replace(job, plane=replace(job.plane, kind="square"))).walls[0]
    assert square.plane.b_mm_per_m == pytest.approx(5.0, abs=1e-6)
    rule = replace(square.rule, turn_mm_per_m=5.0)
    assert isinstance(rule, PlaneRule)
    alone = target_plane(grid_surface(survey, job.cell_m), rule)
    assert square.plane.a_mm == pytest.approx(alone.a_mm)


@pytest.mark.parametrize(
    ("corner", "turn", "words"),
    [
        (((0.0, 0.1), (3.0, 4.0), 1.0), None, "0.3 m apart"),
        (((0.0, 1.0, 2.0), (3.0, 4.0, 5.0), 1.0), None, "two readings"),
        (((0.0, 5.0), (3.0, 4.0), 1.0), None, "read on the wall"),
        (((0.0, 2.0), (30.0, 30.0), 1.0), 3.0, "agree within"),
    ],
)
def test_slips_of_a_corner(corner, turn, words):
    with pytest.raises(TakeoffError, match=words):
        replace(entry_of(WALL), survey=leaning(0.0), corner=Corner(*corner), turn_mm_per_m=turn)


def test_a_turn_that_the_readings_bear_out_is_no_slip():
    entry = replace(
        entry_of(WALL), survey=leaning(0.0), corner=Corner((0.0, 2.0), (30.0, 36.2), 1.0), turn_mm_per_m=3.0
    )
    assert entry.square_turn_mm_per_m == pytest.approx(3.1)


FITTINGS = (
    Fitting("double socket", "socket", 1.0, 0.3), Fitting("light switch", "switch", 0.2, 1.1),
    Fitting("radiator", "radiator", 2.5, 0.5), Fitting("hall socket", "socket", 3.0, 0.3, other_face=True),
)  # fmt: skip


@pytest.mark.parametrize(("counted", "sockets", "radiators"), [(0, 2, 1), (1, 2, 1), (5, 5, 5)])
def test_fittings_that_are_placed_count_once_and_are_named(counted, sockets, radiators):
    entry = replace(entry_of(WALL), fittings=FITTINGS, sockets=counted, radiators=counted)
    job = job_of(entry)
    wall = evaluate(job).walls[0]
    measured = measure_wall(job, wall)
    assert (measured.sockets, measured.radiators) == (sockets, radiators)
    said = next(notice for notice in wall.notices if "In the way" in notice)
    assert all(fitting.name in said for fitting in FITTINGS[:3])
    assert "hall socket" not in said
    # a skim alone, on sound old plaster, buries no box: what is told is what is priced
    skim = System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0)
    old = job_of(replace(entry, background="sound old plaster"), system=skim)
    skimmed = evaluate(replace(old, treatment=Treatment("patch", PATCH))).walls[0]
    told = " ".join(skimmed.notices)
    assert measure_wall(old, skimmed).sockets == told.count("comes forward") == 0
    assert "radiator (x 2.50 m, z 0.50 m) comes off" in told
    bare = evaluate(job_of(entry_of(WALL))).walls[0]
    assert wall.build_up.area_m2 == bare.build_up.area_m2
