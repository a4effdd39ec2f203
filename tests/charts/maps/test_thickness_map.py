"""Letters on a map of a wall, and the map in words."""

from __future__ import annotations

from io import BytesIO
from itertools import combinations

import matplotlib.image
import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st
from known_walls import NORTH, centres, leaning

from mytakeoff.charts.drawing.field import field_of
from mytakeoff.charts.drawing.png import png_of
from mytakeoff.charts.maps.thickness_map import describe, letter_places
from mytakeoff.survey.wall import Wall

TOUCHES = [("A", 0.2, 0.1), ("B", 4.15, 1.2)]


@given(st.lists(st.tuples(st.floats(0, 600), st.floats(0, 300)), min_size=1, max_size=5))
@example([(0.0, 0.0), (600.0, 300.0), (0.0, 300.0), (600.0, 0.0)])
def test_letters_stay_on_the_wall_and_beside_their_spots(spots):
    places = letter_places(spots, 600.0, 300.0)
    for (x, y), (u, v) in zip(spots, places, strict=True):
        assert 0 < u < 600
        assert 0 < v < 300
        assert 10 < np.hypot(u - x, v - y) < 20


def test_letters_of_close_high_spots_do_not_cover_each_other():
    places = letter_places([(20.0, 20.0), (30.0, 45.0), (21.0, 60.0)], 600.0, 300.0)
    assert len(places) == 3
    assert all(abs(u - s) > 12 or abs(v - t) > 14 for (u, v), (s, t) in combinations(places, 2))


def test_words_say_what_the_map_shows():
    x_m, z_m, thickness = leaning()
    said = describe(NORTH, field_of(NORTH, x_m, z_m, thickness), TOUCHES)
    assert "from 5 mm at x 0.03 m" in said
    assert "to 47 mm at x 4.18 m" in said
    assert "Not plastered: door, window." in said
    assert "Hatched places are not priced" in said
    assert said.endswith("A at x 0.20 m, z 0.10 m; B at x 4.15 m, z 1.20 m.")


def test_words_say_when_nothing_is_priced():
    wall = Wall("blank", 1.0, 1.0)
    assert "nothing is priced" in describe(
        wall, field_of(wall, centres(1, 2), centres(1, 2), np.full((2, 2), np.nan))
    )


def test_own_png_reads_back_with_another_reader():
    rgb = np.random.default_rng(3).integers(0, 256, (7, 5, 3), dtype=np.uint8)
    read = matplotlib.image.imread(BytesIO(png_of(rgb)), format="png")
    assert (np.round(read * 255).astype(np.uint8) == rgb).all()
