"""What a wall asks beyond what carries it: counted cell by cell, and told where the price is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from effort import examples
from hand import SKIMMED, entry_of, flat, one_wall, result_of
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.audience import CLIENT
from mytakeoff.coats.coats import layers
from mytakeoff.figures.in_words import overloaded
from mytakeoff.job.catalogue import CEMENT_LIME, LIGHT_GYPSUM
from mytakeoff.panels.parts import words
from mytakeoff.result import Result
from mytakeoff.treatment.notices import overload, wall_notices


def wall_of(thickness_mm, system=SKIMMED, background="brick"):  # which carries 35 and 2 mm
    """A wall of 3 × 2.5 m whose 200 equal cells have these thicknesses, and its job."""
    job, wall = one_wall(mm=10.0, system=system, background=background)
    thickness = np.asarray(thickness_mm, dtype=float).reshape(10, 20)
    build_up = replace(wall.build_up, thickness_mm=thickness)
    return job, replace(wall, build_up=build_up, layers=layers(build_up, system))


@given(deep=st.integers(0, 200) | st.just(20) | st.just(21), mm=st.floats(37.5, 140))
@examples(60)
def test_a_wall_is_overloaded_where_over_a_tenth_of_its_cells_are(deep, mm):
    _, wall = wall_of(np.where(np.arange(200) < deep, mm, 12.0))
    found = overload(wall)
    assert (found is not None) == (deep > 20)
    if found is not None:
        assert found.share == pytest.approx(deep / 200)
        assert found.limit_mm == 37.0
        assert found.max_mm == pytest.approx(mm)


def test_the_estimator_reads_under_the_price_which_wall_cannot_be_plastered_and_the_client_does_not():
    job, wall = wall_of(np.where(np.arange(200) < 50, 126.0, 12.0))
    fine = flat(job, entry_of(mt.Wall("B", 3.0, 2.5)), 12.0)
    both = replace(job, walls=(wall.entry, fine.entry))
    result = result_of(both, wall, fine)
    [found] = result.overloaded_walls
    assert (found.wall, found.limit_mm) == ("A", 37.0)  # 35 mm of backing, 2 mm of finish
    assert (found.share, found.area_m2) == pytest.approx((0.25, 7.5 / 4))
    [said] = overloaded(result)
    assert said.startswith("A cannot be plastered as priced: 25 % of it is thicker than the 37 mm that ")
    assert "up to 126 mm" in said
    assert "cannot be plastered" in words.headline(result)
    assert "cannot be plastered" not in words.headline(result, CLIENT)


def test_nothing_is_said_of_walls_that_are_carried():
    job, wall = wall_of(np.full(200, 36.0), background="brick")
    assert Result(job, (flat(job, wall.entry, 20.0),), (), None).overloaded_walls == ()


@pytest.mark.parametrize(("mix", "mm"), [(LIGHT_GYPSUM, (10.0, 20.0)), (CEMENT_LIME, (9.0, 20.0))])
def test_a_wall_that_goes_from_one_coat_to_two_is_no_problem(mix, mm):
    _, wall = wall_of(np.linspace(*mm, 200), mt.System(mix))
    assert max(layer.coats.unsplit_area_m2 for layer in wall.layers) > 0.1
    assert not [notice for notice in wall_notices(wall) if "coats" in notice]
