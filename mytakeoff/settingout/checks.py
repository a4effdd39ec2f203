"""What to hold against what before plaster goes on: plumb, one plane, square, each with its figures."""

from __future__ import annotations

from collections.abc import Sequence

from mytakeoff.job.job import Job
from mytakeoff.settingout.fixings import Fixing, start_of
from mytakeoff.treatment.room_planes import is_squared
from mytakeoff.treatment.wall_result import WallResult

WITHIN_MM = 1.0  # readings that agree to this are taken as the same (common practice, no source)


def check_words(
    job: Job, wall: WallResult, laser_to_head_mm: float | None, fixings: Sequence[Fixing] = ()
) -> tuple[str, ...]:
    """The checks of one wall's rails, in the order in which they are done.

    Parameters
    ----------
    job : Job
    wall : WallResult
        A wall with rails.
    laser_to_head_mm : float or None
        What the laser plane reads at every head, or at the back of every rail on dabs [mm].
    fixings : sequence of Fixing
    """
    said = (
        _laser(job, wall, laser_to_head_mm, fixings),
        _upright(job, wall),
        _plane(job, wall),
        _square(job, wall, laser_to_head_mm, fixings),
    )
    return tuple(filter(None, said))


def laser_words(job: Job, laser_to_head_mm: float) -> str:
    """The one reading: at every head, or on the face of every rail where nothing is drilled."""
    on_dabs = job.rails.bedded == "dabs"
    back_mm = laser_to_head_mm - (job.rails.depth_mm if on_dabs else 0.0)
    read = job.formats.depth(back_mm, places=0, grouped=False)
    return f"{'the face of every rail' if on_dabs else 'every head'} reads {read}"


def _laser(job: Job, wall: WallResult, read_mm: float | None, fixings: Sequence[Fixing]) -> str:
    """How the laser plane is set, and the one reading."""
    start = start_of(fixings)
    if read_mm is None or start is None:
        return ""
    formats = job.formats
    parallel = "plumb and parallel to" if wall.rule.plumb else "parallel to"
    what = "dab" if job.rails.bedded == "dabs" else "fixing"
    return (
        f"Laser: set its plane {parallel} the face, {formats.depth(job.rails.laser_mm)} off the bare wall at "
        f"{what} {start.label}. Then {laser_words(job, read_mm)}, within {formats.depth(WITHIN_MM)}."
    )


def _upright(job: Job, wall: WallResult) -> str:
    if wall.rule.plumb:
        ends = "top and bottom" if job.rails.bedded == "dabs" else "top and bottom head"
        return f"Plumb: a level along each rail, in both directions; {ends} read the same."
    height_m = wall.entry.wall.height_m
    lean = wall.plane.c_mm_per_m * height_m if wall.entry.survey.plumb else None
    return f"Lean: the face {job.formats.lean(lean, height_m)}."


def _plane(job: Job, wall: WallResult) -> str:
    edge = job.formats.length(job.rails.straightedge_m)
    if len(wall.rails_x_m) < 2:
        return f"One plane: the {edge} edge upright on the rail shows no light."
    return (
        f"One plane: the {edge} edge across each two neighbours, level and on both diagonals, rocks on "
        "none and shows no light; a line from the first rail to the last touches all between."
    )


def _square(job: Job, wall: WallResult, read_mm: float | None, fixings: Sequence[Fixing]) -> str:
    """Where the face stands, by something that can be held to it on site, and how it lies to the corner."""
    said = [_off_line(job, wall) or _off_laser(job, wall, read_mm, fixings)]
    turn = wall.entry.square_turn_mm_per_m
    if is_squared(job, wall.entry) and wall.rule.turn_mm_per_m is not None:
        said.append("The face is square in the room, with its other walls.")
    elif turn is None:
        said.append("The corner was not measured.")
    elif abs(wall.plane.b_mm_per_m - turn) < 0.05:
        said.append("The face is square to the measured corner.")
    else:
        out = job.formats.slope(abs(wall.plane.b_mm_per_m - turn), places=1)
        said.append(f"The face is {out} out of square to the measured corner.")
    return f"Square: {' '.join(filter(None, said))}"


def _off_line(job: Job, wall: WallResult) -> str:
    """The rails' faces off the line that the survey was read from, where that can be stretched again."""
    rails = wall.rails_x_m
    first, last = -(wall.plane.at([min(rails), max(rails)], 0.0) - wall.system.finish_mm)
    if wall.entry.survey.layout == "scan" or min(first, last) < 0:
        return ""  # nobody stretches a line where a scanner stood, or inside the wall
    one, other = (job.formats.depth(mm, places=0, grouped=False) for mm in (first, last))
    where = f"{one} at the first rail and {other} at the last"
    if len(rails) == 1 or one == other:
        where = f"{one} at {'the rail' if len(rails) == 1 else 'the first rail and the last'}"
    faces = "rail's face reads" if len(rails) == 1 else "rails' faces read"
    return f"off the line that the survey was read from, the {faces} {where}, at the floor."


def _off_laser(job: Job, wall: WallResult, read_mm: float | None, fixings: Sequence[Fixing]) -> str:
    """The bare wall at both ends, as the laser reads it once it is set."""
    known = [fixing for fixing in fixings if fixing.projection_mm is not None]
    if read_mm is None or len({fixing.x_m for fixing in known}) < 2:
        return ""
    first = next(fixing for fixing in known if fixing.x_m == min(each.x_m for each in known))
    last = next(fixing for fixing in known if fixing.x_m == max(each.x_m for each in known))
    formats = job.formats
    at = [
        f"{formats.depth(read_mm + (one.projection_mm or 0.0), places=0, grouped=False)} at {one.label}"
        for one in (first, last)
    ]
    return f"the laser reads to the bare wall {' and '.join(at)}."
