"""A survey's face on cells, and how far it may be off: by its readings' error and what lies between them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import sqrt

import numpy as np

from mytakeoff.job.backgrounds import USUAL_BACKGROUND, likely_on
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.wall_range import Measured, faces_steps
from mytakeoff.steps import run
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.wall import LooseArea

LOOSE_GROWS: float = Measured.growth_share  # what stands in the class is the default of its field
KEPT_FACES = 8  # a fixed place that is typed moves the tie alone, not what was drawn through the readings


@dataclass(frozen=True, eq=False)
class KnownFace:
    """A surveyed wall on cells of some 5 cm.

    Parameters
    ----------
    surface : Surface
    reading_mm : float
        Standard deviation of a reading [mm].
    strays_mm : (n, nz, nx) float or None
        How far each of the faces that may stand there strays from the surface; None where readings leave
        nothing between them [mm].
    weights : (n,) float
        Of those faces, adding up to 1 [-].
    bow_mm : float
        A bow that may be the instrument's own, from its hollowest to its proudest [mm].
    """

    surface: Surface
    reading_mm: float
    strays_mm: Floats | None
    weights: Floats
    bow_mm: float

    @property
    def bow_off_mm(self) -> float:
        """What such a bow makes anywhere, as a standard deviation: its limits, alike between them [mm]."""
        return abs(self.bow_mm) / sqrt(3.0)

    def mean_off_mm(self, area_m2: Floats) -> float:
        """How far its mean over cells of those areas (nz, nx) [m²] may be off, without the bow [mm].

        About the surface's own mean, so that a surface that lies beside what is likely counts as off.
        """
        if self.strays_mm is None:
            cells = max(int((area_m2 > 0).sum()), 1)
            return self.surface.noise_mm / sqrt(cells)
        means = np.tensordot(self.strays_mm, area_m2, axes=2) / area_m2.sum()
        return sqrt(float(self.weights @ means**2))

    @property
    def off_mm(self) -> Floats:
        """How far each cell may be off, as a standard deviation without the bow (nz, nx) [mm]."""
        if self.strays_mm is None:
            return np.full(self.surface.proud_mm.shape, self.surface.noise_mm)
        strays = np.sqrt(np.tensordot(self.weights, self.strays_mm**2, axes=1))
        return np.asarray(np.maximum(strays, self.surface.noise_mm), dtype=np.float64)


@lru_cache(KEPT_FACES)
def known_face(
    survey: Survey,
    loose: tuple[LooseArea, ...],
    reach_m: float,
    likely: LikelyWall | None,
    growth_share: float = LOOSE_GROWS,
) -> KnownFace:
    """A survey's face with its loose plaster off.

    Parameters
    ----------
    survey : Survey
    loose : tuple of LooseArea
    reach_m : float
        How far the survey is trusted beyond its readings [m].
    likely : LikelyWall or None
        What is taken for likely before anything is read; None: that of a wall that was floated once.
    growth_share : float
        Growth of loose areas as they come off, as a share of their area [-].
    """
    measured = Measured(survey, loose, reach_m, growth_share, likely_on(USUAL_BACKGROUND, likely))
    reading_mm = measured.likely_as_read.reading_mm
    if not measured.is_uncertain:
        surface = measured.surface()
        return KnownFace(surface, max(reading_mm, surface.noise_mm), None, np.ones(1), survey.bow_mm)
    drawn = run(faces_steps(measured))
    surface = drawn.surface
    strays = np.where(surface.known_area_m2 > 0, drawn.proud_mm - np.nan_to_num(surface.proud_mm), 0.0)
    return KnownFace(
        surface, max(reading_mm, surface.noise_mm), strays.astype(np.float32), drawn.weights, survey.bow_mm
    )
