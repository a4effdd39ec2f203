"""Takeoff lines of what goes with the work: stripping, skirting, a platform, travel; and what is not priced.

Notes
-----
What a plasterer as often leaves out is priced only where the job says so, and named as not in the price
elsewhere. Stripping and skirting are priced with the work, by the metre: their hours are not the plasterers'.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mytakeoff.formats.formats import counted
from mytakeoff.job import catalogue
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.job import Job
from mytakeoff.labour.schedule import schedule
from mytakeoff.measure.line import PREPARATION, SUNDRIES, Quantity, present, quantity
from mytakeoff.measure.wall_measures import Measures, edges_m
from mytakeoff.treatment.wall_result import WallResult

STRIPPING = {"paper": catalogue.STRIP_PAPER, "paint": catalogue.STRIP_PAINT}


def strip_lines(job: Job, walls: Sequence[WallResult], measures: Sequence[Measures]) -> tuple[Quantity, ...]:
    """Paper and paint, by the square metre of wall whose plaster stays."""
    lines: list[Quantity | None] = []
    number = job.formats.number
    for kind, item in STRIPPING.items():
        areas = [
            (m.name, m2)
            for wall, m in zip(walls, measures, strict=True)
            if wall.entry.strip == kind and (m2 := wall.build_up.area_m2 - m.hacked_m2 - m.fallen_m2) > 0
        ]
        words = ", ".join(f"{name} {number(m2, 2)} m²" for name, m2 in areas)
        lines.append(
            quantity(
                item, sum(m2 for _, m2 in areas), f"{words}, without old plaster that comes off", PREPARATION
            )
        )
    return present(*lines)


def site_lines(job: Job, walls: Sequence[WallResult], measures: Sequence[Measures]) -> tuple[Quantity, ...]:
    """Skirting off and on; for days of the programme a platform, travel and parking."""
    off = [wall.entry for wall in walls if wall.covered and wall.entry.skirting_off_m > 0]
    words = ", ".join(f"{entry.name} {job.formats.number(entry.skirting_off_m, 2)} m" for entry in off)
    skirting_m = sum(entry.skirting_off_m for entry in off)
    skirting = quantity(catalogue.SKIRTING, skirting_m, f"off and on again: {words}", SUNDRIES)
    return present(skirting, *(_by_the_day(job, walls, measures) if walls else ()))


def _by_the_day(
    job: Job, walls: Sequence[WallResult], measures: Sequence[Measures]
) -> Iterator[Quantity | None]:
    site = job.site
    if not (site.travel or site.parking or site.platform):
        return
    planned, high = schedule(job, walls), high_walls(job, walls)
    if site.platform and high:
        words = f"days on walls higher than {job.formats.length(site.reach_m)}: {', '.join(high)}"
        yield quantity(catalogue.PLATFORM, planned.days_on(high), words, SUNDRIES)
    for asked, item in ((site.travel, catalogue.TRAVEL), (site.parking, catalogue.PARKING)):
        if asked:
            yield quantity(item, planned.days_on(), "days on site, as the programme has it", SUNDRIES)


def high_walls(job: Job, walls: Sequence[WallResult]) -> tuple[str, ...]:
    """Names of the walls that are plastered above a plasterer's reach."""
    tops = ((wall.entry.name, wall.entry.wall.height_m - wall.entry.wall.cornice_m) for wall in walls)
    return tuple(name for name, top_m in tops if top_m > job.site.reach_m + 1e-9)


def not_priced(job: Job, walls: Sequence[WallResult]) -> tuple[str, ...]:
    """Everything that is named as not in the price, each once."""
    named = [extra.item for extra in job.extras if extra.excluded]
    priced = {extra.item for extra in job.extras if not extra.excluded}
    if any(wall.covered and wall.entry.skirting_off_m > 0 for wall in walls):
        priced.add(catalogue.SKIRTING)
    priced |= {STRIPPING[wall.entry.strip] for wall in walls if wall.entry.strip}
    asked = ((job.site.travel, catalogue.TRAVEL), (job.site.parking, catalogue.PARKING))
    priced |= {item for wanted, item in asked if wanted}
    standard = [name for name in catalogue.STANDARD_EXCLUSIONS if name not in priced]
    return tuple(dict.fromkeys([*_left_out(job, walls, priced), *named, *standard]))


def _left_out(job: Job, walls: Sequence[WallResult], priced: set[str]) -> Iterator[str]:
    """What this job's walls would have, and nobody asked for."""
    number, reach = job.formats.number, job.formats.length(job.site.reach_m)
    for wall in walls:
        name, unknown_m2 = wall.entry.name, wall.surface.unknown_area_m2
        if unknown_m2 >= 0.005:
            yield f"{number(unknown_m2, 2)} m² of {name} that the survey does not reach"
        bare_m = edges_m(wall.entry.wall) - wall.entry.stop_bead_m
        if wall.built_up and not wall.entry.edge_bead and bare_m >= 0.005:
            yield f"beads along {number(bare_m, 2)} m of {name} where plaster meets linings"
    worked = {wall.entry.room for wall in walls}
    for room in (room for room in job.rooms if room.name in worked and room.floor_area_m2 <= 0):
        yield f"{catalogue.PROTECTION}, {room.name}"
    high = high_walls(job, walls)
    if high and not job.site.platform and catalogue.PLATFORM not in priced:
        yield f"{catalogue.PLATFORM}, {counted(len(high), 'wall')} higher than {reach}"
    papered = any(background_of(w.entry.background).old_plaster and not w.entry.strip for w in walls)
    yield from (item for item in STRIPPING.values() if papered and item not in priced)
