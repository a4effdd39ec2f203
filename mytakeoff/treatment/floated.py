"""The stages of one wall that is floated to a plane, each cached by what it depends on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from mytakeoff.bounds import bounds_of
from mytakeoff.coats.build_up import BuildUp, full_coat
from mytakeoff.coats.coats import Layer, layers
from mytakeoff.errors import Check
from mytakeoff.formats import Formats
from mytakeoff.job.backgrounds import check_system, cut_limit_mm
from mytakeoff.job.choices import PlaneChoice, RailChoice
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import System
from mytakeoff.plane.target_plane import PlaneRule, TargetPlane, target_plane
from mytakeoff.rails.layout import rails_on
from mytakeoff.rails.rails import RailPiece, rail_least_mm, rail_pieces
from mytakeoff.rails.span import not_ruled_words
from mytakeoff.surface.surface import Surface, grid_surface
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import LooseArea, Wall
from mytakeoff.treatment.notices import cut_less_notice, wall_notices
from mytakeoff.treatment.wall_result import WallResult

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


@lru_cache(maxsize=CACHE_SIZE)
def plane_stage(surface: Surface, rule: PlaneRule) -> TargetPlane:
    """Cached `target_plane`."""
    return target_plane(surface, rule)


@lru_cache(maxsize=CACHE_SIZE)
def build_up_stage(surface: Surface, plane: TargetPlane, rule: PlaneRule) -> BuildUp:
    """Cached `full_coat`."""
    return full_coat(surface, plane, rule)


@lru_cache(maxsize=CACHE_SIZE)
def layers_stage(build_up: BuildUp, system: System) -> tuple[Layer, ...]:
    """Cached `layers`."""
    return layers(build_up, system)


@dataclass(frozen=True)
class Rails:
    """The rails of a wall as they are cut, and what there is to say about them."""

    pieces: tuple[RailPiece, ...]
    notices: tuple[str, ...] = ()


@lru_cache(maxsize=CACHE_SIZE)
def rails_stage(wall: Wall, rails_x_m: tuple[float, ...], choice: RailChoice, formats: Formats) -> Rails:
    """The rails of a wall at given places."""
    said = (not_ruled_words(wall, rails_x_m, choice, formats),) if rails_x_m else ()
    return Rails(rail_pieces(wall, rails_x_m, choice), tuple(filter(None, said)))


def rails_of(job: Job, entry: JobWall) -> tuple[float, ...]:
    """Where a wall's rails stand: where the user has them, else where edge and openings want them [m]."""
    if not job.rails.used:
        return ()
    return tuple(sorted(entry.rails_x_m)) or rails_on(entry.wall, job.rails)


def rule_for(job: Job, entry: JobWall) -> PlaneRule:
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


@lru_cache(maxsize=CACHE_SIZE)
def wall_stage(
    entry: JobWall,
    system: System,
    rule: PlaneRule,
    surface: Surface,
    asked_cut_mm: float,
    growth_share: float,
    rails: Rails,
    formats: Formats,
) -> WallResult:
    """One wall from its surface on; cached as a whole, so that an unchanged wall is the same object."""
    plane = plane_stage(surface, rule)
    build_up = build_up_stage(surface, plane, rule)
    made = WallResult(
        entry=entry,
        system=system,
        surface=surface,
        rule=rule,
        plane=plane,
        build_up=build_up,
        layers=layers_stage(build_up, system),
        rails=rails.pieces,
    )
    less = (cut_less_notice(made, asked_cut_mm, formats),) if rule.cut_mm < asked_cut_mm else ()
    return made.with_notices((*wall_notices(made, growth_share, formats), *less, *rails.notices))


def surface_of(job: Job, entry: JobWall, loose: tuple[LooseArea, ...]) -> Surface:
    """The wall's face with these areas off or fallen."""
    growth, formats = job.loose_growth_share, job.formats.bare
    return surface_stage(entry.survey, job.cell_m, job.reach_m, loose, growth, formats)


def bare_surface(job: Job, entry: JobWall) -> Surface:
    """The wall with its loose plaster off."""
    return surface_of(job, entry, entry.loose)


def floated_wall(job: Job, entry: JobWall, rule: PlaneRule | None = None) -> WallResult:
    """Every stage of one wall up to its coats, floated to the job's plane, or to that of a rule.

    Raises
    ------
    TakeoffError
        Whatever a stage finds wrong with what was entered.
    """
    system = job.system_of(entry)
    check_system(entry.background, system, f"wall {entry.name!r}")
    rule = rule_for(job, entry) if rule is None else rule
    surface, growth = bare_surface(job, entry), job.loose_growth_share
    formats = job.formats.bare
    rails = rails_stage(entry.wall, rule.rails_x_m, job.rails, formats)
    return wall_stage(entry, system, rule, surface, job.plane.cut_mm, growth, rails, formats)


def lifted(wall: WallResult, by_mm: float) -> WallResult:
    """A floated wall with its plane further out by so much [mm], and no allowance on top."""
    rule, plane, build_up = lifted_stage(wall.surface, wall.plane, wall.rule, by_mm)
    coats = layers_stage(build_up, wall.system)
    return replace(wall, rule=rule, plane=plane, build_up=build_up, layers=coats, allowance=())


@lru_cache(maxsize=CACHE_SIZE)
def lifted_stage(
    surface: Surface, plane: TargetPlane, rule: PlaneRule, by_mm: float
) -> tuple[PlaneRule, TargetPlane, BuildUp]:
    """A plane further out by so much [mm], with its rule and its build-up."""
    room = bounds_of(PlaneRule)["least_mm"]  # which only a note that lies goes beyond
    least, rails = (room.nearest(each + by_mm) for each in (rule.least_mm, rule.rail_least_mm))
    out = replace(rule, least_mm=least, rail_least_mm=rails)
    moved = replace(plane, a_mm=plane.a_mm + least - rule.least_mm)
    return out, moved, full_coat(surface, moved, out)
