"""Readings by hand that stand far off their neighbours, and what is left out counts nowhere."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from dense_truth import COAST, FRACTURE, MOUNTAIN, SETTS, dense, is_here
from hand import SKIMMED, entry_of, job_of
from places import DEMO

import mytakeoff as mt
from mytakeoff.job.job import Job
from mytakeoff.simulation.wall_range import Measured
from mytakeoff.store import Store
from mytakeoff.survey.corner import Corner, corner_turn
from mytakeoff.survey.hollows import hollow_readings
from mytakeoff.survey.interpolate import readings_of
from mytakeoff.survey.said import SaidOf, StandsOff, answered
from mytakeoff.survey.stands_off import asked_notices, on_the_face, stands_off

WALL = mt.Wall("A", 4.0, 2.6)


def plaster(step_m: float, seed: int, rough_mm: float = 0.7) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Readings in whole millimetres on a wall that leans and bows, rough by so much."""
    random = np.random.default_rng(seed)
    x, z = (each.ravel() for each in np.meshgrid(np.arange(0.1, 4, step_m), np.arange(0.1, 2.6, step_m)))
    proud = 4 * z + 6 * np.sin(np.pi * x / 4 + seed) + random.normal(0, rough_mm, x.size)
    return x, z, np.round(proud)


def dented(step_m: float, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The same with six dents of 3 to 15 mm."""
    random = np.random.default_rng(seed)
    x, z, proud = plaster(step_m, seed)
    for _ in range(6):
        away = np.hypot(x - random.uniform(0, 4), z - random.uniform(0, 2.6))
        proud = proud - np.round(random.uniform(3, 15)) * (away < random.uniform(0.08, 0.35))
    return x, z, proud


@pytest.mark.parametrize("step_m", [0.25, 0.35, 0.5])
@pytest.mark.parametrize("made", [plaster, dented])
def test_one_reading_among_tens_is_named_and_no_other(step_m, made):
    for seed in range(4):
        x, z, proud = made(step_m, seed)
        assert stands_off(mt.Survey.from_readings(WALL, x, z, proud)) == ()
        nth = int(np.random.default_rng(seed).integers(x.size))
        for off_mm in (49.0, 400.0, -400.0):
            wrong = proud.copy()
            wrong[nth] += off_mm
            (found,) = stands_off(mt.Survey.from_readings(WALL, x, z, wrong))
            assert (found.x_m, found.z_m) == (x[nth], z[nth])
            assert found.mm == pytest.approx(off_mm, abs=25)  # a dent beside it may be as deep


@pytest.mark.parametrize("name", [SETTS, MOUNTAIN, COAST, FRACTURE])
def test_rough_ground_asks_nothing(name):
    if not is_here(name):
        pytest.skip(f"{name}: not beside this checkout")
    height, cell_m = dense(name)
    every = max(1, round(0.25 / cell_m))
    read = height[every // 2 :: every, every // 2 :: every]
    row, column = np.nonzero(np.isfinite(read))
    wall = mt.Wall(name, height.shape[1] * cell_m, height.shape[0] * cell_m)
    survey = mt.Survey.from_readings(
        wall, column * every * cell_m, row * every * cell_m, np.round(read[row, column])
    )
    assert survey.x_m.size > 50
    assert stands_off(survey) == ()


def with_a_pipe(said=()):
    x, z, proud = plaster(0.5, 3)
    nth = 17
    proud = proud.copy()
    proud[nth] += 49.0
    survey = mt.Survey.from_readings(WALL, x, z, proud).with_said(
        [SaidOf(x[nth], z[nth], word) for word in said]
    )
    kept = np.arange(x.size) != nth
    return survey, mt.Survey.from_readings(WALL, x[kept], z[kept], proud[kept], layout="grid")


def test_what_is_left_out_counts_nowhere():
    survey, without = with_a_pipe(["left out"])
    assert survey.x_m.size == without.x_m.size + 1  # the survey remembers it
    faces = [mt.grid_surface(each, 0.05) for each in (survey, without)]
    assert np.array_equal(faces[0].proud_mm, faces[1].proud_mm, equal_nan=True)
    assert np.array_equal(faces[0].extended, faces[1].extended)
    assert np.array_equal(faces[0].points.proud_mm, faces[1].points.proud_mm)
    rule = mt.PlaneRule(least_mm=8.0)
    assert mt.target_plane(faces[0], rule) == mt.target_plane(faces[1], rule)
    drawn = [Measured(each).readings for each in (survey, without)]
    assert np.array_equal(drawn[0].proud_mm, drawn[1].proud_mm)
    turns = [corner_turn(each, Corner((0.3, 3.5), (30.0, 40.0), 1.1)) for each in (survey, without)]
    assert turns[0] == turns[1]


def test_a_pipe_that_counts_takes_plaster_over_the_whole_wall():
    rule = mt.PlaneRule(least_mm=8.0)
    surfaces = [mt.grid_surface(each, 0.05) for each in with_a_pipe()]
    with_it, without = (
        mt.full_coat(surface, mt.target_plane(surface, rule), rule).volume_l for surface in surfaces
    )
    assert with_it - without > 100.0


def test_an_answer_is_asked_for_once():
    survey, _ = with_a_pipe()
    (place,) = stands_off(survey)
    (asked,) = asked_notices(survey)
    assert asked.startswith(f"{place.mm:.0f} mm proud of what is {place.around_m * 100:.0f} cm around it")
    assert asked.endswith("plaster, or something in front of the wall?")
    assert asked in mt.grid_surface(survey, 0.1).notices
    for word in ("plaster", "left out"):
        told = survey.with_said(answered(survey.said, place.at, word))
        (now,) = stands_off(told)
        assert now.answered
        assert now.left_out == (word == "left out")
        assert asked_notices(told) == ()
        assert told.said == answered(told.said, now.at, word)


def test_mistakes_are_told_together():
    survey, _ = with_a_pipe()
    there = SaidOf(float(survey.x_m[0]), float(survey.z_m[0]), "plaster")
    with pytest.raises(mt.TakeoffError) as caught:
        survey.with_said([there, replace(there, said="left out"), SaidOf(1.23, 0.77, "plaster")])
    said = str(caught.value)
    assert "two words for x 0.1 m, z 0.1 m" in said
    assert "x 1.23 m, z 0.77 m" in said
    with pytest.raises(mt.TakeoffError, match="a plane takes at least three"):
        survey.with_said([SaidOf(x, z, "left out") for x, z in zip(survey.x_m, survey.z_m, strict=True)])


def test_a_store_takes_an_answer_and_takes_it_back():
    survey, _ = with_a_pipe()
    job = job_of(replace(entry_of(WALL), survey=survey), system=SKIMMED)
    store = Store(job)
    (place,) = stands_off(survey)

    def left_out(now: Job, at: StandsOff) -> Job:
        (wall,) = now.walls
        told = wall.survey.with_said(answered(wall.survey.said, at.at, "left out"))
        return replace(now, walls=(replace(wall, survey=told),))

    def litres() -> float:
        return store.result.walls[0].build_up.volume_l

    before = litres()
    store.apply(lambda now: left_out(now, place))
    assert before - litres() > 100.0
    assert readings_of(store.job.walls[0].survey).x_m.size == survey.x_m.size - 1
    store.undo()
    assert litres() == before
    assert store.job.walls[0].survey == survey
    assert not store.apply(lambda now: left_out(now, replace(place, x_m=0.77)))
    assert "there is none" in store.problem


def test_the_map_calls_hollow_what_ranges_take_for_hollow():
    """High spots are among what hollows are told from: one makes sixteen of fifteen readings."""
    found = set()
    for entry in mt.open_job(DEMO).walls:
        readings = Measured(entry.survey, entry.loose).readings
        told = hollow_readings(readings, entry.survey.said)
        hollow = set(zip(readings.x_m[told].tolist(), readings.z_m[told].tolist(), strict=True))
        assert {one.at for one in on_the_face(entry.survey, entry.loose) if one.hollow} == hollow
        found |= hollow
    assert found
