"""The cheapest mix of taking down and filling that makes a wall pass under straightedges.

A linear programme over the finished heights s: least Σ A·[(s − d)⁺ + r·(d − s)⁺] with no cell more than the
tolerance under a chord and nowhere more than the limit taken down. It has a row for each chord; the worst
broken one of each cell and direction is added and it is solved again, until none is.

A wall with too many of them is solved nearly, on coarser cells as high as their highest part. That gives the
heights to which high spots come down. How much lower or higher is cheapest is tried out on the fine cells,
where the least fill over the lowered wall is always a wall that passes. Filling alone is one of the answers
compared, so the outcome is never dearer; on a large wall it is close to the cheapest, not proved to be: 5 to
7 % above it on invented bumpy walls.

Nearly is by the primal-dual method: each chord has a price, which rises while the chord is broken and falls
to nothing while it is not; each cell moves against the prices of the chords at it. Step lengths by row and
column sums. Chords that have no price are dropped, those that break are added.

References
----------
A. Chambolle and T. Pock, "A first-order primal-dual algorithm for convex problems", J. Math. Imaging and
Vision 40 (2011) 120-145; T. Pock and A. Chambolle, "Diagonal preconditioning for first order primal-dual
algorithms", ICCV 2011. Both from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from scipy.interpolate import RegularGridInterpolator
from scipy.optimize import linprog
from scipy.sparse import hstack

from mytakeoff.flatness.edge_lines import EdgeLines, EdgeRule, edge_lines
from mytakeoff.repair.chords import Chords, CutPrice, broken_chords
from mytakeoff.repair.coarse_cells import coarser
from mytakeoff.repair.least_fill import CLOSE_MM as FILL_CLOSE_MM
from mytakeoff.repair.least_fill import least_fill, remembered_fill
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

ROUNDS, STEPS = 12, 100
BALANCE_MM = 3.0  # a step of the heights to one of the prices
NEAR_MM = 0.02  # chords this near to breaking stay


def near_cheapest(
    face_mm: Floats,
    area_m2: Floats,
    lines: Sequence[EdgeLines],
    rules: Sequence[EdgeRule],
    price: CutPrice,
) -> Floats:
    """Finished heights of about the least cost; they pass but for some hundredths of a millimetre.

    Parameters
    ----------
    face_mm, area_m2 : (nz, nx) float
        The wall [mm] and its cells [m²].
    lines : sequence of EdgeLines
    rules : sequence of EdgeRule
    price : CutPrice

    Returns
    -------
    (nz, nx) float
        [mm]
    """
    known = np.isfinite(face_mm)
    heights = least_fill(face_mm, lines, rules, 0.1)
    asked = broken_chords(heights, lines, rules, -NEAR_MM)
    prices = np.zeros(asked.count)
    for _ in range(ROUNDS):
        heights, prices = _stepped(face_mm, area_m2, heights, prices, asked, price)
        over = asked.shares(face_mm.size) @ np.nan_to_num(heights).ravel() - asked.tolerance_mm
        kept = (prices > 0) | (over > -NEAR_MM)
        held = asked.chosen(kept)
        asked = held.joined(broken_chords(np.where(known, heights, np.nan), lines, rules, 0.0))
        prices = asked.carried(held, prices[kept], face_mm.size)
    return heights


def _stepped(
    face: Floats, area: Floats, heights: Floats, prices: Floats, asked: Chords, price: CutPrice
) -> tuple[Floats, Floats]:
    """Heights and chords' prices some steps on."""
    over = asked.shares(face.size)
    back = over.T.tocsr()
    sums = np.asarray(abs(back).sum(axis=1)).ravel()
    step = BALANCE_MM / np.where(sums > 0, sums, 1.0)
    rise_cost = step * area.ravel() / area.max()
    fall_cost = rise_cost * price.to_fill
    wall = np.nan_to_num(face).ravel()
    now = np.nan_to_num(heights).ravel()
    ahead = now
    for _ in range(STEPS):
        prices = np.maximum(prices + (over @ ahead - asked.tolerance_mm) / (2 * BALANCE_MM), 0.0)
        moved = now - step * (back @ prices) - wall
        moved = np.maximum(moved - rise_cost, 0.0) + np.minimum(moved + fall_cost, 0.0)
        then = wall + np.maximum(moved, -price.limit_mm)
        ahead, now = 2.0 * then - now, then
    return np.where(np.isnan(face), np.nan, now.reshape(face.shape)), prices


MOST_ROWS = 3000  # chords broken at the start beyond which coarser cells come first
MOST_ASKED = 6000  # and chords asked for on the way beyond which the exact way is left
COARSE_CELLS = 1350
MOST_ROUNDS = 40
CLOSE_MM = 1e-5  # a chord broken by less is met by the fill that follows
# by how much the high spots are tried lower or higher than on coarse cells
STEPS_MM = (0.5, 0.25)
MOST_MOVED_MM = 2.0
TRIAL_CLOSE_MM = 0.2


def cut_and_fill(
    surface: Surface, lines: Sequence[EdgeLines], rules: Sequence[EdgeRule], price: CutPrice
) -> Floats:
    """Finished heights of the cheapest mix of taking down and filling.

    Parameters
    ----------
    surface : Surface
        Of even cells.
    lines : sequence of EdgeLines
        Its lines.
    rules : sequence of EdgeRule
        That the finished wall meets.
    price : CutPrice

    Returns
    -------
    (nz, nx) float
        They pass, to 0.01 mm, and never cost more than the least fill [mm].
    """
    face, area = surface.proud_mm, surface.known_area_m2
    broken = broken_chords(face, lines, rules, CLOSE_MM)
    filled = remembered_fill(surface, tuple(rules))
    if broken.count == 0 or price.limit_mm == 0:
        return filled
    wanted = _solved(face, area, lines, rules, price, broken) if broken.count <= MOST_ROWS else None
    if wanted is None:
        wanted = _tried_out(surface, _from_coarse_cells(surface, rules, price), lines, rules, price)
    mixed = _passing(face, wanted, lines, rules, price)
    return min((filled, mixed), key=lambda heights: cost_l(face, heights, area, price))


def _tried_out(
    surface: Surface, cap: Floats, lines: Sequence[EdgeLines], rules: Sequence[EdgeRule], price: CutPrice
) -> Floats:
    """The heights to come down to, moved up or down as a whole for as long as that makes it cheaper."""
    face, area = surface.proud_mm, surface.known_area_m2

    @cache
    def cost(moved_mm: float) -> float:
        heights = _passing(face, cap + moved_mm, lines, rules, price, TRIAL_CLOSE_MM)
        return cost_l(face, heights, area, price)

    best = 0.0
    for step in STEPS_MM:
        for way in (-step, step):
            while abs(best + way) <= MOST_MOVED_MM and cost(best + way) < cost(best):
                best += way
    return np.asarray(cap + best)


def cost_l(face_mm: Floats, finished_mm: Floats, area_m2: Floats, price: CutPrice) -> float:
    """Cost in litres of fill: Σ A·[(s − d)⁺ + r·(d − s)⁺] [l]; heights [mm], areas [m²]."""
    rise = finished_mm - face_mm
    return float(np.nansum(area_m2 * np.where(rise > 0, rise, -price.to_fill * rise)))


def _passing(
    face: Floats,
    wanted: Floats,
    lines: Sequence[EdgeLines],
    rules: Sequence[EdgeRule],
    price: CutPrice,
    close_mm: float = FILL_CLOSE_MM,
) -> Floats:
    """The wall taken down to the wanted heights, within the limit, and filled until it passes."""
    lowered = np.maximum(np.minimum(face, wanted), face - price.limit_mm)
    return least_fill(lowered, lines, rules, close_mm)


def _solved(
    face: Floats,
    area: Floats,
    lines: Sequence[EdgeLines],
    rules: Sequence[EdgeRule],
    price: CutPrice,
    asked: Chords,
) -> Floats | None:
    """Heights of the linear programme, chords added until none is broken; None if they become too many."""
    heights, broken = face, asked
    for _ in range(MOST_ROUNDS):
        if not broken.count:
            break
        heights = _cheapest(face, area, asked, price)
        broken = broken_chords(heights, lines, rules, CLOSE_MM)
        asked = asked.joined(broken)
        if asked.count > MOST_ASKED:
            return None
    return heights


def _cheapest(face: Floats, area: Floats, asked: Chords, price: CutPrice) -> Floats:
    """The cheapest heights that meet the chords, with a rise and a fall for each cell."""
    cells = np.unique(np.concatenate([asked.under, asked.start, asked.end]))
    over = asked.shares(face.size)[:, cells]
    heights, weight = face.ravel()[cells], area.ravel()[cells] / area.max()
    answer = linprog(  # type: ignore[call-overload]  # the stubs know no sparse rows
        np.concatenate([weight, (price.to_fill + 1e-9) * weight]),
        A_ub=hstack([over, -over]).tocsr(),
        b_ub=np.asarray(asked.tolerance_mm - over @ heights),
        bounds=[(0.0, np.inf)] * cells.size + [(0.0, price.limit_mm)] * cells.size,
        method="highs-ds",
    )
    if answer.x is None:
        raise RuntimeError(f"the search for the cheapest repair failed: {answer.message}")
    found = face.ravel().copy()
    found[cells] += answer.x[: cells.size] - answer.x[cells.size :]
    return np.asarray(found.reshape(face.shape))


def _from_coarse_cells(surface: Surface, rules: Sequence[EdgeRule], price: CutPrice) -> Floats:
    """Heights of the linear programme on coarser cells, between their centres carried over linearly [mm]."""
    coarse = coarser(surface, COARSE_CELLS)
    face = coarse.proud_mm
    heights = near_cheapest(face, coarse.known_area_m2, edge_lines(coarse), rules, price)
    # beside an opening there is nothing to carry over from: there nothing is taken down
    whole = np.where(np.isnan(heights), np.nanmax(surface.proud_mm), heights)
    carried = RegularGridInterpolator((coarse.z_m, coarse.x_m), whole, bounds_error=False, fill_value=None)
    return np.asarray(carried(np.stack(np.meshgrid(surface.z_m, surface.x_m, indexing="ij"), axis=-1)))
