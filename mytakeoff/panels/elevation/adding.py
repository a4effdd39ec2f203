"""What a hand may add to a wall, and the thing to begin with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, get_args

from mytakeoff.job.findings import (
    LOOSE_M,
    USUAL,
    OpeningName,
    Place,
    Thing,
    ThingKind,
    around,
    new_fitting,
    new_opening,
    own_like,
)
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import FittingKind
from mytakeoff.panels.elevation.kinds import KINDS

Begun = tuple[ThingKind, Thing | Mapping[str, Any]]  # a thing, or a row's values with some still missing
OPENINGS: tuple[OpeningName, ...] = get_args(OpeningName)
FITTINGS: tuple[FittingKind, ...] = get_args(FittingKind)
SPOT = "Type what was read there: a high spot counts when its reading stands in its box."
LOOSE = "Type how thick the plaster is there: it counts when that stands in its box. Draw its sides out."
FITTING = "Its middle."
FIXED = "Plaster will not move it. Type what it is and its reading: they tie a second survey to this one."


def choices(job: Job) -> list[list[str]]:
    """What can be added: value, words, and what to know of it."""
    openings = [[called, called.capitalize(), _size_hint(job, called)] for called in OPENINGS]
    fittings = [[kind, kind.capitalize() if kind != "other" else "Other fitting", FITTING]
                for kind in FITTINGS]  # fmt: skip
    return [*openings, *fittings, ["loose", "Loose area", LOOSE], ["spot", "High spot", SPOT],
            ["fixed", "Fixed place", FIXED]]  # fmt: skip


def _size_hint(job: Job, called: OpeningName) -> str:
    own, formats = own_like(job, called), job.formats
    like = own or USUAL[called]
    why = "as your last one" if own else "common practice, no source: measure yours"
    return f"{formats.length(like.width_m, like.height_m, places=2, between=' × ')}, {why}."


def begun(job: Job, name: str, what: str, at: Place | None) -> Begun:
    """A thing to begin with, on the wall of that name, about a place [m] or in the middle.

    A loose area takes over the depth of the one before; the first one, every high spot and every
    fixed place wait for theirs.
    """
    made: dict[str, Callable[[], Begun]] = {
        "loose": lambda: _loose(job, name, at),
        "spot": lambda: ("spot", {**KINDS["spot"].blank, **_corner(job, name, at)}),
        "fixed": lambda: ("fixed", {**KINDS["fixed"].blank, **_corner(job, name, at)}),
    }
    if what in made:
        return made[what]()
    opening = next((called for called in OPENINGS if called == what), None)
    if opening is not None:
        return "fitted" if opening == "fitted unit" else "opening", new_opening(job, name, opening, at)
    kind = next(kind for kind in FITTINGS if kind == what)
    return "fitting", new_fitting(job, name, kind, at)


def _corner(job: Job, name: str, at: Place | None, size_m: float = 0.0) -> dict[str, float]:
    ground = around(job.wall(name).wall, at, size_m, size_m)
    place = {"x_m": ground.x_m, "z_m": ground.z_m}
    return place | {"width_m": ground.width_m, "height_m": ground.height_m} if size_m else place


def _loose(job: Job, name: str, at: Place | None) -> Begun:
    before, place = job.wall(name).loose, _corner(job, name, at, LOOSE_M)
    values = {**KINDS["loose"].blank, **place}
    return "loose", KINDS["loose"].make(**values | {"depth_mm": before[-1].depth_mm}) if before else values
