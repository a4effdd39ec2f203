"""What is found on a wall beside its readings: high spots, laid edges, loose plaster, corner, fittings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from mytakeoff.errors import Check
from mytakeoff.job.job_wall import Fitting, JobWall
from mytakeoff.survey.corner import Corner
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.loose_plaster import check_loose, sound_readings
from mytakeoff.survey.said import SaidOf
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import LooseArea

HighSpot = tuple[float, float, float]


@dataclass(frozen=True)
class Findings:
    """All that was found on one wall.

    Parameters
    ----------
    high_spots : tuple of (x [m], z [m], proud [mm])
        Found by sweeping, read off the survey's plane.
    sweeps : tuple of LaidEdge
        Straightedges laid on the wall.
    loose : tuple of LooseArea
        Hollow-sounding or fallen plaster.
    corner : Corner or None
        Two readings off a square line.
    turn_mm_per_m : float or None
        Turn of the square plane where it is known without such readings [mm/m].
    fittings : tuple of Fitting
    said : tuple of SaidOf
        What was said of single readings.
    """

    high_spots: tuple[HighSpot, ...] = ()
    sweeps: tuple[LaidEdge, ...] = ()
    loose: tuple[LooseArea, ...] = ()
    corner: Corner | None = None
    turn_mm_per_m: float | None = None
    fittings: tuple[Fitting, ...] = ()
    said: tuple[SaidOf, ...] = ()

    @property
    def fallen(self) -> tuple[LooseArea, ...]:
        """Plaster that is gone already."""
        return tuple(area for area in self.loose if area.fallen)


def findings_of(entry: JobWall) -> Findings:
    """What a wall of the job says that was found on it."""
    survey = entry.survey
    spots = zip(survey.high_x_m.tolist(), survey.high_z_m.tolist(), survey.high_mm.tolist(), strict=True)
    return Findings(
        tuple(spots),
        survey.sweeps,
        entry.loose,
        entry.corner,
        entry.turn_mm_per_m,
        entry.fittings,
        survey.said,
    )


def with_findings(entry: JobWall, found: Findings, survey: Survey, **changed: Any) -> JobWall:
    """A wall with these findings and no others.

    Parameters
    ----------
    entry : JobWall
    found : Findings
    survey : Survey
        Its readings.
    **changed
        Further fields of `JobWall` that change, by name.

    Raises
    ------
    TakeoffError
        Whatever does not lie on the wall or cannot be: the mistakes of all findings together.

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> survey = Survey.from_readings(Wall("A", 2.0, 2.5), [0, 2, 0, 2], [0, 0, 2.5, 2.5], [0, 2, 0, 2])
    >>> wall = JobWall(survey.wall, "hall", survey, "brick")
    >>> found = Findings(fittings=(Fitting("by the door", "socket", 0.5, 0.4),))
    >>> with_findings(wall, found, survey).sockets_to_move
    1
    """
    check = Check()
    whole = check.made(lambda: survey.with_said(found.said, so_far=not entry.is_read)) or survey
    whole = check.made(lambda: whole.with_sweeps(found.sweeps)) or whole
    whole = check.made(lambda: whole.with_high_spots(found.high_spots, survey.swept)) or whole
    check_loose(survey.wall, found.loose, check)
    if found.fallen and entry.is_read:
        check.made(lambda: sound_readings(whole, found.loose))
    fields = {
        "survey": whole, "loose": found.loose, "corner": found.corner, "turn_mm_per_m": found.turn_mm_per_m,
        "fittings": found.fittings, **changed,
    }  # fmt: skip
    made = check.made(lambda: replace(entry, **fields))
    check.done()
    assert made is not None  # else a mistake was noted
    return made
