"""The same wall gives the same answer: listed in any order, from the other end, or in inches."""

from __future__ import annotations

from dataclasses import replace
from operator import attrgetter

import numpy as np
import pytest
from effort import examples
from hand import entry_of, job_of
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt

WIDTH_M, HEIGHT_M, INCH_M = 3.0, 2.4, 0.0254
WINDOW = mt.Opening("window", 0.9, 0.9, 0.7, 1.1)


def listed(random, kind):
    """Places and heights as a tradesman lists them: on crossings but some, or off them, or anywhere."""
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.1, 3.0, 0.4), np.arange(0.1, 2.4, 0.55)))
    if kind == "staggered":
        x = np.clip(x + 0.2 * (np.round((z - 0.1) / 0.55) % 2), 0, WIDTH_M)
    if kind == "a little off":
        x, z = (axis + random.integers(-3, 4, x.size) * 0.01 for axis in (x, z))
    if kind == "by the half millimetre":
        x, z = (axis + random.integers(-1, 2, x.size) * 0.0005 for axis in (x, z))
    if kind == "anywhere":
        x, z = random.integers(0, 301, 25) * 0.01, random.integers(0, 241, 25) * 0.01
        _, first = np.unique(np.column_stack([x, z]), axis=0, return_index=True)
        x, z = x[first], z[first]
    kept = random.random(x.size) > 0.2
    kept[:4] = True
    return x[kept], z[kept], random.integers(-12, 13, int(kept.sum())).astype(float)


MEASURED, PRICED = attrgetter("volume_l"), attrgetter("litres")
KINDS = st.sampled_from(["crossings", "staggered", "a little off", "by the half millimetre", "anywhere"])


def survey(x, z, proud, window=WINDOW):
    wall = mt.Wall("A", WIDTH_M, HEIGHT_M, (window,))
    return mt.Survey.from_readings(wall, x, z, proud, layout="list")


def in_inches(metres):
    """Written in exact inches, and read again."""
    return (metres / INCH_M) * INCH_M


def versions(x, z, proud, random):
    """The survey, and the same in another order, in inches, and from the other end."""
    order = random.permutation(x.size)
    other = replace(WINDOW, x_m=WIDTH_M - WINDOW.x_m - WINDOW.width_m)
    return (
        survey(x, z, proud),
        survey(x[order], z[order], proud[order]),
        survey(in_inches(x), in_inches(z), proud / 25.4 * 25.4),
        survey(WIDTH_M - x, z, proud, other),
    )


@given(st.integers(0, 100_000), KINDS)
@examples(120)
def test_the_surface_is_the_same(seed, kind):
    random = np.random.default_rng(seed)
    first, *again, mirrored = (mt.grid_surface(s, 0.05) for s in versions(*listed(random, kind), random))
    turned = mirrored.proud_mm[:, ::-1], mirrored.extended[:, ::-1]
    for proud, extended in (*((one.proud_mm, one.extended) for one in again), turned):
        np.testing.assert_allclose(proud, first.proud_mm, atol=1e-9)
        np.testing.assert_array_equal(extended, first.extended)


@given(st.integers(0, 100_000), KINDS)
@examples(25)
def test_the_litres_are_the_same(seed, kind):
    random = np.random.default_rng(seed)
    results = [
        mt.evaluate(job_of(replace(entry_of(s.wall), survey=s)))
        for s in versions(*listed(random, kind), random)
    ]
    measured, priced = ([each(result) for result in results] for each in (MEASURED, PRICED))
    assert measured == pytest.approx([measured[0]] * 4, abs=0.01)
    assert priced == pytest.approx([priced[0]] * 4, abs=0.01)


def test_a_gap_that_many_readings_surround_takes_the_mean_of_all():
    """Seven on a half circle, beyond them its centre: no four of them are the nearest."""
    turn = np.arange(7) * np.pi / 6
    x, z = 1.5 + np.cos(turn) * 0.5, 1.0 + np.sin(turn) * 0.5
    x, z = np.append(x, [0.2, 2.8]), np.append(z, [2.3, 2.3])
    proud = np.array([9.0, -4.0, 2.0, 7.0, -8.0, 1.0, 5.0, 0.0, 3.0])
    heights = [
        mt.grid_surface(survey(x[order], z[order], proud[order]), 0.04).proud_mm
        for order in (np.arange(9), np.arange(9)[::-1], np.roll(np.arange(9), 4))
    ]
    np.testing.assert_allclose(heights[1], heights[0], atol=1e-9)
    np.testing.assert_allclose(heights[2], heights[0], atol=1e-9)
