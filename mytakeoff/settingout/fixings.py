"""Every fixing of a wall's rails: where it is, how far its head stands off the wall, which screw holds it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.errors import Check
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.choices import RailChoice
from mytakeoff.rails.rails import fixing_heights, rail_names
from mytakeoff.settingout.cable_zones import Zone, cable_reasons
from mytakeoff.surface.surface import behind_mm
from mytakeoff.survey.survey import Floats
from mytakeoff.treatment.wall_result import WallResult

FUZZ_MM = 1e-6


@dataclass(frozen=True)
class Fixing:
    """One fixing (or dab) of a rail.

    Parameters
    ----------
    rail : str
        Number of the rail from the left, with a letter where it is cut: "3", "4a".
    number : int
        On that piece, from the floor up [-].
    x_m, z_m : float
        Where it is [m].
    projection_mm : float or None
        How far the screw head, or the back of the rail, stands off the wall as it is now; None where nobody
        measured [mm].
    take_down_mm : float
        What comes off the wall here first, because it is too proud for the rail [mm].
    plaster_mm : float or None
        From the wall to the finished face, once that is off [mm].
    need_mm : float or None
        Shortest screw that reaches: out to its head, through old plaster that stays, and its embedment [mm].
    screw_mm : float or None
        The one to take of those at hand; None on dabs and where nobody measured [mm].
    first : bool
        The one to start the rail with: where the wall comes closest to it.
    zones : tuple of str
        Why a cable is to be expected here.
    """

    rail: str
    number: int
    x_m: float
    z_m: float
    projection_mm: float | None
    take_down_mm: float
    plaster_mm: float | None
    need_mm: float | None
    screw_mm: float | None
    first: bool = False
    zones: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """Rail and number: "4.1"."""
        return f"{self.rail}.{self.number}"

    @property
    def too_proud(self) -> bool:
        """Whether the wall has to come down here before the rail fits."""
        return self.take_down_mm > 0


class Profile:
    """Thickness, what is taken down and old plaster along one upright line of a wall."""

    def __init__(self, wall: WallResult, old_mm: Floats, x_m: float) -> None:
        surface = wall.surface
        half = float(surface.x_m[1] - surface.x_m[0]) / 2 if surface.x_m.size > 1 else surface.wall.width_m
        # the columns in which the plane's rule keeps room for the rail
        near = np.abs(surface.x_m - x_m) <= half + 1e-9
        self.z_m = surface.z_m
        self.columns = [
            array[:, near].mean(axis=1)
            for array in (wall.build_up.thickness_mm, wall.build_up.cut_mm, old_mm)
        ]

    def at(self, z_m: float) -> tuple[float, float, float] | None:
        """Thickness, what is taken down, old plaster that stays [mm]; None where nobody measured."""
        known = ~np.isnan(self.columns[0])
        upper = int(np.searchsorted(self.z_m, z_m))
        around = [row for row in (upper - 1, upper) if 0 <= row < self.z_m.size and known[row]]
        if not around:
            return None
        values = [float(np.interp(z_m, self.z_m[around], column[around])) for column in self.columns]
        return values[0], values[1], values[2]


def old_plaster_mm(wall: WallResult, growth_share: float) -> Floats:
    """Old plaster that stays on each cell, behind the new (nz, nx) [mm].

    Parameters
    ----------
    wall : WallResult
    growth_share : float
        Growth of loose areas as they come off [-].
    """
    entry, surface = wall.entry, wall.surface
    stays = entry.old_plaster_mm if background_of(entry.background).old_plaster else None
    off = behind_mm(surface, entry.loose, growth_share) + wall.build_up.cut_mm
    return np.maximum((stays or 0.0) - off, 0.0)


def fixings_of(
    wall: WallResult, choice: RailChoice, zones: tuple[Zone, ...], growth_share: float = 0.25
) -> tuple[Fixing, ...]:
    """Every fixing of a wall's rails, rail by rail from the left, from the floor up.

    Parameters
    ----------
    wall : WallResult
    choice : RailChoice
    zones : tuple of Zone
        Where cables are to be expected.
    growth_share : float
        Growth of loose areas as they come off, as the job has it [-].

    Raises
    ------
    TakeoffError
        A rail that no screw at hand can hold: each place told.
    """
    old = old_plaster_mm(wall, growth_share)
    check = Check()
    found: list[Fixing] = []
    for name, rail in zip(rail_names(wall.rails), wall.rails, strict=True):
        profile = Profile(wall, old, rail.x_m)
        row = [
            _fixing(wall, choice, profile, name, number, rail.x_m, z_m, zones)
            for number, z_m in enumerate(fixing_heights(rail, choice), start=1)
        ]
        _check_screws(row, choice, f"wall {wall.entry.name!r}, rail {name}", check)
        found += _with_first(row)
    check.done()
    return tuple(found)


def _fixing(
    wall: WallResult, choice: RailChoice, profile: Profile, name: str, number: int, x_m: float, z_m: float,
    zones: tuple[Zone, ...],
) -> Fixing:  # fmt: skip
    drills = choice.bedded == "fixings"
    why = cable_reasons(zones, x_m, z_m) if drills else ()
    here = profile.at(z_m)
    if here is None:
        return Fixing(name, number, x_m, z_m, None, 0.0, None, None, None, zones=why)
    thickness, cut, old = here
    off_wall = thickness - wall.system.finish_mm - choice.depth_mm
    cut = cut if cut > FUZZ_MM else 0.0
    need = off_wall + old + choice.embedment_mm if drills else None
    screw = next((s for s in sorted(choice.screws_mm) if need is not None and s >= need - FUZZ_MM), None)
    return Fixing(name, number, x_m, z_m, off_wall - cut, cut, thickness, need, screw, zones=why)


def start_of(fixings: Iterable[Fixing]) -> Fixing | None:
    """The fixing to start with: where the wall comes closest to a rail; None where nobody measured."""
    known = [fixing for fixing in fixings if fixing.projection_mm is not None]
    return min(known, key=lambda fixing: fixing.projection_mm or 0.0, default=None)


def _with_first(row: list[Fixing]) -> list[Fixing]:
    """The fixings of one rail, the one to start with marked."""
    start = start_of(row)
    return [replace(fixing, first=fixing is start) for fixing in row]


def _check_screws(row: list[Fixing], choice: RailChoice, place: str, check: Check) -> None:
    held = [fixing for fixing in row if fixing.need_mm is not None and fixing.screw_mm is None]
    if held:
        worst = max(held, key=lambda fixing: fixing.need_mm or 0.0)
        longest = max(choice.screws_mm, default=0.0)
        check.that(
            False,
            f"{len(held)} of {len(row)} fixings need up to {worst.need_mm:.0f} mm of screw "
            f"(at z {worst.z_m:.2f} m), the longest at hand is {longest:g} mm",
            f"a screw reaches from its head through old plaster and {choice.embedment_mm:g} mm into the wall",
            "get longer screws and say so: 'Longest screw at hand' (screws_mm under rails in job.toml), or "
            "bed the rails on dabs: 'Rails are held'",
            place,
        )
