"""Work out anew what the package's own jobs have worked out: run it when a test says that it is stale.

It is what the first panel of a fresh copy shows without waiting: the job as it stands, and every way of
treating its walls.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from example_job import KEPT, example_folder

import mytakeoff as mt
from mytakeoff.io.job.worked_out import WORKED_OUT_FILE, worked_out_text
from mytakeoff.job.confidence import LeftOpen, WorkedOut
from mytakeoff.resources import demo_folder


def worked_out_anew(folder: Path) -> mt.Job:
    """The job in a folder with all that it and its ways leave open."""
    job = replace(mt.open_job(folder), worked_out=WorkedOut())
    found: list[LeftOpen] = []
    for each in (job, *(mt.carry(job, way) for way in mt.options_of(job))):
        try:
            walls = mt.evaluate(each).walls
        except mt.TakeoffError:
            continue
        found += [
            wall.left_open for wall in walls if wall.left_open is not None and wall.left_open.fingerprint
        ]
    return replace(job, worked_out=WorkedOut().learnt(found))


if __name__ == "__main__":
    for folder in (demo_folder(), KEPT):
        (folder / WORKED_OUT_FILE).write_text(
            worked_out_text(worked_out_anew(example_folder() if folder == KEPT else folder)), encoding="utf-8"
        )
