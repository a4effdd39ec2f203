"""How a wall stands: lean, turn and bow of the face that most of it lies on, and how far they may be off.

Notes
-----
A smooth face (a plane and its bend) is fitted to equal cells, so that a place that is densely read weighs no
more than another. Cells that stand well off it, furniture, nibs, reveals, fallen plaster, do not count; over
the others the plane is that of least squares, so a wall with nothing on it keeps its plain mean plane.

How far lean and turn may be off is told by leaving out one large patch of the wall after the other: cells
side by side miss alike, so their number tells nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.survey import Floats

PATCHES = 3  # along either way of the wall, each left out once
FULL, NONE = 2.0, 3.0  # scatters off the smooth face up to which a cell counts in full, from which not at all
LEAST_OFF_MM = 3.0  # a cell nearer to the smooth face than this counts in full, however smooth the wall
ROUNDS = 30
STARTS, START_CELLS = 150, 400  # planes through three cells tried first, and cells that they are held to
BENT_CELLS = 12  # fewer cells tell no bend
NORMAL = 0.6745  # median of the size of a standard normal
ALIKE = 1e-6  # of the largest weight


@dataclass(frozen=True)
class Stance:
    """How a wall stands, as a plane ``a + b x + c z`` and how it is bent about it.

    Parameters
    ----------
    a_mm, b_mm_per_m, c_mm_per_m : float
        Height at the wall's lower left corner, turn and lean; into the room is positive [mm, mm/m].
    turn_off_mm_per_m, lean_off_mm_per_m : float
        Standard deviations of turn and lean, as large patches of the wall differ; NaN where too little of it
        is known [mm/m].
    bow_mm : float
        From the hollowest to the proudest place of its smooth bend, over the cells that count [mm].
    """

    a_mm: float
    b_mm_per_m: float
    c_mm_per_m: float
    turn_off_mm_per_m: float
    lean_off_mm_per_m: float
    bow_mm: float


def stance(x_m: Floats, z_m: Floats, proud_mm: Floats, weight: Floats | None = None) -> Stance:
    """How a wall stands by its cells.

    Parameters
    ----------
    x_m, z_m, proud_mm : (n,) float
        Places and heights of equal cells; into the room is positive [m, m, mm].
    weight : (n,) float, optional
        The area of each, more than 0; alike unless given.

    Examples
    --------
    A wall that leans 5 mm a metre into the room, with a board of 20 mm in front of its foot on the left:

    >>> x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.05, 3, 0.1), np.arange(0.05, 2.6, 0.1)))
    >>> board = 20.0 * ((x < 1.5) & (z < 1.0))
    >>> round(stance(x, z, 5.0 * z + board).c_mm_per_m, 6)
    5.0
    """
    weight = np.ones_like(proud_mm) if weight is None else weight
    counts, face_mm = smooth_face(x_m, z_m, proud_mm, weight)
    x0, z0 = float(x_m.mean()), float(z_m.mean())
    columns = np.column_stack([np.ones_like(x_m), x_m - x0, z_m - z0])
    a, b, c = fitted(columns, proud_mm, counts).tolist()
    off = spread_of(columns, proud_mm, counts, ninths(x_m, z_m)).tolist()
    bend = (face_mm - columns @ fitted(columns, face_mm, counts))[counts > 0]
    return Stance(a - b * x0 - c * z0, b, c, off[1], off[2], float(np.ptp(bend)))


def smooth_face(x_m: Floats, z_m: Floats, proud_mm: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """The smooth face that most of a wall lies on: what each cell counts for, and the face's height there.

    Parameters
    ----------
    x_m, z_m, proud_mm, weight : (n,) float
        As for `stance`.

    Returns
    -------
    counts, face_mm : (n,) float
        The weight, 0 for what stands off; the smooth face [mm].

    Notes
    -----
    It starts from the plane, of many through three cells, from which half of the cells stand off least (least
    median of squares: P. J. Rousseeuw, Journal of the American Statistical Association 79 (1984), from
    memory), so that anything on less than half of the wall tilts nothing. Weights fall in a straight line
    between `FULL` and `NONE` scatters, and the face is fitted again until they stay.
    """
    u, v = _shares(x_m), _shares(z_m)
    bends = (u * u, u * v, v * v) if u.size > BENT_CELLS else ()
    columns = np.column_stack([np.ones_like(u), u, v, *bends])
    face = columns[:, :3] @ _first_plane(columns[:, :3], proud_mm)
    counts = weight
    for _ in range(ROUNDS):
        off = np.abs(proud_mm - face)
        full = max(FULL * _median(off, weight) / NORMAL, LEAST_OFF_MM)
        none = full * NONE / FULL
        before, counts = counts, weight * np.clip((none - off) / (none - full), 0.0, 1.0)
        face = columns @ fitted(columns, proud_mm, counts)
        if np.abs(counts - before).max() <= ALIKE * weight.max():
            break
    return counts, face


def _shares(places_m: Floats) -> Floats:
    """Places as shares of their reach, -1 to 1."""
    low, high = float(places_m.min()), float(places_m.max())
    return 2.0 * (places_m - low) / max(high - low, 1e-12) - 1.0


def _median(values: Floats, weight: Floats) -> float:
    """The value that half of the weight does not exceed [unit of the values]."""
    order = np.argsort(values)
    sums = np.cumsum(weight[order])
    return float(values[order[np.searchsorted(sums, 0.5 * sums[-1])]])


def _first_plane(columns: Floats, values: Floats) -> Floats:
    """The plane from which half of the cells stand off least: the mean one, or one through three cells."""
    random = np.random.default_rng(0)  # the same wall always starts from the same planes
    pick = random.permutation(values.size)[:START_CELLS]
    columns, values = columns[pick], values[pick]
    corners = random.integers(0, values.size, (STARTS, 3))
    area = np.abs(np.linalg.det(columns[corners]))
    corners = corners[area > max(float(np.median(area)), 1e-9)]  # near ones make wild planes
    planes = [np.linalg.lstsq(columns, values, rcond=None)[0][None, :]]
    if corners.size:
        planes.append(np.linalg.solve(columns[corners], values[corners][..., None])[..., 0])
    tried = np.vstack(planes)
    off = np.median(np.abs(values - tried @ columns.T), axis=1)
    return np.asarray(tried[int(np.argmin(off))])


def fitted(columns: Floats, values: Floats, weight: Floats) -> Floats:
    """Weighted least squares: the terms (k,) of columns (n, k) [values' unit per column's unit]."""
    weighed = columns.T * weight  # few columns of like size: their products are as good and far quicker
    return np.asarray(np.linalg.lstsq(weighed @ columns, weighed @ values, rcond=None)[0])


def ninths(x_m: Floats, z_m: Floats) -> NDArray[np.intp]:
    """In which of the wall's large patches each cell lies (n,)."""
    across, up = (
        np.minimum(((_shares(places) + 1.0) / 2.0 * PATCHES).astype(np.intp), PATCHES - 1)
        for places in (x_m, z_m)
    )
    return np.asarray(across * PATCHES + up)


def spread_of(columns: Floats, values: Floats, weight: Floats, patch: NDArray[np.intp]) -> Floats:
    """Standard deviations of the terms of a fit, by leaving out one patch after the other; NaN if unknown.

    Parameters
    ----------
    columns : (n, k) float
        [any unit]
    values, weight : (n,) float
        [any unit]
    patch : (n,) int
        In which patch each lies.

    References
    ----------
    F. M. T. A. Busing, E. Meijer and R. van der Leeden, "Delete-m jackknife for unequal m", Statistics and
    Computing 9 (1999), from memory: with ``h = n / m`` of a patch and its pseudo-value
    ``p = h t - (h - 1) t_without``, the variance is the mean of ``(p - mean p)² / (h - 1)``.
    """
    size = columns.shape[1]
    there = np.unique(patch[weight > 0])
    if there.size <= size:
        return np.full(size, np.nan)
    beside = np.column_stack([columns, values])
    each = np.array([(columns[mine] * weight[mine, None]).T @ beside[mine]
                     for mine in (patch == nth for nth in there)])  # fmt: skip
    left = each.sum(axis=0) - each
    if np.linalg.matrix_rank(left[:, :, :size], hermitian=True).min() < size:
        return np.full(size, np.nan)
    without = np.linalg.solve(left[:, :, :size], left[:, :, size:])[..., 0]
    h = (weight.sum() / np.bincount(patch, weights=weight)[there])[:, None]
    pseudo = h * fitted(columns, values, weight) - (h - 1.0) * without
    return np.asarray(np.sqrt(((pseudo - pseudo.mean(axis=0)) ** 2 / (h - 1.0)).mean(axis=0)))
