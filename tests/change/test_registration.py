"""The tie between two surveys, held to general libraries, to a published line and to places that moved."""

from __future__ import annotations

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from mytakeoff.change.registration import registered, solved, terms

NOISE_MM = 0.85
X, Z = np.array([0.0, 4.0, 0.1, 3.9, 2.0, 2.6]), np.array([0.0, 0.1, 2.5, 2.4, 0.0, 2.0])

# JCGM 100:2008, H.3, table H.6: observed corrections of a thermometer [°C] (from memory; that they give the
# published slope, intercept, deviations and correlation to the last digit is seen below).
READ = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511])
CORRECTION = -np.array([0.171, 0.169, 0.166, 0.159, 0.164, 0.165, 0.156, 0.157, 0.159, 0.161, 0.160])


def test_the_guide_s_calibration_line_and_what_it_says_elsewhere():
    """JCGM 100:2008, H.3.3, H.3.4: y1 -0.1712(29), y2 0.00218(67), r -0.930, s 0.0035; b(30) -0.1494(41)."""
    line = solved(np.column_stack([np.ones(READ.size), READ - 20.0]), CORRECTION)
    assert line.unknowns == pytest.approx([-0.1712, 0.00218], abs=6e-5)
    assert np.sqrt(np.diag(line.covariance)) == pytest.approx([0.0029, 0.00067], rel=0.02)
    assert line.covariance[0, 1] / np.sqrt(np.prod(np.diag(line.covariance))) == pytest.approx(
        -0.930, abs=5e-4
    )
    assert line.noise == pytest.approx(0.0035, abs=5e-5)
    assert line.freedom == 9
    at_30 = np.array([[1.0, 10.0]])
    assert (at_30 @ line.unknowns)[0] == pytest.approx(-0.1494, abs=6e-5)
    assert line.off_at(at_30)[0] == pytest.approx(0.0041, abs=5e-5)


@examples(60)
@given(st.integers(0, 10_000), st.booleans())
def test_it_is_the_plane_of_a_general_library(seed, plumb):
    rng = np.random.default_rng(seed)
    moved = 30.0 + 2.0 * X - 1.0 * Z * (not plumb) + rng.normal(0, 0.6, X.size)
    tie = registered(X, Z, moved, NOISE_MM, plumb)
    columns = np.column_stack([np.ones(6), X] if plumb else [np.ones(6), X, Z])[tie.counts]
    (plane, squares, *_) = np.linalg.lstsq(columns, moved[tie.counts], rcond=None)
    assert tie.fit.unknowns == pytest.approx(plane)
    assert float(tie.fit.residual @ tie.fit.residual) == pytest.approx(float(squares[0]))


@examples(40)
@given(st.tuples(*[st.floats(-0.006, 0.006)] * 2), st.floats(-400.0, 400.0), st.integers(0, 1000))
def test_it_is_the_rigid_motion_of_a_general_library(turned, nearer_mm, seed):
    """The instrument's plane turned in space: the same slopes as scipy's rotation of the places about their
    middle, to what the cosine of 6 mm a metre leaves."""
    depth_m = np.random.default_rng(seed).normal(0.0, 0.01, X.size)
    places = np.column_stack([X, depth_m, Z])
    motion = Rotation.from_rotvec([turned[0], 0.0, turned[1]])
    seen = motion.apply(places - places.mean(axis=0)) + places.mean(axis=0) + [0.0, nearer_mm / 1000.0, 0.0]
    found, _ = Rotation.align_vectors(seen - seen.mean(axis=0), places - places.mean(axis=0))
    slope_x, slope_z = 1000.0 * found.as_matrix()[1, 0], 1000.0 * found.as_matrix()[1, 2]
    tie = registered(X, Z, 1000.0 * (seen[:, 1] - depth_m), NOISE_MM, plumb=False)
    assert tie.fit.unknowns[1:] == pytest.approx([slope_x, slope_z], abs=0.01)
    middle = np.array([X.mean()]), np.array([Z.mean()])
    assert tie.at(*middle)[0] == pytest.approx(nearer_mm, abs=0.05)


def test_what_is_left_open_is_what_draws_scatter():
    """The covariance carried to a place against 4,000 draws of the readings."""
    rng, at = np.random.default_rng(2), (np.array([3.0]), np.array([1.3]))
    columns, there = terms(X, Z, False), terms(*at, False)
    drawn = np.array([
        (there @ np.linalg.lstsq(columns, rng.normal(0, NOISE_MM, X.size), rcond=None)[0])[0]
        for _ in range(4000)
    ])  # fmt: skip
    exact = registered(X, Z, 0.0 * X, NOISE_MM, False)
    given_noise = exact.off_at(*at)[0] * NOISE_MM / exact.fit.noise
    assert drawn.std() == pytest.approx(given_noise, rel=0.05)


def test_spare_places_estimate_the_noise():
    """Readings that miss more than is given make the plane less sure, those that miss less surer."""
    rng = np.random.default_rng(8)
    x, z = rng.uniform(0, 4, 40), rng.uniform(0, 2.6, 40)
    calm, rough = (registered(x, z, rng.normal(0, sd, 40), NOISE_MM, False).fit for sd in (0.3, 1.3))
    assert calm.noise < 0.6 * NOISE_MM < NOISE_MM < 1.15 < rough.noise < 1.5
    assert rough.freedom == pytest.approx(37 + 8)


@examples(60)
@given(st.integers(0, 5), st.floats(15.0, 60.0), st.sampled_from([-1.0, 1.0]), st.integers(0, 500))
def test_a_moved_place_is_found_and_spoils_nothing(nth, mm, way, seed):
    rng = np.random.default_rng(seed)
    moved = 55.0 - 3.0 * X + 2.0 * Z + rng.normal(0, 0.5, X.size)
    moved[nth] += way * mm
    tie = registered(X, Z, moved, NOISE_MM, plumb=False)
    assert tie.agree
    assert np.flatnonzero(~tie.counts).tolist() == [nth]
    assert tie.residual_mm[nth] == pytest.approx(way * mm, abs=5.0)
    without = np.delete(np.arange(6), nth)
    alone = np.linalg.lstsq(terms(X[without], Z[without], False), moved[without], rcond=None)[0]
    assert tie.fit.unknowns == pytest.approx(alone)  # as if it had never been read


def test_leaving_each_out_says_the_same_as_its_residual():
    """Residual over what is checked of it: how far each stands off the plane of all the others."""
    rng = np.random.default_rng(4)
    moved = rng.normal(0, 0.6, X.size)
    fit = solved(terms(X, Z, False), moved, NOISE_MM)
    for nth in range(X.size):
        others = np.delete(np.arange(X.size), nth)
        plane = np.linalg.lstsq(terms(X[others], Z[others], False), moved[others], rcond=None)[0]
        off = moved[nth] - (terms(X[nth : nth + 1], Z[nth : nth + 1], False) @ plane)[0]
        assert fit.residual[nth] / fit.checked[nth] == pytest.approx(off)


def test_one_in_a_thousand_is_wrongly_put_aside():
    rng = np.random.default_rng(6)
    aside = [
        not registered(X, Z, rng.normal(0, NOISE_MM, X.size), NOISE_MM, False).counts.all()
        for _ in range(2000)
    ]
    assert np.mean(aside) < 6 * 0.001 + 0.004


def test_of_one_spare_place_nobody_can_say_which_moved():
    moved = np.array([0.0, 0.0, 0.0, 20.0])
    tie = registered(X[:4], Z[:4], moved, NOISE_MM, plumb=False)
    assert not tie.agree
    assert tie.counts.all()
    assert tie.fit.noise > 5.0  # they say themselves how far they disagree


def test_two_that_moved_among_many_are_both_found():
    rng = np.random.default_rng(9)
    x, z = rng.uniform(0, 4, 10), rng.uniform(0, 2.6, 10)
    moved = rng.normal(0, 0.5, 10)
    moved[[2, 7]] += [25.0, -12.0]
    tie = registered(x, z, moved, NOISE_MM, plumb=False)
    assert tie.agree
    assert np.flatnonzero(~tie.counts).tolist() == [2, 7]


def test_planes_called_plumb_may_be_out_of_it():
    """At the height of the fixed places nothing, above it 0.3 mm a metre as limits, two instruments."""
    tie = registered(np.array([0.0, 4.0]), np.array([1.0, 1.0]), np.zeros(2), NOISE_MM, plumb=True)
    level, above = tie.plumb_off_at(np.array([2.0, 2.0]), np.array([1.0, 2.0]))
    assert level == pytest.approx(0.0, abs=1e-12)
    assert above == pytest.approx(np.sqrt(2.0) * 0.3 / np.sqrt(3.0))
