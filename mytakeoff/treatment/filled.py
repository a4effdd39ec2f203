"""The stages of a wall that is filled in places: holes, hollows, skim; each cached by what it depends on."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.flatness.edge_lines import EdgeRule, edge_lines
from mytakeoff.flatness.straightedge import straightedge_gap, straightedge_notices
from mytakeoff.formats.formats import Formats
from mytakeoff.repair.spot_repair import as_it_is_done, fill_after, finished_face, flush_rules, spot_repair
from mytakeoff.surface.patches import Patch, patches_of
from mytakeoff.surface.surface import Surface, behind_mm
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import LooseArea

CACHE_SIZE = 64
KEPT_REPAIRS = 256  # a curve of twenty tolerances for each wall of a flat
ROUNDING_MM = 1e-9


def no_mm(surface: Surface) -> Floats:
    """Nothing on any cell (nz, nx), NaN where the wall is unknown [mm]."""
    zero = np.where(np.isnan(surface.proud_mm), np.nan, 0.0)
    zero.flags.writeable = False
    return zero


@lru_cache(maxsize=CACHE_SIZE)
def nothing_stage(surface: Surface) -> BuildUp:
    """The wall with nothing done to it."""
    return BuildUp(surface, no_mm(surface), no_mm(surface))


@lru_cache(maxsize=CACHE_SIZE)
def hole_stage(surface: Surface, loose: tuple[LooseArea, ...], growth_share: float) -> BuildUp:
    """What fills the places where plaster came off or had fallen, flush with the sound face."""
    depth = behind_mm(surface, loose, growth_share)
    depth[depth < ROUNDING_MM] = 0.0
    depth.flags.writeable = False
    return BuildUp(surface, depth, no_mm(surface))


@lru_cache(maxsize=CACHE_SIZE)
def patched_face_stage(hole: BuildUp) -> Surface:
    """The wall with its holes filled."""
    return finished_face(hole)


@lru_cache(maxsize=CACHE_SIZE)
def flush_stage(face: Surface, flush: tuple[EdgeRule, ...]) -> Floats:
    """Fill of every hollow, ruled flush: the same for all tolerances above what is left [mm]."""
    return spot_repair(face, *_figures(flush)).thickness_mm


@lru_cache(maxsize=KEPT_REPAIRS)
def straightened_stage(face: Surface, rules: tuple[EdgeRule, ...], left_mm: float) -> BuildUp:
    """`spot_repair` of a patched wall, hollows ruled flush, nothing taken down."""
    flush = flush_stage(face, flush_rules(rules, left_mm))
    fill = as_it_is_done(face.proud_mm, flush, edge_lines(face), rules)
    fill.flags.writeable = False
    return BuildUp(face, fill, no_mm(face))


@lru_cache(maxsize=KEPT_REPAIRS)
def cut_and_filled_stage(
    face: Surface, rules: tuple[EdgeRule, ...], left_mm: float, limit_mm: float, cut_to_fill: float
) -> BuildUp:
    """`spot_repair` with high spots taken down; the price of a litre of that in litres filled [-]."""
    return spot_repair(face, *_figures(rules), left_mm, limit_mm, cut_to_fill)


@lru_cache(maxsize=KEPT_REPAIRS)
def filled_after_stage(decided: BuildUp, rules: tuple[EdgeRule, ...], left_mm: float) -> BuildUp:
    """What a repair takes down, with hollows straightened by other rules, or the same, after that."""
    face, cut = decided.surface, decided.cut_mm
    fill = fill_after(face, cut, edge_lines(face), rules, left_mm)
    fill.flags.writeable = False
    return BuildUp(face, fill, cut)


@lru_cache(maxsize=CACHE_SIZE)
def edge_words(face: Surface, rules: tuple[EdgeRule, ...], formats: Formats) -> tuple[str, ...]:
    """What the longest of the edges cannot show on a wall."""
    return straightedge_notices(face, max(rule.length_m for rule in rules), formats)


def _figures(rules: Sequence[EdgeRule]) -> tuple[list[float], list[float]]:
    """Tolerances and lengths [mm, m]."""
    return [rule.tolerance_mm for rule in rules], [rule.length_m for rule in rules]


@lru_cache(maxsize=KEPT_REPAIRS)
def filled_stage(hole: BuildUp, repair: BuildUp | None) -> BuildUp:
    """Holes filled and hollows straightened together; where both fill and cut, only what is left of them."""
    if repair is None:
        return hole
    net = hole.thickness_mm + repair.thickness_mm - repair.cut_mm
    fill, cut = np.maximum(net, 0.0), np.maximum(-net, 0.0)
    for array in (fill, cut):
        array.flags.writeable = False
    return BuildUp(hole.surface, fill, cut)


@lru_cache(maxsize=KEPT_REPAIRS)
def edge_gap_mm(build_up: BuildUp, straightedge_m: float) -> float:
    """Greatest gap under an edge of that length [m] on the finished face [mm]."""
    return float(np.nanmax(straightedge_gap(finished_face(build_up), straightedge_m)))


@lru_cache(maxsize=KEPT_REPAIRS)
def patch_stage(filled: BuildUp) -> tuple[Patch, ...]:
    """Cached `patches_of`."""
    return patches_of(filled.surface, filled.thickness_mm)


@lru_cache(maxsize=KEPT_REPAIRS)
def skimmed_stage(filled: BuildUp, skim_mm: float) -> BuildUp:
    """An even coat over the filled wall."""
    if skim_mm == 0:
        return filled
    coat = filled.thickness_mm + skim_mm
    coat.flags.writeable = False
    return BuildUp(filled.surface, coat, filled.cut_mm)
