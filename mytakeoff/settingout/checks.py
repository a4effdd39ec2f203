"""What to hold against what before plaster goes on: plumb, one plane, square, each with its figures."""

from __future__ import annotations

from mytakeoff.job.job import Job
from mytakeoff.treatment.wall_result import WallResult

WITHIN_MM = 1.0  # readings that agree to this are taken as the same (common practice, no source)


def check_words(
    job: Job, wall: WallResult, laser_to_head_mm: float | None, start: str = ""
) -> tuple[str, ...]:
    """The checks of one wall's rails, in the order in which they are done.

    Parameters
    ----------
    job : Job
    wall : WallResult
        A wall with rails.
    laser_to_head_mm : float or None
        What the laser plane reads at every head [mm].
    start : str
        The fixing to start the wall with: "4.1".
    """
    return tuple(
        filter(
            None,
            (
                _laser(job, wall, laser_to_head_mm, start),
                _upright(job, wall),
                _plane(job, wall),
                _square(job, wall),
            ),
        )
    )


def _laser(job: Job, wall: WallResult, read_mm: float | None, start: str) -> str:
    """How the laser plane is set, and the one reading."""
    if read_mm is None:
        return ""
    fixed, short = job.formats.fixed, job.formats.short
    parallel = "plumb and parallel to" if wall.rule.plumb else "parallel to"
    return (
        f"Laser: set its plane {parallel} the face, {short(job.rails.laser_mm)} mm off the wall at "
        f"fixing {start}. Then every head reads {fixed(read_mm)} mm, within {short(WITHIN_MM)} mm."
    )


def _upright(job: Job, wall: WallResult) -> str:
    if wall.rule.plumb:
        return "Plumb: a level along each rail, in both directions; top and bottom head read the same."
    height_m = wall.entry.wall.height_m
    lean = wall.plane.c_mm_per_m * height_m if wall.entry.survey.plumb else None
    return f"Lean: the face {job.formats.lean(lean, height_m)}."


def _plane(job: Job, wall: WallResult) -> str:
    edge = job.formats.short(job.rails.straightedge_m)
    if len(wall.rails_x_m) < 2:
        return f"One plane: the {edge} m edge upright on the rail shows no light."
    return (
        f"One plane: the {edge} m edge across each two neighbours, level and on both diagonals, rocks on "
        "none and shows no light; a line from the first rail to the last touches all between."
    )


def _square(job: Job, wall: WallResult) -> str:
    """Where the face stands off the plane that was measured from, and how it lies to the corner."""
    face = wall.plane.at([min(wall.rails_x_m), max(wall.rails_x_m)], 0.0) - wall.system.finish_mm
    fixed = job.formats.fixed
    said = (
        f"Square: off the line of the survey the rails' faces read {fixed(-face[0])} mm at the first rail"
        f" and {fixed(-face[1])} mm at the last, at the floor."
    )
    turn = wall.entry.square_turn_mm_per_m
    if turn is None:
        return said + " The corner was not measured."
    out = wall.plane.b_mm_per_m - turn
    if abs(out) < 0.05:
        return said + " The face is square to the measured corner."
    return said + f" The face is {fixed(abs(out), 1)} mm a metre out of square to the measured corner."
