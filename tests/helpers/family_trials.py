"""Hand surveys of invented walls: what is said of their plaster by the way that a screen goes, and the truth.

Beside it an oracle: how narrow a range could be that knows the family.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from dense_truth import RULE, hand_survey
from everyday_walls import Family, Field

import mytakeoff as mt
from mytakeoff.simulation.faces import coarse_cell_m
from mytakeoff.simulation.variogram import plane_terms

SHARES = np.arange(1, 20) / 20.0  # 5 to 95 %
LOW, MIDDLE, HIGH = 1, 9, 17  # of these: 10, 50 and 90 %
REACH_M = 9.0  # the whole wall is priced


@dataclass(frozen=True, eq=False)
class Known:
    """One wall as mean thicknesses, floated plumb: in truth, through its readings, and what these tell.

    Parameters
    ----------
    true_mm, plain_mm : float
    features : (n,) float
        What somebody who knows the family could go by beside `plain_mm` [mm, m and -].
    """

    true_mm: float
    plain_mm: float
    features: np.ndarray


def read_wall(
    field: Field, cell_m: float, step_m: float, rng: np.random.Generator
) -> tuple[Known, mt.Survey]:
    """A wall cut out of a field and read."""
    truth, survey = hand_survey(field, cell_m, step_m, rng)
    plain = mt.grid_surface(survey, coarse_cell_m(survey.wall.width_m, survey.wall.height_m), REACH_M)
    true_mm, plain_mm = (
        mt.full_coat(each, mt.target_plane(each, RULE), RULE).mean_mm for each in (truth, plain)
    )
    return Known(true_mm, plain_mm, features(survey)), survey


def said_mm(survey: mt.Survey, background: str) -> np.ndarray:
    """Mean thicknesses that a wall's plaster stays within, for each of `SHARES` [mm]."""
    found = mt.wall_range(survey, RULE, likely=mt.likely_on(background), reach_m=REACH_M)
    wall = survey.wall
    return np.array([found.drawn.at(share) for share in SHARES]) / (wall.width_m * wall.height_m)


def features(survey: mt.Survey) -> np.ndarray:
    """What readings tell at a glance.

    How far they stray from their plane, on average, at most and at least; by how much neighbours differ; how
    many there are; how large the wall is.
    """
    terms = plane_terms(survey.x_m, survey.z_m)
    off = survey.proud_mm - terms @ np.linalg.lstsq(terms, survey.proud_mm, rcond=None)[0]
    rows = off.reshape(np.unique(survey.z_m).size, -1)
    apart = np.sqrt(np.mean(np.concatenate([np.diff(rows, axis=axis).ravel() for axis in (0, 1)]) ** 2))
    wall = survey.wall
    return np.array([off.std(), off.max(), off.min(), apart, off.size, wall.width_m, wall.height_m])


def oracle_mm(known: list[Known]) -> float:
    """Width from 10 to 90 % of what is open for somebody who has seen many walls of a family [mm].

    Each wall's truth is foretold from its plain interpolation and features by the linear regression over all
    the others (least squares; leaving one out by the leverages): a range of one width for all walls of
    the family, set about the regression, can't hold eight in ten and be narrower. It knows the family, which
    no survey does, and not how the readings of one wall bind its face, which kriging does: no least of all
    ranges, but a yardstick.
    """
    true, plain = np.array([(each.true_mm, each.plain_mm) for each in known]).T
    terms = np.column_stack([np.ones_like(plain), plain, np.array([each.features for each in known])])
    base = np.linalg.qr(terms)[0]
    left = (true - plain) - base @ (base.T @ (true - plain))
    left = left / (1.0 - (base**2).sum(axis=1))
    low, high = np.quantile(left, (0.1, 0.9))
    return float(high - low)


@dataclass(frozen=True, eq=False)
class Row:
    """Many walls of one family read at one step: said against came true."""

    true_mm: np.ndarray
    plain_mm: np.ndarray
    said_mm: np.ndarray  # (walls, SHARES)

    @property
    def below(self) -> float:
        """How often the truth lay below the range [-]."""
        return float((self.true_mm < self.said_mm[:, LOW]).mean())

    @property
    def above(self) -> float:
        """How often above it [-]."""
        return float((self.true_mm > self.said_mm[:, HIGH]).mean())

    @property
    def off_mm(self) -> np.ndarray:
        """By how much the middle lies too high [mm]."""
        return np.asarray(self.said_mm[:, MIDDLE] - self.true_mm)

    @property
    def width_mm(self) -> float:
        """Mean width of the range [mm]."""
        return float((self.said_mm[:, HIGH] - self.said_mm[:, LOW]).mean())

    @property
    def came_true(self) -> np.ndarray:
        """For each of `SHARES`: how often the truth lay within what was said (SHARES,) [-]."""
        return np.asarray((self.true_mm[:, None] <= self.said_mm).mean(axis=0))


def row_of(family: Family, step_m: float, rng: np.random.Generator, trials: int, background: str) -> Row:
    """So many walls of a family, each read once at that step."""
    known, said = [], []
    for _ in range(trials):
        wall, survey = read_wall(*family(rng), step_m, rng)
        known.append(wall)
        said.append(said_mm(survey, background))
    return Row(
        np.array([each.true_mm for each in known]),
        np.array([each.plain_mm for each in known]),
        np.array(said),
    )
