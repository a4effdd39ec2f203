"""Edits from two sides: the rules that stand at the top of `three_way`, one by one."""

from __future__ import annotations

from copy import deepcopy
from decimal import Decimal

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.io.files.three_way import Clash, known_again, reconciled


def spot(x_m: float, z_m: float, off_line_mm: float) -> dict:
    return {"x_m": x_m, "z_m": z_m, "off_line_mm": off_line_mm}


def socket(name: str, x_m: float, kind: str = "socket") -> dict:
    return {"name": name, "kind": kind, "x_m": x_m, "z_m": 0.45, "other_face": False}


def merged(opened, now, file) -> tuple:
    """What comes out, and the clashes."""
    clashes: list[Clash] = []
    before = deepcopy((opened, now, file))
    said = reconciled(opened, now, file, clashes, ("list",))
    assert (opened, now, file) == before  # nothing that was given is written to
    return said, clashes


LEFT, RIGHT = spot(0.4, 1.2, 9.0), spot(1.6, 0.3, 7.0)


@pytest.mark.parametrize(
    ("now", "file", "comes_out"),
    [
        ([RIGHT], [LEFT, {**RIGHT, "off_line_mm": 6.0}], [{**RIGHT, "off_line_mm": 6.0}]),
        ([LEFT, {**RIGHT, "off_line_mm": 6.0}], [RIGHT], [{**RIGHT, "off_line_mm": 6.0}]),
        ([RIGHT], [LEFT, spot(1.65, 0.3, 7.0)], [spot(1.65, 0.3, 7.0)]),
        ([LEFT], [RIGHT], []),
        ([LEFT, RIGHT, spot(1.0, 1.0, 5.0)], [RIGHT], [RIGHT, spot(1.0, 1.0, 5.0)]),
        ([RIGHT, LEFT], [LEFT, RIGHT, spot(1.0, 1.0, 5.0)], [RIGHT, LEFT, spot(1.0, 1.0, 5.0)]),
        ([LEFT, RIGHT, spot(1.0, 1.0, 5.0)], [LEFT, RIGHT, spot(1.0, 1.0, 5.0)],
         [LEFT, RIGHT, spot(1.0, 1.0, 5.0)]),
        ([spot(0.45, 1.2, 9.0), RIGHT], [LEFT, {**RIGHT, "off_line_mm": 6.0}],
         [spot(0.45, 1.2, 9.0), {**RIGHT, "off_line_mm": 6.0}]),
    ],
)  # fmt: skip
def test_tables_without_a_name_are_known_by_their_place(now, file, comes_out):
    said, clashes = merged([LEFT, RIGHT], now, file)
    assert (said, clashes) == (comes_out, [])


@pytest.mark.parametrize(
    ("opened", "now", "file", "comes_out"),
    [
        ([LEFT], [{**LEFT, "off_line_mm": 8.0}], [spot(0.5, 1.2, 9.0)], [{**LEFT, "off_line_mm": 8.0}]),
        ([], [spot(1.0, 1.0, 5.0)], [spot(1.0, 1.0, 6.0)], [spot(1.0, 1.0, 5.0)]),
        ([LEFT], [spot(1.0, 1.0, 9.0)], [LEFT, spot(1.0, 1.0, 6.0)], [spot(1.0, 1.0, 9.0)]),
        ([LEFT, RIGHT], [LEFT, spot(1.0, 1.0, 7.0)], [spot(1.0, 1.0, 9.0), RIGHT], [spot(1.0, 1.0, 7.0)]),
        ([LEFT, RIGHT], [RIGHT], [{**LEFT, "off_line_mm": 8.0}, RIGHT], [RIGHT]),
        ([LEFT, RIGHT], [{**LEFT, "off_line_mm": 8.0}, RIGHT], [RIGHT],
         [{**LEFT, "off_line_mm": 8.0}, RIGHT]),
    ],
)  # fmt: skip
def test_never_two_at_one_place_and_what_gives_way_is_told(opened, now, file, comes_out):
    said, clashes = merged(opened, now, file)
    assert sorted(said, key=str) == sorted(comes_out, key=str)
    assert len(clashes) == 1
    assert clashes[0].words.endswith("saved as it is here")


def test_edges_in_two_directions_from_one_place_both_stay():
    level, upright = (
        {"x_m": 0.0, "z_m": 0.1, "direction": way, "gap_mm": 3.0} for way in ("level", "upright")
    )
    assert merged([], [level], [upright]) == ([upright, level], [])


def test_fittings_of_one_name_are_told_apart_by_their_place():
    two = [socket("socket", 0.5), socket("socket", 3.0)]
    moved_right = [two[0], socket("socket", 3.2)]
    assert merged(two, two[1:], moved_right) == ([moved_right[1]], [])
    assert merged(two, [*two, socket("socket", 1.0)], moved_right)[0] == [*moved_right, socket("socket", 1.0)]
    added = merged(two, [*two, socket("socket", 1.0)], [*two, socket("socket", 2.0)])
    assert added == ([*two, socket("socket", 2.0), socket("socket", 1.0)], [])


def test_what_was_renamed_on_one_side_and_moved_on_the_other_is_one_thing():
    was, named, moved = socket("socket", 0.5), socket("by the door", 0.5), socket("socket", 0.7)
    both = [socket("by the door", 0.7)]
    assert merged([was], [named], [moved]) == (both, [])
    assert merged([was], [moved], [named]) == (both, [])
    room = {"name": "loft", "floor_area_m2": 8.0, "storey": 3}
    said = merged([room], [{**room, "name": "attic"}], [{**room, "storey": 4}])
    assert said == ([{**room, "name": "attic", "storey": 4}], [])


def test_a_thing_of_another_kind_at_the_same_place_is_another_thing():
    was, lamp = socket("socket", 0.5), socket("lamp", 0.5, "light")
    said, clashes = merged([was], [lamp], [socket("socket", 0.7)])
    assert said == [lamp]
    assert [clash.here for clash in clashes] == [None]  # the socket was taken out here, moved there


def test_a_price_goes_with_its_unit():
    row = {"item": "rail", "unit": "m", "price": Decimal("0.90"), "note": ""}
    here, there = (
        {**row, "price": Decimal("1.00")},
        {**row, "unit": "piece", "price": Decimal("2.70"), "note": "a"},
    )
    said, clashes = merged([row], [here], [there])
    assert said == [{**here, "note": "a"}]
    assert clashes[0].words == (
        "list 'rail': unit m, price 1.00 here, "
        "unit piece, price 2.70 in the file by then; saved as it is here"
    )
    assert merged([row], [{**row, "note": "b"}], [there]) == (
        [{**there, "note": "b"}], [Clash(("list 'rail'", "note"), "b", "a")],
    )  # fmt: skip


def test_another_survey_file_takes_all_that_is_said_of_it():
    was = {"file": "a.csv", "plumb": True, "swept": False}
    said, clashes = merged(was, {**was, "file": "b.csv"}, {**was, "plumb": False})
    assert said == {**was, "file": "b.csv"}
    assert len(clashes) == 1
    assert merged(was, {**was, "swept": True}, {**was, "plumb": False})[0] == {
        "file": "a.csv", "plumb": False, "swept": True,
    }  # fmt: skip


def test_of_several_that_were_corrected_each_is_the_nearest():
    before = [spot(0.2, 1.0, 1.0), spot(1.0, 1.0, 2.0), spot(1.8, 1.0, 3.0)]
    assert known_again(before, [spot(1.7, 1.0, 4.0), spot(0.3, 1.0, 5.0)]) == [2, 0]
    assert known_again(before, [before[2], before[0], spot(9.0, 1.0, 1.0)]) == [2, 0, 1]


PLACES = st.sampled_from([0.2, 0.6, 1.0, 1.4, 1.8])
SPOTS = st.lists(st.builds(spot, PLACES, st.just(1.0), st.integers(1, 3)), max_size=4,
                 unique_by=lambda one: one["x_m"])  # fmt: skip


@examples(300)
@given(SPOTS, SPOTS, SPOTS)
def test_any_edits_of_places(opened, now, file):
    said, clashes = merged(opened, now, file)
    places = [one["x_m"] for one in said]
    assert len(places) == len(set(places))
    for one in (*now, *file):  # all that a side entered is there, unless it is told
        told = any(one in (clash.here, clash.there) for clash in clashes)
        untouched = one in opened  # the other side may have taken it out or corrected it
        assert one in said or told or untouched
    for one in opened:  # what one side took out or corrected, and the other left alone
        assert one in said or one not in now or one not in file
        assert one not in said or (one in now and one in file)
    assert merged(opened, now, opened) == (now, [])
    assert merged(opened, opened, file) == (file, [])
    assert merged(opened, now, now) == (now, [])
    turned, others = merged(opened, file, now)
    if not clashes:
        assert (sorted(turned, key=str), others) == (sorted(said, key=str), [])
