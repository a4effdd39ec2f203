"""Jobs as they may be met, drawn from a seed, and the same job in a mirror, larger, or with walls twice."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import numpy as np
from demo import demo

import mytakeoff as mt
from mytakeoff.job.catalogue import GYPSUM_SKIM, LIGHT_GYPSUM
from mytakeoff.job.treatments import PATCH, STRAIGHTEN, Treatment

CELL_M = 0.1
SYSTEMS = (mt.System(LIGHT_GYPSUM), mt.System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0), demo().system)
BACKGROUNDS = ("brick", "dense block", "sound old plaster")
WAYS = (None, None, Treatment("patched", PATCH), Treatment("straightened", STRAIGHTEN))
MIRROR_SIDE = {"left": "right", "right": "left", "rising": "falling", "falling": "rising"}


def random_job(seed: int) -> mt.Job:
    """One to three walls in one or two rooms; sizes are whole cells, so that no cell is cut at an end."""
    random = Random(seed)
    names = [f"wall {nth}" for nth in range(random.choice((1, 1, 2, 3)))]
    rooms = (mt.Room("low", 12.0), mt.Room("high", 9.0, storey=2))
    return mt.Job(
        f"job {seed}",
        rooms,
        tuple(random_wall(random, name) for name in names),
        random.choice(SYSTEMS),
        demo().prices,
        plane=mt.PlaneChoice(random.choice(("plumb", "plumb", "free")), random.choice((0.0, 0.0, 3.0))),
        rails=mt.RailChoice(used=random.random() < 0.6, left_in=random.random() < 0.3),
        waste_share=random.choice((0.0, 0.1, 0.15)),
        cell_m=CELL_M,
        reach_m=random.choice((0.5, 1.0)),
        missed_high_spot_mm=random.choice((0.0, 3.0)),
        treatment=random.choice(WAYS),
        mixes=(SYSTEMS[2].dubbing,),
        packs=random.choice((mt.PackList(), demo().packs)),
    )


def random_wall(random: Random, name: str) -> mt.JobWall:
    """A wall that leans, bows and is rough, with what may be found on one."""
    width, height = random.randint(15, 45) / 10, random.randint(22, 30) / 10
    openings = (mt.Opening("door", 0.5, 0.0, 0.8, 2.0),) if random.random() < 0.3 else ()
    if width > 3.0 and random.random() < 0.4:
        openings += (mt.Opening("window", width - 1.4, 0.9, 1.0, 1.1, reveal_mm=150.0),)
    wall = mt.Wall(name, width, height, openings)
    loose = ()
    if random.random() < 0.3:
        loose = (mt.LooseArea(0.2, 2.1, 0.3, 0.3 if height > 2.4 else 0.1, 15.0, random.random() < 0.5),)
    background = "sound old plaster" if loose else random.choice(BACKGROUNDS)
    return mt.JobWall(
        wall,
        random.choice(("low", "high")),
        random_survey(random, wall),
        background,
        loose,
        old_plaster_mm=20.0 if loose else 0.0,
        sockets=random.choice((0, 2)),
        angle_bead_m=random.choice((0.0, 2.5)),
    )


def random_survey(random: Random, wall: mt.Wall) -> mt.Survey:
    """Readings in whole millimetres on a grid of places, a few of them missing, and perhaps a high spot."""
    draw = np.random.default_rng(random.getrandbits(32))
    step = random.choice((0.4, 0.5, 0.7))
    x, z = (
        grid.ravel()
        for grid in np.meshgrid(
            *(np.linspace(0.1, size - 0.1, round(size / step) + 1) for size in (wall.width_m, wall.height_m))
        )
    )
    lean, turn, bow = draw.normal(0, 4, 3)
    proud = np.round(lean * z + turn * x + bow * np.sin(2 * x + z) + draw.normal(0, 1.5, x.size))
    kept = (draw.random(x.size) > 0.04) & ~_in_openings(wall, x, z)
    survey = mt.Survey.from_readings(wall, x[kept].round(2), z[kept].round(2), proud[kept])
    if random.random() < 0.3:
        survey = survey.with_high_spots([(0.3, 2.1, float(proud.max() + 4.0))], swept=True)
    return survey


def _in_openings(wall: mt.Wall, x: np.ndarray, z: np.ndarray) -> np.ndarray:
    found = np.zeros(x.shape, dtype=bool)
    for part in wall.openings:
        across = (x > part.x_m) & (x < part.x_m + part.width_m)
        found |= across & (z > part.z_m) & (z < part.z_m + part.height_m)
    return found


def mirrored(job: mt.Job) -> mt.Job:
    """Every wall seen in a mirror that stands upright beside it."""
    return replace(job, walls=tuple(_mirrored_wall(entry) for entry in job.walls))


def _mirrored_wall(entry: mt.JobWall) -> mt.JobWall:
    wide = entry.wall.width_m

    def across(part: Any) -> Any:
        return replace(part, x_m=round(wide - part.x_m - part.width_m, 9))

    openings = tuple(
        replace(across(part), reveal_sides=tuple(MIRROR_SIDE.get(side, side) for side in part.reveal_sides))
        for part in entry.wall.openings
    )
    wall = replace(entry.wall, openings=openings)
    return replace(
        entry,
        wall=wall,
        survey=_moved(entry.survey, wall, lambda x: wide - x),
        loose=tuple(map(across, entry.loose)),
    )


def _moved(survey: mt.Survey, wall: mt.Wall, x_of: Any, z_of: Any = lambda z: z) -> mt.Survey:
    """The same readings at other places of another wall."""
    spots = zip(x_of(survey.high_x_m), z_of(survey.high_z_m), survey.high_mm, strict=True)
    moved = mt.Survey.from_readings(
        wall, x_of(survey.x_m).round(9), z_of(survey.z_m).round(9), survey.proud_mm, plumb=survey.plumb
    )
    return moved.with_high_spots([tuple(map(float, spot)) for spot in spots], survey.swept)


def enlarged(job: mt.Job, times: float) -> mt.Job:
    """Every length on the walls so many times as long, cells and reach with them; depths stay [-]."""
    walls = []
    for entry in job.walls:
        wall = replace(
            entry.wall,
            width_m=entry.wall.width_m * times,
            height_m=entry.wall.height_m * times,
            openings=tuple(_larger(part, times) for part in entry.wall.openings),
        )
        survey = _moved(entry.survey, wall, lambda x: x * times, lambda z: z * times)
        loose = tuple(_larger(part, times) for part in entry.loose)
        walls.append(replace(entry, wall=wall, survey=survey, loose=loose))
    edge = replace(job.compare, straightedge_m=job.compare.straightedge_m * times)
    sizes = {"cell_m": job.cell_m * times, "reach_m": job.reach_m * times, "compare": edge}
    return replace(job, walls=tuple(walls), **sizes)


def _larger(part: Any, times: float) -> Any:
    return replace(
        part,
        x_m=part.x_m * times,
        z_m=part.z_m * times,
        width_m=part.width_m * times,
        height_m=part.height_m * times,
    )


def doubled(job: mt.Job) -> mt.Job:
    """The job with every wall there twice."""
    twins = []
    for entry in job.walls:
        wall = replace(entry.wall, name=f"{entry.name} again")
        twins.append(replace(entry, wall=wall, survey=replace(entry.survey, wall=wall)))
    return replace(job, walls=(*job.walls, *twins))
