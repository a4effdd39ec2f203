"""Walls and jobs put together by hand, so that each quantity can be reckoned without the package."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

import numpy as np

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.coats.coats import layers
from mytakeoff.cost.cost import job_cost
from mytakeoff.job.catalogue import CEMENT_LIME, GYPSUM_SKIM, LIGHT_GYPSUM, UNITS
from mytakeoff.job.choices import RailChoice, Room
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Recipe, System
from mytakeoff.job.prices import Price, PriceList
from mytakeoff.labour.hours import Task
from mytakeoff.measure.materials import mix_needs
from mytakeoff.plane.target_plane import PlaneRule, TargetPlane
from mytakeoff.rails.rails import rail_pieces, rail_positions
from mytakeoff.result import Result
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall
from mytakeoff.treatment.wall_result import MixPart, WallResult

BARE, SKIMMED = System(LIGHT_GYPSUM), System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0)
SITE_MIX = replace(CEMENT_LIME, name="cement-lime 1:1:6", recipe=Recipe(sand_parts=6.0, lime_parts=1.0))
ONE_ROOM = (Room("room", 12.0),)
NO_RAILS = RailChoice(used=False)


def survey_of(wall: Wall) -> Survey:
    corners = [0, wall.width_m, 0, wall.width_m], [0, 0, wall.height_m, wall.height_m]
    return Survey.from_readings(wall, *corners, [0, 0, 0, 0])


def entry_of(wall: Wall, background: str = "brick", room: str = "room", **details) -> JobWall:
    return JobWall(wall, room, survey_of(wall), background, **details)


def job_of(*entries: JobWall, system: System = BARE, rooms=ONE_ROOM, **details) -> Job:
    return Job("by hand", rooms, entries, system, prices_of(system, *(e.system for e in entries)), **details)


def prices_of(*systems: System | None, price: str = "10") -> PriceList:
    mixes = {mix.name for system in systems if system is not None for mix in system.mixes}
    rows = [Price(name, "bag", Decimal(price)) for name in sorted(mixes)]
    return PriceList((*rows, *(Price(item, unit, Decimal(price)) for item, unit in UNITS.items())))


def flat(job: Job, entry: JobWall, mm: float, cut_mm: float = 0.0, allowance_mm: float = 0.0) -> WallResult:
    """A wall with the same thickness everywhere, `cut_mm` taken down everywhere."""
    wall, system = entry.wall, job.system_of(entry)
    nx, nz = 20, 10
    x = (np.arange(nx) + 0.5) * wall.width_m / nx
    z = (np.arange(nz) + 0.5) * wall.height_m / nz
    surface = Surface.from_grid(wall, x, z, np.zeros((nz, nx)))
    build_up = BuildUp(surface, np.full((nz, nx), float(mm)), np.full((nz, nx), float(cut_mm)))
    return WallResult(
        entry, system, surface, PlaneRule(least_mm=float(mm), cut_mm=cut_mm), TargetPlane(mm, 0.0, 0.0),
        build_up, layers(build_up, system),
        rail_pieces(wall, rail_positions(wall.width_m, job.rails), job.rails),
        allowance=(MixPart(system.backing, "backing", allowance_mm * build_up.area_m2),),
    )  # fmt: skip


def one_wall(mm: float = 12.0, wall: Wall | None = None, **details):
    """A job of one flat wall of 3 × 2.5 m and its result; details of the job or of its wall."""
    wall_fields = {"background", "loose", "angle_bead_m", "stop_bead_m", "sockets", "radiators"}
    wall_fields |= {"old_plaster_gypsum", "old_plaster_mm"}
    entry = entry_of(wall or Wall("A", 3.0, 2.5), **{k: v for k, v in details.items() if k in wall_fields})
    more = {k: details[k] for k in ("cut_mm", "allowance_mm") if k in details}
    job = job_of(entry, **{k: v for k, v in details.items() if k not in wall_fields and k not in more})
    return job, flat(job, entry, mm, **more)


def result_of(job: Job, *walls: WallResult) -> Result:
    """A job as if these were its walls, priced."""
    return Result(job, walls, mix_needs(job, walls), job_cost(job, walls))


def hours_of(tasks: Iterable[Task], name: str) -> float:
    """Hours of the tasks of a name [h]."""
    return sum(task.hours for task in tasks if task.name == name)
