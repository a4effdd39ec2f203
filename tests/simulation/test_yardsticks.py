"""What ranges are measured by: invented walls, the oracle beside them, the picture of said and true."""

from __future__ import annotations

from xml.etree import ElementTree

import everyday_walls
import numpy as np
import pytest
from calibration_picture import Came, calibration_svg
from dense_truth import relief
from everyday_walls import CELL_M, ellipses, floated_and_dented, waves
from family_trials import Known, oracle_mm
from scipy.stats import norm


def test_waves_are_as_long_and_as_high_as_they_say():
    """The mean square step over half a wave's length is greatest: crest to hollow."""
    rng = np.random.default_rng(1)
    fields = np.array([waves(rng, 0.6, CELL_M, 0.3) for _ in range(6)])
    assert fields.std() == pytest.approx(1.0, rel=0.05)
    steps = [((fields[:, :, cells:] - fields[:, :, :-cells]) ** 2).mean() for cells in range(5, 60)]
    assert (5 + int(np.argmax(steps))) * CELL_M == pytest.approx(0.3, abs=0.08)


def test_ellipses_are_as_deep_and_as_many_as_they_say():
    """A bowl's mean depth is half its greatest: area π/4 × 0.2 × 0.2 m², one a square metre, 10 mm."""
    rng = np.random.default_rng(2)
    fields = np.array([ellipses(rng, CELL_M, 1.0, (0.2, 0.2), (10.0, 10.0)) for _ in range(30)])
    assert fields.min() == 0.0
    assert 9.5 < fields.max() <= 10.0
    assert fields.mean() == pytest.approx(np.pi / 4 * 0.2**2 * 10.0 / 2, rel=0.1)


def test_a_dented_wall_falls_off_to_one_side():
    fields = [floated_and_dented(np.random.default_rng(seed))[0] for seed in range(4)]
    for field in fields:
        low, middle, high = np.quantile(field - field.mean(), (0.001, 0.5, 0.999))
        assert middle - low > 1.5 * (high - middle)


def test_every_family_gives_another_wall_each_time_and_the_same_one_again():
    for name, family in everyday_walls.FAMILIES.items():
        (one, cell_m), (again, _), (other, _) = (family(np.random.default_rng(seed)) for seed in (3, 3, 4))
        assert one.shape == (
            round(everyday_walls.HEIGHT_M / cell_m),
            round(everyday_walls.WIDTH_M / cell_m),
        ), name
        assert (one == again).all(), name
        assert (one != other).any(), name
        assert np.isfinite(one).all(), name
        assert relief(one) > 0.5, name


def test_the_oracle_is_as_wide_as_what_nothing_foretells():
    """A truth that is a line of what is known and noise of 2 mm: from 10 to 90 % it spreads 2 × 2.563 mm."""
    rng = np.random.default_rng(5)
    features, plain = rng.normal(0, 3, (4000, 2)), rng.normal(14, 2, 4000)
    true = 3.0 + 1.2 * plain + features @ [0.5, -1.0] + rng.normal(0, 2.0, 4000)
    known = [Known(*each) for each in zip(true, plain, features, strict=True)]
    assert oracle_mm(known) == pytest.approx(2.0 * (norm.ppf(0.9) - norm.ppf(0.1)), rel=0.04)


def test_the_picture_is_small_readable_and_says_its_figures():
    shares = np.arange(1, 20) / 20
    rows = [Came(f"family {number} < & >", shares, shares**2, 40) for number in range(9)]
    text = calibration_svg(rows, "Said against came true")
    assert len(text.encode()) < 60_000
    root = ElementTree.fromstring(text)
    assert "family 8 < & >: 10, 50, 90 % came true 1, 25, 81" in root.attrib["aria-label"]
    tracks = [each for each in root.iter() if each.tag.endswith("polyline")]
    assert len(tracks) == 9
    x, y = np.array([point.split(",") for point in tracks[0].attrib["points"].split()], dtype=float).T
    assert 1 - y / 150 == pytest.approx((x / 150) ** 2, abs=0.01)
