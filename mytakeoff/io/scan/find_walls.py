"""Walls in scan files: found in a first pass through the file, read in a second.

Notes
-----
The first pass thins a scan to at most 150 000 cubes, a chunk at a time; the second keeps one wall's points
(`CellSample`), however many there are.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from pathlib import Path

import numpy as np

from mytakeoff.errors import TakeoffError
from mytakeoff.io.scan.chunks import wrong
from mytakeoff.io.scan.found_wall import Cloud, FoundWall, at_share
from mytakeoff.io.scan.open_scan import Progress, chunks_of, finish, open_scan
from mytakeoff.io.scan.refusals import check_reach, check_said
from mytakeoff.scan.doubts import in_line
from mytakeoff.scan.orientation import cloud_faces_steps, extent_up_and_across, guess_unit, ways_up
from mytakeoff.scan.own_bow import own_bows_steps
from mytakeoff.scan.thin_cloud import Thinner
from mytakeoff.scan.walls import flat_share, walls_in
from mytakeoff.units import METRES

Paths = str | Path | Sequence[str | Path]
LARGEST_M, SMALLEST_M = 100.0, 0.01  # a wall beyond these is one in another unit
FLAT_REMEDY = "say which axis is up (up='y', say), or export the wall"
BARE_REMEDY = "export more of the wall: nothing is known of one behind a curtain, whose folds are no plane"


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
    return (yield from at_share(1.0, walls_steps(cloud)))


def cloud_steps(
    path: Paths, unit: str | None = None, up: str | None = None, name: str = ""
) -> Generator[float, None, Cloud]:
    """The first pass through some files: yields the share done, returns what they hold."""
    paths = [path] if isinstance(path, (str, Path)) else list(path)
    check_said(unit, up, name or ", ".join(Path(one).name for one in paths))
    files = tuple(open_scan(one, name if len(paths) == 1 else "") for one in paths)
    thinner, dropped = Thinner(), 0
    for chunk in chunks_of(files):
        thinner.add(chunk.points)
        dropped += chunk.dropped
        yield chunk.done_share
    thin = thinner.done()
    place = ", ".join(file.name for file in files)
    check_reach(thin, dropped, place)
    units = {file.unit for file in files}
    by_format = next(iter(units)) if len(units) == 1 else None
    yield 1.0
    faces = yield from at_share(1.0, cloud_faces_steps(thin.coarser(float(np.sort(thin.extent)[1]) / 40.0)))
    way_up, *also = (up,) if up else ways_up(faces, thin)
    guess = guess_unit(*extent_up_and_across(thin, way_up))
    return Cloud(files, thin, dropped, way_up, up is not None, unit or by_format, guess, tuple(also))


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
    _check_size(cloud, found[0].frame.width_m, found[0].frame.height_m)
    unit_m = float(METRES[cloud.working_unit])
    sensors_m = np.array(cloud.sensors, dtype=np.float64).reshape(-1, 3) * unit_m
    bows = yield from own_bows_steps(found, cloud.thin.points * unit_m, sensors_m)
    beside = in_line([one.ends for one in found])
    return tuple(
        FoundWall(nth, cloud, one, in_line=said, own_bow=bow)
        for nth, (one, said, bow) in enumerate(zip(found, beside, bows, strict=True), start=1)
    )


def _check_size(cloud: Cloud, width_m: float, height_m: float) -> None:
    """Refuse a unit in which the largest wall [m] is none, before anything is worked out on its cells."""
    if cloud.unit and not SMALLEST_M <= max(width_m, height_m) <= LARGEST_M:
        raise wrong(
            cloud.name,
            f"in {cloud.unit} the largest wall is {round(width_m, 3):g} × {round(height_m, 3):g} m",
            f"a wall is between {SMALLEST_M:g} and {LARGEST_M:g} m",
            f"say another unit: by its size the scan is in {cloud.unit_guess}",
        )
