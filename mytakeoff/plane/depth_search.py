"""How deep it pays to take high spots down if the plane of each depth is that of the least plaster.

Notes
-----
The linear bounds of the cost serve every depth (`CutPath`), so a depth takes a few Newton steps and one small
linear programme. Where the plane was seen to move least evenly between tried depths, more depths are tried.
"""

from __future__ import annotations

from bisect import insort
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from mytakeoff.plane.cut_path import FEW_CELLS, CutPath
from mytakeoff.plane.rule import CutWorth
from mytakeoff.survey.survey import Floats

FIRST_DEPTHS, FIRST_DEPTHS_FEW = 13, 81  # with few cells a plane moves by fits and starts
MOST_DEPTHS = 250
MISS_TIMES = 2.0  # a stretch is trusted to miss no more than this many times what it was seen to miss
MOST_POLISHED = 4
RESOLVED_MM = 0.005  # depths nearer than this are not told apart
BEFORE_MM = 1e-3  # a cell that just begins to be cut is not, this much earlier
EQUAL_SHARE = 1e-9  # costs nearer than this share are the same
CLOSE_SHARE, CLOSE_SHARE_FEW = (
    1e-5,
    1e-7,
)  # a stretch that could be cheaper by no more than this share is left


@dataclass(frozen=True, order=True)
class Tried:
    """A depth [mm] with its plane and its cost."""

    depth_mm: float
    plane: Floats = field(compare=False)
    cost: float = field(compare=False)


@dataclass(frozen=True, eq=False)
class Stretch:
    """Between two tried depths the plane is taken to move evenly; `miss` is how wrong that was [l].

    `depth_mm` and `cost` tell where the stretch is cheapest if it does [mm, l].
    """

    low: Tried
    high: Tried
    miss: float
    depth_mm: float
    cost: float

    @property
    def at_best(self) -> float:
        """What it could cost if the plane moves unevenly."""
        return self.cost - MISS_TIMES * self.miss

    @property
    def wide(self) -> bool:
        """Whether there are depths between its ends to tell apart."""
        return self.high.depth_mm - self.low.depth_mm > RESOLVED_MM


def best_depth(path: CutPath, worth: CutWorth, limit_mm: float, known: float = np.inf) -> Tried:
    """The cheapest depth along the planes of least fill, as far as one may be cheaper than what is known.

    The curve of cost over depth need not be convex, and with a price per m² it jumps where a cell begins to
    be cut: it is searched over the whole range. Between tried depths the plane is taken to move evenly, which
    makes the cost linear from each cell that begins or ceases to be cut to the next; the cheapest of those
    places is tried in earnest, until no stretch can be cheaper.

    Parameters
    ----------
    path : CutPath
    worth : CutWorth
        What taking down costs.
    limit_mm : float
        Most that may be taken down, more than 0 [mm].
    known : float
        Cost of a plane found otherwise: depths that would be dearer are not looked for [l].

    Returns
    -------
    Tried
        Depth to about 0.01 mm; of depths that cost the same the least.
    """
    search = _Search(path, worth, known)
    search.start(limit_mm)
    while len(search.tried) < MOST_DEPTHS and (stretch := search.likeliest()) is not None:
        search.look_into(stretch)
    search.polish()
    return search.best


class _Search:
    """Tried depths in order, and the stretches between them."""

    def __init__(self, path: CutPath, worth: CutWorth, known: float) -> None:
        self.path, self.worth, self.known = path, worth, known
        self.few = path.area_m2.size <= FEW_CELLS
        self.tried: list[Tried] = []
        self.stretches: list[Stretch] = []

    def start(self, limit_mm: float) -> None:
        """Depths at even steps; every second one tells how unevenly the plane moves about it."""
        for depth in np.linspace(0.0, limit_mm, FIRST_DEPTHS_FEW if self.few else FIRST_DEPTHS):
            start = None
            if len(self.tried) > 1:
                one, two = self.tried[-2:]
                start = 2 * two.plane - one.plane
            self._try(float(depth), start)
        misses = [self._miss(*self.tried[i : i + 3]) for i in range(len(self.tried) - 2)]
        for i, (low, high) in enumerate(zip(self.tried, self.tried[1:], strict=False)):
            self._add(low, high, max(misses[max(i - 1, 0) : i + 1]))

    @property
    def best(self) -> Tried:
        """The cheapest depth tried, of equal ones the least."""
        least = min(each.cost for each in self.tried)
        return min(each for each in self.tried if each.cost <= least + EQUAL_SHARE * abs(least))

    def likeliest(self) -> Stretch | None:
        """The stretch that could be cheapest; None when none could be cheaper than the best tried."""
        wide = [stretch for stretch in self.stretches if stretch.wide]
        if not wide:
            return None
        likeliest = min(wide, key=lambda stretch: stretch.at_best)
        least = min(self.best.cost, self.known)
        close = (CLOSE_SHARE_FEW if self.few else CLOSE_SHARE) * abs(least)
        return likeliest if likeliest.at_best < least - close else None

    def look_into(self, stretch: Stretch) -> None:
        """Try the likely places of a stretch, and split it there."""
        self.stretches.remove(stretch)
        inner = [self._try(depth, _between(stretch, depth)) for depth in self._places(stretch)]
        ends = [stretch.low, *sorted(inner), stretch.high]
        miss = max(self._miss(stretch.low, each, stretch.high) for each in inner)
        for low, high in pairwise(ends):
            self._add(low, high, max(miss / 2, stretch.miss / 16))

    def polish(self) -> None:
        """Try the cheapest places beside the best depth once more, now that the plane is known about it."""
        for _ in range(MOST_POLISHED):
            best = self.best
            beside = [each for each in self.stretches if best in (each.low, each.high) and each.wide]
            cheaper = [each for each in beside if each.cost < best.cost and _within(each)]
            if not cheaper:
                return
            self.look_into(min(cheaper, key=lambda stretch: stretch.cost))

    def _try(self, depth_mm: float, start: Floats | None) -> Tried:
        plane = self.path.at(depth_mm, start)
        made = Tried(depth_mm, plane, self.worth.of(*self.path.moved(plane)))
        insort(self.tried, made)
        return made

    def _miss(self, low: Tried, middle: Tried, high: Tried) -> float:
        """How far the cost at a depth is from that of the plane half-way between its neighbours."""
        share = (middle.depth_mm - low.depth_mm) / (high.depth_mm - low.depth_mm)
        between = low.plane + share * (high.plane - low.plane)
        return abs(self.worth.of(*self.path.moved(between)) - middle.cost)

    def _add(self, low: Tried, high: Tried, miss: float) -> None:
        share, cost = cheapest_between(self.path, low.plane, high.plane, self.worth)
        depth = low.depth_mm + share * (high.depth_mm - low.depth_mm)
        self.stretches.append(Stretch(low, high, miss, depth, cost))

    def _places(self, stretch: Stretch) -> list[float]:
        """Where it is cheapest, with a price per m² also just before; where its plane bends; or half-way."""
        low, high = stretch.low.depth_mm, stretch.high.depth_mm
        places = [stretch.depth_mm, self._bend(stretch)]
        if self.worth.m2_l > 0:
            places.append(stretch.depth_mm - BEFORE_MM)
        inner = sorted({depth for depth in places if low < depth < high})
        edge = max((high - low) / 50, BEFORE_MM)
        if any(low + edge < depth < high - edge for depth in inner):
            return inner
        return sorted({*inner, (low + high) / 2})

    def _bend(self, stretch: Stretch) -> float:
        """Depth at which the movements before and after a stretch come nearest to one another [mm]."""
        at = self.tried.index(stretch.low)
        if at == 0 or at + 2 >= len(self.tried):
            return stretch.low.depth_mm
        before, low, high, after = self.tried[at - 1 : at + 3]
        left = (low.plane - before.plane) / (low.depth_mm - before.depth_mm)
        right = (after.plane - high.plane) / (after.depth_mm - high.depth_mm)
        apart = low.plane - high.plane + right * (high.depth_mm - low.depth_mm)
        turn = left - right
        size = float(turn @ turn)
        return low.depth_mm - float(apart @ turn) / size if size > 1e-12 else low.depth_mm


def _within(stretch: Stretch) -> bool:
    """Whether a stretch is cheapest between its ends, not at one of them."""
    return stretch.low.depth_mm + BEFORE_MM < stretch.depth_mm < stretch.high.depth_mm - BEFORE_MM


def _between(stretch: Stretch, depth_mm: float) -> Floats:
    """The plane at a depth if it moves evenly: it clears the wall, for both ends do."""
    low, high = stretch.low, stretch.high
    share = (depth_mm - low.depth_mm) / (high.depth_mm - low.depth_mm)
    return np.asarray(low.plane + share * (high.plane - low.plane))


def cheapest_between(path: CutPath, low: Floats, high: Floats, worth: CutWorth) -> tuple[float, float]:
    """Where cost is least while a plane moves evenly from one to another: share of the way (0…1) and cost.

    Planes are (a [mm], b, c [mm/m]) from the middle of the area, as of `CutPath`; cost is in litres filled
    [l]. Cost is linear between the places where a cell begins or ceases to be cut, so only those and the ends
    are looked at; a cell that stands exactly at the plane is not cut.
    """
    over, grows = path.over_mm(low), path.over_mm(high) - path.over_mm(low)
    crossing = np.flatnonzero(over * (over + grows) < 0)
    at = -over[crossing] / grows[crossing]
    order = np.lexsort((grows[crossing] > 0, at))  # those that cease to be cut first
    crossing, at = crossing[order], at[order]
    enters = np.where(grows[crossing] > 0, 1.0, -1.0) * path.area_m2[crossing]
    cut = (over > 0) | ((over == 0) & (grows > 0))
    area = path.area_m2[cut].sum() + np.concatenate([[0.0], np.cumsum(enters)])
    rest = (path.area_m2 * over)[cut].sum() + np.concatenate([[0.0], np.cumsum(enters * over[crossing])])
    slope = (path.area_m2 * grows)[cut].sum() + np.concatenate([[0.0], np.cumsum(enters * grows[crossing])])
    cut_l = rest[1:] + slope[1:] * at
    cut_m2 = np.minimum(area[1:], area[:-1])
    ends = [path.moved(plane) for plane in (low, high)]
    level = [fill - removed for fill, removed, _ in ends]
    fill_l = level[0] + at * (level[1] - level[0]) + cut_l
    inner = fill_l + worth.litre_l * cut_l + worth.m2_l * cut_m2
    shares = np.concatenate([[0.0], at, [1.0]])
    costs = np.concatenate([[worth.of(*ends[0])], inner, [worth.of(*ends[1])]])
    least = int(costs.argmin())
    return float(shares[least]), float(costs[least])
