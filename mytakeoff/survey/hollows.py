"""Which readings lie in a hollow: below a sound face that the others lie on.

A wall that was floated once is flat on top and falls off to one side only: dents, lost patches. Taken for a
face that is as rough upwards as downwards, its dents would make peaks that are not there, and the plane would
be laid over them.

Notes
-----
The sound face is a plane that bows, fitted so that single readings far off count for little. How far sound
readings stray from it is told from those above it alone, which no hollow has touched.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.as_taken import in_a_line
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.said import SaidOf, where_said
from mytakeoff.survey.survey import Floats

FAR = 3.0  # times what sound readings stray: a reading so far below the sound face lies in a hollow
MOST_SHARE = 0.6  # of the readings that may be hollow: with fewer sound ones nothing tells the face
LEAST_STRAY_MM = 0.5  # readings are in whole millimetres
ROUNDS = 20
MIDDLE = 0.01  # strays: to begin with, readings above and below count alike, however far off
HUBER = 1.345  # strays from which on a reading counts for less (P. J. Huber, "Robust Statistics", 1981)
HALF_NORMAL = 0.6745  # median of a standard normal variable without its sign
TERMS = 6
LEAST_READINGS = 16  # with fewer a plane that bows follows them, and nothing tells a hollow from a bow


def hollow_readings(readings: Readings, said: Sequence[SaidOf] = ()) -> NDArray[np.bool_]:
    """Which readings lie in a hollow of a face that is sound elsewhere (n,).

    Parameters
    ----------
    readings : Readings
        Of the face that stands; of fewer than 16 none is taken for hollow by itself.
    said : sequence of SaidOf
        "Hollow" and "sound" count for the reading at that place, whatever it shows.

    Returns
    -------
    (n,) bool

    Notes
    -----
    A reading is hollow where it lies more than three strays below the sound face. The stray is the median
    of those above the face divided by 0.6745, more by what a face of six terms takes away of few readings,
    and at least half a millimetre. Face and hollows are found in turns
    until nothing changes; by itself never more than 60 % of the readings are hollow, the deepest of them.
    Where what is left would make no plane, none is.

    Examples
    --------
    Sixteen readings within a millimetre of a plane, one of them 9 mm behind it:

    >>> x, z = np.tile([0.0, 0.5, 1.0, 1.5], 4), np.repeat([0.2, 0.9, 1.6, 2.3], 4)
    >>> mm = np.array([0.0, 1, 0, 1, 1, 0, -9, 0, 0, 1, 0, 1, 1, 0, 0, 1])
    >>> np.flatnonzero(hollow_readings(Readings(x, z, mm))).tolist()
    [6]
    """
    none = np.zeros(readings.x_m.size, dtype=bool)
    hollow = _told(readings) if readings.x_m.size >= LEAST_READINGS else none
    hollow = hollow | where_said(said, "hollow", readings.x_m, readings.z_m)
    hollow &= ~where_said(said, "sound", readings.x_m, readings.z_m)
    return none if in_a_line(readings.x_m[~hollow], readings.z_m[~hollow]) else hollow


def _told(readings: Readings) -> NDArray[np.bool_]:
    """Which readings are hollow by what they show."""
    terms, proud = _terms(readings), readings.proud_mm
    hollow = _far_below(proud - terms @ _fitted(terms, proud, MIDDLE))
    for _ in range(ROUNDS):
        off = proud - terms @ _fitted(terms[~hollow], proud[~hollow], HUBER)
        before, hollow = hollow, _far_below(off)
        if np.array_equal(before, hollow):
            break
    return hollow


def _far_below(off_mm: Floats) -> NDArray[np.bool_]:
    """Which readings lie far below, by those above; the deepest where that would be too many."""
    above = off_mm[off_mm > 0]
    stray = float(np.median(above)) / HALF_NORMAL if above.size else 0.0
    stray = max(stray / np.sqrt(1.0 - TERMS / off_mm.size), LEAST_STRAY_MM)
    deepest = np.sort(off_mm)[int(MOST_SHARE * off_mm.size)]
    return np.asarray((off_mm < -FAR * stray) & (off_mm < deepest))


def _terms(readings: Readings) -> Floats:
    """One, x, z and their products, each from -1 to 1 over the readings (n, 6)."""
    x, z = (
        2.0 * (places - places.min()) / max(float(np.ptp(places)), 1e-9) - 1.0
        for places in (readings.x_m, readings.z_m)
    )
    return np.column_stack([np.ones_like(x), x, z, x * x, x * z, z * z])


def _fitted(terms: Floats, proud_mm: Floats, huber: float) -> Floats:
    """Terms' weights by Huber's estimator: least squares in which readings far off count for less.

    From so many strays on [-]; the fewer, the nearer to the least sum of distances, which a third of hollow
    readings does not move.
    """
    weight = np.ones(proud_mm.size)
    fit: Floats = np.zeros(terms.shape[1])
    for _ in range(ROUNDS):
        root = np.sqrt(weight)
        fit = np.asarray(np.linalg.lstsq(terms * root[:, None], proud_mm * root, rcond=None)[0], float)
        off = np.abs(proud_mm - terms @ fit)
        stray = max(float(np.median(off)) / HALF_NORMAL, LEAST_STRAY_MM)
        weight = np.minimum(1.0, huber * stray / np.maximum(off, 1e-12))
    return fit
