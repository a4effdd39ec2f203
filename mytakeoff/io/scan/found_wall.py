"""One wall found in a scan: what is told of it before and after its points are read."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from mytakeoff.formats.formats import say
from mytakeoff.io.scan.chunks import ScanFile, wrong
from mytakeoff.io.scan.open_scan import Progress, chunks_of, finish
from mytakeoff.io.scan.refusals import FEW_POINTS
from mytakeoff.scan.cell_sample import CellSample
from mytakeoff.scan.depth_steps import DepthLevels, depth_axis, step_that_shows
from mytakeoff.scan.orientation import or_else
from mytakeoff.scan.own_bow import OwnBow
from mytakeoff.scan.stands_off import leave_out_steps, left_out_notes
from mytakeoff.scan.thin_cloud import ThinCloud
from mytakeoff.scan.wall_frame import sort_points
from mytakeoff.scan.wall_points import settle, survey_of
from mytakeoff.scan.walls import CloudWall, other_side
from mytakeoff.steps import relabel
from mytakeoff.survey.interpolate import readings_of
from mytakeoff.survey.said import SaidOf, ScanChoice
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.wall import Opening, Wall
from mytakeoff.units import METRES

Made = TypeVar("Made")


@dataclass(frozen=True)
class Cloud:
    """What a first pass through some files has found."""

    files: tuple[ScanFile, ...]
    thin: ThinCloud
    dropped: int
    up: str
    up_said: bool
    unit: str | None
    unit_guess: str
    also_up: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The files' names."""
        return ", ".join(file.name for file in self.files)

    @property
    def working_unit(self) -> str:
        """The unit that lengths are judged in until one is said."""
        return self.unit or self.unit_guess

    @property
    def sensors(self) -> tuple[tuple[float, float, float], ...]:
        """Where the instruments stood, as far as the files say."""
        return tuple(sensor for file in self.files for sensor in file.sensors)


class InNoUnit(Wall):
    """A wall in the numbers of a scan whose unit was not said [in no unit]: they are no metres, so no bounds
    hold for them, and nothing is surveyed on it."""

    def __post_init__(self) -> None:
        """Nothing to check yet."""


@dataclass(frozen=True, eq=False)
class FoundWall:
    """One wall found in a scan.

    Parameters
    ----------
    number : int
        1 for the largest.
    cloud : Cloud
        The scan that it was found in.
    found : CloudWall
        Its place and shape in the cloud.
    turned : bool
        Whether it is seen from the other side than was told.
    in_line : tuple of str
        What is said of others that stand in one plane with it.
    own_bow : OwnBow or None
        What the instrument bends it by, or may bend it by.
    bow_out : bool
        Whether that is taken out.
    """

    number: int
    cloud: Cloud
    found: CloudWall
    turned: bool = False
    in_line: tuple[str, ...] = ()
    own_bow: OwnBow | None = None
    bow_out: bool = False

    @property
    def name(self) -> str:
        """ "wall 1" for the largest."""
        return f"wall {self.number}"

    @property
    def unit_guess(self) -> str:
        """The unit that the scan's size speaks for; applied only if it was said."""
        return self.cloud.unit_guess

    @property
    def up(self) -> str:
        """The axis taken as up."""
        return self.cloud.up

    @property
    def ways_up(self) -> tuple[str, ...]:
        """The axes that may be up, that which was taken first: more than one where nothing tells."""
        return self.cloud.up, *self.cloud.also_up

    @property
    def _to_said(self) -> float:
        """From working metres to metres by what was said: the numbers as they stand, unless a unit was."""
        return 1.0 if self.cloud.unit else 1.0 / float(METRES[self.cloud.unit_guess])

    @property
    def wall(self) -> Wall:
        """The wall without openings, to the millimetre; its numbers as they stand where no unit was said."""
        frame, to_said = self.found.frame, self._to_said
        kind = Wall if self._in_metres else InNoUnit
        return kind(self.name, round(frame.width_m * to_said, 3), round(frame.height_m * to_said, 3))

    @property
    def _in_metres(self) -> bool:
        return bool(self.cloud.unit) or self.cloud.unit_guess == "m"

    @property
    def openings(self) -> tuple[Opening, ...]:
        """Doors, windows and gaps proposed where the wall shows nothing: none counts unless accepted, and
        none is proposed before the unit is known."""
        return self.found.openings if self._in_metres else ()

    @property
    def area_m2(self) -> float:
        """Covered by points [m²]."""
        return self.found.area_m2 * self._to_said**2

    @property
    def lean_mm_per_m(self) -> float:
        """How much further into the room each metre up, by the plane that most of it lies about [mm/m]."""
        return self.found.stance.c_mm_per_m

    @property
    def lean_off_mm_per_m(self) -> float:
        """Standard deviation of that, as large patches of the wall differ [mm/m]."""
        return self.found.stance.lean_off_mm_per_m

    @property
    def roughness_mm(self) -> float:
        """Scatter about its own bow, the scan's noise in it [mm]."""
        return self.found.roughness_mm * self._to_said

    @property
    def kept(self) -> tuple[Floats, Floats, Floats]:
        """Thinned points on the wall: x [m], z [m], proud [mm], for a picture."""
        return self._thinned(self.found.thinned.where == 0)

    @property
    def dropped(self) -> tuple[Floats, Floats, Floats]:
        """Thinned points before it (proud above 0) and behind it: x [m], z [m], proud [mm], for a picture."""
        return self._thinned(self.found.thinned.where != 0)

    def _thinned(self, which: np.ndarray) -> tuple[Floats, Floats, Floats]:
        thinned, to_said = self.found.thinned, self._to_said
        x_m, z_m, proud_m = (one[which] * to_said for one in (thinned.x_m, thinned.z_m, thinned.proud_m))
        return x_m, z_m, proud_m * 1000.0

    @property
    def notes(self) -> tuple[str, ...]:
        """What was taken for granted, for the user to confirm."""
        cloud = self.cloud
        notes = []
        if not cloud.unit:
            notes.append(f"No unit was said; by its size the scan is in {cloud.unit_guess}.")
        if not cloud.up_said:
            notes.append(f"The scan's {cloud.up} axis was taken as up.{or_else(cloud.thin, self.ways_up)}")
        if not self.found.side_known:
            notes.append("Nothing tells from which side the wall is seen: it may be mirrored.")
        if cloud.dropped + cloud.thin.strays:
            notes.append(f"{say(cloud.dropped + cloud.thin.strays)} points without a place were left out.")
        return (*notes, *self.in_line, *self.found.doubts)

    def other_side(self) -> FoundWall:
        """The same wall seen from its other side."""
        own = None if self.own_bow is None else self.own_bow.other_side(self.found.frame.width_m)
        return replace(self, found=other_side(self.found), turned=not self.turned, own_bow=own)

    def without_bow(self) -> FoundWall:
        """The same wall with the bow taken out that the instrument makes on all walls of the scan.

        Raises
        ------
        TakeoffError
            The walls of the scan share none.
        """
        if self.own_bow is None or not self.own_bow.shared:
            raise wrong(self.cloud.name, "bow_out", "a bow is the instrument's only where walls that stand "
                        "differently are bent alike", "leave it in (bow_out = false)")  # fmt: skip
        return replace(self, bow_out=True)

    @property
    def bow_mm(self) -> float:
        """A bow over this wall that is or may be the instrument's own, and stays in its readings [mm]."""
        return 0.0 if self.own_bow is None else self.own_bow.still_mm(self.bow_out) * self._to_said

    @property
    def _said_of_bow(self) -> tuple[str, ...]:
        return () if self.own_bow is None else (self.own_bow.said(self.bow_out),)

    def survey(
        self,
        wall: Wall | None = None,
        plumb: bool = True,
        progress: Progress | None = None,
        keep: Sequence[tuple[float, float]] = (),
        leave_out: Sequence[tuple[float, float]] = (),
    ) -> Survey:
        """The survey of this wall: a second pass through the file.

        What stands off in patches with cliffs round them is left out, up to 15 % of the wall; `notes` say so.

        Parameters
        ----------
        wall : Wall, optional
            As the user has measured it, with its openings; else this one without any.
        plumb : bool
            Whether the instrument levelled itself: without that "leans" means nothing.
        progress : function, optional
            Called with the share done; what it raises ends the reading, and so does False.
        keep : sequence of (x [m], z [m])
            Places of what stands off and is plaster all the same: it stays.
        leave_out : sequence of (x [m], z [m])
            Places of what is left out however large it is.

        Raises
        ------
        TakeoffError
            No unit was said and the scan does not look like metres; the wall does not fit; the file has
            changed or cannot be read.
        """
        said = [SaidOf(*at, "plaster") for at in keep] + [SaidOf(*at, "left out") for at in leave_out]
        return finish(self.survey_steps(wall, plumb, said), progress)

    def survey_steps(
        self, wall: Wall | None = None, plumb: bool = True, said: Sequence[SaidOf] = ()
    ) -> Generator[float, None, Survey]:
        """The same in steps: yields the share done, returns the survey."""
        whole = yield from self.whole_steps(wall, plumb)
        return (yield from at_share(1.0, leave_out_steps(whole, said)))

    def whole_steps(self, wall: Wall | None = None, plumb: bool = True) -> Generator[float, None, Survey]:
        """The same with all that stands off it."""
        cloud = self.cloud
        if not self._in_metres:
            said = self.wall
            raise wrong(
                cloud.name,
                f"no unit was said, and in metres the wall would be {said.width_m:g} × {said.height_m:g} m",
                f"a scan's unit is confirmed, not guessed; by its size it is in {cloud.unit_guess}",
                f"say unit={cloud.unit_guess!r} if that is right",
            )
        sample = CellSample(cell_m=0.01 * self.found.scale)
        unit_m = float(METRES[cloud.working_unit])
        before = behind = 0
        levels, (axis, share) = DepthLevels(), depth_axis(self.found.frame.out)
        for chunk in chunks_of(cloud.files):
            placed = sort_points(self.found.frame, self.found.bow, chunk.points * unit_m, self.found.scale)
            on_it = placed.where == 0
            levels.add(chunk.points[placed.index[on_it], axis])
            places = np.column_stack([placed.x_m[on_it], placed.z_m[on_it], placed.proud_m[on_it]])
            if self.bow_out and self.own_bow is not None:
                places = self.own_bow.taken_out(places)
            taking = sample.add_steps(places, chunk.points[placed.index[on_it]])
            yield from at_share(chunk.done_share, taking)
            before += int((placed.where > 0).sum())
            behind += int((placed.where < 0).sum())
            yield chunk.done_share
        points = yield from at_share(1.0, sample.points_steps())
        if len(points) < FEW_POINTS:
            raise wrong(cloud.name, f"{len(points)} points on {self.name}", "the file is read twice",
                        "it has changed meanwhile: find the walls again")  # fmt: skip
        notes = (*self.notes, *self._said_of_bow, *left_out_notes(before, behind, sample.seen, len(points)))
        made = yield from at_share(1.0, settle(points, plumb))
        if wall is None:
            wall = Wall(self.name, *(np.ceil(size * 1000.0) / 1000.0 for size in made.size_m))
        survey = yield from at_share(1.0, survey_of(made, wall, plumb, cloud.name, notes))
        up = cloud.up if cloud.up_said else None
        choice = ScanChoice(cloud.working_unit, up, self.number, self.turned, self.bow_out)
        readings = readings_of(survey)
        step_mm = step_that_shows(levels.step * share * unit_m * 1000.0, readings)
        return replace(survey, scan=choice, depth_step_mm=step_mm, bow_mm=self.bow_mm)


def at_share(share: float, steps: Generator[None, None, Made]) -> Generator[float, None, Made]:
    """Steps beside the reading of a file, of which a share is done [-]."""
    return relabel(steps, lambda _: share)
