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
                _square(wall),
            ),
        )
    )


def _laser(job: Job, wall: WallResult, read_mm: float | None, start: str) -> str:
    """How the laser plane is set, and the one reading."""
    if read_mm is None:
        return ""
    parallel = "plumb and parallel to" if wall.rule.plumb else "parallel to"
    return (
        f"Laser: set its plane {parallel} the face, {job.rails.laser_mm:g} mm off the wall at "
        f"fixing {start}. Then every head reads {read_mm:.0f} mm, within {WITHIN_MM:g} mm."
    )


def _upright(job: Job, wall: WallResult) -> str:
    if wall.rule.plumb:
        return "Plumb: a level along each rail, in both directions; top and bottom head read the same."
    lean = wall.plane.c_mm_per_m
    way = "into the room" if lean > 0 else "back"
    rise = abs(lean) * (wall.entry.wall.height_m)
    return f"Lean: the face leans {way} by {abs(lean):.1f} mm a metre, {rise:.0f} mm over the wall's height."


def _plane(job: Job, wall: WallResult) -> str:
    edge = job.rails.straightedge_m
    if len(wall.rails_x_m) < 2:
        return f"One plane: the {edge:g} m edge upright on the rail shows no light."
    return (
        f"One plane: the {edge:g} m edge across each two neighbours, level and on both diagonals, rocks on "
        "none and shows no light; a line from the first rail to the last touches all between."
    )


def _square(wall: WallResult) -> str:
    """Where the face stands off the plane that was measured from, and how it lies to the corner."""
    face = wall.plane.at([min(wall.rails_x_m), max(wall.rails_x_m)], 0.0) - wall.system.finish_mm
    said = (
        f"Square: off the line of the survey the rails' faces read {-face[0]:.0f} mm at the first rail"
        f" and {-face[1]:.0f} mm at the last, at the floor."
    )
    turn = wall.entry.square_turn_mm_per_m
    if turn is None:
        return said + " The corner was not measured."
    out = wall.plane.b_mm_per_m - turn
    if abs(out) < 0.05:
        return said + " The face is square to the measured corner."
    return said + f" The face is {abs(out):.1f} mm a metre out of square to the measured corner."
