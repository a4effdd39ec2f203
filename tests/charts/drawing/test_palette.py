"""The ramp from thin to thick."""

from __future__ import annotations

import numpy as np
import pytest
from colour_vision import DEFICIENCIES, light_of_linear, to_linear

from mytakeoff.charts.drawing.palette import RAMP, lightness, ramp_colour, ramp_index, ramp_top


@pytest.mark.parametrize(
    ("rgb", "published"),
    [((1, 0, 0), 53.240794), ((0, 1, 0), 87.734722), ((0, 0, 1), 32.297011), ((1, 1, 1), 100.0)],
)
def test_lightness_of_the_srgb_primaries(rgb, published):
    # CIELAB under D65 of the sRGB primaries, as published with the colour libraries d3-color and culori.
    assert lightness(rgb) == pytest.approx(published, abs=0.01)


def test_ramp_gets_darker_with_every_step():
    assert (np.diff(light_of_linear(to_linear(RAMP / 255))) < 0).all()


def test_ramp_is_even():
    steps = -np.diff(light_of_linear(to_linear(RAMP / 255)))
    # Eight bits a channel round each lightness by about 0.2 either way; over 16 steps that averages out.
    runs = steps[:240].reshape(-1, 16).sum(axis=1)
    assert runs == pytest.approx(16 * steps.mean(), rel=0.06)
    assert steps.sum() > 75


@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_ramp_keeps_its_order_for_colour_blind_eyes(deficiency):
    seen = to_linear(RAMP / 255) @ np.transpose(DEFICIENCIES[deficiency])
    light = light_of_linear(seen)[::8]
    assert (np.diff(light) < -1.0).all()


def test_ramp_cannot_be_written_to():
    with pytest.raises(ValueError, match="read-only"):
        RAMP[0] = 0


def test_a_colour_means_the_same_millimetres_whatever_else_is_shown():
    alone = ramp_colour([12.0], 40.0)[0]
    among = ramp_colour([0.0, 12.0, 400.0], 40.0)[1]
    assert (alone == among).all()
    assert ramp_index([40.0, 41.0, 1000.0], 40.0).tolist() == [255, 255, 255]


@pytest.mark.parametrize(
    ("thickest", "top"),
    [
        (0, 20),
        (float("nan"), 20),
        (20.0, 20),
        (20.01, 30),
        (60, 60),
        (61, 80),
        (99, 100),
        (151, 200),
        (801, 1000),
    ],
)
def test_the_scale_ends_at_a_round_thickness(thickest, top):
    assert ramp_top(thickest) == top


def test_the_scale_holds_any_thickness():
    for thickest in np.geomspace(1, 5000, 300):
        assert ramp_top(thickest) >= thickest
        assert thickest < 20 or ramp_top(thickest) <= 1.6 * thickest
