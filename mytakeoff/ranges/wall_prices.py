"""What a wall's litres do to the job: mixes and total where one wall takes more or less than priced."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass

import numpy as np

from mytakeoff.cost.cost import job_cost
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.measure.materials import mix_needs
from mytakeoff.ranges.fill_range import FillRange
from mytakeoff.simulation.wall_range import FloatedRange
from mytakeoff.survey.survey import Floats
from mytakeoff.treatment.floated import lifted
from mytakeoff.treatment.wall_result import WallResult

LIFTS = 7  # thicknesses at which a floated wall is priced, evenly over its faces; between them straight


@dataclass(frozen=True, eq=False)
class Cases:
    """Cases of one wall: its litres (k,) [l], those of each mix [l], and the job's total [-]."""

    litres: Floats
    by_mix: dict[Mix, Floats]
    total: Floats

    def mix_at(self, mix: Mix, litres: Floats) -> Floats:
        """Litres of a mix where the wall takes so much [l]."""
        return _at(self.litres, self.by_mix[mix], litres)

    def total_at(self, litres: Floats) -> Floats:
        """The job's total [-] where the wall takes so much [l]."""
        return _at(self.litres, self.total, litres)


Ranges = dict[int, tuple[FloatedRange | FillRange, Cases]]  # by the wall's place among those priced


def _at(places: Floats, values: Floats, wanted: Floats) -> Floats:
    """Values between places, straight."""
    order = np.argsort(places, kind="stable")
    return np.asarray(np.interp(wanted, places[order], values[order]))


def case_steps(
    job: Job, bare: Sequence[WallResult], nth: int, made: FloatedRange | FillRange
) -> Generator[None, None, Cases]:
    """What one of the walls takes in its cases, and the job with it, step by step.

    Parameters
    ----------
    job : Job
    bare : sequence of WallResult
        The priced walls, without allowances.
    nth : int
        Which of them [-].
    made : FloatedRange or FillRange
        Its range.

    Notes
    -----
    A floated wall is priced at some thicknesses. A filled one is priced for each of its drawn faces; what
    they cost more than the wall through the readings, on the same coarse cells, is added to the price.
    """
    if isinstance(made, FillRange):
        return _filled_steps(job, bare, nth, made)
    return _lifted_steps(job, bare, nth, made)


def _lifted_steps(
    job: Job, bare: Sequence[WallResult], nth: int, made: FloatedRange
) -> Generator[None, None, Cases]:
    over = (made.drawn.litres - made.priced_l) / max(bare[nth].build_up.area_m2, 1e-9)
    heights = np.unique(np.quantile(over, np.linspace(0.0, 1.0, LIFTS)))  # few faces lie far out
    walls = [lifted(bare[nth], float(by_mm)) for by_mm in heights]
    totals = []
    for wall in walls:
        totals.append(_total(job, bare, nth, wall))
        yield
    litres = np.array([wall.build_up.volume_l for wall in walls])
    return Cases(litres, _by_mix(job, walls), np.array(totals))


def _filled_steps(
    job: Job, bare: Sequence[WallResult], nth: int, made: FillRange
) -> Generator[None, None, Cases]:
    priced, base = _by_mix(job, [bare[nth]]), _total(job, bare, nth, bare[nth])
    if made.plain is None:
        return Cases(made.drawn.litres, priced, np.array([base]))
    each: dict[WallResult, float] = {}
    for wall in (made.plain, *made.faces):
        if wall not in each:
            each[wall] = _total(job, bare, nth, wall)
            yield
    totals = np.array([each[wall] for wall in (made.plain, *made.faces)])
    mixes = {
        mix: np.maximum(litres[1:] - litres[0] + priced.get(mix, np.zeros(1)), 0.0)
        for mix, litres in _by_mix(job, [made.plain, *made.faces]).items()
    }
    return Cases(made.drawn.litres, mixes, totals[1:] - totals[0] + base)


def _total(job: Job, bare: Sequence[WallResult], nth: int, wall: WallResult) -> float:
    """The job's total with another wall in the place of one [-]."""
    return float(job_cost(job, [*bare[:nth], wall, *bare[nth + 1 :]]).total)


def _by_mix(job: Job, walls: Sequence[WallResult]) -> dict[Mix, Floats]:
    """Litres of each mix on each of some walls (k,) [l]."""
    each = [{need.mix: need.litres for need in mix_needs(job, [wall])} for wall in walls]
    mixes = dict.fromkeys(mix for one in each for mix in one)
    return {mix: np.array([one.get(mix, 0.0) for one in each]) for mix in mixes}
