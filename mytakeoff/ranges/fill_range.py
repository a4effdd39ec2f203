"""How sure the litres of a filled wall are: what the same treatment takes on its drawn faces."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.coats.fills import even_layer, fill_layers
from mytakeoff.job.job import Job
from mytakeoff.simulation.faces import DrawnFaces
from mytakeoff.simulation.planes_over_faces import Drawn
from mytakeoff.simulation.wall_range import faces_steps
from mytakeoff.surface.patches import patches_of
from mytakeoff.treatment.left_open import fills_of_steps, is_open, measured_of
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import straightens


@dataclass(frozen=True, eq=False)
class FillRange:
    """How sure the plaster of one filled wall is.

    Parameters
    ----------
    drawn_faces : DrawnFaces or None
        Its drawn faces; None where what it takes does not depend on what lies between the readings.
    drawn : Drawn
        Litres that it takes for each of them, holes and skim among them [l].
    priced_l : float
        Litres that the surface through the readings takes [l].
    reading_share : float
        Share of the litres' variance that comes of the readings' own error [-].
    hollows : bool
        Whether hollows are straightened: else it takes its holes and its skim.
    plain : WallResult or None
        The wall through the readings, on cells a hand wide.
    faces : tuple of WallResult
        The wall for each drawn face, on the same cells.
    """

    drawn_faces: DrawnFaces | None
    drawn: Drawn
    priced_l: float
    reading_share: float = 0.0
    hollows: bool = False
    plain: WallResult | None = None
    faces: tuple[WallResult, ...] = ()


def fill_range_steps(job: Job, wall: WallResult, drawn: Drawn) -> Generator[None, None, FillRange]:
    """How sure a filled wall's plaster is, step by step: None after each step, the range at the end.

    Parameters
    ----------
    job : Job
    wall : WallResult
        As it is priced: patched, or straightened with what it decides to take down.
    drawn : Drawn
        Litres for each of its drawn faces [l].

    Notes
    -----
    A straightened wall takes what the same work takes on its drawn faces more than on the surface through
    the readings, both on the same coarse cells, so that those bias nothing; never less than holes and skim. A
    wall that is only patched takes what was entered for its holes: nothing between the readings moves it.
    """
    priced, hollows = wall.build_up.volume_l, straightens(wall)
    if not is_open(job, wall):
        return FillRange(None, drawn, priced, hollows=hollows)
    drawn_faces = yield from faces_steps(measured_of(job, wall))
    fills = yield from fills_of_steps(job, wall)
    made = {fill: filled_as(wall, fill) for fill in (fills.plain, *fills.faces)}
    plain, *faces = (made[fill] for fill in (fills.plain, *fills.faces))
    return FillRange(drawn_faces, drawn, priced, fills.reading_share, True, plain, tuple(faces))


def filled_as(wall: WallResult, fill: BuildUp) -> WallResult:
    """A filled wall with another fill under its skim, on the fill's cells; nothing is remembered."""
    coat = fill.thickness_mm + sum(even.thickness_mm for even in wall.skim)
    return replace(
        wall,
        surface=fill.surface,
        build_up=BuildUp(fill.surface, coat, fill.cut_mm),
        layers=(
            *(even_layer(fill.surface, even) for even in wall.skim),
            *fill_layers(fill, wall.system),
        ),
        patches=patches_of(fill.surface, fill.thickness_mm),
    )
