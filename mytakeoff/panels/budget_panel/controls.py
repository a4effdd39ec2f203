"""Which controls the budget panel has, and what each of them does to the job."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from mytakeoff.job.edits import with_plane
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import BoundChoice, Number
from mytakeoff.panels.parts.controls import BUDGET_NUMBERS, CONFIDENCE, CORNERS, PLANES, backing_choice
from mytakeoff.result import Result
from mytakeoff.store import Store
from mytakeoff.treatment.left_open import MARKED_MM
from mytakeoff.treatment.ways import cut_by_choice, cut_by_price

MISSED = Number(
    "missed_high_spot_mm", "Allowed for high spots between readings, mm", 0.0, 20.0, 0.5,
    lambda job: MARKED_MM if job.missed_high_spot_mm is None else job.missed_high_spot_mm,
    lambda job, value: replace(job, missed_high_spot_mm=value),
)  # fmt: skip


def cut_decided(result: Result) -> tuple[float, str] | None:
    """How deep high spots are taken down [mm], and why, where the job's own depth acts on no wall."""
    job, formats = result.job, result.job.formats
    if any(cut_by_choice(job, wall.entry) for wall in result.walls):
        return None
    depths = {wall.entry.name: wall.deepest_cut_mm for wall in result.walls}
    said = ", ".join(f"{name} {formats.depth(mm, places=1)}" for name, mm in depths.items() if mm > 0)
    priced = any(cut_by_price(job, wall.entry) for wall in result.walls)
    words = (
        f"{'Decided by price' if priced else 'Decided by the way carried'}: {said or 'nothing taken down'}."
    )
    return round(max(depths.values(), default=0.0), 1), words


# What the controls do, as it is folded away beside them: a group each.
LOOKING_WORDS = {
    "Priced": "is the whole job, or one wall alone.",
    "Shown to the client": "is finished work with the same total: no rates, bags, hours or margins. What is "
    "shown is what Write the CSV writes, for the client to costed-table-client.csv.",
}
PLASTER_WORDS = {
    "Greatest depth of one coat": "moves the edges between one coat, two, three; it sets coats and days.",
    "Mix density": "is kg of dry powder for each litre on the wall: the bag's sheet says it, or its coverage "
    "at 10 mm does.",
    "Waste": "is extra mixed, as a share of what stays on the wall.",
}
PLANE_WORDS = {
    "Rule for the plane": "is plumb; plumb and square to the measured corner; plumb and square in the "
    "room, with its other walls; or true but free to lean.",
    "Corners of a room": "may differ from their angle by so much where the walls come square in the room: "
    "each millimetre saves plaster.",
    "Least thickness": "is what the mix needs everywhere; along the rails it is the rail's depth if that is "
    "more.",
    "High spots taken down": "lets the plane sit lower; never more than the background allows.",
}

NUMBERS = (
    *(
        replace(number, decided=cut_decided) if number.name == "cut_mm" else number
        for number in BUDGET_NUMBERS
    ),
    CONFIDENCE,
    CORNERS,
    MISSED,
)
WHOLE_JOB = "the whole job"


def _priced(job: Job) -> list[tuple[str, Any]]:
    """What may be priced: all, one wall alone, and what the job says."""
    walls = [(WHOLE_JOB, ()), *((f"{wall.name} alone", (wall.name,)) for wall in job.walls)]
    known = job.only in [names for _, names in walls]
    return walls if known else [*walls, (", ".join(job.only), job.only)]


def make_choices(store: Store) -> dict[str, BoundChoice]:
    """A drop-down list for each choice, by name."""
    return {
        "plane": BoundChoice(
            store, "plane", "Rule for the plane", PLANES,
            lambda job: job.plane.kind,
            lambda job, kind: with_plane(job, kind=kind),
        ),
        "backing": backing_choice(store),
        "priced": BoundChoice(
            store, "priced", "Priced", _priced,
            lambda job: job.only,
            lambda job, names: replace(job, only=names),
        ),
    }  # fmt: skip
