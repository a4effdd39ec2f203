"""What the elevation works out under the hand, without a server: where things lie, what is beside them."""

from __future__ import annotations

from pathlib import Path
from random import Random
from typing import Any

import pytest

from mytakeoff.panels.elevation import view
from mytakeoff.survey.wall import Opening, Wall

AREA = {"key": "a", "mark": "O1", "shape": "opening", "kind": "opening", "name": "door"}
SOCKET = {"key": "b", "mark": "P1", "shape": "socket", "kind": "fitting", "name": "socket"}


@pytest.fixture
def sums(page: Any) -> Any:
    """An empty page that knows what the drawing works out."""
    for name in ("shapes.js", "measures.js", "hand.js"):
        page.add_script_tag(path=Path(view.__file__).with_name(name))
    return page


def drawn_at_random(random: Random) -> tuple[Wall, Opening]:
    """A wall and an opening on it, to the tenth of a millimetre as feet and inches make them."""
    width, height = random.randint(3000, 90000) / 1e4, random.randint(3000, 40000) / 1e4
    wide, high = random.randint(100, round(width * 1e4)) / 1e4, random.randint(100, round(height * 1e4)) / 1e4
    x, z = random.random() * (width - wide), random.random() * (height - high)
    opening = Opening("door", round(x, 4), round(z, 4), wide, high)
    wide, high = min(wide, width - opening.x_m), min(high, height - opening.z_m)
    return Wall("A", width, height), Opening("door", opening.x_m, opening.z_m, wide, high)


def moved(page: Any, how: str, wall: Wall, opening: Opening, *more: Any) -> Opening:
    """The opening as a function of the page puts it; the wall takes it or this fails."""
    thing = {**AREA, "x": opening.x_m, "z": opening.z_m, "w": opening.width_m, "h": opening.height_m}
    size = {"width": wall.width_m, "height": wall.height_m}
    put = thing | page.evaluate(f"([thing, more, wall]) => {how}(thing, ...more, wall)", [thing, more, size])
    made = Opening("door", put["x"], put["z"], put["w"], put["h"])
    Wall("A", wall.width_m, wall.height_m, (made,))
    return made


def is_whole(metres: float) -> bool:
    return abs(metres * 100 - round(metres * 100)) < 1e-6


def test_wherever_a_hand_drags_it_a_thing_stays_on_its_wall(sums):
    random = Random(5)
    for _ in range(150):
        wall, opening = drawn_at_random(random)
        by = [random.uniform(-9, 9), random.uniform(-4, 4)]
        there = moved(sums, "movedBy", wall, opening, by)
        assert (there.width_m, there.height_m) == (opening.width_m, opening.height_m)
        may_be = (
            0.0,
            wall.width_m - opening.width_m,
            opening.x_m,
        )  # the ends, or less than half a centimetre
        assert is_whole(there.x_m) or min(abs(place - there.x_m) for place in may_be) < 2e-6


def test_a_side_that_is_drawn_leaves_the_other_where_it_was(sums):
    random = Random(6)
    for _ in range(150):
        wall, opening = drawn_at_random(random)
        grip = random.choice(["l", "r", "t", "b", "tl", "tr", "bl", "br"])
        by = [random.uniform(-9, 9), random.uniform(-4, 4)]
        sized = moved(sums, "sizedBy", wall, opening, grip, by)
        right, top = opening.x_m + opening.width_m, opening.z_m + opening.height_m
        if "l" in grip:
            assert sized.x_m + sized.width_m == pytest.approx(right, abs=2e-6)
        else:
            assert sized.x_m == opening.x_m
        if "b" in grip:
            assert sized.z_m + sized.height_m == pytest.approx(top, abs=2e-6)
        else:
            assert sized.z_m == opening.z_m
        if not {"l", "r"} & set(grip):
            assert sized.width_m == opening.width_m


def test_what_the_hand_leaves_alone_keeps_its_millimetres(sums):
    wall, opening = Wall("A", 4.0, 2.5), Opening("door", 1.234, 0.567, 0.812, 1.0)
    level = moved(sums, "movedBy", wall, opening, [0.301, 0.004])
    assert (level.x_m, level.z_m) == (1.54, 0.567)  # 1.234 + 0.301 is 1.535: snapped; 4 mm are none
    by_keys = sums.evaluate("([thing, wall]) => movedBy(thing, [0.01, 0], wall, false)", [
        {**AREA, "x": 1.234, "z": 0.567, "w": 0.812, "h": 1.0}, {"width": 4.0, "height": 2.5}])  # fmt: skip
    assert by_keys == {"x": 1.244, "z": 0.567}


def test_measures_are_to_the_ends_the_floor_and_what_stands_level(sums):
    """A door of 0.8 m at 2.0 m; a socket at 1.0 m, 0.45 m up: 1.0 m between, 0.2 m to the end of 3.0 m."""
    door = {**AREA, "x": 2.0, "z": 0.0, "w": 0.8, "h": 2.0}
    socket = {**SOCKET, "x": 1.0, "z": 0.45}
    wall = {"width": 3.0, "height": 2.5}
    ask = """([thing, things, wall]) => [measuresOf, placeWords]
      .map((each) => each(thing, things, wall, (metres, named) => metres.toFixed(2) + (named ? " m" : "")))"""
    lines, said = sums.evaluate(ask, [door, [door, socket], wall])
    assert sorted(line["words"] for line in lines) == ["0.20", "1.00", "2.00"]
    assert said == ("O1 door: 2.00 m from the left end, on the floor, 0.80 m wide, 2.00 m high, "
                    "1.00 m to socket P1 on the left, 0.20 m to the right end.")  # fmt: skip
    lines, said = sums.evaluate(ask, [socket, [door, socket], wall])
    assert sorted(line["words"] for line in lines) == ["0.45", "1.00", "1.00"]
    assert said == (
        "P1 socket: 1.00 m from the left end, 0.45 m from the floor, 1.00 m to door O1 on the right."
    )


def test_a_laid_edge_keeps_both_ends_on_the_wall(sums):
    """2 m at 45° reach 1.414 m across and down: its left end is no lower than that."""
    reach = 2**0.5
    place = {"x": 0.5, "z": 2.0, "from": [0.5, 2.0], "to": [0.5 + reach, 2.0 - reach], "dots": [[0.5, 2.0]]}
    edge = {"key": "e", "mark": "E1", "shape": "edge", "kind": "straightedge", "gap": None, **place}
    ask = "([edge, wall, by]) => placed(edge, movedBy(edge, by, wall))"
    put = sums.evaluate(ask, [edge, {"width": 4.0, "height": 2.5}, [9.0, -9.0]])
    assert put["to"] == pytest.approx([4.0, 0.0], abs=1e-5)
    assert put["from"] == pytest.approx([put["x"], put["z"]])
    assert put["dots"] == [pytest.approx(put["from"])]
    assert [put["x"], put["z"]] == pytest.approx([4.0 - reach, reach], abs=1e-5)
