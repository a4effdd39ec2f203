"""Invented walls that nothing is chosen by: ranges are tried on them once all is chosen, and never before.

Drawn like `everyday_walls`, of other shapes and other noise.
"""

from __future__ import annotations

import numpy as np
from everyday_walls import CELL_M, Family, Field, bow_and_lean, cells, places, ridges, waves
from scipy.ndimage import distance_transform_edt, gaussian_filter, grey_erosion, map_coordinates


def blurred(rng: np.random.Generator, over_m: float) -> Field:
    """White noise blurred over so much and brought to variance one [m, -]."""
    margin = int(4 * over_m / CELL_M)
    rows, columns = (count + 2 * margin for count in cells(CELL_M))
    field = gaussian_filter(rng.standard_normal((rows, columns)), over_m / CELL_M, mode="wrap")
    return np.asarray(field / field.std())[margin:-margin, margin:-margin]


def strewn(rng: np.random.Generator, per_m2: float) -> np.ndarray:
    """Places of so many a square metre, up and along (n, 2) [m]."""
    rows, columns = cells(CELL_M)
    size = np.array([rows, columns]) * CELL_M
    return np.asarray(rng.uniform(0.0, 1.0, (rng.poisson(per_m2 * size.prod()), 2)) * size)


def old_lime_on_rubble(rng: np.random.Generator) -> tuple[Field, float]:
    """Soft swellings over stones, pulled about; blisters, and hollows with long tails of size and depth."""
    up, along = places(CELL_M)
    rows, columns = np.indices(cells(CELL_M), dtype=float)
    stones = 2.0 * np.expm1(0.6 * blurred(rng, 0.1)) + 4.0 * blurred(rng, 0.45)
    pulled = [axis + 8.0 * blurred(rng, 0.2) for axis in (rows, columns)]
    face = map_coordinates(stones, pulled, order=1, mode="reflect") + bow_and_lean(rng, CELL_M, 2.0, 4.0)
    for z, x in strewn(rng, 0.5):  # blisters
        away = np.hypot(up - z, along - x) / rng.lognormal(np.log(0.06), 0.4)
        face = face + rng.gamma(2.0, 1.2) / (1.0 + away**4)
    for z, x in strewn(rng, 0.4):  # hollows
        away = np.hypot(up - z, (along - x) * rng.uniform(0.5, 1.0)) / rng.lognormal(np.log(0.09), 0.6)
        face = face - min(rng.exponential(6.0), 25.0) * np.exp(-away)
    return face + rng.normal(0.0, 0.4, face.shape), CELL_M


def patched_wall(rng: np.random.Generator) -> tuple[Field, float]:
    """A floated wall of which areas were plastered again at other levels, with feathered edges."""
    up, along = places(CELL_M)
    face = bow_and_lean(rng, CELL_M) + 0.6 * blurred(rng, 0.1)
    for z, x in strewn(rng, 0.35):
        size = rng.uniform(0.25, 1.1, 2)
        inside = (np.abs(up - z) < size[0] / 2) & (np.abs(along - x) < size[1] / 2)
        feather_m = rng.uniform(0.02, 0.12)
        share = np.clip(distance_transform_edt(inside) * CELL_M / feather_m, 0.0, 1.0)
        level = rng.normal(0.5, 2.5) + rng.normal(0.0, 2.0) * (along - x) + 0.5 * blurred(rng, 0.06)
        face = face + share * level
    return face + rng.normal(0.0, 0.2, face.shape), CELL_M


def hammered(rng: np.random.Generator) -> tuple[Field, float]:
    """Keyed with a hammer and weathered: blows a hand apart, and what stood between them worn down."""
    face = bow_and_lean(rng, CELL_M, 1.5, 3.0) + 2.0 * blurred(rng, 0.25) + 1.0 * blurred(rng, 0.05)
    blows = np.zeros(face.shape)
    rows, columns = (strewn(rng, rng.uniform(30.0, 60.0)) / CELL_M).astype(int).T
    blows[rows.clip(max=face.shape[0] - 1), columns.clip(max=face.shape[1] - 1)] = 1.0
    away_m = distance_transform_edt(blows == 0.0) * CELL_M
    face = face - rng.uniform(4.0, 8.0) * np.exp(-((away_m / 0.018) ** 2))
    worn = grey_erosion(face, size=(5, 5))
    where = np.clip(blurred(rng, 0.3), 0.0, 1.0)
    return face + where * (worn - face), CELL_M


def rough_where_proud(rng: np.random.Generator) -> tuple[Field, float]:
    """Ridges on long waves, by so much the higher where these stand proud; a relief of 15 mm."""
    ridged, high = ridges(rng), waves(rng, 3.0, CELL_M)
    field = high + np.exp(0.3 * high) * ridged
    return 15.0 * (field - field.mean()) / field.std(), CELL_M


FAMILIES: dict[str, Family] = {
    "old lime on rubble": old_lime_on_rubble,
    "patched wall": patched_wall,
    "hammered": hammered,
    "rough where it stands proud": rough_where_proud,
}

BACKGROUNDS: dict[str, str] = {
    "old lime on rubble": "weak old plaster",
    "patched wall": "sound old plaster",
    "hammered": "painted plaster",
    "rough where it stands proud": "stone",
}
