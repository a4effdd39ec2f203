"""What was put on a wall between two surveys of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import sqrt

import numpy as np

from mytakeoff.bounds import check_number
from mytakeoff.change.change import FIXED, Change
from mytakeoff.change.fixed import FixedRow, ReadTwice, check_not_in_line, read_twice
from mytakeoff.change.known_face import LOOSE_GROWS, KnownFace, known_face
from mytakeoff.change.recognised import FEWEST_READINGS, fixed_mistake, shape_mistake
from mytakeoff.change.registration import Registration, enough, registered, terms
from mytakeoff.change.same_wall import check_enough, check_same_wall
from mytakeoff.change.uncertainty import Combined, Part, combined
from mytakeoff.change.words import change_notices
from mytakeoff.errors import Check
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.survey.cells import GROWTH, REACH
from mytakeoff.survey.loose_plaster import check_loose
from mytakeoff.survey.stance import fitted
from mytakeoff.survey.survey import Floats, Survey, read_only
from mytakeoff.survey.wall import LooseArea

BEHIND_SHARE = 0.99  # of the ground that lies behind the first survey beyond doubt: all over


def change_between(
    before: Survey,
    after: Survey,
    fixed: Sequence[FixedRow] = (),
    *,
    loose: Sequence[LooseArea] = (),
    reach_m: float = 0.5,
    likely_before: LikelyWall | None = None,
    likely_after: LikelyWall | None = None,
    growth_share: float = LOOSE_GROWS,
    same_face: bool = False,
    formats: Formats = HOUSE,
) -> Change:
    """What was put on a wall between two surveys of it.

    Parameters
    ----------
    before, after : Survey
        Of the same wall, each off a plane of its own, by hand or scanned.
    fixed : sequence of (x [m], z [m], before [mm], after [mm]) or with a name behind them
        Places that the plaster did not move, read off either survey's plane, towards the room: three, not in
        line; two that differ in x where both planes were plumb. `read_again` makes them of the places that a
        wall of the job keeps.
    loose : sequence of LooseArea
        Old plaster that came off before the first coat: what took its place was put on, too.
    reach_m : float
        How far either survey is trusted beyond its readings, 0 or more [m].
    likely_before, likely_after : LikelyWall or None
        What is taken for likely before anything is read (`likely_on`), with the error of a reading; None:
        that of a wall that was floated once.
    growth_share : float
        Growth of loose areas as they come off, as a share of their area, 0 to 3 [-].
    same_face : bool
        Nothing was put on between the two: a coat was read when it was laid and when it had dried. Its face
        may lie behind itself as it was.
    formats : Formats
        Of its notices.

    Returns
    -------
    Change

    Raises
    ------
    TakeoffError
        Walls that differ, too few readings, fixed places that are none or stand in line; a second survey
        that was read from the other end, in another unit or the other way, or that lies behind the first
        (unless both are of the same face).

    Notes
    -----
    ``thickness = after - before - (a + b x + c z)``, the plane by least squares through the fixed places.
    The standard uncertainty of its mean adds, by their squares, what either survey leaves open (readings'
    error and what lies between them, over faces drawn through the readings), a bow that may be a scanner's,
    what planes called plumb may be out of it, and the covariance of the plane carried to the middle of the
    ground: ``u² = m' C m`` with ``m`` the mean of (1, x, z). Between the two surveys nothing is taken to be
    in common; where bare wall was read twice at the same places that says too much.

    References
    ----------
    JCGM 100:2008, 5.1.2 and G.4.1; W. Baarda (1968) on places that moved: see `uncertainty`, `registration`.

    Examples
    --------
    A coat of 10 mm, read the second time from a laser 300 mm nearer to the wall:

    >>> from mytakeoff.survey.wall import Wall
    >>> wall, x, z = Wall("A", 2.0, 2.0), [0.0, 1.0, 2.0] * 3, [0.0] * 3 + [1.0] * 3 + [2.0] * 3
    >>> before = Survey.from_readings(wall, x, z, [-500.0] * 9)
    >>> after = Survey.from_readings(wall, x, z, [-190.0] * 9)
    >>> marks = [(0.0, 0.0, -480, -180), (2.0, 0.0, -480, -180), (0.0, 2.0, -510, -210)]
    >>> found = change_between(before, after, [*marks, (2.0, 2.0, -480, -180)])
    >>> round(found.mean_mm, 6), round(found.volume_l, 6), round(found.uncertainty_mm, 1)
    (10.0, 40.0, 1.0)
    """
    twice = _checked(before, after, fixed, tuple(loose), reach_m, growth_share)
    first = known_face(before, tuple(loose), reach_m, likely_before, growth_share)
    second = known_face(after, (), reach_m, likely_after)
    plumb = before.plumb and after.plumb
    _check_as_read(before, after, first, second, twice, plumb)
    tie = None
    if enough(twice.x_m, twice.z_m, plumb):
        noise_mm = sqrt(first.reading_mm**2 + second.reading_mm**2)
        tie = registered(twice.x_m, twice.z_m, twice.moved_mm, noise_mm, plumb)
    made = _tied(first, second, tie) if tie else _shape_only(first, second)
    if not same_face:
        _check_not_behind(made, after)
    return replace(
        made, notices=change_notices(made, first.surface, second.surface, twice, tie, plumb, formats)
    )


def _checked(
    before: Survey,
    after: Survey,
    fixed: Sequence[FixedRow],
    loose: tuple[LooseArea, ...],
    reach_m: float,
    growth_share: float,
) -> ReadTwice:
    """The fixed places, once nothing is wrong with what was entered."""
    check = Check(_second(after))
    check_number(check, REACH, reach_m=reach_m)
    check_number(check, GROWTH, growth_share=growth_share)
    check_loose(before.wall, loose, check)
    check_enough(before, "first", check)
    check_enough(after, "second", check)
    check_same_wall(before.wall, after.wall, check)
    twice = read_twice(fixed, before.wall, check)
    if twice is not None:
        check_not_in_line(twice, before.plumb and after.plumb, check)
    check.done()
    assert twice is not None  # else a mistake was noted
    return twice


def _second(after: Survey) -> str:
    return after.source or f"second survey of wall {after.wall.name!r}"


def _check_as_read(
    before: Survey, after: Survey, first: KnownFace, second: KnownFace, twice: ReadTwice, plumb: bool
) -> None:
    """Refuse a second survey that plainly was read from the other end, in another unit or the other way."""
    off_mm = max(first.reading_mm, second.reading_mm)
    found = [fixed_mistake(terms(twice.x_m, twice.z_m, plumb), twice.before_mm, twice.after_mm, off_mm)]
    if min(before.x_m.size, after.x_m.size) >= FEWEST_READINGS:
        found.append(shape_mistake(_shape(first), _shape(second), second.reading_mm))
    check = Check(_second(after))
    for each in dict.fromkeys(filter(None, found)):
        check.that(False, each.found, each.rule, each.remedy)
    check.done()


def _shape(face: KnownFace) -> Floats:
    """What a face has besides a plane where it was read (nz, nx) [mm]."""
    surface = face.surface
    read = np.where(surface.extended | surface.guessed, np.nan, surface.proud_mm)
    return read if np.isnan(read).all() else read - _best_plane(face, read, surface.known_area_m2)


def _best_plane(face: KnownFace, mm: Floats, area_m2: Floats) -> Floats:
    """The plane that fits best where something is known, in every cell (nz, nx) [mm]."""
    x, z = np.meshgrid(face.surface.x_m, face.surface.z_m)
    known = np.isfinite(mm) & (area_m2 > 0)
    columns = terms(x.ravel(), z.ravel(), plumb=False)
    plane = fitted(columns[known.ravel()], mm[known], area_m2[known])
    return np.asarray((columns @ plane).reshape(mm.shape))


def _apart(first: KnownFace, second: KnownFace) -> tuple[Floats, Floats]:
    """Second face less the first, NaN where either is not known [mm], and the area of what is [m²]."""
    apart = second.surface.proud_mm - first.surface.proud_mm
    area = np.where(np.isfinite(apart), first.surface.cell_area_m2, 0.0)
    check = Check(f"wall {first.surface.wall.name!r}")
    check.that(bool(area.sum() > 0), "no place that both surveys know", "the change is told where both do",
               "read the wall again where it was read the first time")  # fmt: skip
    check.done()
    return np.where(area > 0, apart, np.nan), area


def _shape_only(first: KnownFace, second: KnownFace) -> Change:
    apart, area = _apart(first, second)
    off = np.where(area > 0, np.hypot(first.off_mm, second.off_mm), np.nan)
    off = np.sqrt(off**2 + first.bow_off_mm**2 + second.bow_off_mm**2)
    told = combined([Part("the surveys", 1.0)])
    return Change(
        first.surface.x_m, first.surface.z_m, read_only(area),
        read_only(apart - _best_plane(first, apart, area)), read_only(told.factor * off),
        None, None, None, None, None, (), read_only([]), (), (),
    )  # fmt: skip


def _tied(first: KnownFace, second: KnownFace, tie: Registration) -> Change:
    apart, area = _apart(first, second)
    x, z = np.meshgrid(first.surface.x_m, first.surface.z_m)
    thickness = apart - tie.at(x.ravel(), z.ravel()).reshape(x.shape)
    square_m = float(area.sum())
    litres = float((np.nan_to_num(thickness) * area).sum())
    parts = _parts(first, second, tie, area)
    total = combined(parts)
    return Change(
        first.surface.x_m, first.surface.z_m, read_only(area), read_only(thickness),
        read_only(_cells_off(first, second, tie, area, total)), litres / square_m, litres, total.expanded,
        total.expanded * square_m, total.factor, parts, read_only(tie.residual_mm),
        tuple(np.flatnonzero(~tie.counts).tolist()), (),
    )  # fmt: skip


def _parts(first: KnownFace, second: KnownFace, tie: Registration, area_m2: Floats) -> tuple[Part, ...]:
    """What the mean over the area may be off by."""
    surface = first.surface
    middle = (
        np.array([float(area_m2.sum(axis=axis) @ at / area_m2.sum())])
        for axis, at in ((0, surface.x_m), (1, surface.z_m))
    )
    x, z = middle
    every = (
        Part("first survey", first.mean_off_mm(area_m2)),
        Part("second survey", second.mean_off_mm(area_m2)),
        Part("bow of the scanner", sqrt(first.bow_off_mm**2 + second.bow_off_mm**2)),
        Part(FIXED, float(tie.off_at(x, z)[0]), tie.fit.freedom),
        Part("planes called plumb", float(tie.plumb_off_at(x, z)[0])),
    )
    return tuple(part for part in every if part.standard > 0)


def _cells_off(
    first: KnownFace, second: KnownFace, tie: Registration, area_m2: Floats, total: Combined
) -> Floats:
    """Expanded uncertainty of each cell, by the factor of the mean (nz, nx) [mm]."""
    x, z = (each.ravel() for each in np.meshgrid(first.surface.x_m, first.surface.z_m))
    plane = (tie.off_at(x, z) ** 2 + tie.plumb_off_at(x, z) ** 2).reshape(area_m2.shape)
    bows = first.bow_off_mm**2 + second.bow_off_mm**2
    off = np.sqrt(first.off_mm**2 + second.off_mm**2 + plane + bows)
    return np.where(area_m2 > 0, total.factor * off, np.nan)


def _check_not_behind(made: Change, after: Survey) -> None:
    """Refuse a second face that lies behind the first one all over, beyond what either may be off."""
    mean, off = made.mean_mm, made.uncertainty_mm
    if mean is None or off is None or mean + off >= 0:
        return
    behind = float(made.area_m2[made.thickness_mm + off < 0].sum())
    check = Check(_second(after))
    check.that(behind < BEHIND_SHARE * made.area_m2.sum(),
               f"{-mean:.1f} mm behind the first survey on average (± {off:.1f}), and behind it all over",
               "plaster stands before the wall that it was put on",
               "see which survey is the first, how readings are headed (off_line_mm, proud_mm) and whether a "
               "fixed place was moved")  # fmt: skip
    check.done()
