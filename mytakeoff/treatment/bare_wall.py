"""What the plane of a wall is found from: its face, loose plaster off, and the rule that it keeps."""

from __future__ import annotations

from functools import lru_cache

from mytakeoff.errors import Check
from mytakeoff.formats.formats import Formats
from mytakeoff.job.backgrounds import cut_limit_mm
from mytakeoff.job.choices import PlaneChoice
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.plane.rule import PlaneRule
from mytakeoff.rails.layout import rails_on
from mytakeoff.rails.rails import rail_least_mm
from mytakeoff.surface.surface import Surface, grid_surface
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import LooseArea

CACHE_SIZE = 64  # results kept for each stage: a few positions of the sliders for each wall of a flat


@lru_cache(maxsize=CACHE_SIZE)
def surface_stage(
    survey: Survey,
    cell_m: float,
    reach_m: float,
    loose: tuple[LooseArea, ...],
    growth_share: float,
    formats: Formats,
) -> Surface:
    """Cached `grid_surface`."""
    return grid_surface(survey, cell_m, reach_m, loose, growth_share, formats)


def surface_of(job: Job, entry: JobWall, loose: tuple[LooseArea, ...]) -> Surface:
    """The wall's face with these areas off or fallen."""
    growth, formats = job.loose_growth_share, job.formats.bare
    return surface_stage(entry.survey, job.cell_m, job.reach_m, loose, growth, formats)


def bare_surface(job: Job, entry: JobWall) -> Surface:
    """The wall with its loose plaster off."""
    return surface_of(job, entry, entry.loose)


def rails_of(job: Job, entry: JobWall) -> tuple[float, ...]:
    """Where a wall's rails stand: where the user has them, else where edge and openings want them [m]."""
    if not job.rails.used:
        return ()
    return tuple(sorted(entry.rails_x_m)) or rails_on(entry.wall, job.rails)


def own_rule(job: Job, entry: JobWall) -> PlaneRule:
    """The rule that a wall's plane keeps: least thickness of its backing, finish and rails put together.

    Raises
    ------
    TakeoffError
        A rule that the survey cannot answer: plumb or square off a plane that was not plumb, square
        without a measured corner.
    """
    choice, system = job.plane, job.system_of(entry)
    _check_choice(choice, entry)
    least = system.backing.least_coat_mm if choice.least_mm is None else choice.least_mm
    plumb = choice.kind != "free"
    return PlaneRule(
        least_mm=least + system.finish_mm,
        rails_x_m=rails_of(job, entry),
        rail_least_mm=rail_least_mm(job.rails) + system.finish_mm if job.rails.used else 0.0,
        cut_mm=min(choice.cut_mm, cut_limit_mm(entry.background, entry.old_plaster_mm)),
        plumb=plumb,
        turn_mm_per_m=entry.square_turn_mm_per_m if choice.kind == "square" else None,
        lean_limit_mm_per_m=None if plumb else choice.lean_limit_mm_per_m,
        turn_limit_mm_per_m=choice.turn_limit_mm_per_m,
    )


def _check_choice(choice: PlaneChoice, entry: JobWall) -> None:
    check = Check(f"wall {entry.name!r}")
    scan = entry.survey.layout == "scan"
    say = "say that the scanner was level, if it was" if scan else "measure off a plumb plane"
    check.that(
        choice.kind == "free" or entry.survey.plumb,
        f"a {choice.kind} plane from {'a scan that was' if scan else 'readings whose line was'} not plumb",
        "plumb and lean mean something only off a plumb line or laser, or a scanner that was level",
        f"{say}, or choose the plane that is free to lean",
    )
    check.that(
        choice.kind != "square" or entry.square_turn_mm_per_m is not None,
        "a square plane without a measured corner",
        "square needs the turn of the corner",
        "measure the corner and enter its readings or turn_mm_per_m, or choose plumb",
    )
    check.done()
