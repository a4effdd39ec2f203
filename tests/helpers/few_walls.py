"""A copy of the demo job, whose front room's walls join, with some walls alone priced and another plane."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import mytakeoff as mt

ROOM = "front room"


def price_alone(folder: Path, only: tuple[str, ...] = (), **plane: object) -> mt.Job:
    """Price these walls alone in a copy of the demo's folder, the plane chosen otherwise."""
    job = mt.open_job(folder)
    mt.save_job(replace(job, only=only, plane=replace(job.plane, **plane)), folder, job)
    return mt.open_job(folder)
