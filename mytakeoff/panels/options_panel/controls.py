"""The controls of the options panel, and what each of them does to the job."""

from __future__ import annotations

from typing import Any

from mytakeoff.flatness.grades import GRADE_NAMES, OWN
from mytakeoff.job.edits import with_compare
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import Bound, BoundChoice, BoundTick, Number
from mytakeoff.panels.parts.controls import BUDGET_NUMBERS, CORNERS, part_number
from mytakeoff.store import Store

OWN_GRADE = "the gap allowed under the edge"
_BUDGET = {number.name: number for number in BUDGET_NUMBERS}


def _compared(name: str) -> Any:
    return lambda job, value: with_compare(job, **{name: value})


def _tolerance_hint(job: Job) -> str:
    if job.compare.grade == OWN:
        return ""
    return "for the area over it only, while a standard judges"


def _lean(job: Job) -> float:
    return job.compare.lean_mm_per_m if job.compare.lean_mm_per_m is not None else 5.0


def _lean_hint(job: Job) -> str:
    return "any lean is allowed until you set one" if job.compare.lean_mm_per_m is None else ""


NUMBERS = (
    part_number(
        "compare", "tolerance_mm", "Gap allowed under the edge, mm", 2.0, 15.0, 0.5, hint=_tolerance_hint
    ),
    part_number("compare", "straightedge_m", "Length of the edge, m", 1.0, 3.0, 0.1),
    Number(
        "lean_mm_per_m", "Lean allowed, mm for each metre up", 0.0, 10.0, 0.5,
        _lean, _compared("lean_mm_per_m"), hint=_lean_hint,
    ),
    CORNERS,
    _BUDGET["least_mm"],
    part_number(
        "plane", "cut_mm", "High spots taken down by, where not at best price, mm", 0.0, 20.0, 0.5
    ),
    _BUDGET["max_coat_mm"],
    _BUDGET["mix_density_kg_per_l"],
    _BUDGET["waste_share"],
)  # fmt: skip
"""In the order in which they stand; the last three move prices and no plaster."""

GROUPS = {
    "What is good enough": ("grade", "tolerance_mm", "straightedge_m", "lean_mm_per_m", CORNERS.name),
    "What goes on, what comes off": ("least_mm", "take_down", "cut_mm"),
    "The mix": ("max_coat_mm", "mix_density_kg_per_l", "waste_share"),
}
"""Under which heading each control stands."""


def make_choices(store: Store) -> dict[str, Bound]:
    """What is chosen or ticked, by name."""
    grades = [(OWN_GRADE, OWN), *((name, name) for name in GRADE_NAMES)]
    return {
        "grade": BoundChoice(
            store, "grade", "Judged by", grades, lambda job: job.compare.grade, _compared("grade")
        ),
        "take_down": BoundTick(
            store, "take_down", "Take high spots down where it pays", lambda job: job.compare.take_down,
            _compared("take_down"),
        ),
    }  # fmt: skip
