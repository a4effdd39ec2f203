"""How far out drawn fields' highest places stand, against formulas for Gaussian fields and exact draws."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from mytakeoff.simulation.random_fields import RandomField
from mytakeoff.simulation.variogram import Variogram, matern

LENGTH_M, SETS, OF_EACH = 0.3, 120, 25  # as many of one set of waves as ranges draw


def fields(smoothness: float, x_m: np.ndarray, z_m: np.ndarray, seed: int) -> np.ndarray:
    """Fields of variance one at places (places, fields), new waves for every 25."""
    rng, variogram = np.random.default_rng(seed), Variogram(smoothness, LENGTH_M, 1.0, 0.0)
    return np.hstack([RandomField.of(variogram, OF_EACH, rng).at(x_m, z_m) for _ in range(SETS)])


@pytest.mark.slow
@pytest.mark.parametrize("level", [0.0, 1.0, 2.0, 3.0])
def test_fields_rise_through_a_level_as_often_as_rice_says(level):
    """S. O. Rice, Bell System Technical Journal 24 (1945): ``√(-C''(0)) / 2π · exp(-u² / 2)`` a metre.

    For Matérn 3/2 that is ``√3 / (2π length)`` at the mean level; its fields have no second derivative, which
    the formula does not ask for.
    """
    x = np.arange(0.0, 3.0, 0.005)
    drawn = fields(1.5, x, 0.3 * np.ones_like(x), 1)
    rises = ((drawn[:-1] < level) & (drawn[1:] >= level)).sum(axis=0).reshape(SETS, OF_EACH).mean(axis=1)
    said = np.sqrt(3.0) / (2 * np.pi * LENGTH_M) * np.exp(-(level**2) / 2) * (x[-1] - x[0])
    assert rises.mean() == pytest.approx(said, abs=3 * rises.std() / np.sqrt(SETS) + 0.03 * said)


def euler(above: np.ndarray) -> np.ndarray:
    """Euler characteristic of cells that touch by their sides: those less their pairs, and fours (n,)."""
    beside, over = above[:, :, 1:] & above[:, :, :-1], above[:, 1:] & above[:, :-1]
    four = beside[:, 1:] & beside[:, :-1]
    return sum(
        sign * each.sum(axis=(1, 2)) for sign, each in ((1, above), (-1, beside), (-1, over), (1, four))
    )


@pytest.mark.slow
def test_high_places_of_a_smooth_field_are_as_many_as_adler_and_worsley_say():
    """Expected Euler characteristic over a rectangle a × b: far out, the chance of any place so high.

    ``P(Z > u) + (a + b) √λ φ(u) / √2π + a b λ u φ(u) / 2π``, λ the variance of a slope: R. J. Adler, "The
    Geometry of Random Fields", Wiley 1981; K. J. Worsley, Advances in Applied Probability 27 (1995), for the
    sides. It asks for second derivatives, so the field is of smoothness 30: ``λ = 30 / 29 / length²``.
    """
    across, up, smoothness = 1.5, 1.0, 30.0
    x, z = (np.arange(0.0, size + 1e-9, 0.025) for size in (across, up))
    at_x, at_z = np.meshgrid(x, z)
    drawn = fields(smoothness, at_x.ravel(), at_z.ravel(), 2).T.reshape(-1, z.size, x.size)
    slope = np.sqrt(smoothness / (smoothness - 1)) / LENGTH_M

    def said(u: float) -> float:
        line = (across + up) * slope / np.sqrt(2 * np.pi)
        return float(norm.sf(u) + norm.pdf(u) * (line + across * up * slope**2 * u / (2 * np.pi)))

    for level in (1.0, 2.0, 2.5, 3.0):
        found = euler(drawn >= level).reshape(SETS, OF_EACH).mean(axis=1)
        spread = 3 * found.std() / np.sqrt(SETS)
        assert found.mean() == pytest.approx(said(level), abs=spread + 0.03 * said(level))
    highest = drawn.max(axis=(1, 2))
    for level in (3.0, 3.5):
        share = said(level)
        rarely = 3 * np.sqrt(share / highest.size)
        assert (highest >= level).mean() == pytest.approx(share, abs=rarely + 0.05 * share)


@pytest.mark.slow
@pytest.mark.parametrize("smoothness", [1.0, 1.5])
def test_the_highest_place_of_a_wall_is_as_high_as_in_exact_draws(smoothness):
    """Four hundred waves have no less of a tail than the field: by the Cholesky factor of its covariance."""
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.05, 2.5, 0.1), np.arange(0.05, 2.0, 0.1)))
    away = np.hypot(x[:, None] - x, z[:, None] - z)
    factor = np.linalg.cholesky(matern(away / LENGTH_M, smoothness) + 1e-9 * np.eye(x.size))
    exact = (factor @ np.random.default_rng(3).standard_normal((x.size, 3000))).max(axis=0)
    waves = fields(smoothness, x, z, 4).max(axis=0)
    assert waves.mean() == pytest.approx(exact.mean(), abs=0.05)
    for share in (0.1, 0.5, 0.9, 0.98):
        assert np.quantile(waves, share) == pytest.approx(np.quantile(exact, share), abs=0.12)
