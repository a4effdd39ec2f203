"""Where a wall asks more of its mixes or its background than they carry: said, never priced in silence.

Notes
-----
What may be taken down is the lesser of what was asked and what the background allows; a notice says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.coats.coats import Layer
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.backgrounds import background_of, check_background, check_system, cut_limit_mm, pair_for
from mytakeoff.job.mixes import System
from mytakeoff.survey.cells import inside
from mytakeoff.survey.wall import Rectangle
from mytakeoff.treatment.loose_areas import loose_depths
from mytakeoff.treatment.wall_result import WallResult

MOVED = {
    "socket": "comes forward",
    "switch": "comes forward",
    "light": "comes off and forward",
    "pipe": "stays and is plastered round",
    "radiator": "comes off and is hung again",
    "other": "comes off, or stays and is plastered round",
}
OVERLOADED_SHARE = 0.1  # more of a wall than that: it cannot be plastered as it is priced
WAY_OUT = (
    "use another mix, bed in mesh fixed to the wall, line it with boards, or let the plane lean or take high "
    "spots down."
)
ROUNDING = 1e-9  # of a wall
SLACK_MM = 0.01  # thinner than this is rounding, not plaster


def greatest_total_mm(system: System) -> float:
    """Thickest build-up that the mixes of a system carry together, the finish among it [mm].

    Examples
    --------
    >>> from mytakeoff.job.catalogue import GYPSUM_SKIM, LIGHT_GYPSUM
    >>> greatest_total_mm(System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0))
    37.0
    """
    deep = system.dubbing.max_total_mm if system.dubbing else 0.0
    return max(system.backing.max_total_mm, deep) + system.finish_mm


def area_above_m2(wall: WallResult, limit_mm: float, off_rectangles: Sequence[Rectangle] = ()) -> float:
    """Area whose plaster is thicker than a limit, cells that touch the given rectangles left out [m²]."""
    if not off_rectangles:
        return wall.build_up.depths.area_above(limit_mm + SLACK_MM)
    thick = np.nan_to_num(wall.build_up.thickness_mm) > limit_mm + SLACK_MM
    x_m, z_m = wall.surface.x_m[None, :], wall.surface.z_m[:, None]
    half_cell_m = math.sqrt(float(wall.surface.cell_area_m2.max())) / 2
    for rectangle in off_rectangles:
        thick &= ~inside(rectangle, x_m, z_m, margin_m=-half_cell_m)
    return float(wall.surface.cell_area_m2[thick].sum())


def wall_notices(wall: WallResult, growth_share: float = 0.25, formats: Formats = HOUSE) -> tuple[str, ...]:
    """Everything to know about one wall: of its survey, its mixes, its coats, and what is not priced.

    Parameters
    ----------
    wall : WallResult
    growth_share : float
        Growth of loose areas as they come off, as the job has it [-].
    formats : Formats

    Returns
    -------
    tuple of str
    """
    unknown_m2 = wall.surface.unknown_area_m2
    unknown = (
        f"{formats.number(unknown_m2, 2)} m² that the survey does not reach are not priced: read them too."
    )
    unsplit = (_unsplit_notice(layer, formats) for layer in wall.layers)
    of_mixes = (*system_notices(wall, growth_share, formats), *unsplit)
    said = (
        *wall.surface.notices,
        *of_mixes,
        unknown if unknown_m2 >= 0.005 else "",
        _in_the_way(wall, formats),
    )
    return tuple(notice for notice in said if notice)


def _in_the_way(wall: WallResult, formats: Formats) -> str:
    """Which fittings have to move, by name and place; a box's own hole in the plaster is left in the area.

    Sockets stay where no backing goes over the wall: a skim alone does not bury their boxes.
    """
    here = [
        fitting
        for fitting in wall.entry.fittings
        if not fitting.other_face and (wall.built_up or fitting.kind == "radiator")
    ]
    if not here or not wall.covered:
        return ""
    named = "; ".join(
        f"{fitting.name} ({formats.place(fitting.x_m, fitting.z_m)}) {MOVED[fitting.kind]}"
        for fitting in here
    )
    return f"In the way of the plaster: {named}."


def _unsplit_notice(layer: Layer, formats: Formats) -> str:
    if layer.coats.misfit_area_m2 < 0.005:
        return ""
    mix = layer.mix
    return (
        f"{formats.number(layer.coats.misfit_area_m2, 2)} m² of the {layer.role} cannot be made up in coats "
        f"of {formats.depth(mix.least_coat_mm, mix.max_coat_mm)} of {mix.name}: too thick for so many, "
        "too thin for one more. Use another mix there or move the plane."
    )


def system_notices(wall: WallResult, growth_share: float = 0.25, formats: Formats = HOUSE) -> tuple[str, ...]:
    """Warnings where a wall is thicker than its mixes or its background carry, or is cut back too far.

    The background's limit does not hold where its old plaster came off: the mix's own does.

    Parameters
    ----------
    wall : WallResult
    growth_share : float
        Growth of loose areas as they come off, as the job has it [-].
    formats : Formats

    Returns
    -------
    tuple of str
        One for each limit that is passed, with the area and what to do about it.
    """
    thick = (_thick_notice(passed, formats) for passed in _passed_limits(wall, growth_share))
    return tuple(notice for notice in (*thick, _cut_notice(wall, formats)) if notice)


@dataclass(frozen=True)
class PassedLimit:
    """A wall that is thicker than something carries.

    Parameters
    ----------
    wall : str
        Its name.
    carrier : str
        What carries no more, in words.
    limit_mm : float
        What it carries [mm].
    area_m2 : float
        Wall that is thicker [m²].
    share : float
        The same of the plastered wall [-].
    max_mm : float
        Thickest place [mm].
    """

    wall: str
    carrier: str
    limit_mm: float
    area_m2: float
    share: float
    max_mm: float


def _passed_limits(wall: WallResult, growth_share: float) -> Iterator[PassedLimit]:
    """What its mixes carry and what its background carries, as far as the wall is thicker than that."""
    first = wall.first_mix
    pair = pair_for(wall.entry.background, first)
    hollows = [d[0] for fallen in (False, True) for d in loose_depths(wall.entry, growth_share, fallen)]
    limits: tuple[tuple[float, str, list[Rectangle]], ...] = (
        (greatest_total_mm(wall.system), first.name, []),
        (pair.max_total_mm, f"{wall.entry.background} under {first.name}", hollows),
    )
    build_up = wall.build_up
    for limit_mm, carrier, off in limits:
        area_m2 = area_above_m2(wall, limit_mm, off) if math.isfinite(limit_mm) else 0.0
        if area_m2 > 0:
            share = area_m2 / build_up.area_m2
            yield PassedLimit(wall.entry.name, carrier, limit_mm, area_m2, share, build_up.max_mm)


def overload(wall: WallResult, growth_share: float = 0.25) -> PassedLimit | None:
    """What makes a wall impossible as it is priced: the limit that most of it passes, over a tenth of it.

    Parameters
    ----------
    wall : WallResult
    growth_share : float
        Growth of loose areas as they come off, as the job has it [-].

    Returns
    -------
    PassedLimit or None
        None where no more than `OVERLOADED_SHARE` of the wall is thicker than what carries it.
    """
    most = max(_passed_limits(wall, growth_share), key=lambda passed: passed.share, default=None)
    return most if most is not None and most.share > OVERLOADED_SHARE + ROUNDING else None


def _thick_notice(passed: PassedLimit, formats: Formats) -> str:
    number = formats.number
    return (
        f"{number(passed.area_m2, 2)} m² are thicker than the {formats.depth(passed.limit_mm)} that "
        f"{passed.carrier} carries, up to {formats.depth(passed.max_mm, places=1)}: {WAY_OUT}"
    )


def _cut_notice(wall: WallResult, formats: Formats) -> str:
    deepest = wall.build_up.deepest_cut_mm
    limit = cut_limit_mm(wall.entry.background, wall.entry.old_plaster_mm)
    if deepest <= limit + SLACK_MM:
        return ""
    rule = background_of(wall.entry.background).cut_rule
    return (
        f"High spots would be taken down by {formats.depth(deepest, places=1)}, more than the "
        f"{formats.depth(limit)} that {wall.entry.background} allows ({rule}); the rule cuts up to "
        f"{formats.depth(wall.rule.cut_mm)}. Not priced until that is settled."
    )


def cut_less_notice(wall: WallResult, asked_mm: float, formats: Formats) -> str:
    """Words for a wall whose background allows less to be taken down than was asked [mm]."""
    rule = background_of(wall.entry.background).cut_rule
    return (
        f"High spots are taken down by at most {formats.depth(wall.rule.cut_mm)} here, "
        f"not the {formats.depth(asked_mm)} asked: "
        f"{wall.entry.background} allows no more ({rule}). Look under the plaster before cutting deeper."
    )


def check_mixes(wall: WallResult, place: str) -> None:
    """Refuse a mix that does not belong on the wall's background; patches may be as thin as they come.

    Raises
    ------
    TakeoffError
        Everything forbidden, told together.
    """
    if wall.floated:
        check_system(wall.entry.background, wall.system, place)
        return
    check = Check(place)
    for layer in wall.layers:
        try:
            thin = layer.mix if layer.role == "backing" else replace(layer.mix, least_coat_mm=0.0)
            check_background(wall.entry.background, thin, place)
        except TakeoffError as error:
            check.add(error)
    check.done()


def check_walls(walls: Iterable[WallResult]) -> None:
    """Refuse to price what must not be done: a forbidden mix, or high spots cut back too far.

    Raises
    ------
    TakeoffError
        Every mistake of every wall, told together.
    """
    check = Check()
    for wall in walls:
        place = f"wall {wall.entry.name!r}"
        try:
            check_mixes(wall, place)
        except TakeoffError as error:
            check.add(error)
        limit = cut_limit_mm(wall.entry.background, wall.entry.old_plaster_mm)
        deepest = wall.build_up.deepest_cut_mm
        check.that(
            deepest <= limit + SLACK_MM,
            f"high spots taken down by up to {HOUSE.number(deepest, 1)} mm",
            f"{wall.entry.background} allows {limit:g} mm ({background_of(wall.entry.background).cut_rule})",
            f"take down at most {limit:g} mm, or measure the depth of the old plaster and enter it",
            place,
        )
    check.done()
