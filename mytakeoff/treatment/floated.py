"""The stages of one wall that is floated to a plane, each cached by what it depends on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from mytakeoff.bounds import bounds_of
from mytakeoff.coats.build_up import BuildUp, full_coat
from mytakeoff.coats.coats import Layer, layers
from mytakeoff.formats.formats import Formats
from mytakeoff.job.backgrounds import check_system
from mytakeoff.job.choices import RailChoice
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import System
from mytakeoff.plane.target_plane import PlaneRule, TargetPlane, target_plane
from mytakeoff.rails.rails import RailPiece, rail_pieces
from mytakeoff.rails.span import not_ruled_words
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.wall import Wall
from mytakeoff.treatment.bare_wall import CACHE_SIZE, bare_surface, own_rule
from mytakeoff.treatment.notices import cut_less_notice, wall_notices
from mytakeoff.treatment.room_planes import squared_turn
from mytakeoff.treatment.wall_result import WallResult


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


def rule_for(job: Job, entry: JobWall) -> PlaneRule:
    """The rule that a wall's plane keeps; in a room that comes square, its turn is that of the room's planes.

    Raises
    ------
    TakeoffError
        As `own_rule`; corners that do not close and widths that cannot remain, as `room_planes`.
    """
    rule = own_rule(job, entry)
    turn = squared_turn(job, entry) if job.plane.kind == "room" else None
    if turn is None:
        return rule
    return replace(rule, turn_mm_per_m=turn, turn_limit_mm_per_m=None, cut_mm=0.0)


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
    asked_cut = 0.0 if job.plane.kind == "room" and rule.turn_mm_per_m is not None else job.plane.cut_mm
    return wall_stage(entry, system, rule, surface, asked_cut, growth, rails, formats)


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
