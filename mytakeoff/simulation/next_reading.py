"""Where to measure next: the few places whose reading would narrow a wall's range of litres most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.simulation.faces import DrawnFaces
from mytakeoff.simulation.planes_over_faces import Drawn
from mytakeoff.survey.cells import inside
from mytakeoff.survey.interpolate import distance_m
from mytakeoff.survey.survey import Floats

APART_M = 0.2  # between two places, and from readings: about a hand
CLEAR_M = 0.05  # from openings and from the wall's sides: where a rule can be held


@dataclass(frozen=True)
class NextReading:
    """A place worth measuring.

    Parameters
    ----------
    x_m, z_m : float
        From the wall's left end and the floor [m].
    narrows_share : float
        Share of the litres' variance that this reading takes away on average, or more, after those before
        it [-].
    guess_mm, sd_mm : float
        What is likely read there, towards the room, and how far it may be off, as a standard deviation [mm].
    """

    x_m: float
    z_m: float
    narrows_share: float
    guess_mm: float
    sd_mm: float


Cells = NDArray[np.intp]
Places = Sequence[tuple[float, float]]  # x and z [m]


def next_readings(
    drawn_faces: DrawnFaces, drawn: Drawn, count: int = 3, among: Places | None = None
) -> tuple[NextReading, ...]:
    """The places whose readings would narrow the range most, the best first.

    Parameters
    ----------
    drawn_faces : DrawnFaces
    drawn : Drawn
        Litres of all of its faces, or of evenly spread ones.
    count : int
        How many, at most [-].
    among : sequence of (x, z), optional
        Places that somebody means to read: one of these, to the nearest cell; anywhere unless given [m, m].

    Returns
    -------
    tuple of NextReading
        At least a hand apart, clear of openings and of readings that are there; fewer where nothing more is
        to be gained.

    Notes
    -----
    Over the faces, litres lean on the height at each place: the square of their correlation, with the error
    of a reading counted, is the share of the variance that a straight-line guess from that reading takes
    away; what it tells of the roughness comes on top. The best place is taken, what it tells is taken out of
    litres and heights alike, and the next is looked for. What litres lean on the highest nib of each face is
    taken out beforehand: no reading tells of it.
    """
    faces = drawn_faces.proud_mm
    some = np.unique(np.linspace(0, len(faces) - 1, drawn.litres.size).round().astype(int))
    heights = (faces + drawn_faces.lowering_mm.astype(np.float32))[some].reshape(some.size, -1)
    weights, where = drawn.weights, np.flatnonzero(_open_places(drawn_faces))
    x, z = (axis[where] for axis in drawn_faces.places_m)
    if among is not None:
        where, x, z = _nearest(among, where, x, z)
    heights = heights[:, where].astype(np.float64)
    litres = drawn.litres - weights @ drawn.litres
    whole = float(weights @ litres**2)
    litres = _without_nibs(litres, drawn_faces.highest_nib_mm[some], weights)
    guess = weights @ heights
    heights = heights - guess
    noise = _noise_mm2(drawn_faces)
    give = np.sqrt(weights @ heights**2 + noise)
    found: list[NextReading] = []
    while whole > 0 and where.size and len(found) < count:
        variance = weights @ heights**2 + noise
        lean = (weights * litres) @ heights
        gain = lean**2 / variance / whole
        best = int(gain.argmax())
        if gain[best] <= 1.0 / some.size:
            break
        found.append(
            NextReading(
                *(round(float(v), 3) for v in (x[best], z[best])),
                *(float(v[best]) for v in (gain, guess, give)),
            )
        )
        there_mm = heights[:, best].copy()
        litres = litres - there_mm * lean[best] / variance[best]
        heights = heights - np.outer(there_mm, (weights * there_mm) @ heights / variance[best])
        keep = np.hypot(x - x[best], z - z[best]) >= APART_M - 1e-9
        heights, x, z, guess, give = heights[:, keep], x[keep], z[keep], guess[keep], give[keep]
        where = where[keep]
    return tuple(found)


def _nearest(among: Places, where: Cells, x_m: Floats, z_m: Floats) -> tuple[Cells, Floats, Floats]:
    """The open cells that some places are in, with those places for their own [m]."""
    found: dict[int, tuple[float, float]] = {}
    for at_x, at_z in among if where.size else ():
        away = np.hypot(x_m - at_x, z_m - at_z)
        cell = int(away.argmin())
        if away[cell] < APART_M / 2:
            found.setdefault(cell, (at_x, at_z))
    cells = np.array(list(found), dtype=np.intp)
    at = np.array(list(found.values()), dtype=np.float64).reshape(-1, 2)
    return where[cells], at[:, 0], at[:, 1]


def _without_nibs(litres: Floats, highest_mm: Floats, weights: Floats) -> Floats:
    """Litres about their mean [l] without what goes with the highest nib of each face [mm]."""
    high = highest_mm - weights @ highest_mm
    varies = float(weights @ high**2)
    return litres - high * float((weights * litres) @ high) / varies if varies > 0 else litres


def _noise_mm2(drawn_faces: DrawnFaces) -> float:
    """What a reading may be off by, as a variance [mm²]."""
    return drawn_faces.faces[0].reading_mm ** 2


def _open_places(drawn_faces: DrawnFaces) -> Floats:
    """Which cells a reading can be taken in: on the net wall, clear of what is there."""
    surface, wall = drawn_faces.surface, drawn_faces.surface.wall
    x, z = drawn_faces.places_m
    clear = surface.known_area_m2.ravel() > 0
    clear &= (x >= CLEAR_M) & (x <= wall.width_m - CLEAR_M) & (z >= CLEAR_M) & (z <= wall.height_m - CLEAR_M)
    for rectangle in wall.not_plastered:
        clear &= ~inside(rectangle, x, z, margin_m=-CLEAR_M)
    return np.asarray(clear & (distance_m(drawn_faces.readings, x, z) >= APART_M / 2))
