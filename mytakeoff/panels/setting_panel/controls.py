"""The controls of the setting-out panel, and what each of them does to the job."""

from __future__ import annotations

from typing import Any

from mytakeoff.job.edits import with_rails
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import Number


def _edit(name: str) -> Any:
    """Changes one figure of the rails."""
    return lambda job, value: with_rails(job, **{name: value})


def _read(name: str) -> Any:
    return lambda job: float(getattr(job.rails, name))


def longest_screw(job: Job) -> float:
    """The longest screw at hand [mm]."""
    return max(job.rails.screws_mm, default=0.0)


def with_longest_screw(job: Job, length_mm: float) -> Job:
    """The job with no screw at hand longer than that, and one of that length [mm]."""
    shorter = (screw for screw in job.rails.screws_mm if screw < length_mm)
    return with_rails(job, screws_mm=(*shorter, length_mm))


RAILS = (
    Number("straightedge_m", "Length of the straightedge, m", 0.8, 3.0, 0.1, _read("straightedge_m"),
           _edit("straightedge_m")),
    Number("overhang_m", "It reaches beyond each rail, m", 0.10, 0.30, 0.01, _read("overhang_m"),
           _edit("overhang_m"), hint=lambda job: "0.15 to 0.20 m is usual"),
    Number("opening_clear_m", "Rails clear of openings, m", 0.02, 0.20, 0.01, _read("opening_clear_m"),
           _edit("opening_clear_m")),
    Number("end_m", "Rails clear of corners, m", 0.05, 0.30, 0.01, _read("end_m"), _edit("end_m")),
    Number("fixing_step_m", "Between fixings at most, m", 0.15, 0.60, 0.01, _read("fixing_step_m"),
           _edit("fixing_step_m"), hint=lambda job: "0.25 to 0.30 m is usual"),
    Number("screw_mm", "Longest screw at hand, mm", 30.0, 160.0, 5.0, longest_screw, with_longest_screw),
)  # fmt: skip
RARE = (
    Number("depth_mm", "Depth of a rail, mm", 3.0, 20.0, 1.0, _read("depth_mm"), _edit("depth_mm")),
    Number("head_clearance_mm", "Room for the head behind it, mm", 0.0, 10.0, 0.5,
           _read("head_clearance_mm"), _edit("head_clearance_mm")),
    Number("embedment_mm", "Screw into the wall at least, mm", 15.0, 80.0, 5.0, _read("embedment_mm"),
           _edit("embedment_mm")),
    Number("laser_mm", "Laser plane off the wall, mm", 40.0, 300.0, 5.0, _read("laser_mm"),
           _edit("laser_mm"), hint=lambda job: "at the fixing to start with"),
    Number("stock_m", "Length in which rails are sold, m", 2.0, 6.0, 0.1, _read("stock_m"),
           _edit("stock_m")),
    Number("kerf_mm", "Width of a saw cut, mm", 0.0, 5.0, 1.0, _read("kerf_mm"), _edit("kerf_mm")),
)  # fmt: skip
NUMBERS = (*RAILS, *RARE)
BEDDED = [("on fixings", "fixings"), ("on dabs", "dabs")]
STAY = [("taken out and made good", False), ("left in", True)]
