"""Which way is up: rooms and walls in all six ways, with and without floor and ceiling, and cameras."""

from __future__ import annotations

import numpy as np
import pytest
from clouds import rectangle
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.scan.orientation import UP, cloud_faces_steps, ways_up
from mytakeoff.scan.thin_cloud import ThinCloud, Thinner
from mytakeoff.steps import run

# from a room with z up to one with each axis up, left and right kept apart
TURNED = {
    "z": ((0, 1, 2), (1, 1, 1)), "-z": ((0, 1, 2), (1, -1, -1)),
    "y": ((0, 2, 1), (1, 1, -1)), "-y": ((0, 2, 1), (1, -1, 1)),
    "x": ((2, 0, 1), (1, 1, 1)), "-x": ((2, 0, 1), (-1, -1, 1)),
}  # fmt: skip


def turned(points: np.ndarray, up: str) -> np.ndarray:
    """The same points with another axis up."""
    order, signs = TURNED[up]
    made = points[:, order] * signs
    assert np.allclose(made @ np.array(UP[up]), points[:, 2])
    return made


def about(points: np.ndarray, degrees: float) -> np.ndarray:
    """Turned about z."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return points @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1.0]])


def ways(points: np.ndarray) -> tuple[str, ...]:
    thinner = Thinner()
    thinner.add(points)
    thin: ThinCloud = thinner.done()
    coarse = thin.coarser(float(np.sort(thin.extent)[1]) / 40.0)
    return ways_up(run(cloud_faces_steps(coarse)), thin)


def box(random, floor: bool, size=(4.2, 3.4, 2.5)) -> np.ndarray:
    """Four walls about the middle, with floor and ceiling or without."""
    w, d, h = size
    faces = [
        ((0, 0, 0), (w, 0, 0), (0, 0, h)), ((0, d, 0), (w, 0, 0), (0, 0, h)),
        ((0, 0, 0), (0, d, 0), (0, 0, h)), ((w, 0, 0), (0, d, 0), (0, 0, h)),
    ]  # fmt: skip
    if floor:
        faces += [((0, 0, 0), (w, 0, 0), (0, d, 0)), ((0, 0, h), (w, 0, 0), (0, d, 0))]
    points = np.concatenate([rectangle(random, *face, 400) for face in faces]) - [w / 2, d / 2, 1.3]
    return points + random.normal(0, 0.002, points.shape)


def lone(random, width: float, height: float) -> np.ndarray:
    """A wall by itself, well away from where it was seen."""
    points = rectangle(random, (-width / 2, 2.5, -1.2), (width, 0, 0), (0, 0, height), 900)
    return points + random.normal(0, 0.002, points.shape)


@pytest.mark.parametrize("floor", [True, False])
@pytest.mark.parametrize("up", UP)
def test_a_room_that_stands_askew_to_the_axes_tells_which_is_up(up, floor):
    found = ways(turned(about(box(np.random.default_rng(1), floor), 25.0), up))
    assert {way.strip("-") for way in found} == {up.strip("-")}


@pytest.mark.parametrize("floor", [True, False])
@pytest.mark.parametrize("up", UP)
def test_a_room_along_the_axes_keeps_the_true_one_among_those_that_may_be_up(up, floor):
    found = ways(turned(box(np.random.default_rng(2), floor), up))
    axes = {way.strip("-") for way in found}
    assert up.strip("-") in axes or ("x" in up and found[0] == "z")  # no program has x up in a room
    if up == "z":
        assert found == ("z",)


@pytest.mark.parametrize("up", ["z", "y", "-y", "x", "-x"])
def test_a_wall_by_itself_keeps_the_true_axis_among_those_that_may_be_up(up):
    found = ways(turned(lone(np.random.default_rng(3), 4.0, 2.6), up))
    assert up.strip("-") in {way.strip("-") for way in found}
    if up == "z":
        assert found == ("z",)


# --- before a camera: x to the right, y down, z away from it -----------------------------------------------

OPENING = (
    0.79  # half of what a depth camera takes in, as a slope: 77 degrees (from memory: 70 to 90 are usual)
)


def frame(random, width: float, height: float, floor: bool = False, ceiling: bool = False) -> np.ndarray:
    """What a camera 2.5 m before a wall sees of it, `width` by `height` of it."""
    low, high = -height / 2, height / 2
    faces = [rectangle(random, (-width / 2, 2.5, low), (width, 0, 0), (0, 0, height), 900)]
    if floor:
        faces.append(rectangle(random, (-width / 2, 1.9, low), (width, 0, 0), (0, 0.6, 0), 900))
    if ceiling:
        faces.append(rectangle(random, (-width / 2, 1.9, high), (width, 0, 0), (0, 0.6, 0), 900))
    points = np.concatenate(faces)
    return turned(points + random.normal(0, 0.003, points.shape), "-y")


@pytest.mark.parametrize(("floor", "ceiling"), [(False, False), (True, False), (True, True)])
def test_a_camera_held_level_has_its_y_down(floor, ceiling):
    assert ways(frame(np.random.default_rng(4), 3.0, 2.0, floor, ceiling)) == ("-y",)


def test_what_a_camera_looks_along_is_never_up():
    """Side walls and floor in the picture stand along its depth as well as those of a room do."""
    random = np.random.default_rng(5)
    side = rectangle(random, (0.6, 0.9, -1.0), (0, 3.0, 0), (0, 0, 1.9), 900)
    floor = rectangle(random, (-0.2, 1.8, -1.0), (0.8, 0, 0), (0, 2.1, 0), 900)
    found = ways(turned(np.concatenate([side, floor]), "-y"))
    assert found[0] == "-y"
    assert not {"z", "-z"} & set(found)


def test_a_camera_that_may_lie_on_its_side_is_asked_for():
    random = np.random.default_rng(6)
    level = frame(random, 2.0, 3.0, floor=True, ceiling=True)  # a high picture of a whole wall
    assert ways(level)[0] == "-y"
    on_its_side = level[:, [1, 0, 2]] * [1, -1, 1]  # floor and ceiling, or a wall to either side
    assert {"-y", "x", "-x"} == set(ways(on_its_side))
    bare = frame(random, 3.0, 1.9)[:, [1, 0, 2]] * [
        1,
        -1,
        1,
    ]  # 3 m up and down, and neither floor nor ceiling
    found = ways(bare)
    assert {"x", "-x", "-y"} == set(found)
    assert found[0] in ("x", "-x")  # so much of a height shows one of them


def test_a_floor_at_one_end_tells_which_end_is_down():
    found = ways(frame(np.random.default_rng(7), 3.0, 1.9, floor=True)[:, [1, 0, 2]] * [1, -1, 1])
    assert found[0] == "-x"  # what was y, down, is x


@examples(12)
@given(
    width=st.floats(2.2, 3.2), height=st.floats(1.6, 2.1), yaw=st.floats(-12, 12), pitch=st.floats(-12, 12),
    seed=st.integers(0, 2**32 - 1),
)  # fmt: skip
def test_a_camera_held_by_hand_keeps_its_y_among_the_ways_up(width, height, yaw, pitch, seed):
    points = frame(np.random.default_rng(seed), width, height, floor=True)
    for first, second, degrees in ((0, 2, yaw), (1, 2, pitch)):
        c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
        one, other = points[:, first].copy(), points[:, second].copy()
        points[:, first], points[:, second] = c * one + s * other, c * other - s * one
    seen = (np.abs(points[:, :2]) < OPENING * points[:, 2:]).all(axis=1)  # turned aside, it loses an edge
    found = ways(points[seen])
    assert "-y" in found
    assert "z" not in found
