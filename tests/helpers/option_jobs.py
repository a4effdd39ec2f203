"""Ways of treating walls, and small jobs to try them on."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
from demo import demo
from hand import ONE_ROOM, SKIMMED, prices_of

import mytakeoff as mt
from mytakeoff.job.treatments import (
    AS_IT_IS,
    FLOAT_LEANING,
    FLOAT_PLUMB,
    PATCH,
    STRAIGHTEN,
    Compare,
    Treatment,
)
from mytakeoff.options.compare import option_result
from mytakeoff.treatment.wall_result import WallResult

OPTIONS = (
    Treatment("as it is", AS_IT_IS, skim=False),
    Treatment("patch only", PATCH, skim=False),
    Treatment("patch and skim", PATCH),
    Treatment("straighten and skim", STRAIGHTEN),
    Treatment("lean", FLOAT_LEANING),
    Treatment("plumb", FLOAT_PLUMB),
    Treatment("square", FLOAT_PLUMB, square=True),
)
PATCH_ONLY, PATCH_AND_SKIM, STRAIGHT, PLUMB = OPTIONS[1], OPTIONS[2], OPTIONS[3], OPTIONS[5]
BEST_CUT = tuple(replace(way, name=f"{way.name}, cut", take_down=True) for way in OPTIONS[4:6])
NO_CUT = Compare(grade="DIN 18202 line 6", take_down=False)
FALLEN = mt.LooseArea(0.5, 0.5, 1.0, 0.8, 20.0, fallen=True)


def demo_job() -> mt.Job:
    """The demonstration on coarse cells, judged by a grade that also asks for plumb."""
    return replace(demo(), cell_m=0.1, compare=Compare(grade="DIN 18202 line 6"))


def flat_job(system: mt.System = SKIMMED, background: str = "sound old plaster", **wall) -> mt.Job:
    """One flat wall of 3 × 2.4 m, 7.2 m², read every 0.6 m; waste 10 %, of patches 20 %."""
    plain = mt.Wall("A", 3.0, 2.4, wall.pop("openings", ()))
    x, z = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 3, 6), np.linspace(0, 2.4, 5)))
    survey = mt.Survey.from_readings(plain, x, z, np.zeros(x.size), swept=True)
    entry = mt.JobWall(plain, "room", survey, background, **wall)
    return mt.Job("flat", ONE_ROOM, (entry,), system, prices_of(system), cell_m=0.1)


def litres(wall: WallResult) -> dict[str, float]:
    return {layer.role: round(layer.volume_l, 6) for layer in wall.layers}


def amounts(job: mt.Job, way: Treatment) -> dict[str, Decimal]:
    return {line.item: line.quantity for line in option_result(job, way).cost.lines}


def nib_job() -> mt.Job:
    """A flat wall with one nib, 8 mm high, found by sweeping."""
    job = flat_job()
    survey = job.walls[0].survey.with_high_spots([(1.5, 1.2, 8.0)], swept=True)
    return replace(job, walls=(replace(job.walls[0], survey=survey, old_plaster_mm=20.0),))
