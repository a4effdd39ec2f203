"""What a scanned wall may be instead of one wall: two in one plane, a curtain, next to nothing at all."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.survey import Floats

STRIP_M = 0.10  # nothing seen over so much of a wall's width, as thin as partitions are, is told
APART = 2.0  # times the distance of neighbouring points that a strip is wide at least
COLUMNS_APART = 2.0  # times the distance of the columns that an instrument scans in
BESIDE_M, HEIGHTS, SEEN_SHARE = 0.2, 10, 0.7  # to either side of it, parts of the height, seen at least
FEW_M = 0.10  # of a cloud with fewer points than one in each square of this side it is said
FOLD_M = 0.5  # across which a wall's own bow is taken out: folds are narrower
FOLD_MM = 8.0  # standard deviation from which ups and downs across a wall may be folds; no source
FOLD_SHARE = 0.6  # of all ups and downs that folds make
ALIKE = 0.6  # correlation of what is seen across a wall at one height and the next
BANDS, FEWEST_FOLDS = 4, 3
COLUMN_M = 0.02
IN_PLANE_M, IN_PLANE_RAD = 0.06, np.radians(2.0)  # walls so close to one plane may be one


def blank_strips(x_m: Floats, z_m: Floats, height_m: float, spacing_m: float) -> list[tuple[float, float]]:
    """Where nothing was seen from foot to top of a wall that is seen to either side: from and to [m].

    Parameters
    ----------
    x_m, z_m : (n,) float
        Places of its points [m].
    height_m : float
        Of the wall [m].
    spacing_m : float
        Distance of neighbouring points [m].

    Examples
    --------
    >>> columns = np.array([*range(11), *range(16, 27)]) / 10.0
    >>> x, z = (each.ravel() for each in np.meshgrid(columns, np.linspace(0, 2.5, 26)))
    >>> blank_strips(x, z, 2.5, 0.1)
    [(1.0, 1.6)]

    Notes
    -----
    Instruments that scan in columns see nothing between them: a strip is wider than what half of the width
    lies in anyway.
    """
    ordered = np.sort(x_m)
    apart = np.diff(ordered)
    usual = np.sort(apart)
    usual_m = float(usual[np.searchsorted(np.cumsum(usual), usual.sum() / 2.0)]) if usual.size else 0.0
    wide = np.flatnonzero(apart > max(STRIP_M, APART * spacing_m, COLUMNS_APART * usual_m))
    ends = [(float(ordered[nth]), float(ordered[nth + 1])) for nth in wide]

    def seen(beside: NDArray[np.bool_]) -> bool:
        """Whether a wall is seen over most of its height."""
        return np.unique((z_m[beside] / height_m * HEIGHTS).astype(int)).size >= SEEN_SHARE * HEIGHTS

    return [
        (start, end)
        for start, end in ends
        if seen((x_m > start - BESIDE_M) & (x_m <= start)) and seen((x_m >= end) & (x_m < end + BESIDE_M))
    ]


def folds(
    x_m: Floats, z_m: Floats, off_m: Floats, size_m: tuple[float, float], spacing_m: float
) -> tuple[float, float] | None:
    """How deep and how wide the folds of a wall are that looks like a curtain, None where it does not.

    Parameters
    ----------
    x_m, z_m : (n,) float
        Places of its points [m].
    off_m : (n,) float
        How far each stands off the wall's bow [m].
    size_m : (width, height)
        Of the wall [m].
    spacing_m : float
        Distance of neighbouring points [m].

    Returns
    -------
    (from trough to crest, from crest to crest) or None
        [mm], [m].

    Notes
    -----
    Folds run up and down: across the wall it goes in and out the same at one height and the next, more than
    it does otherwise.
    """
    column_m = max(COLUMN_M, 2.0 * spacing_m)
    columns = int(size_m[0] / column_m)
    if columns < 4 * FEWEST_FOLDS or column_m > FOLD_M / 6:
        return None
    column = np.minimum((x_m / size_m[0] * columns).astype(np.intp), columns - 1)
    band = np.minimum((z_m / size_m[1] * BANDS).astype(np.intp), BANDS - 1)
    count, total = (
        np.bincount(band * columns + column, weights=each, minlength=BANDS * columns).reshape(BANDS, columns)
        for each in (None, off_m)
    )
    means = np.divide(total, count, out=np.zeros_like(total), where=count > 0)
    wave = np.array([_beside_bow(one, round(FOLD_M / column_m)) for one in means])
    sizes = wave.std(axis=1)
    if sizes.min() * 1000.0 < FOLD_MM or sizes.mean() < FOLD_SHARE * off_m.std():
        return None
    alike = [float(np.corrcoef(one, other)[0, 1]) for one, other in pairwise(wave)]
    turns = float(np.median([(np.diff(np.signbit(one)) != 0).sum() for one in wave]))
    if min(alike) < ALIKE or turns < 2 * FEWEST_FOLDS:
        return None
    return float(2.0 * np.sqrt(2.0) * sizes.mean() * 1000.0), 2.0 * size_m[0] / turns


def _beside_bow(values: Floats, window: int) -> Floats:
    """What a row of values does beside its mean over a window about each, no wider than the row [any]."""
    kernel = np.ones(min(window, values.size))
    total = np.convolve(values, kernel, mode="same") / np.convolve(np.ones(values.size), kernel, mode="same")
    return values - total


def said_of(
    places_m: tuple[Floats, Floats, Floats], size_m: tuple[float, float], spacing_m: float
) -> tuple[str, ...]:
    """What the user should know about a wall that may be none, or more than one.

    Parameters
    ----------
    places_m : (x, z, off) of (n,) float
        Of its points, the last off its bow [m].
    size_m : (width, height)
        Of the wall [m].
    spacing_m : float
        Distance of neighbouring points [m].
    """
    (x_m, z_m, _), said = places_m, []
    each_m = float(np.sqrt(size_m[0] * size_m[1] / max(x_m.size, 1)))
    if each_m > FEW_M:
        said.append(
            f"The scan knows {x_m.size} places on this wall, one every {100 * each_m:.0f} cm: what lies "
            "between them is not known."
        )
    for start, end in blank_strips(x_m, z_m, size_m[1], spacing_m):
        said.append(
            f"Nothing was seen from foot to top between x {start:.2f} and {end:.2f} m: another wall may end "
            "there and this be two in one plane, or a passage lies there, or something stood before it."
        )
    folded = folds(*places_m, size_m, spacing_m)
    if folded is not None:
        said.append(
            f"It goes in and out by {folded[0]:.0f} mm every {100 * folded[1]:.0f} cm, the same from foot to "
            "top, as a curtain does: how the wall behind it stands is not known."
        )
    return tuple(said)


def in_line(ends: Sequence[tuple[Floats, Floats, Floats]]) -> tuple[tuple[str, ...], ...]:
    """For each wall which others, counted from 1, stand in one plane with it.

    Parameters
    ----------
    ends : sequence of (left foot, right foot, towards the room)
        Each (3,): two places [m] and a unit vector [-].
    """
    found: list[tuple[str, ...]] = []
    for left, right, out in ends:
        along = (right - left) / max(float(np.linalg.norm(right - left)), 1e-9)
        beside = []
        for number, (other_left, other_right, other_out) in enumerate(ends, start=1):
            places = np.array([(one - left) @ along for one in (other_left, other_right)])
            off = max(abs(float((one - left) @ out)) for one in (other_left, other_right))
            width = float((right - left) @ along)
            apart = max(float(places.min()) - width, -float(places.max()))
            straight = float(out @ other_out) > np.cos(IN_PLANE_RAD)
            if straight and apart > 0 and off < IN_PLANE_M + np.sin(IN_PLANE_RAD) * apart:
                beside.append(
                    f"Wall {number} stands in one plane with it, {apart:.2f} m on: a passage between two "
                    "parts of one wall, or another room's."
                )
        found.append(tuple(beside))
    return tuple(found)
