"""What is found on a wall beside its readings: high spots, laid edges, loose plaster, corner, what is fixed.

And what stands on it, openings and fitted units too, changed one thing at a time.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, Literal

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import Fitting, FittingKind, FixedPlace, JobWall
from mytakeoff.survey.cells import inside
from mytakeoff.survey.corner import Corner
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.loose_plaster import check_loose, sound_readings
from mytakeoff.survey.said import SaidOf
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import LooseArea, Opening, Rectangle, Wall

HighSpot = tuple[float, float, float]
ThingKind = Literal["opening", "fitted", "fitting", "loose", "spot", "sweep", "fixed"]
Thing = Opening | Fitting | LooseArea | LaidEdge | HighSpot | FixedPlace
OpeningName = Literal["door", "window", "fitted unit"]
Place = tuple[float, float]
BARE: dict[ThingKind, str] = {"opening": "openings", "fitted": "fitted"}  # fields of `Wall`
FOUND: dict[ThingKind, str] = {  # and of `Findings`
    "fitting": "fittings", "loose": "loose", "spot": "high_spots", "sweep": "sweeps",
    "fixed": "fixed_places",
}  # fmt: skip
USUAL: dict[OpeningName, Opening] = {  # sizes to begin with: common practice, no source
    "door": Opening("door", 0.0, 0.0, 0.9, 2.0),
    "window": Opening("window", 0.0, 0.9, 1.2, 1.2),
    "fitted unit": Opening("fitted unit", 0.0, 0.0, 1.0, 2.0),
}
LOOSE_M = 0.5  # width and height of a loose area to begin with, to be drawn out to what was tapped
CENTIMETRES = 2  # decimals of a metre that things are placed to


@dataclass(frozen=True)
class Findings:
    """All that was found on one wall.

    Parameters
    ----------
    high_spots : tuple of (x [m], z [m], proud [mm])
        Found by sweeping, read off the survey's plane.
    sweeps : tuple of LaidEdge
        Straightedges laid on the wall.
    loose : tuple of LooseArea
        Hollow-sounding or fallen plaster.
    corner : Corner or None
        Two readings off a square line.
    turn_mm_per_m : float or None
        Turn of the square plane where it is known without such readings [mm/m].
    fittings : tuple of Fitting
    said : tuple of SaidOf
        What was said of single readings.
    fixed_places : tuple of FixedPlace
        What the plaster will not move, read off the survey's plane.
    """

    high_spots: tuple[HighSpot, ...] = ()
    sweeps: tuple[LaidEdge, ...] = ()
    loose: tuple[LooseArea, ...] = ()
    corner: Corner | None = None
    turn_mm_per_m: float | None = None
    fittings: tuple[Fitting, ...] = ()
    said: tuple[SaidOf, ...] = ()
    fixed_places: tuple[FixedPlace, ...] = ()

    @property
    def fallen(self) -> tuple[LooseArea, ...]:
        """Plaster that is gone already."""
        return tuple(area for area in self.loose if area.fallen)


def findings_of(entry: JobWall) -> Findings:
    """What a wall of the job says that was found on it."""
    survey = entry.survey
    spots = zip(survey.high_x_m.tolist(), survey.high_z_m.tolist(), survey.high_mm.tolist(), strict=True)
    return Findings(
        tuple(spots),
        survey.sweeps,
        entry.loose,
        entry.corner,
        entry.turn_mm_per_m,
        entry.fittings,
        survey.said,
        entry.fixed_places,
    )


def with_findings(entry: JobWall, found: Findings, survey: Survey, **changed: Any) -> JobWall:
    """A wall with these findings and no others.

    Parameters
    ----------
    entry : JobWall
    found : Findings
    survey : Survey
        Its readings.
    **changed
        Further fields of `JobWall` that change, by name.

    Raises
    ------
    TakeoffError
        Whatever does not lie on the wall or cannot be: the mistakes of all findings together.

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> survey = Survey.from_readings(Wall("A", 2.0, 2.5), [0, 2, 0, 2], [0, 0, 2.5, 2.5], [0, 2, 0, 2])
    >>> wall = JobWall(survey.wall, "hall", survey, "brick")
    >>> found = Findings(fittings=(Fitting("by the door", "socket", 0.5, 0.4),))
    >>> with_findings(wall, found, survey).sockets_to_move
    1
    """
    check = Check()
    whole = check.made(lambda: survey.with_said(found.said, so_far=not entry.is_read)) or survey
    whole = check.made(lambda: whole.with_sweeps(found.sweeps)) or whole
    whole = check.made(lambda: whole.with_high_spots(found.high_spots, survey.swept)) or whole
    check_loose(survey.wall, found.loose, check)
    if found.fallen and entry.is_read:
        check.made(lambda: sound_readings(whole, found.loose))
    fields = {
        "survey": whole, "loose": found.loose, "corner": found.corner, "turn_mm_per_m": found.turn_mm_per_m,
        "fittings": found.fittings, "fixed_places": found.fixed_places, **changed,
    }  # fmt: skip
    made = check.made(lambda: replace(entry, **fields))
    check.done()
    assert made is not None  # else a mistake was noted
    return made


def things_on(entry: JobWall, kind: ThingKind) -> tuple[Any, ...]:
    """All things of a kind on a wall, in the job's order."""
    found: tuple[Any, ...]
    found = getattr(entry.wall, BARE[kind]) if kind in BARE else getattr(findings_of(entry), FOUND[kind])
    return found


def with_things(job: Job, name: str, kind: ThingKind, things: Iterable[Thing]) -> Job:
    """The job with these things of a kind on a wall, and no others.

    Parameters
    ----------
    job : Job
    name : str
        Of the wall.
    kind : ThingKind
    things : iterable of Thing

    Raises
    ------
    TakeoffError
        No wall is called so; whatever does not lie on it or cannot be there.
    """
    entry = job.wall(name)
    if kind in BARE:
        wall = replace(entry.wall, **{BARE[kind]: tuple(things)})  # type: ignore[arg-type]
        changed = replace(entry, wall=wall, survey=replace(entry.survey, wall=wall))
    else:
        found = replace(findings_of(entry), **{FOUND[kind]: tuple(things)})  # type: ignore[arg-type]
        changed = with_findings(entry, found, entry.survey)
    return replace(job, walls=tuple(changed if each is entry else each for each in job.walls))


def with_thing(job: Job, name: str, kind: ThingKind, nth: int, thing: Thing) -> Job:
    """The job with another thing instead of the nth of its kind on a wall, counted from 0."""
    there = things_on(job.wall(name), kind)
    _check_there(there, nth)
    return with_things(job, name, kind, (*there[:nth], thing, *there[nth + 1 :]))


def with_thing_at(job: Job, name: str, kind: ThingKind, nth: int, **place: float) -> Job:
    """The job with the nth thing of a kind elsewhere on its wall, all else as it was.

    Parameters
    ----------
    job : Job
    name : str
        Of the wall.
    kind : ThingKind
    nth : int
        Counted from 0.
    **place : float
        Any of `x_m`, `z_m` and, of what has them, `width_m`, `height_m` [m].

    Raises
    ------
    TakeoffError
        It cannot be there, or is there no more.
    """
    there = things_on(job.wall(name), kind)
    _check_there(there, nth)
    thing = there[nth]
    if isinstance(thing, tuple):
        at = {"x_m": thing[0], "z_m": thing[1], **place}
        return with_thing(job, name, kind, nth, (at["x_m"], at["z_m"], thing[2]))
    return with_thing(job, name, kind, nth, replace(thing, **place))


def and_thing(job: Job, name: str, kind: ThingKind, thing: Thing) -> Job:
    """The job with one more thing of a kind on a wall, the last of them."""
    return with_things(job, name, kind, (*things_on(job.wall(name), kind), thing))


def without_thing(job: Job, name: str, kind: ThingKind, nth: int) -> Job:
    """The job without the nth thing of a kind on a wall, counted from 0."""
    there = things_on(job.wall(name), kind)
    _check_there(there, nth)
    return with_things(job, name, kind, (*there[:nth], *there[nth + 1 :]))


def _check_there(things: tuple[Any, ...], nth: int) -> None:
    if not 0 <= nth < len(things):
        raise TakeoffError(
            Mistake(f"number {nth + 1}", f"there are {len(things)} of them", "look at the wall again")
        )


def around(wall: Wall, at: Place | None, width_m: float = 0.0, height_m: float = 0.0) -> Rectangle:
    """A rectangle about a place of a wall, kept on it, in whole centimetres where there is room.

    Parameters
    ----------
    wall : Wall
    at : (x [m], z [m]) or None
        Its middle; None: the wall's.
    width_m, height_m : float
        More than the wall has is cut to what it has [m].

    Examples
    --------
    >>> around(Wall("A", 4.2, 2.6), (4.1, 1.0), 0.9, 2.0)
    Rectangle(x_m=3.3, z_m=0.0, width_m=0.9, height_m=2.0)
    """
    x_m, z_m = at or (wall.width_m / 2, wall.height_m / 2)
    width_m, height_m = min(width_m, wall.width_m), min(height_m, wall.height_m)
    return Rectangle(
        _kept(x_m, width_m, wall.width_m), _kept(z_m, height_m, wall.height_m), width_m, height_m
    )


def _kept(middle_m: float, size_m: float, length_m: float) -> float:
    """Where what is so long begins along a length."""
    begin_m = round(middle_m - size_m / 2, CENTIMETRES)
    return max(0.0, round(min(begin_m, length_m - size_m), 9))


def new_opening(job: Job, name: str, called: OpeningName, at: Place | None = None) -> Opening:
    """A door, a window or a fitted unit to begin with: the size of the user's own last one, else a usual one.

    Parameters
    ----------
    job : Job
    name : str
        Of the wall.
    called : "door", "window" or "fitted unit"
    at : (x [m], z [m]) or None
        Its middle; what stands on the floor, or hangs where no place is told, keeps its height.
    """
    wall = job.wall(name).wall
    like = own_like(job, called) or USUAL[called]
    sill_m = like.z_m + like.height_m / 2
    upright = sill_m if at is None or like.z_m == 0 else at[1]
    ground = around(wall, (at[0] if at else wall.width_m / 2, upright), like.width_m, like.height_m)
    return replace(
        like, name=_unused(called, (*wall.openings, *wall.fitted)), x_m=ground.x_m, z_m=ground.z_m,
        width_m=ground.width_m, height_m=ground.height_m,
    )  # fmt: skip


def own_like(job: Job, called: OpeningName) -> Opening | None:
    """The user's own last door, window or fitted unit, if the job has one."""
    kind: ThingKind = "fitted" if called == "fitted unit" else "opening"
    every = [each for entry in job.walls for each in things_on(entry, kind)]
    own = [each for each in every if kind == "fitted" or called in each.name.casefold()]
    return own[-1] if own else None


def new_fitting(job: Job, name: str, kind: FittingKind, at: Place | None = None) -> Fitting:
    """A fitting to begin with; where no place is told, in the middle, as high as the last of its kind."""
    entry = job.wall(name)
    own = [each.z_m for wall in job.walls for each in wall.fittings if each.kind == kind]
    there = at or (entry.wall.width_m / 2, own[-1] if own else entry.wall.height_m / 2)
    ground = around(entry.wall, there)
    return Fitting(_unused(kind, entry.fittings), kind, ground.x_m, ground.z_m)


def _unused(called: str, others: Iterable[Opening | Fitting]) -> str:
    """A name that no other has: with a number from the second on."""
    names = {other.name for other in others}
    numbered = (f"{called} {number}" for number in range(2, len(names) + 3))
    return next(name for name in (called, *numbered) if name not in names)


def readings_in(survey: Survey, ground: Rectangle) -> int:
    """How many readings lie within a rectangle of the wall, those on its rim not [-]."""
    return int(inside(ground, survey.x_m, survey.z_m, margin_m=1e-6).sum())
