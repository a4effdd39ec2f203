"""Kriging and likelihood against worked examples in print, and against scikit-learn in double precision."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.stats import norm

from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.kriging import Kriging, Locations, away_m
from mytakeoff.simulation.variogram import (
    LENGTH_SPREAD,
    RELIEF_SPREAD,
    SHORT_SPREAD,
    Variogram,
    likely_variograms,
)
from mytakeoff.survey.interpolate import Readings


@dataclass(frozen=True)
class Worked:
    """An example of ordinary kriging in print, worked at one place.

    The printed exponential ``exp(-3 h / range)`` or ``exp(-h / range)`` is Matérn's of smoothness 1/2.
    """

    x: tuple[float, ...]
    z: tuple[float, ...]
    values: tuple[float, ...]
    place: tuple[float, float]
    sill: float
    length: float
    nugget: float
    estimate: float
    variance: float
    weights: tuple[float, ...] = ()

    def solved(self) -> tuple[np.ndarray, float]:
        """Weights and Lagrange's multiplier, and the variance of what would be read there.

        The package's own matrix and covariance, less the two slopes that ordinary kriging has not.
        """
        readings = Readings(np.array(self.x), np.array(self.z), np.array(self.values))
        variogram = Variogram(0.5, self.length, self.sill, self.nugget)
        count = readings.x_m.size
        away = away_m(readings, *(np.array([axis]) for axis in self.place))[0]
        towards = np.append(variogram.covariance(away), 1.0)
        weights = np.linalg.solve(Kriging.of(variogram, readings).matrix[: count + 1, : count + 1], towards)
        return weights, float(self.sill + self.nugget - weights @ towards)


WORKED = {
    # E. H. Isaaks, R. M. Srivastava, "An Introduction to Applied Geostatistics", Oxford University Press
    # 1989, chapter 12, "An Example of Ordinary Kriging", pages 290 to 296: C(h) = 10 exp(-0.3 h); from memory
    "Isaaks and Srivastava": Worked(
        (61, 63, 64, 68, 71, 73, 75),
        (139, 140, 129, 128, 140, 141, 128),
        (477, 696, 227, 646, 606, 791, 783),
        (65, 137),
        10.0,
        1 / 0.3,
        0.0,
        592.7,
        8.96,
        (0.173, 0.318, 0.129, 0.086, 0.151, 0.057, 0.086),
    ),
    # What R's gstat printed, at https://pastebin.com/BLaKrv2Y: vgm(psill=3, nugget=1, range=6 and 2, "Exp")
    "gstat, range 6": Worked((0, 0, 3), (0, 2, 1), (10, 7, 3), (1, 1), 3.0, 6.0, 1.0, 6.813431, 2.002507),
    "gstat, range 2": Worked((0, 0, 3), (0, 2, 1), (10, 7, 3), (1, 1), 3.0, 2.0, 1.0, 6.887426, 3.136307),
}


@pytest.mark.parametrize("name", WORKED)
def test_ordinary_kriging_as_it_was_worked_in_print(name):
    worked = WORKED[name]
    weights, variance = worked.solved()
    estimate = float(weights[:-1] @ worked.values)
    if worked.weights:
        assert weights[:-1] == pytest.approx(worked.weights, abs=6e-4)
    places = len(str(worked.estimate).split(".")[1])
    assert round(estimate, places) == worked.estimate
    assert round(variance, len(str(worked.variance).split(".")[1])) == worked.variance


# Elevations at 52 places, in units of 50 feet and of feet: J. C. Davis, "Statistics and Data Analysis in
# Geology", Wiley 1973, as the data set `topo` of R's package MASS has them.
EAST = """
0.3 1.4 2.4 3.6 5.7 1.6 2.9 3.4 3.4 4.8 5.3 6.2 0.2 0.9 2.3 2.5 3.0 3.5 4.1 4.9 6.3 0.9 1.7 2.4 3.7 4.5
5.2 6.3 0.3 2.0 3.8 6.3 0.6 1.5 2.1 2.1 3.1 4.5 5.5 5.7 6.2 0.4 1.4 1.4 2.1 2.3 3.1 4.1 5.4 6.0 5.7 3.6
"""
NORTH = """
6.1 6.2 6.1 6.2 6.2 5.2 5.1 5.3 5.7 5.6 5.0 5.2 4.3 4.2 4.8 4.5 4.5 4.5 4.6 4.2 4.3 3.2 3.8 3.8 3.5 3.2
3.2 3.4 2.4 2.7 2.3 2.2 1.7 1.8 1.8 1.1 1.1 1.8 1.7 1.0 1.0 0.5 0.6 0.1 0.7 0.3 0.0 0.8 0.4 0.1 3.0 6.0
"""
HIGH = """
870 793 755 690 800 800 730 728 710 780 804 855 830 813 762 765 740 765 760 790 820 855 812 773 812 827
805 840 890 820 873 875 873 865 841 862 908 855 850 882 910 940 915 890 880 870 880 960 890 860 830 705
"""
TOPO = Readings(*(np.array(column.split(), dtype=float) for column in (EAST, NORTH, HIGH)))

# P. J. Diggle, P. J. Ribeiro, "Model-based Geostatistics", Springer 2007, chapter 5, fitted to these by
# maximum likelihood: Matérn 3/2 about a plane. Their φ is our length over √3. From memory.
PLANE, SILL, PHI, NUGGET = (912.5, -5.0, -16.5), 1693.1, 0.8, 34.9
PUBLISHED = Variogram(1.5, PHI * np.sqrt(3.0), SILL, NUGGET)


def test_the_plane_under_a_published_survey_of_heights_is_the_published_one():
    """The last unknowns of the kriging equations, with the heights on their right, are the plane's.

    Cressie 1993, 3.4.5. The published length has one place, so the plane may be off in its last.
    """
    solved = np.linalg.solve(Kriging.of(PUBLISHED, TOPO).matrix, np.append(TOPO.proud_mm, np.zeros(3)))
    assert solved[-3:] == pytest.approx(PLANE, abs=0.1)


def test_the_likeliest_variogram_of_a_published_survey_is_nearest_the_published_one():
    """Of all rows of the table, once what was taken for likely beforehand is taken off its weights.

    Ours are weighed by the restricted likelihood, the published by the plain one: half the logarithm of
    ``|FᵀK⁻¹F|`` lies between them (Harville, Biometrika 61, 1974).
    """
    wall = LikelyWall(relief_mm=20.0, length_m=0.7, short_mm=3.0, reading_mm=0.1)
    likely = likely_variograms(TOPO, wall)
    kept = (likely.table[:, 0] == 1.5) & (likely.weights > 1e-5 * likely.weights.max())
    rows = [Variogram(*row) for row in likely.table[kept]]
    plain = np.log(likely.weights[kept]) + [0.5 * trend_log(row) - before(row, wall) for row in rows]
    found = rows[np.argmax(plain)]
    for name in ("length_m", "sill_mm2", "short_mm2"):
        tried = np.unique([getattr(Variogram(*row), name) for row in likely.table])
        steps = np.abs(np.log(tried / getattr(PUBLISHED, name))).argsort()[:2]
        assert getattr(found, name) in tried[steps], name


def before(variogram: Variogram, wall: LikelyWall) -> float:
    """Logarithm of what was taken for likely before anything was read."""
    rough = np.sqrt(variogram.short_mm2 - wall.reading_mm**2)
    return sum(
        float(norm.logpdf(np.log(value / usual), 0.0, spread))
        for value, usual, spread in (
            (variogram.length_m, wall.length_m, LENGTH_SPREAD),
            (np.sqrt(variogram.sill_mm2), wall.relief_mm, RELIEF_SPREAD),
            (rough, wall.short_mm, SHORT_SPREAD),
        )
    )


def trend_log(variogram: Variogram) -> float:
    """``log |FᵀK⁻¹F|``: the lower right of the kriging matrix's inverse is ``-(FᵀK⁻¹F)⁻¹``."""
    corner = np.linalg.inv(Kriging.of(variogram, TOPO).matrix)[-3:, -3:]
    return -float(np.linalg.slogdet(-corner)[1])


# JCGM 100:2008 (GUM), H.3, corrections of a thermometer over its temperatures: table H.6, and what is found
# of it in H.3.2 to H.3.4. From memory.
TEMPERATURES = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
CORRECTIONS = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)
SCATTER, AT_20, AT_30 = 0.0035, (-0.1712, 0.0029), (-0.1494, 0.0041)  # each with its standard uncertainty


def test_uncertainties_combine_as_in_the_guide_to_their_expression():
    """A wall without relief is the guide's straight line, whose uncertainties have a correlation of -0.93.

    Each reading stands twice, with twice the variance, to both sides of the line: a plane has two slopes.
    """
    x, z = np.tile(TEMPERATURES, 2) - 20.0, np.repeat([-1.0, 1.0], 11)
    readings = Readings(x, z, np.tile(CORRECTIONS, 2))
    at_x, at_z = np.array([0.0, 10.0]), np.zeros(2)
    places = Locations(at_x, at_z, away_m(readings, at_x, at_z))
    kriging = Kriging.of(Variogram(1.5, 1.0, 0.0, 2 * SCATTER**2), readings)
    for cell, (corrected, uncertain) in enumerate((AT_20, AT_30)):
        leans, guess = kriging.lean_on(places, cell)
        assert guess == pytest.approx(corrected, abs=6e-5)
        assert np.sqrt(leans[cell]) == pytest.approx(uncertain, abs=6e-5)
        assert kriging.through(places, readings.proud_mm[:, None])[cell, 0] == pytest.approx(guess, abs=1e-9)


@pytest.mark.parametrize("smoothness", [0.5, 1.5])
def test_guess_and_covariance_in_double_precision_are_those_of_scikit_learn(smoothness):
    """Short roughness as white noise in the kernel; the plane as a kernel of 10⁸ times its variance."""
    process = pytest.importorskip("sklearn.gaussian_process")
    kernels, rng = process.kernels, np.random.default_rng(3)
    x, z = rng.uniform(0, 2, (2, 14))
    readings = Readings(x, z, 3 * x - 5 * z + rng.normal(0, 3, 14))
    at_x, at_z = rng.uniform(0, 2, (2, 9))
    places = Locations(at_x, at_z, away_m(readings, at_x, at_z))
    plane = kernels.ConstantKernel(1e8) * kernels.DotProduct(1.0)
    rough = kernels.ConstantKernel(9.0) * kernels.Matern(0.5, nu=smoothness)
    fitted = process.GaussianProcessRegressor(
        rough + plane + kernels.WhiteKernel(0.5), alpha=0.0, optimizer=None
    ).fit(np.column_stack([x, z]), readings.proud_mm)
    mean, covariance = fitted.predict(np.column_stack([at_x, at_z]), return_cov=True)
    kriging = Kriging.of(
        replace(PUBLISHED, smoothness=smoothness, length_m=0.5, sill_mm2=9.0, short_mm2=0.5), readings
    )
    assert kriging.through(places, readings.proud_mm[:, None])[:, 0] == pytest.approx(mean, abs=1e-5)
    leans, guesses = zip(*(kriging.lean_on(places, cell) for cell in range(9)), strict=True)
    assert guesses == pytest.approx(mean, abs=1e-5)
    assert np.array(leans) == pytest.approx(covariance - 0.5 * np.eye(9), abs=1e-5)
