"""The edge over the worst gap: against its definition, and its uncertainty against Monte Carlo."""

from __future__ import annotations

import edge_oracle
import finished_walls
import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from oracles import grid_of, rough_wall

import mytakeoff as mt
from mytakeoff.acceptance.resting_edge import RestingEdge, worst_bulge, worst_hollow
from mytakeoff.flatness.edge_lines import EdgeRule

seeds = st.integers(0, 10_000)


def small_wall(seed: int) -> mt.Surface:
    proud = rough_wall(seed, nx=9, nz=7, noise=4.0)
    random = np.random.default_rng(seed)
    proud[random.integers(7), random.integers(9)] = np.nan
    return grid_of(proud)


def cell(surface: mt.Surface, x_m: float, z_m: float) -> tuple[int, int]:
    return int(np.argmin(abs(surface.z_m - z_m))), int(np.argmin(abs(surface.x_m - x_m)))


@given(seeds, st.sampled_from([0.3, 0.5, 2.0]))
@examples(40)
def test_it_is_the_greatest_gap_of_the_definition_and_rests_where_it_says(seed, length):
    surface = small_wall(seed)
    found = worst_hollow(surface, (EdgeRule(length, 3.0),))
    by_definition = edge_oracle.gap(surface.proud_mm, 0.1, 0.1, length)
    assert found.gap_mm == pytest.approx(np.nanmax(by_definition))
    place, (first, second) = cell(surface, found.x_m, found.z_m), found.ends_m
    assert by_definition[place] == pytest.approx(found.gap_mm)
    heights = surface.proud_mm
    chord = found.share * heights[cell(surface, *first)] + (1 - found.share) * heights[cell(surface, *second)]
    assert chord - heights[place] == pytest.approx(found.gap_mm)
    # the share is that of the lever, and the edge reaches no further than it is long
    reach, beyond = (
        np.hypot(*np.subtract(second, first)),
        np.hypot(*np.subtract(second, (found.x_m, found.z_m))),
    )
    assert reach <= length + 1e-9
    assert found.share == pytest.approx(beyond / reach)


@given(seeds)
@examples(20)
def test_of_several_edges_the_one_most_over_its_own_tolerance_counts(seed):
    surface, rules = small_wall(seed), (EdgeRule(0.3, 1.0), EdgeRule(0.6, 4.0), EdgeRule(2.0, 9.0))
    over = {
        rule: np.nanmax(edge_oracle.gap(surface.proud_mm, 0.1, 0.1, rule.length_m)) - rule.tolerance_mm
        for rule in rules
    }
    found = worst_hollow(surface, rules)
    assert found.over_mm == pytest.approx(max(over.values()))
    assert found.rule == max(over, key=over.get)


@pytest.mark.parametrize(("first", "last", "at"), [(0, 8, 4), (0, 8, 1), (2, 5, 4)])
def test_its_uncertainty_is_what_readings_scatter_it_by(first, last, at):
    """Monte Carlo (JCGM 101:2008) of a gap between three heights that are each off by 0.6 mm."""
    random = np.random.default_rng(7)
    ends, middle = 0.6 * random.standard_normal((2, 200_000)), 0.6 * random.standard_normal(200_000)
    share = (last - at) / (last - first)
    gaps = share * ends[0] + (1 - share) * ends[1] - middle
    edge = RestingEdge(EdgeRule(2.0, 3.0), 1.0, share=share)
    assert edge.uncertainty_mm(0.6) == pytest.approx(gaps.std(), rel=0.01)


def test_where_readings_are_interpolated_it_is_an_upper_bound_and_no_wild_one():
    """The same gap, at the same place under the same edge, on faces through readings off by 0.6 mm each."""

    def face(x, z):
        return finished_walls.dish(x, z, (2.0, 1.25), 0.9, 6.0)

    true = mt.grid_surface(finished_walls.read(face, 0.25), 0.05)
    edge = worst_hollow(true, (EdgeRule(2.0, 3.0),))
    gaps = []
    for seed in range(150):
        heights = mt.grid_surface(finished_walls.read(face, 0.25, 0.6, seed), 0.05).proud_mm
        ends = [heights[cell(true, *end)] for end in edge.ends_m]
        chord = edge.share * ends[0] + (1 - edge.share) * ends[1]
        gaps.append(chord - heights[cell(true, edge.x_m, edge.z_m)])
    assert np.mean(gaps) == pytest.approx(edge.gap_mm, abs=0.15)
    assert 0.5 * edge.uncertainty_mm(0.6) < np.std(gaps) <= edge.uncertainty_mm(0.6) * 1.05


def test_an_arc_shows_the_gap_of_its_radius():
    # a hollow arc of radius R shows L²/(8R) under an edge of length L
    x = (np.arange(200) + 0.5) * 0.02
    surface = mt.Surface.from_grid(mt.Wall("A", 4.0, 0.1), x, [0.05], [(x - 2.0) ** 2 / (2 * 100.0) * 1000])
    assert worst_hollow(surface, (EdgeRule(2.0, 3.0),)).gap_mm == pytest.approx(
        2.0**2 / (8 * 100.0) * 1000, rel=0.01
    )
    dome = mt.Surface.from_grid(surface.wall, x, [0.05], -surface.proud_mm)
    assert worst_bulge(dome, EdgeRule(2.0, 3.0)).gap_mm == pytest.approx(5.0, rel=0.03)


def test_a_flat_face_has_no_gap_and_no_place():
    found = worst_hollow(grid_of(np.zeros((5, 5))), (EdgeRule(0.3, 3.0),))
    assert (found.gap_mm, found.ends_m, found.share) == (0.0, (), 0.5)
    assert np.isnan(found.x_m)
