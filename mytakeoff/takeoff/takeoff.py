"""The takeoff: every quantity that the job takes, with what it was computed from, before any price.

A price edit does not come here: `takeoff_lines` reads neither prices nor margins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from mytakeoff.job import catalogue
from mytakeoff.job.edits import without_money
from mytakeoff.job.job import Job
from mytakeoff.labour.hours import labour_hours
from mytakeoff.labour.waits import gaugings_by_mix
from mytakeoff.measure.line import LABOUR, MATERIALS, SUNDRIES, Quantity, present, quantity
from mytakeoff.measure.materials import mix_needs
from mytakeoff.measure.wall_measures import Measures, measure_wall
from mytakeoff.takeoff.material_lines import mix_lines, treatment_lines
from mytakeoff.takeoff.needs import Need, needs_of
from mytakeoff.takeoff.preparation_lines import disposal_lines, protection_lines
from mytakeoff.takeoff.site_lines import not_priced, site_lines, strip_lines
from mytakeoff.treatment.notices import check_walls
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.units import decimal_of, round_money, share_out


@dataclass(frozen=True)
class Takeoff:
    """All quantities of a job in the order of the work, what is named as not in the price, what is bought."""

    quantities: tuple[Quantity, ...]
    excluded: tuple[str, ...] = ()
    needs: tuple[Need, ...] = ()


def takeoff_lines(job: Job, walls: Sequence[WallResult]) -> Takeoff:
    """Everything that the job takes, unpriced.

    Parameters
    ----------
    job : Job
        Its prices and margins are not read.
    walls : sequence of WallResult
        The walls that count; those on which nothing is done take nothing, extras neither.

    Returns
    -------
    Takeoff

    Raises
    ------
    TakeoffError
        A mix that does not belong on its background, high spots cut back too far, an extra below zero.
    """
    walls = [wall for wall in walls if wall.worked]
    check_walls(walls)
    work = without_money(job)
    measures = [measure_wall(work, wall) for wall in walls]
    needs = mix_needs(job, walls)
    quantities = (
        *protection_lines(job, measures),
        *strip_lines(job, walls, measures),
        *disposal_lines(job, walls, measures, needs),
        *treatment_lines(job, measures),
        *mix_lines(job, needs, gaugings_by_mix(work, walls, measures)),
        *_pieces(job, walls, measures),
        *_labour(job, walls, measures),
        *site_lines(job, walls, measures),
        *(_extras(job) if walls else ()),
    )
    return Takeoff(quantities, not_priced(job, walls), needs_of(job, walls, needs, quantities))


def _pieces(job: Job, walls: Sequence[WallResult], measures: Sequence[Measures]) -> tuple[Quantity, ...]:
    """Beads, rails with what holds them, and things in the way."""
    reveals_m = sum(o.reveal_m for wall in walls if wall.built_up for o in wall.entry.wall.openings)
    angle_m, stop_m = sum(m.angle_bead_m for m in measures), sum(m.stop_bead_m for m in measures)
    formats = job.formats
    number = formats.number
    along = number(reveals_m, 2), number(angle_m - reveals_m, 2)
    bead_words = f"{along[0]} m along reveals and {along[1]} m of corners and edges"
    sockets, radiators = sum(m.sockets for m in measures), sum(m.radiators for m in measures)
    return present(
        quantity(catalogue.ANGLE_BEAD, angle_m, bead_words, MATERIALS),
        quantity(catalogue.STOP_BEAD, stop_m, "as entered, by wall and opening", MATERIALS),
        *_rails(job, measures),
        quantity(catalogue.SOCKET, sockets, "as entered, by wall", SUNDRIES),
        quantity(catalogue.RADIATOR, radiators, "as entered, by wall", SUNDRIES),
    )


def _rails(job: Job, measures: Sequence[Measures]) -> tuple[Quantity | None, Quantity | None]:
    count, length_m = sum(m.rails for m in measures), sum(m.rail_m for m in measures)
    formats, fixings, choice = job.formats, sum(m.fixings for m in measures), job.rails
    number = formats.number
    channels_l = length_m * choice.width_mm * choice.depth_mm / 1000
    stay = "left in" if choice.left_in else (
        f"taken out; their channels, {number(channels_l, 1)} l, are filled within the litres of the backing"
    )  # fmt: skip
    beyond = formats.length(choice.overhang_m)
    edge = f"{formats.length(choice.straightedge_m)} edge reaching {beyond} beyond each"
    words = f"{count} pieces for a {edge}, {stay}"
    on_dabs = choice.bedded == "dabs"
    item, what = (
        (catalogue.RAIL_DAB, "dabs") if on_dabs else (catalogue.RAIL_FIXING, "fixings with 6 mm plugs")
    )
    held = (
        f"{what} on {count} pieces, near both ends and at most {formats.length(choice.fixing_step_m)} apart"
    )
    return quantity(catalogue.RAIL, length_m, words, MATERIALS), quantity(item, fixings, held, MATERIALS)


def _labour(job: Job, walls: Sequence[WallResult], measures: Sequence[Measures]) -> tuple[Quantity, ...]:
    """A plasterer's hours by task, which add up to whole half days, and the labourer's."""
    tasks = labour_hours(job, walls, measures)
    exact = [decimal_of(task.hours) for task in tasks]
    hours = share_out(round_money(sum(exact, Decimal(0)), 2), exact)
    who = catalogue.PLASTERER
    lines = [
        quantity(who, shown, task.basis, LABOUR, f"{who}: {task.name}", said=task.said(job.formats))
        for task, shown in zip(tasks, hours, strict=True)
    ]
    site_mixed = round_money(decimal_of(sum(task.site_mixed_h for task in tasks)))
    helper = _labourer(job, sum(hours, Decimal(0)), site_mixed)
    return present(*lines, helper)


def _labourer(job: Job, total: Decimal, site_mixed: Decimal) -> Quantity | None:
    """The labourer's hours beside all of a plasterer's, `site_mixed` of them at mixes made on site [h]."""
    formats, rates = job.formats, job.rates
    usual, mixing = rates.labourer_for(), rates.site_mix_labourer
    hours = (total - site_mixed) * decimal_of(usual) + site_mixed * decimal_of(mixing)
    words = f"{formats.number(total, 2)} plasterer's hours × {formats.short(usual)}"
    if site_mixed and mixing != usual:
        words = (
            f"{formats.number(total - site_mixed, 2)} plasterer's hours × {formats.short(usual)} and "
            f"{formats.number(site_mixed, 2)} laying what is mixed on site × {formats.short(mixing)}"
        )
    return quantity(catalogue.LABOURER, hours, words, LABOUR)


def _extras(job: Job) -> tuple[Quantity, ...]:
    """What the user added."""
    return present(
        *(
            quantity(extra.item, extra.quantity, "as entered", SUNDRIES, unit="")
            for extra in job.extras
            if not extra.excluded
        )
    )
