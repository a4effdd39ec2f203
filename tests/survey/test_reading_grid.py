"""Places to read on a form: on the wall, clear of openings, no further apart than asked."""

from __future__ import annotations

import itertools

import pytest
from effort import examples
from hypothesis import given, reject
from hypothesis import strategies as st

from mytakeoff import Opening, TakeoffError, Wall
from mytakeoff.survey.reading_grid import CLEAR_M, form_grid

CM = st.integers(0, 400).map(lambda cm: cm / 100)
SIZES = st.floats(0.6, 7.0).map(lambda m: round(m, 2))


@st.composite
def walls(draw) -> Wall:
    width, height = draw(SIZES), draw(SIZES)
    openings = []
    for nth in range(draw(st.integers(0, 3))):
        x, z = (round(draw(st.floats(0, size - 0.25)), 2) for size in (width, height))
        size = [round(draw(st.floats(0.2, 1.5)), 2) for _ in range(2)]
        wide, tall = min(size[0], width - x), min(size[1], height - z)
        openings.append(Opening(f"o{nth}", x, z, wide, tall))
    return Wall("north", width, height, openings)


@examples(150)
@given(wall=walls(), step=st.sampled_from([0.25, 0.4, 0.5, 1.0]))
def test_places_are_on_the_wall_clear_of_openings_and_close_enough(wall, step):
    try:
        grid = form_grid(wall, step)
    except TakeoffError:
        reject()  # openings that leave nothing; told apart below
    for along, size in ((grid.x_m, wall.width_m), (grid.z_m[::-1], wall.height_m)):
        assert list(along) == sorted(set(along))
        assert along[0] >= 0
        assert along[-1] <= size
        assert max(b - a for a, b in itertools.pairwise(along)) <= step + 2 * CLEAR_M + 0.011
    for (row, z), (column, x) in itertools.product(enumerate(grid.z_m), enumerate(grid.x_m)):
        beside = [
            max(o.x_m - x, x - o.x_m - o.width_m, o.z_m - z, z - o.z_m - o.height_m) for o in wall.openings
        ]
        near = min(beside, default=1.0)
        assert near > CLEAR_M - 0.011 if grid.clear[row][column] else near < CLEAR_M


def test_each_pier_and_the_strip_over_a_door_has_a_place():
    door, window = Opening("door", 0.35, 0.0, 0.8, 2.0), Opening("window", 1.55, 0.9, 1.1, 1.2)
    grid = form_grid(Wall("north", 3.0, 2.4, (door, window)), 1.0)
    strips = [(0.0, 0.35), (1.15, 1.55), (2.65, 3.0)]
    for low, high in strips:
        columns = [n for n, x in enumerate(grid.x_m) if low < x < high]
        assert any(all(row[n] for row in grid.clear) for n in columns)
    over = [row for z, row in zip(grid.z_m, grid.clear, strict=True) if z > 2.1]
    assert over
    assert all(all(row) for row in over)


@pytest.mark.parametrize(
    ("wall", "step", "words"),
    [
        (Wall("north", 3.0, 2.4), 0.01, "0.05 to 2 m apart"),
        (Wall("north", 3.0, 2.4), float("nan"), "0.05 to 2 m apart"),
        (Wall("north", 1.0, 2.0, (Opening("door", 0.05, 0.0, 0.9, 2.0),)), 0.5, "places to read"),
    ],
)
def test_slips(wall, step, words):
    with pytest.raises(TakeoffError, match=words):
        form_grid(wall, step)
