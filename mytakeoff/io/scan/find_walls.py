"""Walls in scan files: found in a first pass through the file, read in a second.

Notes
-----
The first pass thins a scan to at most 150 000 cubes, a chunk at a time; the second keeps one wall's points
(`CellSample`), however many there are.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

import numpy as np

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats import say
from mytakeoff.io.scan.chunks import ScanFile, wrong
from mytakeoff.io.scan.open_scan import Progress, chunks_of, finish, open_scan
from mytakeoff.scan.cell_sample import CellSample
from mytakeoff.scan.depth_steps import DepthLevels, depth_axis, step_that_shows
from mytakeoff.scan.doubts import in_line
from mytakeoff.scan.orientation import (
    UP,
    cloud_faces_steps,
    extent_up_and_across,
    guess_unit,
    or_else,
    ways_up,
)
from mytakeoff.scan.stands_off import leave_out_steps, left_out_notes
from mytakeoff.scan.thin_cloud import ThinCloud, Thinner
from mytakeoff.scan.wall_frame import sort_points
from mytakeoff.scan.wall_points import settle, survey_of
from mytakeoff.scan.walls import CloudWall, flat_share, other_side, walls_in
from mytakeoff.steps import relabel
from mytakeoff.survey.interpolate import readings_of
from mytakeoff.survey.said import SaidOf
from mytakeoff.survey.survey import Floats, ScanChoice, Survey
from mytakeoff.survey.wall import Opening, Wall
from mytakeoff.units import METRES

Made = TypeVar("Made")
Paths = str | Path | Sequence[str | Path]
FEW_POINTS = 30
LARGEST_M, SMALLEST_M = 100.0, 0.01  # a wall beyond these is one in another unit
FLAT_REMEDY = "say which axis is up (up='y', say), or export the wall"
BARE_REMEDY = "export more of the wall: nothing is known of one behind a curtain, whose folds are no plane"
LINE_SHARE = 1e-3  # of a cloud's length: narrower is a line


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
    """

    number: int
    cloud: Cloud
    found: CloudWall
    turned: bool = False
    in_line: tuple[str, ...] = ()

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
        return Wall(self.name, round(frame.width_m * to_said, 3), round(frame.height_m * to_said, 3))

    @property
    def openings(self) -> tuple[Opening, ...]:
        """Doors, windows and gaps proposed where the wall shows nothing: none counts unless accepted."""
        to_said = self._to_said
        return tuple(
            Opening(o.name, o.x_m * to_said, o.z_m * to_said, o.width_m * to_said, o.height_m * to_said)
            for o in self.found.openings
        )

    @property
    def area_m2(self) -> float:
        """Covered by points [m²]."""
        return self.found.area_m2 * self._to_said**2

    @property
    def lean_mm_per_m(self) -> float:
        """How much further into the room each metre up [mm/m]."""
        return self.found.lean_mm_per_m

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
        return replace(self, found=other_side(self.found), turned=not self.turned)

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
        return (yield from _at(1.0, leave_out_steps(whole, said)))

    def whole_steps(self, wall: Wall | None = None, plumb: bool = True) -> Generator[float, None, Survey]:
        """The same with all that stands off it."""
        cloud = self.cloud
        if not cloud.unit and cloud.unit_guess != "m":
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
            columns = [placed.x_m[on_it], placed.z_m[on_it], placed.proud_m[on_it]]
            taking = sample.add_steps(np.column_stack(columns), chunk.points[placed.index[on_it]])
            yield from _at(chunk.done_share, taking)
            before += int((placed.where > 0).sum())
            behind += int((placed.where < 0).sum())
            yield chunk.done_share
        points = yield from _at(1.0, sample.points_steps())
        if len(points) < FEW_POINTS:
            raise wrong(cloud.name, f"{len(points)} points on {self.name}", "the file is read twice",
                        "it has changed meanwhile: find the walls again")  # fmt: skip
        notes = (*self.notes, *left_out_notes(before, behind, sample.seen, len(points)))
        made = yield from _at(1.0, settle(points, plumb))
        if wall is None:
            wall = Wall(self.name, *(np.ceil(size * 1000.0) / 1000.0 for size in made.size_m))
        survey = yield from _at(1.0, survey_of(made, wall, plumb, cloud.name, notes))
        choice = ScanChoice(cloud.working_unit, cloud.up if cloud.up_said else None, self.number, self.turned)
        readings = readings_of(survey)
        step_mm = step_that_shows(levels.step * share * unit_m * 1000.0, readings)
        return replace(survey, scan=choice, depth_step_mm=step_mm)


def find_walls(
    path: Paths, unit: str | None = None, up: str | None = None, progress: Progress | None = None
) -> tuple[FoundWall, ...]:
    """The walls in a scan, largest first.

    Parameters
    ----------
    path : str, Path or several of them
        XYZ, TXT, ASC, PTS or CSV text; PLY; LAS or LAZ; E57; PCD. Several stations in one frame are merged.
    unit : str, optional
        What the file's numbers are: m, cm, mm, in or ft. E57 is in metres by its standard.
    up : str, optional
        The axis that is up: x, y, z, -x, -y or -z; guessed unless given, and where nothing tells it from
        another, `.ways_up` and `.notes` say so.
    progress : function, optional
        Called with the share done; what it raises ends the reading, and so does False.

    Returns
    -------
    tuple of FoundWall
        Each with `.wall`, `.openings` proposed, `.lean_mm_per_m`, `.roughness_mm`, `.notes`, `.unit_guess`,
        `.ways_up`, and `.survey()`, which needs the unit said unless the numbers are plainly metres.

    Raises
    ------
    TakeoffError
        The file cannot be read, holds no upright plane, or its walls would be far too large or small.
    """
    return finish(find_walls_steps(path, unit, up), progress)


def find_walls_steps(
    path: Paths, unit: str | None = None, up: str | None = None, name: str = ""
) -> Generator[float, None, tuple[FoundWall, ...]]:
    """The same in steps: yields the share done, returns the walls."""
    cloud = yield from cloud_steps(path, unit, up, name)
    return (yield from _at(1.0, walls_steps(cloud)))


def _at(share: float, steps: Generator[None, None, Made]) -> Generator[float, None, Made]:
    """Steps beside the reading of a file, of which a share is done [-]."""
    return relabel(steps, lambda _: share)


def cloud_steps(
    path: Paths, unit: str | None = None, up: str | None = None, name: str = ""
) -> Generator[float, None, Cloud]:
    """The first pass through some files: yields the share done, returns what they hold."""
    paths = [path] if isinstance(path, (str, Path)) else list(path)
    _check_words(unit, up, name or ", ".join(Path(one).name for one in paths))
    files = tuple(open_scan(one, name if len(paths) == 1 else "") for one in paths)
    thinner, dropped = Thinner(), 0
    for chunk in chunks_of(files):
        thinner.add(chunk.points)
        dropped += chunk.dropped
        yield chunk.done_share
    thin = thinner.done()
    place = ", ".join(file.name for file in files)
    _check_spread(thin, dropped, place)
    units = {file.unit for file in files}
    by_format = next(iter(units)) if len(units) == 1 else None
    yield 1.0
    faces = yield from _at(1.0, cloud_faces_steps(thin.coarser(float(np.sort(thin.extent)[1]) / 40.0)))
    way_up, *also = (up,) if up else ways_up(faces, thin)
    guess = guess_unit(*extent_up_and_across(thin, way_up))
    return Cloud(files, thin, dropped, way_up, up is not None, unit or by_format, guess, tuple(also))


def _check_words(unit: str | None, up: str | None, place: str) -> None:
    mistakes = []
    if unit is not None and unit not in METRES:
        mistakes.append(
            Mistake(f"unit {unit!r}", f"a scan is in {', '.join(METRES)}", "say one of these", place)
        )
    if up is not None and up not in UP:
        mistakes.append(Mistake(f"up {up!r}", f"up is one of {', '.join(UP)}", "say one of these", place))
    if mistakes:
        raise TakeoffError(*mistakes)


def _check_spread(thin: ThinCloud, dropped: int, place: str) -> None:
    if thin.total < FEW_POINTS:
        lost = f", {dropped} without a place" if dropped else ""
        raise wrong(place, f"{thin.total} points{lost}", f"a scan of a wall has at least {FEW_POINTS}",
                    "export the cloud again, or write readings by hand as a list")  # fmt: skip
    extent = np.sort(np.ptp(thin.points, axis=0))
    centred = thin.points - thin.points.mean(axis=0)
    spread = np.sqrt(np.clip(np.linalg.eigvalsh(centred.T @ centred / len(centred)), 0.0, None))
    if spread[1] <= LINE_SHARE * max(spread[2], 1e-300) or extent[2] == 0:
        raise wrong(place, f"{thin.total} points on one straight line", "a wall has a width and a height",
                    "scan more of it, or export all of the cloud")  # fmt: skip


def not_upright(cloud: Cloud) -> TakeoffError:
    """What to say of a cloud without a wall in it."""
    flat = flat_share(cloud.thin, cloud.up) > 0.5
    found = "a level face, a floor or a ceiling" if flat else f"no upright plane in {cloud.thin.total} points"
    remedy = FLAT_REMEDY if flat else BARE_REMEDY
    return wrong(cloud.name, found, f"a wall stands upright, along the {cloud.up} axis", remedy)


def walls_steps(cloud: Cloud) -> Generator[None, None, tuple[FoundWall, ...]]:
    """The walls of a cloud, largest first, in steps.

    Raises
    ------
    TakeoffError
        None stands upright, or they are of no wall's size.
    """
    found = yield from walls_in(cloud.thin, float(METRES[cloud.working_unit]), cloud.up, cloud.sensors)
    if not found:
        raise not_upright(cloud)
    beside = in_line([one.ends for one in found])
    walls = tuple(FoundWall(nth + 1, cloud, one, in_line=beside[nth]) for nth, one in enumerate(found))
    largest = walls[0].wall
    size = max(largest.width_m, largest.height_m)
    if cloud.unit and not SMALLEST_M <= size <= LARGEST_M:
        raise wrong(
            cloud.name,
            f"in {cloud.unit} the largest wall is {largest.width_m:g} × {largest.height_m:g} m",
            f"a wall is between {SMALLEST_M:g} and {LARGEST_M:g} m",
            f"say another unit: by its size the scan is in {cloud.unit_guess}",
        )
    return walls
