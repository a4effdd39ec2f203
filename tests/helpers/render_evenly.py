"""An example of a new way to treat a wall: an even render coat that follows it, as on a garage wall."""

from __future__ import annotations

from functools import lru_cache

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.coats.coats import EvenCoat
from mytakeoff.coats.fills import even_layer, fill_layers
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import System
from mytakeoff.job.treatments import Treatment
from mytakeoff.treatment.filled import CACHE_SIZE, patch_stage, skimmed_stage
from mytakeoff.treatment.notices import check_mixes, wall_notices
from mytakeoff.treatment.treat import hole_of, wall_without_plane
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import Way

COAT_MM = 12.0  # common practice, no source


def rendered(job: Job, entry: JobWall, treatment: Treatment, decided: Job) -> WallResult:
    """Holes filled, then the backing in an even coat over the whole wall, and the finish if there is one."""
    made = _rendered(entry, job.system_of(entry), treatment, hole_of(job, entry), job.loose_growth_share)
    check_mixes(made, f"wall {entry.name!r}")
    return made


@lru_cache(maxsize=CACHE_SIZE)
def _rendered(
    entry: JobWall, system: System, treatment: Treatment, hole: BuildUp, growth_share: float
) -> WallResult:
    finish = (EvenCoat("finish", system.finish, system.finish_mm),) if system.finish else ()
    coats = (*finish, EvenCoat("backing", system.backing, COAT_MM))
    layers = (*(even_layer(hole.surface, coat) for coat in coats), *fill_layers(hole, system))
    build_up = skimmed_stage(hole, sum(coat.thickness_mm for coat in coats))
    made = wall_without_plane(entry, system, build_up, treatment, layers, (), patch_stage(hole), coats)
    return made.with_notices(wall_notices(made, growth_share))


RENDER = Way(Treatment("rendered evenly", "render evenly"), rendered)
