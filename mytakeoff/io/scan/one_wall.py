"""One wall's survey straight from a scan file, its unit told by the size of the wall that was measured.

Notes
-----
A scan's unit is never guessed in silence: it is said, laid down by the format, or told by the wall's height.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import replace
from math import log
from pathlib import Path

from mytakeoff.io.scan.chunks import wrong
from mytakeoff.io.scan.find_walls import cloud_steps, not_upright, walls_steps
from mytakeoff.io.scan.found_wall import Cloud, FoundWall
from mytakeoff.io.scan.open_scan import finish
from mytakeoff.scan.orientation import extent_up_and_across, guess_unit
from mytakeoff.scan.walls import flat_share
from mytakeoff.steps import relabel
from mytakeoff.survey.said import SaidOf, ScanChoice
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall
from mytakeoff.units import METRES

NOTHING_SAID = ScanChoice()
FITS = 1.6  # times the wall's height, either way, that a scan of it may be high: next units lie 2.5 apart
SAME_HEIGHT = 0.05  # of a scan's height: ways up that fit the wall's so nearly alike fit it alike
MOSTLY = 0.9  # of a cloud's faces that lie level: it is no wall
SLIMMEST_SHARE = 0.02  # of its length: narrower than the cheek of a pier (common practice, no source)
ALSO_A_WALL_SHARE = 0.25  # of the largest: then it is not clear which of the two is meant


def read_scan(
    path: str | Path,
    wall: Wall,
    plumb: bool = True,
    choice: ScanChoice = NOTHING_SAID,
    name: str = "",
    said: Sequence[SaidOf] = (),
) -> Generator[float, None, Survey]:
    """The survey of one wall from a scan, in steps: yields the share done, returns the survey.

    Parameters
    ----------
    path : str or Path
    wall : Wall
        As the user has measured it. Its height tells the scan's unit unless that is said.
    plumb : bool
        Whether the instrument levelled itself.
    choice : ScanChoice
        Which of the walls in the scan is needed where several come into question.
    name : str
        What the file is called in messages.
    said : sequence of SaidOf
        What stands off the wall and is plaster, or left out.

    Raises
    ------
    TakeoffError
        As `find_walls` and `FoundWall.survey`; or no unit makes the scan fit the wall, or it is not clear
        which of its walls is meant.
    """
    cloud = yield from relabel(cloud_steps(path, choice.unit, choice.up, name), lambda share: share / 2)
    notes: tuple[str, ...] = ()
    if cloud.also_up:
        cloud = _stood(wall, cloud)
        notes = (f"Up: the scan's {cloud.up} axis, by the wall's height of {wall.height_m:g} m.",)
    if flat_share(cloud.thin, cloud.up) > MOSTLY:
        raise not_upright(cloud)
    if cloud.unit is None:
        cloud = replace(cloud, unit=_unit_by(wall, cloud))
        notes += (f"Unit of the scan: {cloud.unit}, by the wall's height of {wall.height_m:g} m.",)
    walls = yield from relabel(walls_steps(cloud), lambda _: 0.5)
    chosen = _chosen(walls, choice.found)
    if choice.other_side:
        chosen = chosen.other_side()
    if choice.bow_out:
        chosen = chosen.without_bow()
    _check_slim(chosen)
    survey = yield from relabel(chosen.survey_steps(wall, plumb, said), lambda share: 0.5 + share / 2)
    return replace(survey, notes=(*notes, *survey.notes), scan=choice)


def scan_survey(
    path: str | Path,
    wall: Wall,
    plumb: bool,
    choice: ScanChoice,
    name: str = "",
    said: Sequence[SaidOf] = (),
) -> Survey:
    """The survey of one wall from a scan, all steps at once; see `read_scan`."""
    return finish(read_scan(path, wall, plumb, choice, name, said))


def _stood(wall: Wall, cloud: Cloud) -> Cloud:
    """A cloud that may stand in several ways, in that which is as high as the wall; else the likeliest."""
    units = [cloud.unit] if cloud.unit else METRES

    def off(up: str) -> float:
        height, _ = extent_up_and_across(cloud.thin, up)
        return min(abs(log(max(height * float(METRES[one]), 1e-300) / wall.height_m)) for one in units)

    ways = cloud.up, *cloud.also_up
    best = min(ways, key=off)
    if off(cloud.up) <= off(best) + SAME_HEIGHT:
        best = cloud.up
    guess = guess_unit(*extent_up_and_across(cloud.thin, best))
    return replace(cloud, up=best, up_said=True, also_up=(), unit_guess=guess)


def _unit_by(wall: Wall, cloud: Cloud) -> str:
    """The unit in which the scan is about as high as the wall."""
    height, length = extent_up_and_across(cloud.thin, cloud.up)
    ratios = {unit: max(height * float(metres) / wall.height_m, 1e-300) for unit, metres in METRES.items()}
    fits = {unit: max(ratio, 1.0 / ratio) for unit, ratio in ratios.items()}
    unit = min(fits, key=lambda one: fits[one])
    if fits[unit] > FITS:
        raise wrong(
            cloud.name,
            f"{height:.4g} high and {length:.4g} long in its own numbers, along the {cloud.up} axis",
            f"in no unit is that wall {wall.name!r}, {wall.width_m:g} × {wall.height_m:g} m",
            f"see that the wall's size is right, or say the unit ({', '.join(METRES)}) and which axis is up",
        )
    return unit


def _chosen(walls: tuple[FoundWall, ...], found: int | None) -> FoundWall:
    """The wall that is meant."""
    if found is not None:
        if not 1 <= found <= len(walls):
            raise wrong(walls[0].cloud.name, f"found {found}", f"the scan holds walls 1 to {len(walls)}",
                        "choose one of these: " + _listed(walls))  # fmt: skip
        return walls[found - 1]
    large = [one for one in walls if one.area_m2 >= ALSO_A_WALL_SHARE * walls[0].area_m2]
    if len(large) > 1:
        raise wrong(walls[0].cloud.name, f"{len(large)} walls in one file: {_listed(tuple(large))}",
                    "a survey is of one wall", "say which: found=1 for the largest")  # fmt: skip
    return walls[0]


def _check_slim(found: FoundWall) -> None:
    """Refuse a strip that is no wall: points along one line have some width too."""
    width_m, height_m = found.found.frame.width_m, found.found.frame.height_m
    if min(width_m, height_m) < SLIMMEST_SHARE * max(width_m, height_m):
        raise wrong(
            found.cloud.name,
            f"a strip of {width_m:.3g} × {height_m:.3g} m",
            f"a wall is no narrower than {SLIMMEST_SHARE:.0%} of its length",
            "scan more of it, or export all of the cloud",
        )


def _listed(walls: tuple[FoundWall, ...]) -> str:
    sizes = (
        f"{nth}: {one.wall.width_m:.2f} × {one.wall.height_m:.2f} m" for nth, one in enumerate(walls, start=1)
    )
    return ", ".join(sizes)
