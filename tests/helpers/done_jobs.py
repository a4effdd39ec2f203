"""Finished jobs, invented: walls of one small job with other readings, and what was written down of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from demo import coarse_demo
from taken_apart import of_walls

import mytakeoff as mt
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Delivered, Finished, HoursSpent
from mytakeoff.io.finished.finished_file import save_finished
from mytakeoff.learning.evidence import FinishedJob, at_default_rates

BACKING, SKIM = "light gypsum backing", "gypsum skim"


def small_job(nth: int) -> mt.Job:
    """One wall of the demo, readings moved by so many tenths of a millimetre; what was missed is entered."""
    job = coarse_demo()
    wall = job.wall("window wall")
    moved = replace(wall.survey, proud_mm=wall.survey.proud_mm + 0.1 * nth * (wall.survey.x_m > 1))
    start = date(2027, 3, 1 + nth)
    return of_walls(
        job,
        (replace(wall, survey=moved),),
        title=f"job {nth}",
        missed_high_spot_mm=2.0,
        compare=replace(job.compare, beside=()),
        calendar=replace(job.calendar, start=start),
        state="done",
        folder="",  # a job of its own: what was written down of the demo is not of it
    )


def done_job(
    nth: int,
    *,
    denser: float = 1.0,
    wasted: float = 0.1,
    slower: float = 1.0,
    spots: int | None = None,
    strayed: float | None = None,
    sure_mm: float = 0.0,
    mixes: tuple[str, ...] = (BACKING,),
) -> FinishedJob:
    """A small job whose mixes came out so many times as dense, with so much waste, hours, high spots.

    The wall is as thick as it was priced, measured to `sure_mm`.
    """
    job = small_job(nth)
    result = mt.evaluate(job)
    usual = mt.evaluate(at_default_rates(job))
    hours = {line.item.removeprefix("plasterer: "): float(line.quantity) for line in usual.cost.lines}
    (wall,) = result.walls
    needs = {need.mix.name: need for need in result.needs}
    came = []
    for name in mixes:
        need = needs[name]
        stays = need.priced_l * need.mix.kg_per_l * denser / need.bag_kg
        came.append(Delivered(name, stays * (1 + wasted), wasted=stays * wasted))
    tasks = ("float backing", "rails", "finish coat")
    thick_mm = (wall.build_up.volume_l + wall.allowance_l) / wall.build_up.area_m2
    finished = Finished(
        tuple(came),
        tuple(HoursSpent(task, round(hours[task] * slower, 4)) for task in tasks),
        walls=(
            FinishedWall(
                "window wall",
                thick_mm,
                sure_mm,
                spots_found=spots,
                strayed_ratio=strayed,
                strayed_places=0 if strayed is None else 50,
            ),
        ),
    )
    return FinishedJob(f"job {nth}", job, finished)


def lay_out(place: Path, *nths: int, **how: Any) -> Path:
    """A folder with the folders of some done jobs, "job 1" and so on, each as `done_job` makes it."""
    for nth in nths:
        done = done_job(nth, **how)
        mt.save_job(done.job, place / done.name)
        save_finished(done.finished, place / done.name)
    return place
