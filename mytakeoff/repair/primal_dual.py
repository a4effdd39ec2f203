"""Near the cheapest mix of taking down and filling, by simple steps where a general solver takes too long.

The linear programme of `cutandfill`, by the primal-dual method: each chord has a price, which rises while the
chord is broken and falls to nothing while it is not; each cell moves against the prices of the chords at it.
Step lengths by row and column sums. Chords that have no price are dropped, those that break are added.

References
----------
A. Chambolle and T. Pock, "A first-order primal-dual algorithm for convex problems", J. Math. Imaging and
Vision 40 (2011) 120-145; T. Pock and A. Chambolle, "Diagonal preconditioning for first order primal-dual
algorithms", ICCV 2011. Both from memory.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mytakeoff.flatness.edge_lines import EdgeLines, EdgeRule
from mytakeoff.repair.chords import Chords, CutPrice, broken_chords
from mytakeoff.repair.least_fill import least_fill
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
