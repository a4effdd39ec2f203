"""The stages of each way of treating a wall: what is filled, taken down and coated.

A floated wall goes through the same stages as in the budget. The others are filled from the wall outward:
first what has fallen or came off, flush with the sound face; then, if hollows are straightened, those that
the grade does not allow; then the skim.

Notes
-----
A wall that is not floated has no rails, no beads, and no plane: `WallResult.plane` is the mean
plane of its finished face. Bare masonry takes no skim alone; a backing as thin as it is laid goes under.

How deep it pays to cut, and so the plane of a floated wall that is cut, is decided by ratios of prices on
steps (`price_step`). What is decided so costs at most an eighth of the cutting more than by the prices
themselves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.coats.coats import EvenCoat, Layer
from mytakeoff.coats.fills import even_layer, fill_layers, fill_notices, skim_of
from mytakeoff.flatness.edge_lines import EdgeRule
from mytakeoff.flatness.grades import OWN, Grade, grade_of, own_grade
from mytakeoff.formats.formats import Formats
from mytakeoff.job.backgrounds import cut_limit_mm
from mytakeoff.job.choices import PlaneChoice
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import System
from mytakeoff.job.treatments import Compare, Treatment
from mytakeoff.plane.rule import CutWorth
from mytakeoff.plane.target_plane import PlaneRule, deepest_cut_mm, mean_plane, target_plane
from mytakeoff.repair.spot_repair import finished_face
from mytakeoff.surface.patches import Patch
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.wall import Wall
from mytakeoff.treatment.bare_wall import bare_surface, surface_of
from mytakeoff.treatment.filled import (
    CACHE_SIZE,
    KEPT_REPAIRS,
    cut_and_filled_stage,
    edge_words,
    filled_after_stage,
    filled_stage,
    hole_stage,
    nothing_stage,
    patch_stage,
    patched_face_stage,
    skimmed_stage,
    straightened_stage,
)
from mytakeoff.treatment.floated import floated_wall, rule_for
from mytakeoff.treatment.notices import check_mixes, wall_notices
from mytakeoff.treatment.unit_prices import cut_price_per_l, cut_price_per_m2, fill_price_per_l
from mytakeoff.treatment.wall_result import WallResult

PRICE_STEP = 1.25
NEARLY_FREE = 1e-6
SHALLOWEST_MM = 0.1  # nobody takes down less


def price_step(ratio: float) -> float:
    """A ratio of prices moved to the nearest of steps of a quarter, so that small edits move no plaster.

    Parameters
    ----------
    ratio : float
        0 or more [-].

    Notes
    -----
    At most an eighth off, so what is decided by it costs at most an eighth of the cutting more than the best.

    Examples
    --------
    >>> price_step(1.05), price_step(1.2), price_step(0.0)
    (1.0, 1.25, 0.0)
    """
    return PRICE_STEP ** round(math.log(ratio, PRICE_STEP)) if ratio > 0 else 0.0


def chosen_grade(compare: Compare) -> Grade:
    """The grade that options are judged by; the user's own allows the lean from each metre to the next."""
    if compare.grade != OWN:
        return grade_of(compare.grade)
    return own_grade(compare.tolerance_mm, compare.straightedge_m, compare.lean_mm_per_m, 1.0)


def edge_rules_of(compare: Compare, wall: Wall) -> tuple[EdgeRule, ...]:
    """What the hollows of a wall are straightened to."""
    return chosen_grade(compare).edge_rules(math.hypot(wall.width_m, wall.height_m))


# -- floated -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class DecidedCut:
    """By how much a wall is taken down at most [mm], and what its plane weighs; nothing taken down: None."""

    depth_mm: float = 0.0
    worth: CutWorth | None = None


@lru_cache(maxsize=CACHE_SIZE)
def cut_stage(surface: Surface, rule: PlaneRule, worth: CutWorth, limit_mm: float) -> DecidedCut:
    """Cached: what the plane that costs least in filling and taking down (`cheapest_plane`) takes down.

    Turn and lean are kept with it, so that whoever asks for the plane again, or for that of a wall that turns
    out a little different, begins there.
    """
    plane = target_plane(surface, replace(rule, cut_mm=limit_mm, cut_worth=worth))
    depth = deepest_cut_mm(surface, rule, plane)
    if depth < SHALLOWEST_MM:
        return DecidedCut()
    return DecidedCut(depth, replace(worth, near=(plane.b_mm_per_m, plane.c_mm_per_m)))


def leaning_plane(job: Job, treatment: Treatment) -> PlaneChoice:
    """The plane that is free to lean with the wall, as far as the job allows."""
    lean = job.compare.lean_mm_per_m
    limit = job.plane.lean_limit_mm_per_m if lean is None else lean
    return replace(job.plane, kind="free", lean_limit_mm_per_m=limit)


def plumb_plane(job: Job, treatment: Treatment) -> PlaneChoice:
    """The plumb plane, square to the corner or in the room where that is asked for."""
    return replace(job.plane, kind="room" if treatment.in_room else "square" if treatment.square else "plumb")


def to_a_plane(job: Job, entry: JobWall, treatment: Treatment, decided: Job) -> WallResult:
    """The wall brought to the job's plane; with high spots taken down, to the one that costs least."""
    if not treatment.take_down:
        return floated_wall(job, entry)
    check_mixes(floated_wall(_cut_by(job, 0.0), entry), f"wall {entry.name!r}")
    cut = _decided_cut(decided, decided.wall(entry.name))
    planed = _cut_by(job, cut.depth_mm)
    return floated_wall(planed, entry, replace(rule_for(planed, entry), cut_worth=cut.worth))


def _decided_cut(job: Job, entry: JobWall) -> DecidedCut:
    """By how much it pays to take a floated wall down, as far as its background allows."""
    limit = cut_limit_mm(entry.background, entry.old_plaster_mm)
    if limit <= 0:
        return DecidedCut()
    fill = fill_price_per_l(job, job.system_of(entry).backing, job.waste_share)
    worth = CutWorth(*_in_litres_filled(job, entry, fill))
    return cut_stage(bare_surface(job, entry), rule_for(_cut_by(job, 0.0), entry), worth, limit)


def _cut_by(job: Job, depth_mm: float) -> Job:
    return replace(job, plane=replace(job.plane, cut_mm=depth_mm))


def _in_litres_filled(job: Job, entry: JobWall, fill_per_l: float) -> tuple[float, float]:
    """Prices of a litre and of a square metre taken down, in litres filled, on their steps [l, l/m²]."""
    fill_per_l = max(fill_per_l, NEARLY_FREE)
    return price_step(cut_price_per_l(job, entry) / fill_per_l), price_step(
        cut_price_per_m2(job) / fill_per_l
    )


# -- as it is ----------------------------------------------------------------------------------------


def left_as_it_is(job: Job, entry: JobWall, treatment: Treatment, decided: Job) -> WallResult:
    """Nothing done: loose plaster still on, what has fallen stays open."""
    fallen = tuple(area for area in entry.loose if area.fallen)
    surface = surface_of(job, entry, fallen)
    return _left_wall(entry, job.system_of(entry), surface, treatment)


@lru_cache(maxsize=CACHE_SIZE)
def _left_wall(entry: JobWall, system: System, surface: Surface, treatment: Treatment) -> WallResult:
    return wall_without_plane(entry, system, nothing_stage(surface), treatment, (), surface.notices)


# -- patched and straightened ------------------------------------------------------------------------


def patched(job: Job, entry: JobWall, treatment: Treatment, decided: Job) -> WallResult:
    """What came off or had fallen filled, and the skim."""
    return _repaired(job, entry, treatment, None)


def straightened(job: Job, entry: JobWall, treatment: Treatment, decided: Job) -> WallResult:
    """The same, with the hollows filled that the grade does not allow."""
    repair = _repair(decided, decided.wall(entry.name), hole_of(job, entry), treatment)
    if decided is not job:
        repair = _repair_after(repair, edge_rules_of(job.compare, entry.wall), job.compare.left_mm)
    return _repaired(job, entry, treatment, repair)


def hole_of(job: Job, entry: JobWall) -> BuildUp:
    """What fills the places where plaster came off or had fallen."""
    return hole_stage(bare_surface(job, entry), entry.loose, job.loose_growth_share)


def _repaired(job: Job, entry: JobWall, treatment: Treatment, repair: BuildUp | None) -> WallResult:
    formats = job.formats.bare
    said = edge_words(repair.surface, edge_rules_of(job.compare, entry.wall), formats) if repair else ()
    system, growth = job.system_of(entry), job.loose_growth_share
    made = repaired_wall(entry, system, treatment, hole_of(job, entry), repair, growth, formats, said)
    check_mixes(made, f"wall {entry.name!r}")
    return made


def _repair(job: Job, entry: JobWall, hole: BuildUp, treatment: Treatment) -> BuildUp:
    """Hollows straightened; with high spots taken down where that is cheaper."""
    face, rules, left = patched_face_stage(hole), edge_rules_of(job.compare, entry.wall), job.compare.left_mm
    filled = straightened_stage(face, rules, left)
    limit = cut_limit_mm(entry.background, entry.old_plaster_mm) if treatment.take_down else 0.0
    system = job.system_of(entry)
    if limit <= 0 or filled.volume_l == 0:
        return filled
    fill = fill_price_per_l(job, system.dubbing or system.backing, job.patch_waste_share)
    each_l, each_m2 = _in_litres_filled(job, entry, fill)
    # a programme in litres knows no price per m²: it is spread over half the greatest depth
    cut = cut_and_filled_stage(face, rules, left, limit, price_step(each_l + each_m2 / (limit / 2)))
    cost = cut.volume_l + each_l * cut.cut_l + each_m2 * cut.cut_area_m2
    return cut if cost < filled.volume_l else filled


def _repair_after(decided: BuildUp, rules: tuple[EdgeRule, ...], left_mm: float) -> BuildUp:
    """The same places taken down, and hollows straightened by the rules."""
    if decided.cut_l == 0:
        return straightened_stage(decided.surface, rules, left_mm)
    return filled_after_stage(decided, rules, left_mm)


@lru_cache(maxsize=KEPT_REPAIRS)
def repaired_wall(
    entry: JobWall,
    system: System,
    treatment: Treatment,
    hole: BuildUp,
    repair: BuildUp | None,
    growth_share: float,
    formats: Formats,
    edge_said: tuple[str, ...] = (),
) -> WallResult:
    """A wall with its holes filled, its hollows straightened if there is a repair, and its skim."""
    filled = filled_stage(hole, repair)
    skim = skim_of(system, entry.background) if treatment.skim else ()
    layers = (*(even_layer(hole.surface, coat) for coat in skim), *fill_layers(filled, system))
    said = (*edge_said, *fill_notices(system, filled, skim, entry.background, formats))
    build_up = skimmed_stage(filled, sum(coat.thickness_mm for coat in skim))
    made = wall_without_plane(entry, system, build_up, treatment, layers, (), patch_stage(filled), skim)
    return made.with_notices((*wall_notices(made, growth_share, formats), *said))


def wall_without_plane(
    entry: JobWall,
    system: System,
    build_up: BuildUp,
    treatment: Treatment,
    layers: tuple[Layer, ...],
    notices: tuple[str, ...],
    patches: tuple[Patch, ...] = (),
    skim: tuple[EvenCoat, ...] = (),
) -> WallResult:
    """A wall that is not brought to a plane: no rails."""
    return WallResult(
        entry=entry,
        system=system,
        surface=build_up.surface,
        rule=PlaneRule(least_mm=0.0, cut_mm=build_up.deepest_cut_mm),
        plane=mean_plane(finished_face(build_up)),
        build_up=build_up,
        layers=layers,
        rails=(),
        notices=notices,
        treatment=treatment,
        patches=patches,
        skim=skim,
    )
