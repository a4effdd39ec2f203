"""Readings as they are typed: places come and go, and no reading is lost with them."""

from __future__ import annotations

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.survey.reading_grid import (
    Read,
    TypedGrid,
    TypedList,
    first_grid,
    form_grid,
    with_place,
)

WALL = mt.Wall("A", 3.0, 2.5, (mt.Opening("door", 1.0, 0.0, 0.9, 2.0),))
PLACES = st.floats(0.0, 2.5).map(lambda at: round(at, 3))


def full() -> TypedGrid:
    """Two columns, three heights, everything read but one place and one dash."""
    return TypedGrid((0.5, 1.5), (2.0, 1.0, 0.2), ((1.0, 2.0), (3.0, None), ("-", 6.0)))


def numbers(grid: TypedGrid) -> dict[tuple[float, float], Read]:
    return {grid.place(spot): grid.value(spot) for spot in grid.spots if grid.value(spot) is not None}


def test_a_new_wall_has_the_places_of_the_form_that_is_printed() -> None:
    grid, form = first_grid(WALL), form_grid(WALL)
    assert (grid.x_m, grid.z_m) == (form.x_m, form.z_m)
    assert len(grid.walk(WALL)) == form.count
    assert grid.count == 0


def test_the_walk_goes_down_the_first_column_and_up_the_next_and_leaves_openings_out() -> None:
    grid = TypedGrid.empty((0.5, 1.4, 2.5), (2.3, 1.0))
    assert [grid.place(spot) for spot in grid.walk(WALL)] == [
        (0.5, 2.3), (0.5, 1.0), (1.4, 2.3), (2.5, 2.3), (2.5, 1.0),
    ]  # fmt: skip
    held = grid.with_read((1, 1), 7.0)  # read on the leaf of the door all the same: it stays in reach
    assert (1, 1) in held.walk(WALL)


@examples(60)
@given(st.lists(st.tuples(st.booleans(), PLACES), max_size=8))
def test_places_added_keep_every_reading_where_it_was(added: list[tuple[bool, float]]) -> None:
    grid = full()
    for across, at_m in added:
        grid = grid.with_column(at_m) if across else grid.with_row(at_m)
    assert numbers(grid) == numbers(full())
    assert list(grid.x_m) == sorted(grid.x_m)
    assert list(grid.z_m) == sorted(grid.z_m, reverse=True)
    assert {len(row) for row in grid.read} == {len(grid.x_m)}


def test_a_column_that_is_moved_takes_its_readings_along() -> None:
    moved = full().moved_column(0, 2.2).moved_row(0, 0.6)
    assert numbers(moved) == {
        (2.2, 0.6): 1.0, (1.5, 0.6): 2.0, (2.2, 1.0): 3.0, (2.2, 0.2): "-", (1.5, 0.2): 6.0,
    }  # fmt: skip
    with pytest.raises(mt.TakeoffError, match="there is one already"):
        full().moved_column(0, 1.5)
    assert full().moved_column(0, 0.5) == full()


def test_no_reading_is_lost_with_its_place() -> None:
    with pytest.raises(mt.TakeoffError, match="3 of its places are read"):
        full().without_column(0)
    with pytest.raises(mt.TakeoffError, match="1 of its places are read"):
        full().with_read((1, 0), None).with_read((1, 1), 4.0).without_row(1)
    assert full().with_column(2.0).without_column(2) == full()
    assert full().with_row(1.4).without_row(1) == full()
    with pytest.raises(mt.TakeoffError, match="the last one"):
        TypedGrid.empty((0.5,), (1.0, 2.0)).without_column(0)


def test_a_list_keeps_its_order_and_takes_a_place_once() -> None:
    some = TypedList(((0.5, 2.0, 12.0), (2.5, 0.4, None)))
    more = with_place(with_place(some, WALL, 2.5, 1.0), WALL, 0.5, 2.0)
    assert isinstance(more, TypedList)
    assert [place[:2] for place in more.places] == [(0.5, 2.0), (2.5, 0.4), (2.5, 1.0)]
    assert more.walk(WALL) == ((0, 0), (1, 0), (2, 0))
    assert more.with_read((1, 0), 3.0).count == 2


@pytest.mark.parametrize(("x_m", "z_m"), [(3.2, 1.0), (1.0, 2.6), (-0.1, 1.0)])
def test_a_place_off_the_wall_is_refused(x_m: float, z_m: float) -> None:
    with pytest.raises(mt.TakeoffError, match="it reaches from 0 to"):
        with_place(full(), WALL, x_m, z_m)


def test_a_list_whose_places_fill_columns_and_rows_is_laid_out_in_them() -> None:
    corners = tuple((x, z, x + z) for x in (0.5, 2.5) for z in (0.4, 2.0))
    assert TypedList(corners).laid_out == TypedGrid((0.5, 2.5), (2.0, 0.4), ((2.5, 4.5), (0.9, 2.9)))
    alone = TypedList(((0.5, 0.4, 1.0), (1.5, 1.0, 2.0), (2.5, 2.0, 3.0)))
    assert alone.laid_out == alone
