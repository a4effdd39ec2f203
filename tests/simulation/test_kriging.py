"""The best guess between readings and the faces drawn around it, against a general library and by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from drawn_faces import draw_between
from scipy.stats import norm

import mytakeoff as mt
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.drawing import SCALE_SD, Fields, ReadWall
from mytakeoff.simulation.faces import DrawnFaces
from mytakeoff.simulation.kriging import Kriging, Locations
from mytakeoff.simulation.random_fields import RandomField
from mytakeoff.simulation.short_roughness import ShortRoughness
from mytakeoff.simulation.variogram import (
    LENGTH_SPREAD,
    RELIEF_SPREAD,
    SHORT_SPREAD,
    Variogram,
    likely_variograms,
    matern,
    plane_terms,
)
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings

WALL = mt.Wall("A", 2.0, 1.0)
ROUGH = Variogram(1.5, 0.5, 9.0, 0.5)
STRAYS = np.exp(2.0 * SCALE_SD**2)  # mean square of a lognormal factor of median 1


def readings_of(seed: int = 1, count: int = 12) -> Readings:
    rng = np.random.default_rng(seed)
    x, z = rng.uniform(0, 2, count), rng.uniform(0, 1, count)
    return Readings(x, z, 3 * x - 5 * z + rng.normal(0, 3, count))


def surface_of(nx: int = 20, nz: int = 10) -> Surface:
    x, z = (np.arange(nx) + 0.5) * 2.0 / nx, (np.arange(nz) + 0.5) / nz
    return Surface.from_grid(WALL, x, z, np.zeros((nz, nx)))


def places_of(surface: Surface, readings: Readings) -> Locations:
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    return Locations.of(readings, x.ravel(), z.ravel())


def variance_mm2(kriging: Kriging, places: Locations) -> np.ndarray:
    """How far the face may be from the guess, as a variance, without what is short; Cressie 1993, 3.4.5."""
    towards = np.hstack([kriging.variogram.covariance(places.away_m), places.terms])
    weighed = np.linalg.solve(kriging.matrix, towards.T).T
    return kriging.variogram.sill_mm2 - np.einsum("ij,ij->i", weighed, towards)


@pytest.mark.parametrize("smoothness", [0.5, 1.0, 1.5])
def test_guess_and_variance_are_those_of_scikit_learn(smoothness):
    """A plane of unknown slopes is a linear kernel of boundless variance (Rasmussen, Williams 2006, 2.7)."""
    process = pytest.importorskip("sklearn.gaussian_process")
    kernels = process.kernels
    readings, variogram = readings_of(), replace(ROUGH, smoothness=smoothness)
    kernel = kernels.ConstantKernel(9.0) * kernels.Matern(0.5, nu=smoothness) + kernels.ConstantKernel(
        1e6
    ) * kernels.DotProduct(1.0)
    fitted = process.GaussianProcessRegressor(kernel, alpha=0.5, optimizer=None).fit(
        np.column_stack([readings.x_m, readings.z_m]), readings.proud_mm
    )
    places = places_of(surface_of(), readings)
    mean, spread = fitted.predict(np.column_stack([places.x_m, places.z_m]), return_std=True)
    kriging = Kriging.of(variogram, readings)
    assert kriging.through(places, readings.proud_mm[:, None])[:, 0] == pytest.approx(mean, abs=2e-3)
    assert variance_mm2(kriging, places) == pytest.approx(spread**2, abs=2e-3)


def test_a_plane_is_guessed_exactly_and_far_away_only_its_slopes_are_known():
    readings = readings_of()
    plane = replace(readings, proud_mm=2.0 + 3 * readings.x_m - 4 * readings.z_m)
    places = Locations.of(plane, np.array([0.3, 1.9]), np.array([0.9, 0.1]))
    kriging = Kriging.of(ROUGH, plane)
    guess = kriging.through(places, plane.proud_mm[:, None])[:, 0]
    assert guess == pytest.approx(2.0 + 3 * places.x_m - 4 * places.z_m, abs=1e-4)
    away = Locations.of(plane, np.array([30.0]), np.array([0.5]))
    assert variance_mm2(kriging, away)[0] > ROUGH.sill_mm2


def test_single_precision_is_near_enough():
    """K₁ by scipy against the table that single precision uses."""
    ratio = np.concatenate([[0.0], np.geomspace(1e-6, 50, 400)])
    for smoothness in (0.5, 1.0, 1.5):
        assert matern(ratio.astype(np.float32), smoothness) == pytest.approx(
            matern(ratio, smoothness), abs=5e-6
        )


def test_fields_of_waves_are_as_rough_as_the_variogram_says():
    at = np.array([0.0, 0.1, 0.3, 1.0])
    for smoothness in (0.5, 1.0, 1.5):
        variogram = replace(ROUGH, smoothness=smoothness)
        rng = np.random.default_rng(4)
        fields = np.hstack([RandomField.of(variogram, 50, rng).at(at, 0.5 * at) for _ in range(60)])
        found = fields @ fields.T / fields.shape[1]
        away = np.hypot(at[:, None] - at, 0.5 * (at[:, None] - at))
        assert found == pytest.approx(variogram.covariance(away), abs=0.8)


def read_wall(surface: Surface, readings: Readings, error_mm: float = 0.4) -> ReadWall:
    """A wall as rough everywhere as its variogram says."""
    wall = LikelyWall(reading_mm=max(error_mm, 1e-9), short_share=1.0, short_m=0.0)
    places = places_of(surface, readings)
    own = Locations.of(readings, readings.x_m, readings.z_m)
    scales = np.ones(places.x_m.size), np.ones(readings.x_m.size)
    return ReadWall(places, own, *scales, ShortRoughness.of(wall, surface, places))


def drawn(readings: Readings, count: int, variogram: Variogram = ROUGH, error_mm: float = 0.4) -> DrawnFaces:
    surface, rng = surface_of(), np.random.default_rng(7)
    read, kriging = read_wall(surface, readings, error_mm), Kriging.of(variogram, readings)
    faces = tuple(Fields.of(kriging, read, 40, rng).through(kriging, read, rng) for _ in range(count // 40))
    return DrawnFaces(surface, np.zeros((10, 20)), readings, faces, faces[:1])


def test_drawn_faces_spread_around_the_guess_as_kriging_says():
    readings = readings_of()
    drawn_faces = drawn(readings, 2000)
    places, kriging = places_of(drawn_faces.surface, readings), Kriging.of(ROUGH, readings)
    faces = np.concatenate([faces.long_mm for faces in drawn_faces.faces])
    guess, variance = kriging.through(places, readings.proud_mm[:, None])[:, 0], variance_mm2(kriging, places)
    assert faces.mean(axis=0) == pytest.approx(guess, abs=5 * np.sqrt(variance.max() / 2000))
    assert faces.var(axis=0) == pytest.approx(STRAYS * variance, rel=0.3, abs=0.05)


def test_without_error_faces_pass_the_readings():
    readings = readings_of()
    surface, rng = surface_of(), np.random.default_rng(2)
    at_cells = replace(
        readings, x_m=surface.x_m[[1, 7, 13]], z_m=surface.z_m[[2, 5, 8]], proud_mm=np.array([1.0, 4.0, -3.0])
    )
    places = places_of(surface, at_cells)
    read, kriging = read_wall(surface, at_cells, 0.0), Kriging.of(ROUGH, at_cells)
    faces = Fields.of(kriging, read, 5, rng).through(kriging, read, rng)
    cells = places.away_m.argmin(axis=0)
    assert (faces.long_mm + faces.short_mm)[:, cells] == pytest.approx(
        np.tile(at_cells.proud_mm, (5, 1)), abs=1e-3
    )


def test_one_more_reading_bends_faces_as_if_it_had_been_there():
    readings = readings_of()
    before = drawn(readings, 2000)
    x, z, proud = float(before.surface.x_m[12]), float(before.surface.z_m[3]), 9.0
    after = before.with_reading(x, z, proud)
    kriging = Kriging.of(ROUGH, after.readings)
    places = places_of(after.surface, after.readings)
    faces = np.concatenate([faces.long_mm for faces in after.faces])
    guess = kriging.through(places, after.readings.proud_mm[:, None])[:, 0]
    assert after.readings.x_m.size == 13
    assert faces.mean(axis=0) == pytest.approx(guess, abs=0.4)
    low, high = np.quantile(faces, norm.cdf([-1.0, 1.0]), axis=0)  # no factor of a few faces moves these
    assert ((high - low) / 2) ** 2 == pytest.approx(variance_mm2(kriging, places), rel=0.3, abs=0.05)


def test_a_reading_weighs_variograms_by_how_well_they_foretold_it():
    readings, calm, wild = readings_of(), replace(ROUGH, sill_mm2=1.0), replace(ROUGH, sill_mm2=100.0)
    surface, rng = surface_of(), np.random.default_rng(7)
    places, faces, said = places_of(surface, readings), [], []
    cell = 3 * 20 + 12
    for variogram in (calm, wild):
        kriging, read = Kriging.of(variogram, readings), read_wall(surface, readings)
        faces.append(Fields.of(kriging, read, 10, rng).through(kriging, read, rng))
        guess = kriging.through(places, readings.proud_mm[:, None])[cell, 0]
        variance = variance_mm2(kriging, places)[cell] + variogram.short_mm2
        said.append(norm.pdf(20.0, guess, np.sqrt(variance)))
    before = DrawnFaces(surface, np.zeros((10, 20)), readings, tuple(faces), tuple(faces))
    after = before.with_reading(float(places.x_m[cell]), float(places.z_m[cell]), 20.0)
    assert before.weights.sum() == pytest.approx(1.0)
    assert after.weights[0] / after.weights[10] == pytest.approx(said[0] / said[1], rel=1e-3)


def test_weights_are_the_restricted_likelihood_times_what_was_likely_before():
    """Harville's form, Biometrika 61 (1974): -½ (log|K| + log|FᵀK⁻¹F| + yᵀPy), against contrasts."""
    readings, wall = readings_of(count=9), LikelyWall()
    likely = likely_variograms(readings, wall)
    away = np.hypot(readings.x_m[:, None] - readings.x_m, readings.z_m[:, None] - readings.z_m)
    terms = plane_terms(readings.x_m, readings.z_m)

    def log(row: np.ndarray) -> float:
        _, length, sill, short = row
        matrix = Variogram(*row).covariance(away) + short * np.eye(9)
        inverse = np.linalg.inv(matrix)
        middle = np.linalg.inv(terms.T @ inverse @ terms)
        project = inverse - inverse @ terms @ middle @ terms.T @ inverse
        fit = -0.5 * (
            np.linalg.slogdet(matrix)[1]
            - np.linalg.slogdet(middle)[1]
            + readings.proud_mm @ project @ readings.proud_mm
        )
        rough = np.sqrt(short - wall.reading_mm**2)
        return fit + sum(
            norm.logpdf(np.log(value / usual), 0.0, spread)
            for value, usual, spread in (
                (length, wall.length_m, LENGTH_SPREAD),
                (np.sqrt(sill), wall.relief_mm, RELIEF_SPREAD),
                (rough, wall.short_mm, SHORT_SPREAD),
            )
        )

    rows = np.argsort(likely.weights)[-400::57]
    expected = np.array([log(row) for row in likely.table[rows]])
    found = np.log(likely.weights[rows])
    assert found - found[0] == pytest.approx(expected - expected[0], abs=1e-6)


@pytest.mark.slow
def test_the_length_of_a_known_field_is_found():
    rng = np.random.default_rng(11)
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0, 4, 0.25), np.arange(0, 2.5, 0.25)))
    for true in (Variogram(1.5, 0.3, 25.0, 0.5), Variogram(1.5, 1.5, 25.0, 0.5)):
        heights = RandomField.of(true, 1, rng).at(x, z)[:, 0] + rng.normal(0, 0.7, x.size)
        likely = likely_variograms(Readings(x, z, heights))
        length = np.exp(likely.weights @ np.log(likely.table[:, 1]))
        assert true.length_m / 2 < length < 2 * true.length_m


@pytest.mark.slow
def test_roughness_as_long_as_the_step_is_not_taken_for_roughness_shorter_than_a_hand():
    """Exponential fields of known length have none that is shorter; read in whole millimetres every 25 cm."""
    rng, true = np.random.default_rng(11), Variogram(0.5, 0.5, 300.0, 0.0)
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0, 3, 0.25), np.arange(0, 2.5, 0.25)))
    found = []
    for _ in range(8):
        likely = likely_variograms(Readings(x, z, RandomField.of(true, 1, rng).at(x, z)[:, 0].round()))
        found.append(np.sqrt(likely.weights @ likely.table[:, 3]))
    assert np.mean(found) < 2.4


def test_faces_stray_from_the_guess_by_factors_about_one():
    """Of one field a face drawn with a factor lies along the line from the guess through that without."""
    readings, surface = readings_of(), surface_of()
    places = places_of(surface, readings)
    kriging, read = Kriging.of(ROUGH, readings), read_wall(surface, readings)
    fields = Fields.of(kriging, read, 12, np.random.default_rng(2))
    strayed, straight = (
        replace(fields, scale_draw=draw).through(kriging, read, np.random.default_rng(3)).long_mm
        for draw in (fields.scale_draw, np.zeros(12))
    )
    guess = kriging.through(places, readings.proud_mm[:, None])[:, 0]
    factor = np.exp(SCALE_SD * fields.scale_draw)[:, None]
    assert strayed - guess == pytest.approx(factor * (straight - guess), abs=2e-3)


def test_the_same_seed_draws_the_same_faces():
    surface, readings = surface_of(), readings_of()
    one, other = (draw_between(surface, np.zeros((10, 20)), readings, draws=24) for _ in range(2))
    assert (one.proud_mm == other.proud_mm).all()


def test_a_reading_off_the_wall_is_refused():
    drawn_faces = drawn(readings_of(), 40)
    for place in ((2.1, 0.5, 0.0), (1.0, 0.5, np.nan)):
        with pytest.raises(mt.TakeoffError, match="a reading is a number on the wall"):
            drawn_faces.with_reading(*place)
