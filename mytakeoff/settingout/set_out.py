"""From the plane to the wall: rails, bays, fixings, the laser's mark, the cut list, what to check."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from mytakeoff.audience import ESTIMATOR, SHOWN_TO
from mytakeoff.errors import Check, Mistake, TakeoffError, told
from mytakeoff.formats.formats import HOUSE, Formats, counted
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.job import Job
from mytakeoff.plane.target_plane import Touch
from mytakeoff.rails.cut_list import CutList, cut_list
from mytakeoff.rails.layout import rails_on
from mytakeoff.rails.rails import RailPiece, rail_names
from mytakeoff.rails.span import Bay, bays_of, not_ruled, not_ruled_words
from mytakeoff.result import Result
from mytakeoff.settingout.cable_zones import ACCESSORY_M, Zone, zones_of
from mytakeoff.settingout.checks import check_words, laser_words
from mytakeoff.settingout.fixings import Fixing, fixings_of, start_of
from mytakeoff.settingout.room_setting import RoomSetting, rooms_set_out
from mytakeoff.takeoff.needs import pieces_of
from mytakeoff.takeoff.offers import cuts_of
from mytakeoff.treatment.wall_result import WallResult

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "wall", "rail", "fixing", "x_m", "z_m", "head_off_wall_now_mm", "take_down_first_mm", "screw_mm",
    "plaster_mm", "laser_to_wall_mm", "laser_to_head_mm", "start_here", "look_for_cables", "done",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class WallSetting:
    """What is set out on one wall.

    Parameters
    ----------
    wall : WallResult
    rails : tuple of RailPiece
        As they are cut, left to right and from the floor up; empty where there are none.
    names : tuple of str
        Number of each piece.
    bays : tuple of Bay
    fixings : tuple of Fixing
        Rail by rail.
    zones : tuple of Zone
        Where cables are to be expected; empty where nothing is drilled.
    laser_to_head_mm : float or None
        What is read at every head with the laser plane set as the checks say; None where nobody measured
        along the rails [mm].
    checks : tuple of str
        Plumb, one plane, square: what to hold against what.
    notices : tuple of str
        What the sheet has to say besides.
    why_none : str
        Where nothing is set out: why.
    refused : tuple of Mistake
        What has to be put right before this wall's rails can be set out.
    rail_width_m : float
        Width of a rail [m].
    reads : str
        That one reading in words.
    drilled : bool
        Whether the rails are held by fixings, not by dabs.
    formats : Formats
        The job's.
    """

    wall: WallResult
    rails: tuple[RailPiece, ...] = ()
    names: tuple[str, ...] = ()
    bays: tuple[Bay, ...] = ()
    fixings: tuple[Fixing, ...] = ()
    zones: tuple[Zone, ...] = ()
    laser_to_head_mm: float | None = None
    checks: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
    why_none: str = ""
    refused: tuple[Mistake, ...] = ()
    rail_width_m: float = 0.0
    reads: str = ""
    drilled: bool = True
    formats: Formats = HOUSE

    @property
    def name(self) -> str:
        """The wall's name."""
        return self.wall.entry.name

    @property
    def touches(self) -> tuple[Touch, ...]:
        """The high spots that set the plane."""
        return self.wall.plane.touches if self.rails else ()

    @property
    def screws(self) -> dict[float, int]:
        """How many screws of each length [mm], shortest first [-]."""
        return dict(sorted(Counter(f.screw_mm for f in self.fixings if f.screw_mm is not None).items()))

    @property
    def held_by(self) -> str:
        """What holds the rails: "fixing" or "dab"."""
        return "fixing" if self.drilled else "dab"

    @property
    def unread(self) -> tuple[Fixing, ...]:
        """Fixings where nobody measured: which screw they take is seen on the wall."""
        return tuple(fixing for fixing in self.fixings if fixing.projection_mm is None)

    @property
    def start(self) -> Fixing | None:
        """The fixing to start the wall with."""
        return start_of(self.fixings)

    def laser_to_wall_mm(self, fixing: Fixing) -> float | None:
        """What the laser plane reads to the bare wall at a fixing; None where nobody measured [mm]."""
        if self.laser_to_head_mm is None or fixing.projection_mm is None:
            return None
        return self.laser_to_head_mm + fixing.projection_mm


@dataclass(frozen=True, eq=False)
class SettingOut:
    """What is set out on every priced wall, and the rails cut for all of them together.

    Parameters
    ----------
    job : Job
    walls : tuple of WallSetting
    cuts : CutList
        Stock lengths to buy and what is cut from each; rails of walls that were refused are not among them.
    notes : tuple of str
        Of the result.
    not_read : tuple of str
        Which walls are missing since they are not read yet.
    """

    job: Job
    walls: tuple[WallSetting, ...]
    cuts: CutList
    notes: tuple[str, ...] = ()
    not_read: tuple[str, ...] = ()

    @property
    def fixing_count(self) -> int:
        """Fixings (or dabs) on all walls [-]."""
        return sum(len(wall.fixings) for wall in self.walls)

    @property
    def screws(self) -> dict[float, int]:
        """How many screws of each length [mm] on all walls, shortest first [-]."""
        total: Counter[float] = Counter()
        for wall in self.walls:
            total.update(wall.screws)
        return dict(sorted(total.items()))

    def wall(self, name: str) -> WallSetting:
        """The setting out of one wall.

        Raises
        ------
        KeyError
            It is not among those priced.
        """
        for wall in self.walls:
            if wall.name == name:
                return wall
        raise KeyError(name)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the walls."""
        return tuple(wall.name for wall in self.walls)

    @property
    def refused(self) -> tuple[WallSetting, ...]:
        """The walls whose rails cannot be set out as the job has them."""
        return tuple(wall for wall in self.walls if wall.refused)

    @cached_property
    def rooms(self) -> tuple[RoomSetting, ...]:
        """The rooms whose corners are listed."""
        return rooms_set_out(self.job, [wall.wall for wall in self.walls])

    def to_frame(self) -> pd.DataFrame:
        """One row a fixing, for the file: see `COLUMNS`, and shown_to; `done` is left to tick."""
        import pandas as pd

        rows = [row for wall in self.walls for row in fixing_rows(wall)]
        return pd.DataFrame(rows, columns=list(COLUMNS)).assign(**{SHOWN_TO: ESTIMATOR})


def fixing_rows(setting: WallSetting) -> list[tuple[object, ...]]:
    """The rows of one wall's fixings, as `COLUMNS` has them."""
    return [
        (
            setting.name, fixing.rail, fixing.number, round(fixing.x_m, 3), round(fixing.z_m, 3),
            _tenth(fixing.projection_mm), _tenth(fixing.take_down_mm), fixing.screw_mm,
            _tenth(fixing.plaster_mm), _tenth(setting.laser_to_wall_mm(fixing)),
            _tenth(setting.laser_to_head_mm), fixing.first, "; ".join(fixing.zones), None,
        )
        for fixing in setting.fixings
    ]  # fmt: skip


def _tenth(value: float | None) -> float | None:
    """To a tenth of a millimetre, which nobody sets finer, and never minus nothing."""
    return None if value is None else round(value, 1) + 0.0


def set_out(result: Result) -> SettingOut:
    """Rails, fixings and cut list of every priced wall.

    Parameters
    ----------
    result : Result

    Returns
    -------
    SettingOut
        From the same stages as the price: rails, fixings and thicknesses are those of the result. A wall that
        cannot be set out says why, and the others are set out without it.

    Raises
    ------
    TakeoffError
        No wall's rails can be set out: a rail that no screw holds, stock shorter than a rail, rails of the
        user's own that leave ground unruled where the program's would not, a laser set closer than a head:
        all told at once.
    """
    walls = tuple(_set_out_or_why(result.job, wall) for wall in result.walls)
    refused = [mistake for wall in walls for mistake in wall.refused]
    if refused and not any(wall.rails for wall in walls):
        raise TakeoffError(*refused)
    pieces = [piece for wall in walls if wall.rails for piece in pieces_of(wall.wall)]
    cuts = cuts_of(pieces, _stock_mm(result.job), result.job.rails.kerf_mm)
    return SettingOut(result.job, walls, cuts, result.notes, result.not_read)


def _set_out_or_why(job: Job, wall: WallResult) -> WallSetting:
    """One wall, or what has to be put right before it can be set out."""
    try:
        return set_out_wall(job, wall)
    except TakeoffError as error:
        lines = [line.removeprefix(f"wall {wall.entry.name!r}: ") for line in told(error.mistakes, 1)]
        why = f"NOT SET OUT, and in none of the lists: {'. '.join(lines)}."
        return WallSetting(wall, why_none=why, refused=error.mistakes, formats=job.formats)


def set_out_wall(job: Job, wall: WallResult) -> WallSetting:
    """Rails, bays, fixings and checks of one wall.

    Raises
    ------
    TakeoffError
        What stands in the way of it, all of it told.
    """
    if not wall.rails:
        return WallSetting(wall, why_none=_why_none(job, wall), formats=job.formats)
    choice, entry = job.rails, wall.entry
    zones = zones_of(entry) if choice.bedded == "fixings" else ()
    check = Check(f"wall {entry.name!r}")
    _check_own(job, wall, check)
    try:
        fixings = fixings_of(wall, choice, zones, job.loose_growth_share)
    except TakeoffError as error:
        check.add(error)
        fixings = ()
    read_mm = _laser_to_head_mm(job, fixings, check)
    _check_stock(job, wall, check)
    check.done()
    return WallSetting(
        wall=wall,
        rails=wall.rails,
        names=rail_names(wall.rails),
        bays=bays_of(entry.wall, wall.rails_x_m, choice),
        fixings=fixings,
        zones=zones,
        laser_to_head_mm=read_mm,
        checks=check_words(job, wall, read_mm, fixings),
        notices=_notices(job, wall, fixings),
        rail_width_m=choice.width_mm / 1000,
        reads=laser_words(job, read_mm) if read_mm is not None else "",
        drilled=choice.bedded == "fixings",
        formats=job.formats,
    )


def _why_none(job: Job, wall: WallResult) -> str:
    if wall.treatment is not None:
        return f"This wall is not brought to a plane ({wall.treatment.name}): it has no rails to set out."
    if not job.rails.used:
        return "The walls are floated freehand: there are no rails to set out."
    return "There is no room for a rail on this wall."


def _check_own(job: Job, wall: WallResult, check: Check) -> None:
    """Rails of the user's own that leave ground unruled where the program's rule it."""
    ground, choice = wall.entry.wall, job.rails
    if not wall.entry.rails_x_m:
        return
    own, ours = (
        sum(rectangle.area_m2 for rectangle in not_ruled(ground, places, choice))
        for places in (wall.rails_x_m, rails_on(ground, choice))
    )
    check.that(
        own <= ours + 1e-9,
        f"rails at {', '.join(f'{x:g}' for x in wall.rails_x_m)} m",
        not_ruled_words(ground, wall.rails_x_m, choice),
        "move them or add one, or press 'Stand them evenly again' (leave rails_x_m out of job.toml)",
    )


def _stock_mm(job: Job) -> int:
    return round(1000 * job.rails.stock_m)


def _check_stock(job: Job, wall: WallResult, check: Check) -> None:
    """Note every rail that is too long to be set without a joint."""
    pieces = pieces_of(wall)
    if any(piece.length_mm > _stock_mm(job) for piece in pieces):
        check.made(lambda: cut_list(pieces, _stock_mm(job)))


def _laser_to_head_mm(job: Job, fixings: tuple[Fixing, ...], check: Check) -> float | None:
    """The one reading at every head: the laser stands off the wall at the first fixing, less its head."""
    known = [fixing.projection_mm for fixing in fixings if fixing.projection_mm is not None]
    if not known:
        return None
    read = job.rails.laser_mm - min(known)
    check.that(
        read >= job.rails.depth_mm,
        f"a laser plane {job.rails.laser_mm:g} mm off the wall, heads {min(known):.0f} mm off it",
        "the laser plane clears the heads and the rails on them",
        "set it further off and say so: 'Laser plane off the wall' (laser_mm under rails in job.toml)",
    )
    return read


def _in_the_way(wall: WallResult) -> list[str]:
    """Rails that would run through a fitting on this face."""
    return [
        f"rail {name} runs through the {fitting.name}: move it, or cut it around that"
        for name, rail in zip(rail_names(wall.rails), wall.rails, strict=True)
        for fitting in wall.entry.fittings
        if not fitting.other_face
        and abs(fitting.x_m - rail.x_m) < ACCESSORY_M / 2
        and rail.bottom_m - ACCESSORY_M / 2 < fitting.z_m < rail.top_m + ACCESSORY_M / 2
    ]


def _over_words(job: Job, wall: WallResult) -> str:
    """What lies over every screw head when the wall is done."""
    depth, finish = job.rails.depth_mm, wall.system.finish_mm
    formats = job.formats
    over = "the rail" if job.rails.left_in else "the rail's channel made good"
    both = (
        f"{over} ({formats.depth(depth)}) and {formats.depth(finish)} of finish"
        if finish
        else f"{over} ({formats.depth(depth)})"
    )
    return f"over every head lie {formats.depth(depth + finish)}: {both}"


def _notices(job: Job, wall: WallResult, fixings: tuple[Fixing, ...]) -> tuple[str, ...]:
    entry, choice = wall.entry, job.rails
    unknown = [fixing.label for fixing in fixings if fixing.projection_mm is None]
    what = "dab" if choice.bedded == "dabs" else "fixing"
    proud = [fixing for fixing in fixings if fixing.too_proud]
    old = background_of(entry.background).old_plaster and entry.old_plaster_mm is None
    said = [not_ruled_words(entry.wall, wall.rails_x_m, choice, job.formats), *_in_the_way(wall)]
    if unknown:
        stand = "stands" if len(unknown) == 1 else "stand"
        where = f"({', '.join(unknown)}) {stand} where nobody measured"
        said.append(f"{counted(len(unknown), what)} {where}: read the wall there first")
    if proud:
        said.append(
            f"the wall is too proud at {counted(len(proud), what)}: first take down what the table says"
        )
    if old and choice.bedded == "fixings":
        said.append("how deep the old plaster is was not measured: the screws are reckoned without it")
    if choice.bedded == "dabs":
        said.append("rails on dabs: the table has the depth of the dab behind the rail, nothing is drilled")
    else:
        said.append(_over_words(job, wall))
    if choice.left_in:
        said.append(f"the rails stay in, under {job.formats.depth(wall.system.finish_mm)} of finish")
    if wall.allowance_mm > 0 and not entry.survey.swept:
        before = "hole is drilled" if choice.bedded == "fixings" else "rail is bedded"
        said.append(f"the wall was not swept: sweep a straightedge over it before the first {before}")
    return tuple(filter(None, said))
