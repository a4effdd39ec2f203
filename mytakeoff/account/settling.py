"""By how much coats shrank, from a survey right after they were laid and one when they had dried."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from mytakeoff.account.settle import as_measured
from mytakeoff.bounds import bounds_of
from mytakeoff.finished.finished_wall import SettledCoat
from mytakeoff.finished.record import Finished
from mytakeoff.job.edits import with_mix
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.result import Result
from mytakeoff.treatment.wall_result import WallResult

SHRINKAGE = bounds_of(Mix)["shrinkage_share"]


@dataclass(frozen=True)
class ShrinkageSeen:
    """How much of its thickness one mix lost while it dried.

    Parameters
    ----------
    mix : str
    share : float
        Of the thickness right after it was laid; below 0 where the face came forward [-].
    uncertainty_share : float
        As a standard deviation; 0 where it is not known of every wall [-].
    walls : tuple of str
        Where it was seen.
    """

    mix: str
    share: float
    uncertainty_share: float
    walls: tuple[str, ...]

    @property
    def is_seen(self) -> bool:
        """Whether it stands out from what the surveys may be off: by two standard deviations."""
        return abs(self.share) > 2 * self.uncertainty_share


def shrinkage_seen(result: Result, finished: Finished) -> tuple[ShrinkageSeen, ...]:
    """What surveys after and later say about each mix of a job.

    Parameters
    ----------
    result : Result
        Of the job as it was agreed.
    finished : Finished

    Returns
    -------
    tuple of ShrinkageSeen
        Mixes of which something was seen. Of a mix on several walls the mean, weighted by how sure each is;
        alike where that is not known of all.

    Notes
    -----
    ``share = −change / thickness`` with the mean thickness of the mix on its wall: that which was measured,
    else that which was priced. Where the change is that of all that is on the wall, all mixes there are taken
    to have shrunk alike.

    Examples
    --------
    A face that has gone back by 0.3 mm where 15 mm were laid: 2 %.
    """
    walls = {wall.entry.name: wall for wall in as_measured(result, finished).walls}
    seen: dict[str, list[tuple[str, float, float]]] = {}
    for each in finished.walls:
        for mix, share, uncertainty in _of_wall(walls[each.name], each.settled):
            seen.setdefault(mix, []).append((each.name, share, uncertainty))
    return tuple(_pooled(mix, rows) for mix, rows in seen.items())


def _of_wall(wall: WallResult, settled: Iterable[SettledCoat]) -> Iterator[tuple[str, float, float]]:
    """Mix, share and its uncertainty, for each mix that a change on a wall speaks of."""
    thick_mm = mix_thickness(wall)
    for coat in settled:
        mixes = [coat.mix] if coat.mix else list(thick_mm)
        laid_mm = sum(thick_mm.get(mix, 0.0) for mix in mixes)
        if laid_mm > 0:
            for mix in mixes:
                yield mix, -coat.change_mm / laid_mm, coat.uncertainty_mm / laid_mm


def mix_thickness(wall: WallResult) -> dict[str, float]:
    """Mean thickness of each mix over a wall's priced area, with what was measured on top [mm]."""
    litres: dict[str, float] = {}
    parts = [(layer.mix, layer.volume_l) for layer in reversed(wall.layers)]
    for mix, each in [*parts, *((part.mix, part.litres) for part in wall.allowance)]:
        litres[mix.name] = litres.get(mix.name, 0.0) + each
    return {name: each / wall.build_up.area_m2 for name, each in litres.items()}


def _pooled(mix: str, rows: Sequence[tuple[str, float, float]]) -> ShrinkageSeen:
    names, known = tuple(name for name, _, _ in rows), all(sd > 0 for _, _, sd in rows)
    weights = [1 / sd**2 if known else 1.0 for _, _, sd in rows]
    share = sum(weight * each for weight, (_, each, _) in zip(weights, rows, strict=True)) / sum(weights)
    return ShrinkageSeen(mix, share, 1 / math.sqrt(sum(weights)) if known else 0.0, names)


def with_shrinkage(job: Job, seen: Iterable[ShrinkageSeen]) -> Job:
    """The job with its mixes shrinking as they were seen to, within what a mix may: the user's choice."""
    for each in seen:
        job = with_mix(job, each.mix, shrinkage_share=round(SHRINKAGE.nearest(each.share), 4))
    return job
