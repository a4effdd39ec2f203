"""Spots filled until a straightedge shows no more than the tolerance, and the skim over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.errors import Check
from mytakeoff.flatness.edge_lines import EdgeLines, EdgeRule, edge_lines
from mytakeoff.flatness.straightedge import greatest_gap, over_tolerance, straightedge_notices
from mytakeoff.repair.chords import CutPrice
from mytakeoff.repair.cut_and_fill import cut_and_fill
from mytakeoff.repair.least_fill import CLOSE_MM, least_fill, remembered_fill
from mytakeoff.surface.patches import FILLED_MM, Patch, patch_numbers, patches_of, thin
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

CUT_MM = 1e-3  # less is not taken down
FAVOUR = 8.0  # how much a price ratio favours taking down where filling means ruling flush
OVER_MM = CLOSE_MM  # a gap over the tolerance by less is within what a fill is computed to

Millimetres = float | Sequence[float]
Metres = float | Sequence[float]


@dataclass(frozen=True, eq=False)
class RepairBuildUp(BuildUp):
    """Plaster on each cell of a wall whose spots are filled.

    Parameters
    ----------
    surface : Surface
        The wall it goes on.
    thickness_mm, cut_mm : (nz, nx) float
        Filled and taken down, 0 where nothing is done; NaN where nothing is priced [mm].
    rules : tuple of EdgeRule
        The lengths and tolerances that it meets.
    patches : tuple of Patch
        Connected filled areas, the largest first, without those thinner than the least that was asked for.
    thin_patches : tuple of Patch
        The others: for a filler or the skim.
    gap_without_thin_mm : float
        Greatest gap under any of the edges if the thin patches are left unfilled [mm].
    notices : tuple of str
        What the edge cannot show on this wall.
    """

    rules: tuple[EdgeRule, ...] = ()
    patches: tuple[Patch, ...] = ()
    thin_patches: tuple[Patch, ...] = ()
    gap_without_thin_mm: float = 0.0
    notices: tuple[str, ...] = field(default=())


def finished_face(build_up: BuildUp) -> Surface:
    """The wall after the work, to lay a straightedge on.

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Surface.from_grid(Wall("A", 3.0, 1.0), [0.5, 1.5, 2.5], [0.5], [[0.0, -6.0, 0.0]])
    >>> finished_face(spot_repair(wall, 3.0)).proud_mm.round(3).tolist()
    [[0.0, -3.0, 0.0]]
    """
    face = build_up.surface.proud_mm - build_up.cut_mm + build_up.thickness_mm
    face.flags.writeable = False
    points = build_up.surface.points
    return replace(
        build_up.surface, proud_mm=face, points=points.without(np.ones(points.x_m.size, dtype=bool))
    )


def edge_rules(tolerance_mm: Millimetres, straightedge_m: Metres) -> tuple[EdgeRule, ...]:
    """Pairs of a length and a tolerance, checked.

    Parameters
    ----------
    tolerance_mm : float or sequence of float
        More than 0 [mm].
    straightedge_m : float or sequence of float
        More than 0, as many as tolerances [m].

    Raises
    ------
    TakeoffError
        A tolerance or a length that is not more than 0, or unequal numbers of them.
    """
    tolerances, lengths = np.atleast_1d(tolerance_mm), np.atleast_1d(straightedge_m)
    check = Check("spot repair")
    check.that(
        tolerances.size == lengths.size > 0,
        f"{tolerances.size} tolerances for {lengths.size} lengths",
        "each length of edge has its tolerance",
        "give as many of one as of the other",
    )
    for word, unit, values in (("tolerance", "mm", tolerances), ("straightedge", "m", lengths)):
        for value in values:
            check.that(
                bool(0 < value < np.inf),
                f"{word} {value:g} {unit}",
                f"a {word} is more than 0",
                "3 mm under 2 m is a usual grade",
            )
    check.done()
    pairs = zip(lengths, tolerances, strict=True)
    return tuple(EdgeRule(float(length), float(tolerance)) for length, tolerance in pairs)


def spot_repair(
    surface: Surface,
    tolerance_mm: Millimetres = 3.0,
    straightedge_m: Metres = 2.0,
    left_mm: float | None = None,
    cut_limit_mm: float = 0.0,
    cut_to_fill_price: float = 1.0,
    least_patch_mm: float = 0.0,
) -> RepairBuildUp:
    """Fill the spots that make a straightedge show more than the tolerance.

    Without `left_mm` the fill is the least there is: lower any filled cell and the wall fails. Nobody fills
    to leave 3 mm, though. With `left_mm` the tolerance decides which hollows are filled, and a filled one is
    ruled flush: of the least fill for `left_mm` those patches are kept that hold a place whose gap exceeds
    the tolerance, until no gap does. It cures hollows only; a belly is cut back or covered by a plane.

    Parameters
    ----------
    surface : Surface
        Of even cells.
    tolerance_mm : float or sequence of float
        Greatest gap left, more than 0 [mm].
    straightedge_m : float or sequence of float
        Length of the edge, more than 0; with several tolerances as many lengths, all met at once [m].
    left_mm : float, optional
        Gap left in a hollow that is filled, more than 0; the tolerance where that is less. 0.5 is usual,
        common practice, no source [mm].
    cut_limit_mm : float
        Most that may be taken down anywhere, 0 or more; with more than 0 the cheapest mix of taking down and
        filling [mm].
    cut_to_fill_price : float
        Price of taking down a litre over that of filling one, 0 or more [-].
    least_patch_mm : float
        Patches that are nowhere this thick are listed apart, 0 or more [mm].

    Returns
    -------
    RepairBuildUp

    Raises
    ------
    TakeoffError
        A tolerance or a length that is not more than 0, or uneven cells.

    Notes
    -----
    Within 0.01 mm of the least fill, from below. An edge longer than the wall or the strip, unknown areas and
    openings that split the wall are told in `notices`.

    Examples
    --------
    A dip of 6 mm and a square metre, filled to leave 3 mm, and flush but for half a millimetre:

    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Surface.from_grid(Wall("A", 3.0, 1.0), [0.5, 1.5, 2.5], [0.5], [[0.0, -6.0, 0.0]])
    >>> round(spot_repair(wall, 3.0).volume_l, 2), round(spot_repair(wall, 3.0, left_mm=0.5).volume_l, 2)
    (3.0, 5.5)
    """
    rules = edge_rules(tolerance_mm, straightedge_m)
    _check_rest(left_mm, cut_limit_mm, cut_to_fill_price, least_patch_mm)
    lines = edge_lines(surface)
    price = CutPrice(cut_limit_mm, cut_to_fill_price)
    cuts = [_cut(surface, lines, rules, price, ratio) for ratio in _ratios(price, left_mm)]
    works = [(fill_after(surface, cut, lines, rules, left_mm), cut) for cut in cuts]
    fill, cut = min(works, key=lambda work: _cost_l(surface, work[0], work[1], price))
    return _repair(surface, fill, cut, lines, rules, least_patch_mm)


def _check_rest(left_mm: float | None, cut_mm: float, price: float, least_patch_mm: float) -> None:
    check = Check("spot repair")
    check.that(
        left_mm is None or 0 < left_mm < np.inf,
        f"{left_mm} mm left in filled hollows",
        "a filled hollow keeps a gap of more than 0",
        "0.5 mm is usual",
    )
    for name, value in (("taken down", cut_mm), ("price ratio", price), ("least patch", least_patch_mm)):
        check.that(bool(0 <= value < np.inf), f"{name} {value:g}", f"{name} is 0 or more", "0 leaves it out")
    check.done()


def _ratios(price: CutPrice, left_mm: float | None) -> tuple[float, ...]:
    """Price ratios to look for high spots with.

    Where a hollow is ruled flush as soon as it is touched, filling costs more than the litres that the wall
    needs to pass: then taking nothing down, and a ratio that favours taking down, are tried as well.
    """
    if price.limit_mm == 0:
        return (np.inf,)
    return (price.to_fill,) if left_mm is None else (np.inf, price.to_fill, price.to_fill / FAVOUR)


def _cut(
    surface: Surface,
    lines: Sequence[EdgeLines],
    rules: Sequence[EdgeRule],
    price: CutPrice,
    to_fill: float,
) -> Floats:
    """What is taken down first [mm], looked for with a price ratio of its own; nothing at no price."""
    nothing = np.where(np.isnan(surface.proud_mm), np.nan, 0.0)
    if np.isinf(to_fill):
        return nothing
    finished = cut_and_fill(surface, lines, rules, CutPrice(price.limit_mm, to_fill))
    cut = surface.proud_mm - finished
    return np.where(cut < CUT_MM, nothing, cut)


def _cost_l(surface: Surface, fill: Floats, cut: Floats, price: CutPrice) -> float:
    """Cost in litres of fill."""
    return float(np.nansum(surface.known_area_m2 * (fill + price.to_fill * cut)))


def fill_after(
    surface: Surface,
    cut: Floats,
    lines: Sequence[EdgeLines],
    rules: Sequence[EdgeRule],
    left_mm: float | None,
) -> Floats:
    """Fill on the wall once `cut` [mm] is taken down (nz, nx) [mm]: the least, or as it is done."""
    face = surface.proud_mm - cut
    uncut = float(np.nanmax(cut)) == 0.0
    if left_mm is None:
        return (remembered_fill(surface, tuple(rules)) if uncut else least_fill(face, lines, rules)) - face
    if not uncut:
        return ruled_flush(face, lines, rules, left_mm)
    heights = remembered_fill(surface, flush_rules(rules, left_mm))
    return as_it_is_done(face, heights - face, lines, rules)


def flush_rules(rules: Sequence[EdgeRule], left_mm: float) -> tuple[EdgeRule, ...]:
    """The edges with no more left under them than in a filled hollow [mm]."""
    return tuple(replace(rule, tolerance_mm=min(left_mm, rule.tolerance_mm)) for rule in rules)


def ruled_flush(
    face_mm: Floats,
    lines: Sequence[EdgeLines],
    rules: Sequence[EdgeRule],
    left_mm: float,
    close_mm: float = CLOSE_MM,
) -> Floats:
    """Fill of a wall whose hollows that break the rules are ruled flush (…, nz, nx) [mm]; none is remembered.

    Parameters
    ----------
    face_mm : (…, nz, nx) float
        The wall, or several faces of the same cells [mm].
    lines : sequence of EdgeLines
    rules : sequence of EdgeRule
    left_mm : float
        Gap left in a hollow that is filled, more than 0 [mm].
    close_mm : float
        How far below the least fill the answer may be, more than 0 [mm].
    """
    fill = np.where(np.isnan(face_mm), np.nan, 0.0)
    broken = (over_tolerance(face_mm, lines, rules) > OVER_MM).any(axis=(-2, -1))
    if broken.any():
        faces = face_mm[broken]
        heights = least_fill(faces, lines, flush_rules(rules, left_mm), close_mm)
        fill[broken] = as_it_is_done(faces, heights - faces, lines, rules)
    return fill


def as_it_is_done(
    face_mm: Floats, flush_fill_mm: Floats, lines: Sequence[EdgeLines], rules: Sequence[EdgeRule]
) -> Floats:
    """The patches of a flush fill without which the wall would fail.

    Parameters
    ----------
    face_mm : (…, nz, nx) float
        The wall, or several faces of the same cells [mm].
    flush_fill_mm : (…, nz, nx) float
        The least fill for what is left in filled hollows [mm].
    lines : sequence of EdgeLines
    rules : sequence of EdgeRule
        That the wall has to meet.

    Returns
    -------
    (…, nz, nx) float
        Fill of the patches kept, 0 elsewhere [mm].
    """
    numbers, count = patch_numbers(flush_fill_mm)
    kept = np.zeros(count + 1, dtype=bool)
    while True:
        fill = np.where(kept[numbers] | np.isnan(face_mm), flush_fill_mm, 0.0)
        over = over_tolerance(face_mm + fill, lines, rules) > OVER_MM
        joining = np.setdiff1d(numbers[over], np.flatnonzero(kept))
        joining = joining[joining > 0]
        if not joining.size:
            return fill
        kept[joining] = True


def _repair(
    surface: Surface,
    fill: Floats,
    cut: Floats,
    lines: Sequence[EdgeLines],
    rules: tuple[EdgeRule, ...],
    least_patch_mm: float,
) -> RepairBuildUp:
    """The build-up with its list of patches."""
    fill = np.where(fill < FILLED_MM, 0.0, fill)
    for array in (fill, cut):
        array.flags.writeable = False
    patches = patches_of(surface, fill)
    hidden = thin(patches, least_patch_mm)
    left = without_thin(fill, least_patch_mm) if hidden else fill
    longest = max(rule.length_m for rule in rules)
    return RepairBuildUp(
        surface,
        fill,
        cut,
        rules,
        tuple(patch for patch in patches if patch not in hidden),
        hidden,
        float(np.nanmax(greatest_gap(surface.proud_mm - cut + left, tuple(lines), longest))),
        straightedge_notices(surface, longest),
    )


def without_thin(fill: Floats, least_patch_mm: float) -> Floats:
    """A fill, or what is taken down, without patches that are nowhere as thick as `least_patch_mm` [mm]."""
    numbers, count = patch_numbers(fill)
    deepest = np.zeros(count + 1)
    np.maximum.at(deepest, numbers.ravel(), np.nan_to_num(fill).ravel())
    return np.where(deepest[numbers] < least_patch_mm, 0.0 * fill, fill)


def skim(
    surface: Surface,
    thickness_mm: float,
    tolerance_mm: Millimetres,
    straightedge_m: Metres,
    left_mm: float | None = None,
    cut_limit_mm: float = 0.0,
    cut_to_fill_price: float = 1.0,
) -> RepairBuildUp:
    """An even coat over the repaired wall.

    Parameters
    ----------
    surface : Surface
        Of even cells.
    thickness_mm : float
        Of the coat, more than 0; 2 to 3 is usual, common practice, no source [mm].
    tolerance_mm, straightedge_m, left_mm, cut_limit_mm, cut_to_fill_price : float
        Of the repair under it, as in `spot_repair` [mm, m, mm, mm, -].

    Returns
    -------
    RepairBuildUp
        Repair and coat together; its patches are those of the repair.

    Raises
    ------
    TakeoffError
        A coat of no thickness, or what `spot_repair` refuses.

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> flat = Surface.from_grid(Wall("A", 3.0, 1.0), [0.5, 1.5, 2.5], [0.5], [[0.0, 0.0, 0.0]])
    >>> skim(flat, 2.0, 3.0, 2.0).volume_l
    6.0
    """
    check = Check("skim")
    check.that(
        bool(0 < thickness_mm < np.inf),
        f"a coat of {thickness_mm:g} mm",
        "a coat is thicker than nothing",
        "2 to 3 mm is usual",
    )
    check.done()
    repair = spot_repair(surface, tolerance_mm, straightedge_m, left_mm, cut_limit_mm, cut_to_fill_price)
    coat = repair.thickness_mm + thickness_mm
    coat.flags.writeable = False
    return replace(repair, thickness_mm=coat)
