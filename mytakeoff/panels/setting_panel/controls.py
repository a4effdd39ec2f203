"""The controls of the setting-out panel, and what each of them does to the job."""

from __future__ import annotations

from collections.abc import Callable

from mytakeoff.job.edits import with_rails
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import Number
from mytakeoff.panels.parts.controls import part_number


def longest_screw(job: Job) -> float:
    """The longest screw at hand [mm]."""
    return max(job.rails.screws_mm, default=0.0)


def with_longest_screw(job: Job, length_mm: float) -> Job:
    """The job with no screw at hand longer than that, and one of that length [mm]."""
    shorter = (screw for screw in job.rails.screws_mm if screw < length_mm)
    return with_rails(job, screws_mm=(*shorter, length_mm))


def _rail(
    name: str, label: str, low: float, high: float, step: float, hint: Callable[[Job], str] | None = None
) -> Number:
    return part_number("rails", name, label, low, high, step, hint=hint)


def _usual(low_m: float, high_m: float) -> Callable[[Job], str]:
    """What is usual, as the job writes it [m]."""
    return lambda job: f"{job.formats.length(low_m, high_m, places=2)} is usual"


RAILS = (
    _rail("straightedge_m", "Length of the straightedge, m", 0.8, 3.0, 0.1),
    _rail("overhang_m", "It reaches beyond each rail, m", 0.10, 0.30, 0.01, _usual(0.15, 0.20)),
    _rail("opening_clear_m", "Rails clear of openings, m", 0.02, 0.20, 0.01),
    _rail("end_m", "Rails clear of corners, m", 0.05, 0.30, 0.01),
    _rail("fixing_step_m", "Between fixings at most, m", 0.15, 0.60, 0.01, _usual(0.25, 0.30)),
    Number("screw_mm", "Longest screw at hand, mm", 30.0, 160.0, 5.0, longest_screw, with_longest_screw),
)
RARE = (
    _rail("depth_mm", "Depth of a rail, mm", 3.0, 20.0, 1.0),
    _rail("head_clearance_mm", "Room for the head behind it, mm", 0.0, 10.0, 0.5),
    _rail("embedment_mm", "Screw into the wall at least, mm", 15.0, 80.0, 5.0),
    _rail(
        "laser_mm",
        "Laser plane off the wall, mm",
        40.0,
        300.0,
        5.0,
        lambda job: "at the fixing to start with",
    ),
    _rail("stock_m", "Length in which rails are sold, m", 2.0, 6.0, 0.1),
    _rail("kerf_mm", "Width of a saw cut, mm", 0.0, 5.0, 1.0),
)
NUMBERS = (*RAILS, *RARE)
BEDDED = [("on fixings", "fixings"), ("on dabs", "dabs")]
STAY = [("taken out and made good", False), ("left in", True)]
