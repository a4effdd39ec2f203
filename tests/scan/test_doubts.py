"""Scans of what is not one wall: two in one plane, curtains, next to nothing. All of it is told."""

from __future__ import annotations

import numpy as np
import pytest
from clouds import rectangle, write_ply
from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from places import MEASURED

import mytakeoff as mt


def wall(random, left: float, right: float, density: float = 900) -> np.ndarray:
    points = rectangle(random, (left, 3, -1.2), (right - left, 0, 0), (0, 0, 2.5), density)
    return points + random.normal(0, 0.002, points.shape)


def curtain(random, deep_m: float, wide_m: float, drift: float = 0.6) -> np.ndarray:
    """Folds that wander a little across, `deep_m` from trough to crest."""
    x, z = random.uniform(-1.5, 1.5, 9000), random.uniform(-1.2, 1.3, 9000)
    y = 3 + deep_m / 2 * np.sin(2 * np.pi * x / wide_m + drift * np.sin(3 * x))
    return np.column_stack([x, y + random.normal(0, 0.003, x.size), z])


def found_in(folder, *parts: np.ndarray) -> tuple:
    return mt.find_walls(write_ply(folder / "a.ply", np.concatenate(parts)), unit="m")


def test_two_rooms_walls_in_one_plane_are_told_by_the_strip_between_them(tmp_path):
    random = np.random.default_rng(1)
    (found,) = found_in(tmp_path, wall(random, -4, -0.06), wall(random, 0.06, 4))
    (said,) = [note for note in found.survey().notes if "two in one plane" in note]
    assert "between x 3.9" in said
    assert " and 4.0" in said


def test_a_wall_beyond_a_wide_passage_is_named_from_both_sides(tmp_path):
    random = np.random.default_rng(2)
    walls = found_in(tmp_path, wall(random, -4, -0.9), wall(random, 0.9, 3.5))
    assert len(walls) == 2
    for one, other in zip(walls, (2, 1), strict=True):
        (said,) = [note for note in one.notes if "one plane" in note]
        assert said.startswith(f"Wall {other} stands in one plane with it, 1.")
        assert float(said.split(", ")[1].split(" m on")[0]) == pytest.approx(1.8, abs=0.05)


def test_walls_that_meet_or_face_each_other_are_not_in_one_plane(tmp_path):
    random = np.random.default_rng(3)
    side = rectangle(random, (4, 0, -1.2), (0, 3, 0), (0, 0, 2.5), 900)
    opposite = rectangle(random, (-4, -1, -1.2), (8, 0, 0), (0, 0, 2.5), 900)
    for one in found_in(tmp_path, wall(random, -4, 4), side, opposite):
        assert not any("one plane" in note for note in one.notes)


def test_a_wall_narrower_than_what_folds_are_looked_for_across_is_none(tmp_path):
    (found,) = found_in(tmp_path, wall(np.random.default_rng(6), -0.2, 0.2, 20_000))
    assert found.wall.width_m == pytest.approx(0.4, abs=0.02)
    assert not any("fold" in note for note in found.survey().notes)


@pytest.mark.parametrize(("deep_m", "wide_m"), [(0.10, 0.16), (0.06, 0.12)])
def test_the_folds_of_a_curtain_are_told_with_their_size(tmp_path, deep_m, wide_m):
    (found,) = found_in(tmp_path, curtain(np.random.default_rng(4), deep_m, wide_m))
    (said,) = [note for note in found.notes if "as a curtain does" in note]
    mm, cm = (float(said.split(word)[1].split()[0]) for word in (" out by ", " every "))
    assert mm == pytest.approx(1000 * deep_m, rel=0.15)
    assert cm == pytest.approx(100 * wide_m, rel=0.15)


def test_folds_too_deep_for_any_plane_say_what_may_hang_there(tmp_path):
    with pytest.raises(mt.TakeoffError, match="nothing is known of one behind a curtain"):
        found_in(tmp_path, curtain(np.random.default_rng(5), 0.16, 0.25))


@examples(6, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 2**32 - 1), mm=st.floats(2, 25), long_m=st.floats(0.3, 2.0))
def test_a_rough_wall_is_no_curtain(tmp_path, seed, mm, long_m):
    """Ups and downs that differ from one height to the next, whatever their size."""
    random = np.random.default_rng(seed)
    points = wall(random, -2, 2)
    turns, starts = random.uniform(0, 2 * np.pi, (2, 12))
    waves = (
        np.sin(2 * np.pi / long_m * (points[:, 0] * np.cos(a) + points[:, 2] * np.sin(a)) + b)
        for a, b in zip(turns, starts, strict=True)
    )
    points[:, 1] += mm / 1000.0 * sum(waves) / np.sqrt(6)
    for one in found_in(tmp_path, points):
        assert not any("curtain" in note for note in one.notes)


@pytest.mark.parametrize("count", [31, 60, 300])
def test_next_to_nothing_says_how_far_apart_its_points_are(tmp_path, count):
    random = np.random.default_rng(6)
    (found,) = found_in(tmp_path, wall(random, -2, 2, count / 10))
    (said,) = [note for note in found.survey().notes if "what lies between them is not known" in note]
    assert said.startswith(f"The scan knows {count} places on this wall")
    apart_cm = float(said.split("one every ")[1].split()[0])
    assert apart_cm == pytest.approx(100 * np.sqrt(10 / count), rel=0.1)


@pytest.mark.skipif(not MEASURED.is_dir(), reason="the measured surfaces are not beside this checkout")
@pytest.mark.parametrize("name", ["apartment0_wall_y.ply", "apartment0_wall_x.xyz", "scan1_wall_y.las"])
def test_nothing_is_doubted_of_measured_walls(name):
    for one in mt.find_walls(MEASURED / name, unit="m"):
        assert one.found.doubts == ()
