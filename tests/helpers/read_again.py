"""A job folder of one wall that was plastered and read again: surveys, fixed places, what was written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from demo import coarse_demo
from taken_apart import of_walls

import mytakeoff as mt
from mytakeoff.account.check import check_finished
from mytakeoff.account.measured_again import MeasuredAgain, measure_again
from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain
from mytakeoff.finished.record import Finished
from mytakeoff.io.finished.after_surveys import read_after
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished, save_finished
from mytakeoff.io.survey.survey_file import survey_text

WALL = mt.Wall("read again", 3.0, 2.4, openings=(mt.Opening("door", 1.8, 0.0, 0.9, 2.0),))
AFTER, LATER = "surveys/after.csv", "surveys/later.csv"
X, Z = (each.ravel() for each in np.meshgrid(np.linspace(0.1, 2.9, 8), np.linspace(0.1, 2.3, 6)))
OUT = (X > 1.75) & (X < 2.75) & (Z < 2.05)  # in the door
X, Z = X[~OUT], Z[~OUT]
# name, x [m], z [m], depth [mm]: what the plaster does not move
MARKS = (
    ("door frame", 1.8, 1.0, -12.0), ("screw", 0.2, 0.0, 6.0), ("socket", 0.4, 2.3, -3.0),
    ("lamp", 2.9, 2.4, 9.0), ("lath", 2.8, 0.1, 0.0), ("hook", 1.5, 2.4, -7.0),
)  # fmt: skip
OLD_MM = 5.0 * np.sin(2.1 * X) + 4.0 * np.cos(1.7 * Z + X) - 3.0 * X
LAID_MM = 14.0  # before the old wall's mean


def stands(at: tuple[float, float, float], x_m: Any, z_m: Any) -> Any:
    """Where the plane of an instrument set up anew stands: offset, turn, lean [mm, mm/m, mm/m]."""
    return at[0] + at[1] * x_m + at[2] * z_m


def survey(proud_mm: Any, plumb: bool = False, wall: mt.Wall = WALL, x_m: Any = X) -> mt.Survey:
    """Readings at the usual places."""
    return mt.Survey.from_readings(wall, x_m, Z, proud_mm, plumb=plumb)


def job_of(before: mt.Survey, fixed: Sequence[tuple[str, float, float, float]], **changes: Any) -> mt.Job:
    """A job of that one wall, done, with fixed places as the first survey read them."""
    job = coarse_demo()
    before = replace(before, plumb=True)
    places = tuple(mt.FixedPlace(*row) for row in fixed)
    entry = mt.JobWall(before.wall, job.rooms[0].name, before, "sound old plaster", fixed_places=places)
    compare = replace(job.compare, beside=())
    more = {"compare": compare, "missed_high_spot_mm": 2.0, "state": "done", "title": "read again"}
    return of_walls(job, (entry,), **{**more, **changes})


def folder_of(
    folder: Path,
    job: mt.Job,
    again: Sequence[FixedAgain],
    after: mt.Survey,
    later: mt.Survey | None = None,
    **details: Any,
) -> Path:
    """The job's folder with its later surveys and ``finished.toml``."""
    mt.save_job(job, folder)
    (folder / "surveys").mkdir(exist_ok=True)
    (folder / AFTER).write_text(survey_text(after), encoding="utf-8")
    if later is not None:
        (folder / LATER).write_text(survey_text(later), encoding="utf-8")
        details = {"later": LATER, **details}
    details = {"after": AFTER, "plumb": False, "fixed_again": tuple(again), **details}
    save_finished(Finished(walls=(FinishedWall(after.wall.name, **details),)), folder)
    return folder


def usual_folder(folder: Path, at: tuple[float, float, float] = (-180.0, 3.0, -2.0), **details: Any) -> Path:
    """A wall that was made flat, 14 mm before its old mean, read without an error from another place."""
    face = np.full(X.size, OLD_MM.mean() + LAID_MM)
    again = [FixedAgain(name, round(mm + stands(at, x, z), 3)) for name, x, z, mm in MARKS]
    after = survey((face + stands(at, X, Z)).round(3))
    return folder_of(folder, job_of(survey(OLD_MM.round(3)), MARKS), again, after, **details)


def measured_in(folder: Path) -> tuple[mt.Job, Finished, MeasuredAgain]:
    """A folder's job, what was written down of it, and what its surveys say of its wall."""
    job, finished = mt.open_job(folder), open_finished(folder)
    check_finished(mt.evaluate(job), finished, FINISHED_FILE)
    (found,) = measure_again(job, finished, read_after(job, finished, folder), FINISHED_FILE)
    return job, finished, found


def refused(folder: Path) -> list[mt.Mistake]:
    """What is told of a folder; nothing in it is another file or byte afterwards."""
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    with pytest.raises(mt.TakeoffError) as raised:
        measured_in(folder)
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before
    for each in raised.value.mistakes:
        assert all((each.found, each.rule, each.remedy)), each
        assert each.place.startswith((FINISHED_FILE, "surveys/")), each
    return list(raised.value.mistakes)
