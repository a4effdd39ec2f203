"""What a straightedge on the rails reaches: bays, and ground that no bay covers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.choices import RailChoice
from mytakeoff.rails.rails import FUZZ, greatest_bay_m, heights_at, strips
from mytakeoff.survey.wall import Rectangle, Wall

Stretch = tuple[float, float]

ROCKS = (
    2.0  # an edge that reaches beyond a rail by more overhangs than this rocks (common practice, no source)
)


@dataclass(frozen=True)
class RuledBand:
    """Heights between which nothing changes: what has to be ruled there.

    Parameters
    ----------
    low_m, top_m : float
        From the floor [m].
    stretches : tuple of (float, float)
        Plastered ground from left to right, each from its left to its right end [m].
    """

    low_m: float
    top_m: float
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True)
class Bay:
    """Ground between two neighbouring rails that the straightedge rides on.

    Parameters
    ----------
    left_m, right_m : float
        The rails [m].
    low_m, top_m : float
        Heights at which both are there and are neighbours [m].
    """

    left_m: float
    right_m: float
    low_m: float
    top_m: float

    @property
    def width_m(self) -> float:
        """From rail to rail [m]."""
        return self.right_m - self.left_m

    def reach_m(self, rails: RailChoice) -> float:
        """How far beyond either rail the edge can rule [m].

        It slides along the rails, but goes on reaching beyond the other one by the overhang, and never beyond
        this one by more than twice that, where it would rock.

        Examples
        --------
        A bay of 1.2 m leaves the edge no room to slide, one of 1.1 m leaves 0.1 m, one of 0.5 m rocks first.

        >>> rails = RailChoice(straightedge_m=1.5, overhang_m=0.15)
        >>> [round(Bay(0.0, width, 0.0, 2.6).reach_m(rails), 2) for width in (1.2, 1.1, 0.5)]
        [0.15, 0.25, 0.3]
        """
        return min(rails.straightedge_m - self.width_m - rails.overhang_m, ROCKS * rails.overhang_m)


def bands(wall: Wall) -> tuple[RuledBand, ...]:
    """The wall from the floor up, cut where an opening or a strip begins or ends."""
    ground = strips(wall)
    heights = sorted({height for r in ground for height in (r.z_m, r.z_m + r.height_m)})
    found = []
    for low, top in pairwise(heights):
        middle = (low + top) / 2
        across = [r for r in ground if r.z_m < middle < r.z_m + r.height_m]
        if across and top - low > FUZZ:
            found.append(RuledBand(low, top, _joined((r.x_m, r.x_m + r.width_m) for r in across)))
    return tuple(found)


def _joined(spans: Iterable[Stretch]) -> tuple[Stretch, ...]:
    """Stretches with those that touch made one."""
    joined: list[Stretch] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + FUZZ:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return tuple(joined)


def stands_in(wall: Wall, x_m: float, band: RuledBand, rails: RailChoice) -> bool:
    """Whether a rail at a place [m] passes through a band."""
    return any(
        low <= band.low_m + FUZZ and top >= band.top_m - FUZZ
        for low, top in heights_at(wall, x_m, rails.width_mm / 2000)
    )


def _bays_in(wall: Wall, rails_x_m: Sequence[float], band: RuledBand, rails: RailChoice) -> list[Bay]:
    """Neighbouring rails of a band that the edge reaches over."""
    there = [x for x in sorted(rails_x_m) if stands_in(wall, x, band, rails)]
    bay_m = greatest_bay_m(rails)
    return [
        Bay(left, right, band.low_m, band.top_m)
        for left, right in pairwise(there)
        if right - left <= bay_m + FUZZ
    ]


def bays_of(wall: Wall, rails_x_m: Sequence[float], rails: RailChoice) -> tuple[Bay, ...]:
    """The bays that the straightedge rides on, left to right, then from the floor up.

    Parameters
    ----------
    wall : Wall
    rails_x_m : sequence of float
        Where the rails stand [m].
    rails : RailChoice

    Examples
    --------
    >>> bays = bays_of(Wall("A", 3.9, 2.6), (0.15, 1.35, 2.55, 3.75), RailChoice())
    >>> [round(bay.width_m, 2) for bay in bays]
    [1.2, 1.2, 1.2]
    """
    found: dict[Stretch, list[Bay]] = {}
    for band in bands(wall):
        for bay in _bays_in(wall, rails_x_m, band, rails):
            row = found.setdefault((bay.left_m, bay.right_m), [])
            if row and row[-1].top_m >= bay.low_m - FUZZ:
                row[-1] = Bay(bay.left_m, bay.right_m, row[-1].low_m, bay.top_m)
            else:
                row.append(bay)
    return tuple(bay for pair in sorted(found) for bay in found[pair])


def not_ruled(wall: Wall, rails_x_m: Sequence[float], rails: RailChoice) -> tuple[Rectangle, ...]:
    """Ground that no place of the straightedge on two rails reaches.

    Parameters
    ----------
    wall : Wall
    rails_x_m : sequence of float
        Where the rails stand [m].
    rails : RailChoice

    Returns
    -------
    tuple of Rectangle
        Empty where every place of the wall lies in a bay or within the edge's reach beyond one; strips lower
        than a rail piece are not counted.

    Examples
    --------
    >>> not_ruled(Wall("A", 2.0, 2.6), (0.15, 1.35), RailChoice())
    (Rectangle(x_m=1.5, z_m=0.0, width_m=0.5, height_m=2.6),)
    """
    missed = []
    for band in bands(wall):
        ruled = _joined(
            (bay.left_m - bay.reach_m(rails), bay.right_m + bay.reach_m(rails))
            for bay in _bays_in(wall, rails_x_m, band, rails)
        )
        height = band.top_m - band.low_m
        for left, right in band.stretches:
            missed += [
                Rectangle(round(low, 9), band.low_m, round(high - low, 9), height)
                for low, high in _left_over(left, right, ruled)
            ]
    return tuple(missed)


def not_ruled_words(
    wall: Wall, rails_x_m: Sequence[float], rails: RailChoice, formats: Formats = HOUSE
) -> str:
    """What no straightedge on two rails reaches, in a sentence; empty where it reaches everything.

    Parameters
    ----------
    wall : Wall
    rails_x_m : sequence of float
        Where the rails stand [m].
    rails : RailChoice
    formats : Formats

    Examples
    --------
    >>> not_ruled_words(Wall("A", 0.4, 2.6), (0.2,), RailChoice()).partition(":")[0]
    'no straightedge of 1.5 m on two rails reaches x 0 to 0.4 m, z 0 to 2.6 m'
    """
    missed = not_ruled(wall, rails_x_m, rails)
    if not missed:
        return ""

    def said(start_m: float, long_m: float) -> str:
        return formats.length(*(float(f"{place_m:.3g}") for place_m in (start_m, start_m + long_m)))

    places = "; ".join(f"x {said(r.x_m, r.width_m)}, z {said(r.z_m, r.height_m)}" for r in missed)
    return (
        f"no straightedge of {formats.length(rails.straightedge_m)} on two rails reaches {places}: "
        "rule it off one rail and the bead or the finished wall beside it"
    )


def _left_over(left: float, right: float, ruled: Sequence[Stretch]) -> list[Stretch]:
    """Parts of a stretch that the sorted stretches leave."""
    parts = []
    for low, high in ruled:
        if low > left + 1e-6 and left < right:
            parts.append((left, min(low, right)))
        left = max(left, high)
    if left < right - 1e-6:
        parts.append((left, right))
    return [(low, high) for low, high in parts if high - low > 1e-6]
