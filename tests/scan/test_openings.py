"""What a hole in a scanned wall is called: by what it can be. Sizes are common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest
from clouds import rectangle

from mytakeoff.scan.openings import is_gap, proposed_openings

SIZE = (5.0, 2.6)
NOTHING = (np.empty(0), np.empty(0))


def names(*holes: tuple[float, float, float, float]) -> list[str]:
    """What is proposed for a wall with these holes (left, foot, width, height)."""
    points = rectangle(np.random.default_rng(1), (0, 0, 0), (SIZE[0], 0, 0), (0, 0, SIZE[1]), 2500)
    x, z = points[:, 0], points[:, 2]
    there = np.ones(x.size, dtype=bool)
    for left, foot, wide, high in holes:
        there &= ~((x > left) & (x < left + wide) & (z > foot) & (z < foot + high))
    found = proposed_openings(SIZE, (x[there], z[there]), NOTHING, 0.05)
    for one, hole in zip(found, sorted(holes), strict=True):
        assert (one.x_m, one.z_m, one.width_m, one.height_m) == pytest.approx(hole, abs=0.06)
        assert is_gap(one) == ("nothing seen" in one.name)
    return [one.name for one in found]


@pytest.mark.parametrize(
    ("hole", "name"),
    [
        ((1.0, 0.0, 0.8, 2.0), "door 1"),
        ((1.0, 0.0, 1.8, 2.1), "door 1"),
        ((1.0, 0.9, 1.2, 1.2), "window 1"),
        ((1.0, 2.0, 0.5, 0.4), "window 1"),
        ((1.0, 0.0, 0.75, 0.42), "gap 1, nothing seen"),  # at the floor, and nobody walks through it
        ((1.0, 0.0, 0.42, 2.0), "gap 1, nothing seen"),
        ((0.8, 0.0, 3.2, 2.3), "gap 1, nothing seen"),
        ((1.0, 1.4, 0.8, 1.2), "gap 1, nothing seen"),  # as far up as anything was seen
        ((0.0, 1.0, 0.8, 1.0), "gap 1, nothing seen"),  # at the end of what was seen
    ],
)
def test_a_hole_is_called_what_it_can_be(hole, name):
    assert names(hole) == [name]


def test_holes_are_counted_from_left_to_right_whatever_they_are():
    assert names((0.5, 0.0, 0.8, 2.0), (2.0, 0.0, 0.75, 0.42), (3.2, 1.0, 1.0, 1.0)) == [
        "door 1",
        "gap 2, nothing seen",
        "window 3",
    ]
