"""The sliders of the options panel, and what each of them does to the job."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from mytakeoff.edits import with_plane
from mytakeoff.job import Job
from mytakeoff.panels.bind import Number
from mytakeoff.panels.controls import NUMBERS as BUDGET_NUMBERS


def _compared(job: Job, **changes: Any) -> Job:
    return replace(job, compare=replace(job.compare, **changes))


def _lean(job: Job) -> float:
    return job.compare.lean_mm_per_m if job.compare.lean_mm_per_m is not None else 5.0


_LEAST = next(number for number in BUDGET_NUMBERS if number.name == "least_mm")

NUMBERS = (
    Number(
        "tolerance_mm", "Gap allowed under the edge, mm", 2.0, 15.0, 0.5,
        lambda job: job.compare.tolerance_mm,
        lambda job, value: _compared(job, tolerance_mm=value),
    ),
    Number(
        "straightedge_m", "Length of the edge, m", 1.0, 3.0, 0.1,
        lambda job: job.compare.straightedge_m,
        lambda job, value: _compared(job, straightedge_m=value),
    ),
    _LEAST,
    Number(
        "cut_mm", "High spots taken down by, where not at best price, mm", 0.0, 20.0, 0.5,
        lambda job: job.plane.cut_mm,
        lambda job, value: with_plane(job, cut_mm=value),
    ),
    Number(
        "lean_mm_per_m", "Lean allowed, mm for each metre up", 0.0, 10.0, 0.5,
        _lean,
        lambda job, value: _compared(job, lean_mm_per_m=value),
    ),
)  # fmt: skip
