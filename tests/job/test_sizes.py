"""Sizes that no building has are told before any work is begun, with what was probably meant."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from demo import demo

import mytakeoff as mt
from mytakeoff.survey.cells import MOST_CELLS

WALL = mt.Wall("north", 4.2, 2.6)
CORNERS = ([0.0, 4.2, 0.0, 4.2], [0.0, 0.0, 2.6, 2.6])

# what was made, what is said of it and what was probably meant; the bounds are common practice, no source
SIZES = [
    (lambda: mt.Wall("north", 4200.0, 2600.0), "width 4200 m; .*write 4.2 if you meant 4200 millimetres"),
    (lambda: mt.Wall("north", 420.0, 2.6), "width 420 m; it is 0.001 to 100 m"),
    (lambda: replace(demo(), cell_m=0.001), "cell_m 0.001 makes 10140000 cells; .*write 0.003 or more"),
    (lambda: replace(demo(), waste_share=12.0), "write 0.12 if you meant 12 per cent"),
    (lambda: replace(demo(), waste_share=0.999999), "10 to 12 % is usual"),
    (lambda: replace(demo(), loose_growth_share=1e9), "loose growth share 1000000000; it is 0 to 3 .300 %."),
    (lambda: replace(demo(), missed_high_spot_mm=1e9), "missed high spot 1000000000 mm"),
    (lambda: replace(demo(), reveal_thickness_mm=-50.0), "reveal thickness -50 mm; it is 0 to 200 mm"),
    (lambda: replace(demo(), built_year=-5), "built year -5; it is a whole number, 800 to 2200"),
    (lambda: replace(demo(), title="  "), "no title; a job has a title"),
    (lambda: replace(demo(), currency=""), "no currency; money is written with its currency"),
    (lambda: mt.Room("hall", storey=999_999_999_999), "storey 999999999999; it is a whole number"),
    (lambda: mt.RailChoice(kerf_mm=-1.0), "kerf -1 mm"),
    (lambda: replace(demo().system.backing, max_coat_mm=0.001), "max coat 0.001 mm; it is 0.2 to 300 mm"),
    (lambda: replace(demo().system.backing, water_l_per_kg=-1.0), "water -1 l/kg"),
    (lambda: replace(demo().system.backing, set_h=-5.0), "set -5 h"),
    (lambda: replace(demo().system.backing, density_kg_per_l=math.inf), "density inf kg/l"),
    (lambda: replace(demo().system.backing, density_kg_per_l=950.0), "write 0.95 if you meant 950 kg/m³"),
    (lambda: replace(demo().walls[0], angle_bead_m=math.nan), "angle bead nan m"),
    (lambda: replace(demo().walls[0], turn_mm_per_m=1e6), "turn 1000000 mm/m; it is -600 to 600 mm/m"),
    (lambda: mt.PlaneRule(turn_mm_per_m=1e6), "turn 1000000 mm/m"),
    (lambda: mt.Survey.from_readings(WALL, *CORNERS, [0, 1e14, 0, 1]), "10000 mm off a plane at most"),
    (lambda: mt.Survey.from_readings(WALL, *CORNERS, [0, 4000, 0, 1]), "from 0 to 4000 mm; .*within 3000 mm"),
]  # fmt: skip


@pytest.mark.parametrize(("make", "words"), SIZES, ids=[words for _, words in SIZES])
def test_a_size_that_no_building_has_is_told_at_once(make, words):
    with pytest.raises(mt.TakeoffError, match=words):
        make()


def test_all_sizes_of_one_thing_are_told_together():
    with pytest.raises(mt.TakeoffError) as told:
        mt.Wall("north", 4200.0, -2.6, skirting_m=9.0)
    assert len(told.value.mistakes) == 3
    assert {one.place for one in told.value.mistakes} == {"wall 'north'"}


def test_numbers_of_numpy_are_numbers():
    assert mt.Wall("north", np.float64(4.2), np.float32(2.5)).height_m == 2.5
    assert mt.Room("hall", storey=np.int64(3)).storey == 3
    with pytest.raises(mt.TakeoffError, match=r"crew 1\.5; it is a whole number"):
        mt.LabourRates(crew=1.5)
    with pytest.raises(mt.TakeoffError, match="crew True"):
        mt.LabourRates(crew=True)


def test_cells_are_counted_before_they_are_made():
    hall = mt.Wall("hall", 60.0, 20.0)
    corners = ([0, 60, 0, 60], [0, 0, 20, 20], [0.0, 1.0, 0.0, 1.0])
    survey = mt.Survey.from_readings(hall, *corners)
    with pytest.raises(mt.TakeoffError, match=f"12000000 cells.*{MOST_CELLS} at most; write 0.025 or more"):
        mt.grid_surface(survey, cell_m=0.01)


def test_coats_are_counted_before_they_are_split():
    surface = mt.Surface.from_grid(WALL, [2.1], [1.3], [[0.0]])
    build_up = mt.BuildUp(surface, np.array([[2500.0]]), np.array([[0.0]]))
    with pytest.raises(mt.TakeoffError, match=r"12500 coats of 0\.2 mm where the plaster is 2500 mm deep"):
        mt.split_coats(build_up, 0.2)


def test_of_many_faulty_readings_a_few_are_told_and_the_rest_are_counted():
    x, z = (each.ravel() for each in np.meshgrid(np.linspace(0, 4.2, 30), np.linspace(0, 2.6, 30)))
    with pytest.raises(mt.TakeoffError) as told:
        mt.Survey.from_readings(WALL, x, z, np.full(900, 1e6))
    assert len(told.value.mistakes) == 21
    assert "880 more readings like these" in str(told.value)
