"""A finished wall against what was promised: known faces, how often it is wrong, what it may not pass."""

from __future__ import annotations

import math
from dataclasses import replace

import edge_oracle
import finished_walls
import numpy as np
import pytest
from demo import demo_result
from effort import examples, scaled
from finished_walls import HELD, WALL, dish, flat, places, read
from hypothesis import given
from hypothesis import strategies as st
from oracles import grid_of, rough_wall

import mytakeoff as mt
from mytakeoff.acceptance.judge_finished import LAID, LEAN, worst_outcome
from mytakeoff.acceptance.read_stance import ReadStance
from mytakeoff.corners.measuring import MeasuredCorner
from mytakeoff.flatness.edge_lines import EdgeRule
from mytakeoff.flatness.grades import grade_of
from mytakeoff.flatness.judging import BELLY, HOLLOW

FINE = mt.ReadingErrors(reading_mm=0.3)


def gap_of(finished: mt.JudgedWall) -> mt.Judged:
    return next(each for each in finished.judged if each.what == HOLLOW)


def lean_of(finished: mt.JudgedWall) -> mt.Judged:
    return next(each for each in finished.judged if each.what == LEAN)


def test_a_flat_plumb_wall_that_is_read_closely_passes():
    finished = mt.judge_finished(HELD, read(flat, 0.5))
    assert finished.outcome == "pass"
    assert gap_of(finished).measured == 0.0
    assert finished.between.chance > 0.99


def test_a_hollow_that_is_well_over_fails_where_it_is():
    finished = mt.judge_finished(HELD, read(lambda x, z: dish(x, z, (2.5, 1.25), 0.6, 8.0), 0.25))
    judged = gap_of(finished)
    assert judged.outcome == "fail"
    assert (judged.x_m, judged.z_m) == pytest.approx((2.5, 1.25), abs=0.15)
    assert judged.measured == pytest.approx(8.0, abs=0.8)


def test_a_gap_within_what_can_be_told_is_too_close_to_call_and_the_edge_is_to_be_laid_there():
    judged = gap_of(mt.judge_finished(HELD, read(lambda x, z: dish(x, z, (2.0, 1.25), 0.7, 3.2), 0.25)))
    assert judged.outcome == "too close to call"
    (x0, z0), (x1, z1) = judged.ends_m
    assert np.hypot(x1 - x0, z1 - z0) <= 2.0 + 1e-9


@pytest.mark.parametrize("step_m", [1.0, 1.5])
def test_a_wall_that_waves_and_is_read_too_coarsely_never_passes(step_m):
    """Waves of 1 mm height, a metre long: what was read is flat enough, what lies between is not known."""

    def waves(x, z):
        return 1.0 * np.sin(2 * np.pi * x / 1.3) * np.sin(2 * np.pi * z / 1.1)

    finished = mt.judge_finished(HELD, read(waves, step_m), errors=FINE)
    judged = gap_of(finished)
    assert judged.rule.outcome(judged.margin, judged.uncertainty) == "pass"
    assert judged.outcome == "too close to call"
    assert judged.left_between
    assert finished.between.step_m == pytest.approx(step_m, rel=0.3)
    assert judged.unseen_m == finished.between.hides_m > 1.0


def test_what_hides_between_readings_shrinks_as_they_come_closer():
    def waves(x, z):
        return 0.5 * np.sin(2 * np.pi * x / 2.2) * np.sin(2 * np.pi * z / 2.0)

    found = [mt.judge_finished(HELD, read(waves, step), errors=FINE).between for step in (1.0, 0.5, 0.25)]
    assert found[0].chance <= found[1].chance <= found[2].chance
    assert found[0].hides_m > found[1].hides_m > found[2].hides_m
    assert found[0].gap_95_mm > 1.5 * found[2].gap_95_mm


def test_a_hollow_that_no_reading_touches_does_not_pass_as_flat():
    """A dish of 4 mm between the readings, which themselves are as flat as can be."""

    def hidden(x, z):
        return dish(x, z, (2.0, 1.25), 0.35, 4.0) + 0.4 * np.sin(2 * x) * np.cos(3 * z)

    finished = mt.judge_finished(HELD, read(hidden, 0.95), errors=FINE)
    assert finished.outcome == "too close to call"
    assert gap_of(finished).unseen_m > 1.0
    laid = [mt.LaidEdge(x, 0.2, 2.0, 0.8, "upright") for x in np.arange(0.4, 3.9, 0.4)]
    assert gap_of(mt.judge_finished(HELD, read(hidden, 0.95).with_sweeps(laid), errors=FINE)).unseen_m == 0.0


@pytest.mark.parametrize("step_m", [0.25, 0.5, 0.8])
def test_the_widest_place_without_a_reading_is_that_in_the_middle_of_four(step_m):
    x, z = finished_walls.places(step_m)
    across, up = np.ptp(x) / (x.shape[1] - 1), np.ptp(z) / (x.shape[0] - 1)
    between = mt.judge_finished(HELD, read(flat, step_m)).between
    assert between.hides_m == pytest.approx(np.hypot(across, up), abs=0.08)


def test_a_wall_of_which_half_was_not_read_does_not_pass():
    x, z = places(0.25)
    left = x < 2.0
    survey = mt.Survey.from_readings(WALL, x[left], z[left], 0.0 * x[left])
    assert mt.judge_finished(HELD, survey).outcome == "too close to call"


@given(st.integers(0, 10_000), st.sampled_from([0.3, 0.5]))
@examples(25)
def test_the_gap_that_is_judged_is_that_of_the_definition(seed, length):
    heights = rough_wall(seed, nx=9, nz=7, noise=4.0)
    surface = grid_of(heights)
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    survey = mt.Survey.from_readings(surface.wall, x, z, heights)
    held = mt.Promised(surface.wall, (EdgeRule(length, 3.0),))
    judged = gap_of(mt.judge_finished(held, survey, cell_m=0.1))
    assert judged.measured == pytest.approx(np.nanmax(edge_oracle.gap(heights, 0.1, 0.1, length)), abs=1e-9)


@pytest.mark.slow
def test_walls_that_do_not_conform_pass_no_more_often_than_the_guard_band_says():
    """Seen again and again with other errors: a wall whose worst gap is a little over 3 mm."""

    def face(x, z):
        return dish(x, z, (2.0, 1.25), 0.8, 3.3)

    true = gap_of(mt.judge_finished(HELD, read(face, 0.25))).measured
    assert true > 3.0
    trials = scaled(80)
    passed = [
        gap_of(mt.judge_finished(HELD, read(face, 0.25, 0.6, seed), cell_m=0.1)).outcome == "pass"
        for seed in range(trials)
    ]
    assert np.mean(passed) <= 0.023 + 3 * math.sqrt(0.023 / trials)


@pytest.mark.slow
def test_flat_walls_are_not_refused_for_the_errors_of_their_readings():
    """1 mm under 2 m, readings off by 0.6 mm: of 187 places the worst seems to be well over."""
    held = replace(HELD, edges=(EdgeRule(2.0, 1.0),))
    found = [
        gap_of(mt.judge_finished(held, read(flat, 0.25, 0.6, seed), cell_m=0.1)) for seed in range(8, 15)
    ]
    alone = [each.rule.outcome(each.margin, each.uncertainty) for each in found]
    assert "fail" in alone
    assert "fail" not in {each.outcome for each in found}


# -- rules and errors ----------------------------------------------------------------------------------


def test_simple_acceptance_passes_what_guarded_acceptance_leaves_open():
    survey = read(lambda x, z: dish(x, z, (2.0, 1.25), 1.0, 2.4), 0.25)
    simple = mt.AcceptanceRule("simple acceptance")
    outcomes = [mt.judge_finished(HELD, survey, rule=rule).judged[0].outcome for rule in (None, simple)]
    assert outcomes == ["too close to call", "pass"]


def test_coarser_readings_are_never_surer():
    survey = read(lambda x, z: dish(x, z, (2.0, 1.25), 0.8, 1.5), 0.25)
    fine, coarse = (
        gap_of(mt.judge_finished(HELD, survey, errors=mt.ReadingErrors(reading_mm=mm))) for mm in (0.3, 1.2)
    )
    assert (fine.outcome, coarse.outcome) == ("pass", "too close to call")
    assert coarse.uncertainty == pytest.approx(4 * fine.uncertainty)


# -- straightedges laid on it --------------------------------------------------------------------------


def test_the_worst_gap_under_laid_edges_is_judged_by_how_exact_a_wedge_is():
    edges = [mt.LaidEdge(0.5, 0.5, 2.0, 1.0), mt.LaidEdge(1.5, 2.0, 2.0, 2.7, gap_at_m=0.5)]
    judged = {each.what: each for each in mt.judge_finished(HELD, read(flat, 0.5).with_sweeps(edges)).judged}
    assert judged[LAID].measured == 2.7
    assert (judged[LAID].x_m, judged[LAID].z_m) == (2.0, 2.0)
    assert judged[LAID].uncertainty == 0.3
    assert judged[LAID].outcome == "too close to call"


def test_where_an_edge_was_laid_it_counts_and_not_the_readings_under_it():
    survey = read(lambda x, z: dish(x, z, (2.0, 1.25), 0.35, 3.0), 0.25)
    before = gap_of(mt.judge_finished(HELD, survey))
    assert before.outcome == "too close to call"
    edge = mt.LaidEdge(before.x_m - 1.0, before.z_m, 2.0, 2.0)
    judged = mt.judge_finished(HELD, survey.with_sweeps([edge])).judged
    after = next(each for each in judged if each.what == HOLLOW)
    assert abs(after.z_m - before.z_m) > 0.1
    assert next(each for each in judged if each.what == LAID).outcome == "pass"


def test_an_edge_longer_than_was_promised_tells_nothing_and_that_is_said():
    survey = read(flat, 0.5).with_sweeps([mt.LaidEdge(0.5, 0.5, 3.0, 4.0)])
    finished = mt.judge_finished(HELD, survey)
    assert LAID not in {each.what for each in finished.judged}
    assert any("The edge of 3 m" in notice and "is not judged" in notice for notice in finished.notices)


# -- plumb ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("lean", "outcome"), [(1.0, "pass"), (3.0, "too close to call"), (5.0, "fail")])
def test_lean_is_held_to_the_promised_plane_over_the_height(lean, outcome):
    judged = lean_of(mt.judge_finished(HELD, read(lambda x, z: lean * z, 0.5)))
    assert judged.measured == pytest.approx(lean * WALL.height_m)
    assert judged.outcome == outcome
    leaning = replace(HELD, lean_mm_per_m=lean)
    assert lean_of(mt.judge_finished(leaning, read(lambda x, z: lean * z, 0.5))).margin == pytest.approx(8.0)


def test_no_number_of_readings_makes_a_lean_surer_than_the_instrument():
    sds = [lean_of(mt.judge_finished(HELD, read(flat, step))).uncertainty for step in (1.0, 0.2)]
    assert sds[0] > sds[1] > 0.2 * WALL.height_m


@pytest.mark.parametrize(
    ("held", "survey", "why"),
    [
        (replace(HELD, lean_limit_mm=None), read(flat, 0.5), "no limit was agreed"),
        (HELD, read(flat, 0.5, plumb=False), "was not plumb"),
        (HELD, mt.Survey.from_readings(WALL, [0.1, 3.9, 0.1], [0.1, 0.1, 2.4], [0, 0, 0]), "too little"),
    ],
)
def test_a_lean_that_cannot_be_judged_says_why(held, survey, why):
    finished = mt.judge_finished(held, survey)
    assert LEAN not in {each.what for each in finished.judged}
    assert any("Lean is not judged" in notice and why in notice for notice in finished.notices)


# -- corners and widths --------------------------------------------------------------------------------


def test_a_finished_corner_is_what_its_planes_have_less_what_the_faces_turn():
    # facing a wall, x runs right and proud towards you: a face whose right end comes forward turns clockwise
    planes = MeasuredCorner(mt.RoomCorner("A", "B"), 90.0, 0.5)
    faces = ReadStance(0.0, 3.0, 0.1, 0.4), ReadStance(0.0, 1.0, 0.1, 0.3)
    judged = mt.judge_corner(planes, faces, 5.0)
    assert judged.measured == pytest.approx(2.0, abs=1e-4)
    assert judged.uncertainty == pytest.approx(math.sqrt(0.5**2 + 0.4**2 + 0.3**2))
    assert judged.outcome == "pass"
    # seen from above with the first wall along x: directions of the two faces by hand
    first, second = math.atan(0.003), math.atan(0.001)
    assert judged.measured / 1000 == pytest.approx(first - second, abs=1e-6)


def test_a_corner_that_was_not_measured_is_not_judged():
    faces = ReadStance(0.0, 0.0, 0.1, 0.4), ReadStance(0.0, 0.0, 0.1, 0.3)
    assert mt.judge_corner(MeasuredCorner(mt.RoomCorner("A", "B"), None), faces, 5.0) is None
    unknown = faces[0], replace(faces[1], turn_sd_mm_per_m=math.nan)
    assert mt.judge_corner(MeasuredCorner(mt.RoomCorner("A", "B"), 90.0), unknown, 5.0) is None


def test_a_width_known_to_2_mm_either_way_has_that_over_the_root_of_three():
    bath = mt.ClearWidth("bath", "A", "C", 1700.0, 0.5)
    simple = mt.AcceptanceRule("simple acceptance")
    judged = mt.judge_width(bath, 1701.0, 2.0, simple)
    assert judged.uncertainty == pytest.approx(2.0 / math.sqrt(3.0))
    assert judged.chance == pytest.approx(0.807, abs=0.001)  # Φ(√3/2)
    assert judged.outcome == "pass"


# -- what was promised ---------------------------------------------------------------------------------


def test_a_job_promises_what_its_options_are_judged_by_on_the_plane_it_builds():
    result = demo_result()
    job = result.job
    for wall in result.walls:
        held = mt.promised_by(job, wall)
        assert held.wall == wall.surface.wall
        assert held.lean_mm_per_m == (wall.plane.c_mm_per_m if wall.floated else 0.0)
        longest = max(held.edges, key=lambda rule: rule.length_m)
        assert held.by == job.compare.grade
        if held.by == "own":
            assert (longest.length_m, longest.tolerance_mm) == (
                job.compare.straightedge_m,
                job.compare.tolerance_mm,
            )


@pytest.mark.parametrize(
    ("grade", "lean_mm", "both_ways"),
    # DIN 18202 table 2: 8 mm to 3 m; NHBC 2020: 8 mm to 3 m; SNiP table 10: 2 mm on a metre, 10 on the height
    [("DIN 18202 line 6", 8.0, False), ("NHBC 2020", 8.0, True), ("SNiP 3.04.01-87 improved", 5.0, True)],
)
def test_grades_are_promised_as_they_stand(grade, lean_mm, both_ways):
    result = demo_result()
    wall = replace(result.walls[0], surface=mt.grid_surface(read(flat, 0.5), 0.1))
    job = replace(result.job, compare=mt.Compare(grade=grade))
    held = mt.promised_by(job, wall)
    assert (held.lean_limit_mm, held.both_ways) == (lean_mm, both_ways)
    assert held.edges == grade_of(grade).edge_rules(math.hypot(4.0, 2.5))
    finished = mt.judge_finished(held, read(flat, 0.25))
    assert (BELLY in {each.what for each in finished.judged}) == both_ways


def test_a_bulge_counts_where_the_grade_counts_it():
    survey = read(lambda x, z: dish(x, z, (2.0, 1.25), 1.0, -9.0), 0.25)
    held = replace(HELD, both_ways=True)
    judged = {each.what: each for each in mt.judge_finished(held, survey).judged}
    assert judged[BELLY].outcome == "fail"
    assert judged[BELLY].measured == pytest.approx(9.0, abs=0.7)


# -- bad input -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "wrong",
    [
        {"edges": ()}, {"edges": (EdgeRule(2.0, 0.0),)}, {"edges": (EdgeRule(-2.0, 3.0),)},
        {"edges": (EdgeRule(2.0, math.nan),)}, {"lean_limit_mm": 0.0}, {"lean_limit_mm": -8.0},
        {"lean_mm_per_m": math.nan},
    ],
)  # fmt: skip
def test_limits_that_nobody_can_keep_are_refused(wrong):
    with pytest.raises(mt.TakeoffError) as refused:
        replace(HELD, **wrong)
    [mistake] = refused.value.mistakes
    assert all((mistake.found, mistake.rule, mistake.remedy))
    assert mistake.place == "wall 'north', what was promised"


def test_one_reading_is_no_survey_of_a_finished_wall():
    survey = mt.Survey.from_readings(WALL, [1.0], [1.0], [0.0], so_far=True, source="after.csv")
    with pytest.raises(mt.TakeoffError, match=r"after\.csv: 1 readings; a plane takes at least three"):
        mt.judge_finished(HELD, survey)


def test_a_survey_of_another_wall_is_refused():
    other = replace(HELD, wall=replace(WALL, width_m=4.5))
    with pytest.raises(mt.TakeoffError, match=r"a wall of 4 × 2\.5 m; what was promised is of one of 4\.5"):
        mt.judge_finished(other, read(flat, 0.5))


def test_of_several_verdicts_the_worst_counts():
    judged = mt.judge_finished(HELD, read(flat, 0.5)).judged
    failed = replace(judged[0], measured=9.0, chance_between=None)
    assert [worst_outcome(some) for some in (judged, (*judged, failed))] == ["pass", "fail"]


def test_a_scan_brings_its_own_noise_and_leaves_nothing_between_its_points():
    x, z = places(0.02, rim_m=0.01)
    random = np.random.default_rng(5)
    survey = mt.Survey.from_readings(WALL, x, z, 0.4 * random.standard_normal(x.shape), layout="scan")
    finished = mt.judge_finished(HELD, survey)
    assert finished.between is None
    assert gap_of(finished).chance_between is None
    assert gap_of(finished).uncertainty < 0.6
    assert finished.outcome == "pass"
    bent = replace(survey, bow_mm=2.0)
    assert gap_of(mt.judge_finished(HELD, bent)).uncertainty == pytest.approx(
        math.hypot(gap_of(finished).uncertainty, 2.0 / math.sqrt(3.0)), rel=0.05
    )


def test_ground_that_nobody_read_is_named():
    x, z = finished_walls.places(0.5)
    left = x < 2.0
    survey = mt.Survey.from_readings(WALL, x[left], z[left], 0.0 * x[left])
    assert any("were not read" in notice for notice in mt.judge_finished(HELD, survey, reach_m=3.0).notices)
