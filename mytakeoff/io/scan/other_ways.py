"""The walls of a scan in every way that it may stand, side by side, for the user to pick."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace

from mytakeoff.errors import TakeoffError
from mytakeoff.io.scan.find_walls import walls_steps
from mytakeoff.io.scan.found_wall import FoundWall
from mytakeoff.scan.orientation import extent_up_and_across, guess_unit


def each_way_steps(first: FoundWall) -> Generator[None, None, tuple[FoundWall, ...]]:
    """The largest wall by each axis that may be up, in steps; none where only one comes into question.

    Parameters
    ----------
    first : FoundWall
        The largest wall by the axis that was taken.

    Returns
    -------
    tuple of FoundWall
        In metres, by the unit that was said or that its size speaks for; an axis along which nothing stands
        upright has none.
    """
    if len(first.ways_up) < 2:
        return ()
    found = []
    for up in first.ways_up:
        cloud = first.cloud
        unit = cloud.unit or guess_unit(*extent_up_and_across(cloud.thin, up))
        try:
            walls = yield from walls_steps(replace(cloud, up=up, unit=unit))
        except TakeoffError:
            continue
        found.append(walls[0])
    return tuple(found)
