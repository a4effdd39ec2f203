"""Readings by hand that stand far off their neighbours: plaster, or something in front of the wall?

Each reading is held to the plane that its neighbours lie about. What it misses that by is judged by what
others of this wall, and those round it, miss theirs by: much on rough stone, little on a smooth wall.

Notes
-----
The figures were chosen on the demo's walls, measured setts read every 25 cm and invented plaster read every
25 to 50 cm, none of which asks anything; nor do a mountain side, a coast and a rock fracture, tried
afterwards. What has fallen off or was dented is as deep as plaster is thick, so behind the wall it takes more
to be asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.spatial import cKDTree

from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.survey.edges import with_spots
from mytakeoff.survey.hollows import hollow_readings
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.loose_plaster import sound_readings
from mytakeoff.survey.said import Said, StandsOff, where_said
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.wall import LooseArea

NEIGHBOURS = 8
FEWEST = 6  # readings from which it can be told what is usual
TIMES = 5.0  # times the usual miss, as a standard deviation
PROUD_MM = 12.0  # that a place has to stand before those round it: less is a wall's own unevenness
BEHIND_MM = 60.0  # and behind them: old plaster is some 20 to 40 mm thick (from memory), so no lost patch
LEAST_SPREAD_MM = 1.0  # readings are whole millimetres
KEPT: tuple[Said, ...] = ("plaster", "hollow", "sound")  # words that answer what stands off
MOST = 5000  # readings; more were not read by hand
ROUNDS = 8
JUDGED = 3  # times: what stands off makes its neighbours look as if they did, until it is put aside
CACHE_SIZE = 64


@lru_cache(maxsize=CACHE_SIZE)
def stands_off(survey: Survey) -> tuple[StandsOff, ...]:
    """Places of a wall that stand far off what is round them, the furthest first.

    Parameters
    ----------
    survey : Survey

    Returns
    -------
    tuple of StandsOff
        Of a scan what was found when it was read; of readings by hand single ones, also those that were left
        out or kept.

    Examples
    --------
    >>> import numpy as np
    >>> from mytakeoff.survey.wall import Wall
    >>> x, z = (each.ravel() for each in np.meshgrid(np.arange(0, 3.1, 0.5), np.arange(0, 2.6, 0.5)))
    >>> proud = np.where((x == 1.0) & (z == 1.0), 49.0, 0.0)
    >>> (off,) = stands_off(Survey.from_readings(Wall("A", 3.0, 2.5), x, z, proud))
    >>> off.x_m, off.z_m, off.mm
    (1.0, 1.0, 49.0)
    """
    if survey.layout == "scan" or not FEWEST < survey.x_m.size <= MOST:
        return survey.stood_off
    whole = Readings(survey.x_m, survey.z_m, survey.proud_mm)
    out = where_said(survey.said, "left out", survey.x_m, survey.z_m)
    kept = np.zeros_like(out)
    for word in KEPT:
        kept |= where_said(survey.said, word, survey.x_m, survey.z_m)
    far = np.zeros_like(out)
    for _ in range(JUDGED):
        missed, around = _missed(whole, whole.without(out | far))
        usual = _usual(whole, missed, ~out)
        far = (missed > np.maximum(TIMES * usual, PROUD_MM)) | (
            -missed > np.maximum(TIMES * usual, BEHIND_MM)
        )
    found = np.flatnonzero(far | out | where_said(survey.said, "plaster", survey.x_m, survey.z_m))
    order = found[np.argsort(-np.abs(missed[found]), kind="stable")]
    return tuple(
        StandsOff(
            float(survey.x_m[nth]), float(survey.z_m[nth]), round(float(missed[nth]), 1),
            round(float(around[nth]), 2), left_out=bool(out[nth]), answered=bool(out[nth] or kept[nth]),
        )
        for nth in order
    )  # fmt: skip


def _missed(readings: Readings, counted: Readings) -> tuple[Floats, Floats]:
    """How far each reading stands off the plane that others round it lie about [mm], and how far [m].

    That plane has the least sum of misses, by weights over again: one neighbour that stands off does not
    draw it.
    """
    places = np.column_stack([counted.x_m, counted.z_m])
    count = min(NEIGHBOURS, places.shape[0] - 1)
    at = np.column_stack([readings.x_m, readings.z_m])
    away, near = (np.asarray(each) for each in cKDTree(places).query(at, k=count + 1))
    own = away[:, :1] <= 1e-9
    away, near = (np.where(own, each[:, 1:], each[:, :-1]) for each in (away, near))
    aside = (places[near] - at[:, None, :]) / np.maximum(away.max(axis=1), 1e-9)[:, None, None]
    terms = np.concatenate([np.ones((*near.shape, 1)), aside], axis=2)
    height = counted.proud_mm[near]
    weight = np.ones(near.shape)
    for _ in range(ROUNDS):
        solved = np.linalg.pinv(terms * weight[:, :, None], rcond=1e-6) @ (height * weight)[:, :, None]
        off = np.abs(height - (terms @ solved)[:, :, 0])
        weight = 1.0 / np.sqrt(np.maximum(off, LEAST_SPREAD_MM))
    return readings.proud_mm - solved[:, 0, 0], np.median(away, axis=1)


def _usual(readings: Readings, missed_mm: Floats, counts: np.ndarray) -> Floats:
    """What readings about each one miss their planes by, or all of the wall if that is more [mm]."""
    places = np.column_stack([readings.x_m, readings.z_m])
    size = np.abs(missed_mm)
    _, near = cKDTree(places).query(places, k=min(NEIGHBOURS + 1, size.size))
    about = np.median(size[near], axis=1)
    return np.asarray(np.maximum(np.maximum(about, np.median(size[counts])) / 0.6745, LEAST_SPREAD_MM))


def asked_notices(survey: Survey, formats: Formats = HOUSE) -> tuple[str, ...]:
    """Words for the readings by hand that stand off and of which nothing has been said."""
    if survey.layout == "scan":
        return ()  # it has notes of its own
    return tuple(
        f"{said_of_place(place, formats)}: {asked_of_place(place)}"
        for place in stands_off(survey) if not place.answered
    )  # fmt: skip


@dataclass(frozen=True)
class OnTheFace:
    """A reading by hand and whether it is taken for a hollow of the sound face.

    Parameters
    ----------
    at : (x [m], z [m])
    proud_mm : float
        As it was read [mm].
    hollow : bool
        As told by the other readings, or by the user.
    said : bool
        Whether the user said so.
    """

    at: tuple[float, float]
    proud_mm: float
    hollow: bool
    said: bool

    @property
    def shown(self) -> bool:
        """Whether there is anything to say of it."""
        return self.hollow or self.said


def on_the_face(survey: Survey, loose: Sequence[LooseArea]) -> tuple[OnTheFace, ...]:
    """Every reading by hand of the face, and whether ranges take it for hollow; of a scan none.

    Parameters
    ----------
    survey : Survey
    loose : sequence of LooseArea
        What has fallen is known to be hollow, and is not among them.
    """
    if survey.layout == "scan" or survey.x_m.size > MOST:
        return ()
    face = sound_readings(survey, loose)
    hollow = hollow_readings(with_spots(survey, face), survey.said)[: face.x_m.size]
    said = np.zeros(face.x_m.size, dtype=bool)
    for word in ("hollow", "sound"):
        said |= where_said(survey.said, word, face.x_m, face.z_m)
    columns = (each.tolist() for each in (face.x_m, face.z_m, face.proud_mm, hollow, said))
    return tuple(
        OnTheFace((x, z), mm, is_hollow, told) for x, z, mm, is_hollow, told in zip(*columns, strict=True)
    )


def said_of_place(place: StandsOff, formats: Formats = HOUSE) -> str:
    """Where a place is and how far it stands off, in words.

    Examples
    --------
    >>> said_of_place(StandsOff(1.2, 0.85, 49.0, 0.1))
    '49 mm proud of what is 10 cm around it, at x 1.20 m, z 0.85 m'
    """
    side = "proud of" if place.mm >= 0 else "behind"
    by, cm = formats.depth(abs(place.mm), places=0), f"{formats.number(place.around_m * 100.0)} cm"
    around = formats.length(place.around_m) if formats.feet_and_inches else cm
    size = ""
    if place.width_m:
        over = formats.length(place.width_m, place.height_m, places=2, between=" × ")
        share = formats.number(place.share * 100.0, 1) if place.share >= 0.001 else "under 0.1"
        size = f", within {over}, {share} % of the wall"
    return f"{by} {side} what is {around} around it, at {formats.place(place.x_m, place.z_m)}{size}"


def asked_of_place(place: StandsOff) -> str:
    """What is asked of it."""
    if place.mm >= 0:
        return "plaster, or something in front of the wall?"
    return "a hollow, or a slip in reading or writing?"
