"""What one finished job says: each figure that something was written down for."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from mytakeoff.account.account import Account
from mytakeoff.account.check import by_item, wasted_of
from mytakeoff.account.lines import task_lines
from mytakeoff.account.settle import RETURN_VISITS, as_measured, settle_up
from mytakeoff.account.settling import mix_thickness
from mytakeoff.chain import priced_with
from mytakeoff.finished.record import Finished
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.catalogue import DEFAULT_MIXES
from mytakeoff.job.job import Job
from mytakeoff.job.rates import LabourRates
from mytakeoff.labour import pieces
from mytakeoff.learning.priors import ALL_TASKS, Evidence, Prior
from mytakeoff.result import EXAMPLE_READINGS, Result

# the rates that a task's hours come of
RATES_OF: dict[str, tuple[str, ...]] = {
    "set up": ("room_set_up_h",),
    RETURN_VISITS: ("return_visit_h",),
    pieces.HACK_OFF: ("hack_off_h_per_m2",),
    pieces.TAKE_DOWN: ("take_down_h_per_m2",),
    pieces.PRIME: ("prime_h_per_m2",),
    pieces.RAILS: ("rails_h_per_m",),
    pieces.PATCHES: ("patch_h_each", "patch_h_per_m2"),
    pieces.DUB_OUT: ("further_coat_h_per_m2", "dub_out_h_per_m2_per_10_mm"),
    pieces.MESH: ("mesh_h_per_m2",),
    pieces.BEADS: ("beads_h_per_m",),
    pieces.FLOAT: ("float_h_per_m2", "float_more_h_per_m2_per_5_mm"),
    pieces.REVEALS: ("reveals_h_per_m",),
    pieces.MAKE_GOOD: ("make_good_h_per_m",),
    pieces.FINISH: ("skim_h_per_m2",),
    pieces.FITTINGS: ("fitting_h_each", "radiator_h_each"),
    "clean up": ("clean_up_h_per_day",),
}
# Common practice, no source, each of them.
HOURS_TO = 0.25  # hours are written down to the quarter
UNSEEN_WASTE = 0.05  # how far density may be off where nobody looked at what was wasted
LEAST_H = 0.25  # a task of less says nothing

USUAL_WASTE: float = Job.waste_share  # what stands in the class is the default of its field

Said = tuple[Prior, Evidence]


@dataclass(frozen=True)
class FinishedJob:
    """A job with what was written down when it was done.

    Parameters
    ----------
    name : str
        Its folder, or what it is called.
    job : Job
        As it was agreed.
    finished : Finished
    """

    name: str
    job: Job
    finished: Finished

    @property
    def readings(self) -> tuple[str, ...]:
        """What tells it from other jobs, copies of it apart: the readings of its walls."""
        return tuple(sorted(wall.survey.readings_digest for wall in self.job.priced_walls))

    @property
    def is_invented(self) -> bool:
        """Whether all its readings are those that the package brings along: it is nobody's job."""
        return bool(self.readings) and EXAMPLE_READINGS.issuperset(self.readings)


def evidence_of(done: FinishedJob) -> tuple[Said, ...]:
    """All that a finished job says, each with the figure that it is about.

    Raises
    ------
    TakeoffError
        What was written down cannot be, as `settle_up` tells.
    """
    account = settle_up(done.job, done.finished, done.name)
    measured = as_measured(account.agreed, done.finished)
    return (
        *_densities(done, account, measured),
        *_wasted(done, account),
        *_hours(done, account, measured),
        *_spots(done, account.agreed),
        *_strayed(done),
    )


def _seen(done: FinishedJob, value: float, uncertainty_share: float = 0.0, area_m2: float = 0.0) -> Evidence:
    return Evidence(done.name, value, uncertainty_share, area_m2, done.job.calendar.start)


def _densities(done: FinishedJob, account: Account, measured: Result) -> Iterator[Said]:
    """Each mix that came in bags and whose walls were all measured again."""
    known = {mix.name: mix.density_kg_per_l for mix in DEFAULT_MIXES}
    mixes = {need.mix.name: need.mix for need in account.agreed.needs}
    for line in account.lines:
        powder, mix = line.worth.powder, mixes.get(line.name)
        if powder is None or mix is None or powder.kg_per_l[1] <= 0:
            continue
        sure = _thickness_sure(done, measured, mix.name)
        if sure is not None:
            looked = wasted_of(by_item(done.finished)[mix.name]) is not None
            uncertainty = math.hypot(sure, 0.0 if looked else UNSEEN_WASTE)
            density = powder.kg_per_l[1] * (1 - mix.shrinkage_share)
            default = known.get(mix.name, mix.density_kg_per_l)
            yield (
                Prior("mix density", mix.name, default, mix.source or Prior.source),
                _seen(done, density, uncertainty),
            )


def _thickness_sure(done: FinishedJob, measured: Result, mix: str) -> float | None:
    """How far a mix's litres may be off, as a share of them [-]; None unless all its walls were measured."""
    by_name = {wall.name: wall for wall in done.finished.walls if wall.mean_mm is not None}
    litres, variance = 0.0, 0.0
    for wall in measured.walls:
        mean_mm = mix_thickness(wall).get(mix, 0.0)
        if mean_mm > 0:
            again = by_name.get(wall.entry.name)
            if again is None or again.mean_mm is None:
                return None
            part = mean_mm * wall.build_up.area_m2
            litres += part
            variance += (part * again.uncertainty_mm / again.mean_mm) ** 2
    return math.sqrt(variance) / litres if litres else None


def _wasted(done: FinishedJob, account: Account) -> Iterator[Said]:
    """What was mixed and did not stay, over all mixes that somebody looked at; patches apart."""
    wasted_kg, stayed_kg = 0.0, 0.0
    came = by_item(done.finished)
    for line in account.lines:
        powder = line.worth.powder
        coats = powder is not None and math.isclose(powder.waste_share[0], done.job.waste_share)
        if powder is not None and coats and (wasted := wasted_of(came[line.name])) is not None:
            wasted_kg += wasted * powder.unit_kg
            stayed_kg += (float(line.worth.really) - wasted) * powder.unit_kg
    if stayed_kg > 0:
        yield Prior("waste", "", USUAL_WASTE), _seen(done, wasted_kg / stayed_kg)


def at_default_rates(job: Job) -> Job:
    """The job with the hours that it would take at the marked default rates, whole half days apart."""
    usual: dict[str, Any] = {
        name: getattr(LabourRates(), name) for names in RATES_OF.values() for name in names
    }
    return replace(job, rates=replace(job.rates, **usual, least_half_days=0))


def _hours(done: FinishedJob, account: Account, measured: Result) -> Iterator[Said]:
    """Hours by task against what the plaster that is there takes at the default rates."""
    usual = task_lines(priced_with(at_default_rates(done.job), measured.walls).cost)
    spent, asked = 0.0, 0.0
    written = {line.name: float(line.worth.really) for line in account.lines if line.written}
    for task in (name for name in RATES_OF if name in written and name in usual):
        hours = float(usual[task].quantity)
        if hours >= LEAST_H and written[task] > 0:
            spent, asked = spent + written[task], asked + hours
            yield Prior("hours", task, 1.0), _seen(done, written[task] / hours, HOURS_TO / hours)
    if asked > 0:
        yield Prior("hours", ALL_TASKS, 1.0), _seen(done, spent / asked, HOURS_TO / asked)


def _spots(done: FinishedJob, agreed: Result) -> Iterator[Said]:
    """High spots that were counted, by what the walls are made of."""
    found: dict[str, list[float]] = {}
    for wall in done.finished.walls:
        if wall.spots_found is not None:
            priced = agreed.wall(wall.name)
            sums = found.setdefault(priced.entry.background, [0.0, 0.0])
            sums[0] += wall.spots_found
            sums[1] += priced.build_up.area_m2 if wall.looked_over_m2 is None else wall.looked_over_m2
    for background, (count, area_m2) in found.items():
        usual = background_of(background).likely.nibs_per_m2
        if area_m2 > 0 and usual:
            yield Prior("high spots", background, usual), _seen(done, count, area_m2=area_m2)


def _strayed(done: FinishedJob) -> Iterator[Said]:
    """How far places that were not read strayed, against what is said of them unless finished walls told."""
    rows = [wall for wall in done.finished.walls if wall.strayed_ratio is not None]
    places = sum(wall.strayed_places for wall in rows)
    if places:
        squares = sum(wall.strayed_places * (wall.strayed_ratio or 0.0) ** 2 for wall in rows)
        ratio = math.sqrt(squares / places) * done.job.sureness.strayed_ratio
        yield Prior("strayed", "", 1.0), _seen(done, ratio, 1 / math.sqrt(2 * places))
