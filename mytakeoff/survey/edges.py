"""What a straightedge tells of the wall between the readings: how high it can stand, and where it does.

A straightedge rests on the wall, on two places or more, and nothing under it stands higher than the edge or
lies deeper than the worst gap. Where the edge stands is not measured, only bounded: at each reading under it
the edge is no lower than the wall and no higher than the wall and the worst gap. All straight lines that keep
to this make a small convex region, and from its corners follow the lowest and the highest that the edge, and
so a place where it touches, can be. Such a place counts as a high spot at the middle of the two; what is left
above the middle stays open, and counts where millimetres are entered for high spots between the readings.
Where no reading lies under the edge, the face between the readings stands in, trusted to `BETWEEN_MM` only.

Notes
-----
An edge and readings that cannot both be right are a mistake, not a compromise.

On a measured rough surface (mean of the least plaster 67 mm) read every 25 cm (51 mm), 38 edges along the
rows of readings gave 60 mm, 75 of them 67 mm; every touch lay between its bounds. Of very many edges with
wide bounds the proudest middles stand too proud: 156 edges, half of them beside the readings, gave 71 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.survey import interpolate
from mytakeoff.survey.cells import cell_edges, centres, free_m2
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.survey import Floats, Survey

UNDER_M = 0.03  # a reading this near to an edge's middle line is under it
AT_M = 0.006  # a touch this near to a reading is at its place: both are measured to a centimetre
READ_MM = 1.0  # how far a reading in whole millimetres and a gap by feeler or wedge may be out together
BETWEEN_MM = 4.0  # the same for the face between readings: what is taken where nothing was worked out
SAMPLES = 9
SAME_M = 0.05  # touches of two edges this near are one place
RASTER_M = 0.05
AT_ONCE = 40


@dataclass(frozen=True, eq=False)
class Touches:
    """Places that an edge was seen to touch: where [m], between which heights they stand [mm], (n,) each."""

    x_m: Floats
    z_m: Floats
    low_mm: Floats
    high_mm: Floats

    @property
    def middle_mm(self) -> Floats:
        """What they are taken to be [mm]."""
        return (self.low_mm + self.high_mm) / 2

    @property
    def spread_mm(self) -> Floats:
        """Half of what is not known: the middle is right to this [mm]."""
        return (self.high_mm - self.low_mm) / 2


@dataclass(frozen=True, eq=False)
class Edge:
    """One laid straightedge: its touches, and how far the wall may still stand above the face [mm]."""

    sweep: LaidEdge
    touches: Touches
    open_mm: float


def hand_face(survey: Survey, readings: Readings, x: Floats, z: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """The face of readings by hand at every crossing of x and z [m], single high spots left out."""
    if survey.layout == "grid":
        return interpolate.from_grid(readings, x, z)
    return interpolate.from_list(readings, *np.meshgrid(x, z))


def face_at(survey: Survey, readings: Readings, x_m: Floats, z_m: Floats) -> Floats:
    """That face at single places (n,) [mm]."""
    if survey.layout != "grid":
        return interpolate.from_list(readings, x_m, z_m)[0]
    found = np.zeros(x_m.size)
    for start in range(0, x_m.size, AT_ONCE):  # a face is worked out on the crossings of all x and z given
        some = slice(start, start + AT_ONCE)
        found[some] = np.diagonal(hand_face(survey, readings, x_m[some], z_m[some])[0])
    return found


def edges_of(survey: Survey, readings: Readings) -> tuple[Edge, ...]:
    """What each sweep of a survey tells.

    Parameters
    ----------
    survey : Survey
        Not a scan: its points lie closer than an edge tells.
    readings : Readings
        Those of the sound face.

    Raises
    ------
    TakeoffError
        A sweep and the readings under it cannot both be right.
    """
    if survey.layout == "scan":
        return ()
    places = [sweep.place(at) for sweep in survey.sweeps for at in _samples(sweep)]
    x_m, z_m = np.array(places).reshape(-1, 2).T
    faces = face_at(survey, readings, x_m, z_m).reshape(-1, SAMPLES)
    return tuple(
        _edge(survey, readings, sweep, face) for sweep, face in zip(survey.sweeps, faces, strict=True)
    )


def _samples(sweep: LaidEdge) -> list[float]:
    """Places along an edge at which the face is asked [m]."""
    return [float(at) for at in np.linspace(0.0, sweep.length_m, SAMPLES)]


def _edge(survey: Survey, readings: Readings, sweep: LaidEdge, face_mm: Floats) -> Edge:
    at_m, low_mm, high_mm = _band(survey, readings, sweep, face_mm)
    corners = _corners(at_m, low_mm, high_mm)
    if not corners.size:
        raise TakeoffError(
            Mistake(
                f"worst gap {sweep.gap_mm:g} mm",
                f"a straight line lies on the readings under it, within {sweep.gap_mm:g} mm of all of them",
                "lay the edge there again, and see that its place and the readings' are right",
                f"wall {survey.wall.name!r}, {sweep.where}",
            )
        )
    where = np.array([sweep.place(at) for at in sweep.touches_m]).reshape(-1, 2)
    heights = corners[:, :1] + corners[:, 1:] * np.array(sweep.touches_m)
    touches = Touches(where[:, 0], where[:, 1], heights.min(axis=0), heights.max(axis=0))
    return Edge(sweep, touches, _open_mm(sweep, touches, corners, face_mm))


def _open_mm(sweep: LaidEdge, touches: Touches, corners: Floats, face_mm: Floats) -> float:
    """What the wall may still stand higher than it is taken to be, along the edge.

    Between two touches a plane that clears both clears all, so only their own spread is open; with fewer the
    whole length of the edge is.
    """
    if len(sweep.touches_m) >= 2:
        return float(touches.spread_mm.max())
    highest = (corners[:, :1] + corners[:, 1:] * np.array(_samples(sweep))).max(axis=0)
    return max(float((highest - face_mm).max()), 0.0)


def _band(
    survey: Survey, readings: Readings, sweep: LaidEdge, face_mm: Floats
) -> tuple[Floats, Floats, Floats]:
    """Places along the edge [m] with the lowest and highest that it can be there [mm]."""
    x = np.concatenate([readings.x_m, survey.high_x_m]) - sweep.x_m
    z = np.concatenate([readings.z_m, survey.high_z_m]) - sweep.z_m
    proud = np.concatenate([readings.proud_mm, survey.high_mm])
    (across, up), none = sweep.place(1.0), sweep.place(0.0)
    across, up = across - none[0], up - none[1]
    along, aside = across * x + up * z, np.abs(across * z - up * x)
    under = (aside <= UNDER_M) & (along >= -UNDER_M) & (along <= sweep.length_m + UNDER_M)
    at_m, known_mm = along[under], proud[under]
    if at_m.size and np.ptp(at_m) >= sweep.length_m / 3:
        out_mm = READ_MM
    else:
        at_m, known_mm, out_mm = np.array(_samples(sweep)), face_mm, BETWEEN_MM
    low, high = known_mm - out_mm, known_mm + sweep.gap_mm + out_mm
    if out_mm == READ_MM:
        touched = _near(at_m, sweep.touches_m)
        high = np.where(touched, known_mm + out_mm, high)
        deepest = _near(at_m, () if sweep.gap_at_m is None else (sweep.gap_at_m,))
        low = np.where(deepest, known_mm + sweep.gap_mm - out_mm, low)
    return at_m, low, high


def _near(at_m: Floats, places_m: Sequence[float]) -> NDArray[np.bool_]:
    return np.asarray((np.abs(at_m[:, None] - np.array(places_m)) <= AT_M).any(axis=1))


def _corners(at_m: Floats, low_mm: Floats, high_mm: Floats) -> Floats:
    """Corners (n, 2) of the region of lines ``p + q t`` between low and high; none where there is none."""
    t, h = np.concatenate([at_m, at_m]), np.concatenate([low_mm, high_mm])
    pairs = np.array(list(combinations(range(t.size), 2)))
    run = t[pairs[:, 1]] - t[pairs[:, 0]]
    pairs, run = pairs[np.abs(run) > 1e-9], run[np.abs(run) > 1e-9]
    slope = (h[pairs[:, 1]] - h[pairs[:, 0]]) / run
    start = h[pairs[:, 0]] - slope * t[pairs[:, 0]]
    line = start[:, None] + slope[:, None] * at_m
    keeps = ((line >= low_mm - 1e-9) & (line <= high_mm + 1e-9)).all(axis=1)
    return np.asarray(np.column_stack([start, slope])[keeps])


def touches_of(survey: Survey, readings: Readings) -> Touches:
    """Places that edges touch, those known by a reading or a high spot left out, near ones put together.

    Of two edges that touch one place each counts by its own weight, one over the square of its spread.
    """
    found = [edge.touches for edge in edges_of(survey, readings)]
    none = np.zeros(0)
    x, z, low, high = (
        np.concatenate([none, *(getattr(one, name) for one in found)])
        for name in ("x_m", "z_m", "low_mm", "high_mm")
    )
    if not x.size:
        return Touches(none, none, none, none)
    known = Readings(*(np.concatenate(pair) for pair in (
        (readings.x_m, survey.high_x_m), (readings.z_m, survey.high_z_m), (readings.proud_mm, survey.high_mm)
    )))  # fmt: skip
    new = interpolate.distance_m(known, x, z) > AT_M
    return _put_together(Touches(x[new], z[new], low[new], high[new]))


def _put_together(touches: Touches) -> Touches:
    left = list(range(touches.x_m.size))
    made = []
    while left:
        first = left[0]
        away = np.hypot(touches.x_m[left] - touches.x_m[first], touches.z_m[left] - touches.z_m[first])
        same = [nth for nth, far in zip(left, away, strict=True) if far <= SAME_M]
        weight = 1.0 / np.maximum(touches.spread_mm[same], 0.1) ** 2
        middle = float(weight @ touches.middle_mm[same] / weight.sum())
        spread = float(touches.spread_mm[same].min())
        where = [float(weight @ values[same] / weight.sum()) for values in (touches.x_m, touches.z_m)]
        made.append((*where, middle - spread, middle + spread))
        left = [nth for nth in left if nth not in same]
    return Touches(*(np.array(column) for column in np.array(made).reshape(-1, 4).T))


def spots_of(survey: Survey, readings: Readings) -> Readings:
    """Single high spots that were read, and places that edges touch at the middle of what they can be."""
    read = Readings(survey.high_x_m, survey.high_z_m, survey.high_mm)
    if survey.sweeps and survey.layout != "scan":
        touches = touches_of(survey, readings)
        read = read.and_more(Readings(touches.x_m, touches.z_m, touches.middle_mm))
    return _highest_of_each(read)


def with_spots(survey: Survey, readings: Readings) -> Readings:
    """Readings of its sound face with its high spots after them: what hollows are told from."""
    return readings.and_more(spots_of(survey, readings))


def _highest_of_each(spots: Readings) -> Readings:
    """Of spots at one place the highest: a face passes one height at a place."""
    kept: list[int] = []
    for nth in np.argsort(-spots.proud_mm, kind="stable").tolist():
        away = np.hypot(spots.x_m[kept] - spots.x_m[nth], spots.z_m[kept] - spots.z_m[nth])
        if not (away < interpolate.SAME_SPOT_M).any():
            kept.append(nth)
    kept.sort()
    return Readings(spots.x_m[kept], spots.z_m[kept], spots.proud_mm[kept])


@lru_cache(maxsize=64)
def missed_mm(survey: Survey, default_mm: float) -> float:
    """What millimetres entered for high spots between the readings come to, over the whole wall [mm].

    Nothing where the whole wall was swept or scanned. Else the default, but in the strip along each sweep,
    half the readings' step to either side, no more than what the sweep left open: the mean over the wall.

    Parameters
    ----------
    survey : Survey
    default_mm : float
        Where no edge was laid [mm].
    """
    if survey.swept or survey.layout == "scan":
        return 0.0
    if not survey.sweeps:
        return default_mm
    readings = interpolate.readings_of(survey)
    wall = survey.wall
    x_edges, z_edges = (cell_edges(length, RASTER_M) for length in (wall.width_m, wall.height_m))
    area = free_m2(x_edges, z_edges, wall.not_plastered)
    x, z = np.meshgrid(centres(x_edges), centres(z_edges))
    left = np.full(area.shape, default_mm)
    for edge in edges_of(survey, readings):
        strip = from_edge_m(edge.sweep, x, z) <= interpolate.step_m(readings) / 2
        left = np.where(strip, np.minimum(left, edge.open_mm), left)
    return float((left * area).sum() / area.sum()) if area.sum() > 0 else default_mm


def from_edge_m(sweep: LaidEdge, x_m: Floats, z_m: Floats) -> Floats:
    """Distance of places from the edge [m]."""
    (x0, z0), (x1, z1) = sweep.place(0.0), sweep.place(sweep.length_m)
    along = ((x_m - x0) * (x1 - x0) + (z_m - z0) * (z1 - z0)) / sweep.length_m**2
    along = np.clip(along, 0.0, 1.0)
    return np.asarray(np.hypot(x_m - x0 - along * (x1 - x0), z_m - z0 - along * (z1 - z0)))
