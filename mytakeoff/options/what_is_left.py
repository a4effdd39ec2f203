"""What a way of treating a wall leaves behind: gaps, lean, wedges, room lost, linings, weight, the grade."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.coats.linings import Lining, lining_at
from mytakeoff.errors import Check
from mytakeoff.flatness.grades import Grade
from mytakeoff.flatness.judging import READ_MM, Verdict, judge
from mytakeoff.flatness.straightedge import bulge_and_hollow, straightedge_gap
from mytakeoff.job.mixes import Mix
from mytakeoff.options.wedges import Wedge, wedge_beside
from mytakeoff.plane.target_plane import mean_plane
from mytakeoff.repair.spot_repair import finished_face
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

# Water that stays in the dry plaster, as a share of the powder. Gypsum: CaSO4·½H2O takes up 1½ H2O, 27.02 to
# 145.15 by weight, so 0.19 is the most. Mixes that are mostly sand: common practice, no source.
BOUND_WATER_SHARE = {"gypsum": 0.19, "lime": 0.05, "cement-lime": 0.05, "cement": 0.05}
MOST_SHARE = 0.95


@dataclass(frozen=True)
class Remains:
    """What is left once a wall has been treated; shares and percentiles are by area.

    Parameters
    ----------
    worst_gap_mm, gap_95_mm : float
        Greatest hollow gap under the edge, and the one that 95 % of the known area does not exceed [mm].
    worst_belly_mm : float
        Greatest bulge of a balanced edge [mm].
    over_tolerance_m2 : float
        Known area whose gap exceeds the tolerance [m²].
    lean_mm : float or None
        Of the plane that most of the face lies about, over the wall's height; positive leans into the room at
        the top; None where the plane measured off was not plumb [mm].
    wedges : tuple of Wedge
        Beside each plumb thing.
    narrower_mm : float
        How far the proudest place came forward: what the room's clear width lost [mm].
    linings : tuple of Lining
        At each opening.
    verdict : Verdict
        What the grade says.
    dry_kg, dry_kg_per_m2 : float
        Weight added: powder with the water that stays bound in it, and the same over the known net area. What
        was taken down is not subtracted; 0 where no layers are told [kg, kg/m²].
    """

    worst_gap_mm: float
    gap_95_mm: float
    worst_belly_mm: float
    over_tolerance_m2: float
    lean_mm: float | None
    wedges: tuple[Wedge, ...]
    narrower_mm: float
    linings: tuple[Lining, ...]
    verdict: Verdict
    dry_kg: float = 0.0
    dry_kg_per_m2: float = 0.0

    @property
    def passes(self) -> bool:
        """Whether the face passes the grade."""
        return self.verdict.passes

    @property
    def untold(self) -> bool:
        """Whether it neither passes nor fails it, by a scan whose instrument may have bent the wall."""
        return self.verdict.untold


def what_remains(
    build_up: BuildUp,
    grade: Grade,
    straightedge_m: float = 2.0,
    tolerance_mm: float = 3.0,
    plumb: bool = True,
    beside: Sequence[tuple[float, float]] = (),
    by_edge: bool = False,
) -> Remains:
    """What a build-up leaves behind.

    Parameters
    ----------
    build_up : BuildUp
        Nothing on it for the bare wall.
    grade : Grade
    straightedge_m, tolerance_mm : float
        The edge laid on it, and the gap from which a place is over, each more than 0 [m, mm].
    plumb : bool
        Whether the plane measured off was plumb.
    beside : sequence of (x, width)
        Plumb things that stand against the wall [m].

    by_edge : bool
        The face was made with an edge laid on the wall itself, so that no instrument's bow is in it.

    Raises
    ------
    TakeoffError
        An edge without length, a tolerance that is not more than 0, or a plumb thing off the known wall.
    """
    face, bare = finished_face(build_up), build_up.surface
    face = replace(face, bow_mm=0.0) if by_edge else face
    _check_tolerance(tolerance_mm)
    gap = straightedge_gap(face, straightedge_m)
    return Remains(
        worst_gap_mm=float(np.nanmax(gap)),
        gap_95_mm=area_percentile(gap, face.known_area_m2, MOST_SHARE),
        worst_belly_mm=worst_belly(face, straightedge_m),
        over_tolerance_m2=float(face.known_area_m2[gap > tolerance_mm + READ_MM].sum()),
        lean_mm=mean_plane(face).c_mm_per_m * face.wall.height_m if plumb else None,
        wedges=tuple(wedge_beside(face, x, width) for x, width in beside) if plumb else (),
        narrower_mm=float(np.nanmax(face.proud_mm) - np.nanmax(bare.proud_mm)),
        linings=tuple(lining_at(build_up, opening) for opening in face.wall.openings),
        verdict=judge(face, grade, plumb),
    )


def _check_tolerance(tolerance_mm: float) -> None:
    check = Check("what still shows")
    check.that(
        0 < tolerance_mm < np.inf,
        f"tolerance {tolerance_mm:g} mm",
        "a tolerance is more than 0",
        "3 mm under 2 m is a usual grade",
    )
    check.done()


def area_percentile(values: Floats, area_m2: Floats, share: float) -> float:
    """The least value that a share of the area does not exceed.

    Parameters
    ----------
    values : float array
        NaN where there is none.
    area_m2 : float array
        Of the same shape [m²].
    share : float
        0 to 1 [-].

    Examples
    --------
    >>> area_percentile(np.array([1.0, 9.0, 2.0]), np.array([8.0, 1.0, 1.0]), 0.9)
    2.0
    """
    known = ~np.isnan(values) & (area_m2 > 0)
    order = np.argsort(values[known])
    sums = np.cumsum(area_m2[known][order])
    at = int(np.searchsorted(sums, share * sums[-1] * (1 - 1e-12)))
    return float(values[known][order][at])


def worst_belly(surface: Surface, straightedge_m: float) -> float:
    """Greatest bulge of an edge balanced on the face, 0 where there is none [mm]; edge [m]."""
    return float(np.nanmax(bulge_and_hollow(surface, straightedge_m)[0], initial=0.0))


def weight_kg(plaster: Sequence[tuple[Mix, float]]) -> float:
    """Weight of dry plaster on the wall: powder, and the water that stays bound in it [kg].

    Parameters
    ----------
    plaster : sequence of (Mix, litres)
        Litres in place of each mix [l].

    Examples
    --------
    100 l of a gypsum mix of 0.8 kg/l: 80 kg of powder, and 15.2 kg of water in it.

    >>> round(weight_kg([(Mix("light gypsum backing", 0.8, 25, 8, 15, 35), 100.0)]), 6)
    95.2
    """
    return sum(litres * mix.kg_per_l * (1 + BOUND_WATER_SHARE[mix.family]) for mix, litres in plaster)
