"""Planes and litres over many drawn faces, against the exact plane of each."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from drawn_faces import draw_between, drawn_litres

import mytakeoff as mt
from mytakeoff.simulation.faces import DrawnFaces
from mytakeoff.simulation.planes_over_faces import (
    chance_over,
    proudest_mm,
    quantile,
)
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings

WALL = mt.Wall("A", 3.0, 2.4, openings=(mt.Opening("door", 1.9, 0.0, 0.8, 2.0),))


def between_of(ceiling: bool = False) -> DrawnFaces:
    rng = np.random.default_rng(5)
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.1, 3, 0.5), np.arange(0.1, 2.4, 0.5)))
    survey = mt.Survey.from_readings(WALL, x, z, np.round(3 * x + rng.normal(0, 4, x.size)))
    surface = mt.grid_surface(survey, 0.1)
    readings = Readings(survey.x_m, survey.z_m, survey.proud_mm)
    lid = surface.proud_mm + 1.0 if ceiling else None
    return draw_between(surface, np.zeros_like(surface.proud_mm), readings, draws=24, ceiling_mm=lid)


RULES = (
    mt.PlaneRule(least_mm=8.0),
    mt.PlaneRule(least_mm=8.0, rails_x_m=(0.15, 1.5, 2.85), rail_least_mm=14.0),
    mt.PlaneRule(least_mm=8.0, turn_mm_per_m=2.0),
    mt.PlaneRule(least_mm=8.0, turn_mm_per_m=0.0, turn_limit_mm_per_m=1.0),
    mt.PlaneRule(least_mm=8.0, plumb=False),
    mt.PlaneRule(
        least_mm=8.0, plumb=False, lean_limit_mm_per_m=3.0, rails_x_m=(0.15, 1.5), rail_least_mm=14.0
    ),
    mt.PlaneRule(least_mm=8.0, cut_mm=3.0),
)


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize("ceiling", [False, True])
def test_litres_are_those_of_each_faces_own_plane(rule, ceiling):
    drawn_faces = between_of(ceiling)
    drawn = drawn_litres(drawn_faces, rule)
    x, z, known = drawn_faces.surface.x_m, drawn_faces.surface.z_m, drawn_faces.surface.known_area_m2 > 0
    uppers = np.concatenate([faces.sound_mm + faces.nibs_mm for faces in drawn_faces.faces])
    uppers = uppers.reshape(drawn_faces.proud_mm.shape)
    for face, upper, litres in list(zip(drawn_faces.proud_mm, uppers, drawn.litres, strict=True))[::6]:
        field, over = (np.where(known, mm.astype(float), np.nan) for mm in (face, upper))
        over = np.minimum(over, drawn_faces.surface.proud_mm + 1.0) if ceiling else over
        shown = Surface.from_grid(WALL, x, z, over)
        build_up = mt.full_coat(shown, mt.target_plane(shown, rule), rule)
        hidden = np.nansum((over - field) * shown.cell_area_m2)
        assert litres == pytest.approx(build_up.volume_l + hidden, abs=1e-6)


def test_the_share_that_is_stayed_within():
    values = np.array([5.0, 1.0, 3.0])
    assert quantile(values, np.array([0.2, 0.2, 0.6]), 0.5) == 3.0
    assert quantile(values, np.full(3, 1 / 3), 0.99) == 5.0


def test_chances_follow_the_highest_place():
    drawn_faces = between_of()
    plane = mt.target_plane(drawn_faces.surface, RULES[0])
    highest = proudest_mm(drawn_faces, plane)
    over = [chance_over(drawn_faces, plane, thickness) for thickness in (-5.0, 0.0, 5.0, 8.0, 30.0)]
    assert over == sorted(over)
    assert over[3] == pytest.approx((highest > -8.0).mean())
    further = replace(plane, a_mm=plane.a_mm + 4.0)
    assert proudest_mm(drawn_faces, further) == pytest.approx(highest - 4.0, abs=1e-3)
