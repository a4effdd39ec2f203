"""The work on one wall in its order, each piece with the wait that it leaves behind.

Three waits are kept apart: a coat sets before the next one, it is kept damp, and it dries before paint. All
of them run on by nights and weekends.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from mytakeoff.coats.coats import Layer
from mytakeoff.job import catalogue
from mytakeoff.job.calendar import Calendar
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.job.mixing import dry_kg, site_mix
from mytakeoff.labour.pieces import (
    BEADS,
    DUB_OUT,
    FINISH,
    FITTINGS,
    FLOAT,
    HACK_OFF,
    MAKE_GOOD,
    MESH,
    PATCHES,
    PRIME,
    RAILS,
    REVEALS,
    TAKE_DOWN,
    Laid,
    WorkPiece,
    laid_coats,
    wall_factor,
    wall_pieces,
)
from mytakeoff.measure.materials import gaugings_of, reveal_area_m2, waste_share_of
from mytakeoff.measure.wall_measures import Measures
from mytakeoff.treatment.wall_result import WallResult

DAY_H = 24.0
CACHE_SIZE = 256  # walls: the schedule and the count of gaugings ask for the same steps


@dataclass(frozen=True)
class Step:
    """A piece of work on one wall, and what is waited for after it.

    Parameters
    ----------
    task, wall, room : str
        `wall` is empty for what is done for a whole room.
    hours : float
        Of a plasterer, with the wall's factor [h].
    quantity : float
        In `unit` [-].
    unit : str
    wait_h : float
        Before the wall's next step [h].
    why : str
        What is waited for.
    mix : Mix or None
        What is laid.
    litres : float
        In place, the allowance among it, without waste [l].
    gaugings : int
        Bucketfuls, each laid within the pot life, waste among them: see `gaugings_of` [-].
    dry_kg : float
        Powder for it, waste among it [kg].
    """

    task: str
    wall: str
    room: str
    hours: float
    quantity: float = 0.0
    unit: str = ""
    wait_h: float = 0.0
    why: str = ""
    mix: Mix | None = None
    litres: float = 0.0
    gaugings: int = 0
    dry_kg: float = 0.0

    @property
    def water_l(self) -> float:
        """Mixing water [l]."""
        return self.dry_kg * self.mix.water_l_per_kg if self.mix else 0.0

    @property
    def piece_h(self) -> float:
        """What is not left over night: a gauging, half an hour of other work [h]."""
        return self.hours / self.gaugings if self.gaugings else min(self.hours, 0.5)


@dataclass(frozen=True)
class WallSteps:
    """The work on one wall: up to its last coat, what dries after it [h], and what is done once it is dry."""

    wall: str
    room: str
    steps: tuple[Step, ...]
    cure_h: float
    dry_h: float
    last: tuple[Step, ...]
    laid: bool


@lru_cache(maxsize=CACHE_SIZE)
def wall_steps(job: Job, wall: WallResult, measures: Measures) -> WallSteps:
    """The work on one wall in its order, with the waits between.

    Parameters
    ----------
    job : Job
        For rates, rails, waste and its calendar.
    wall : WallResult
    measures : Measures
        Of the same wall.

    Returns
    -------
    WallSteps
        Their hours are those that labour is priced by, their litres those that mixes are bought by.
    """
    made = _Maker(job, wall, measures)
    coats = laid_coats(wall)
    under = [each for each in coats if each.task in (PATCHES, DUB_OUT)]
    over = [each for each in coats if each.task not in (PATCHES, DUB_OUT)]
    steps = [
        *made.of(HACK_OFF),
        *made.of(TAKE_DOWN),
        *made.of(PRIME, *treatment_wait(measures.treatment, job.calendar)),
        *made.of(RAILS, *made.dabs_wait()),
        *made.under(under, over),
        *made.of(MESH),
        *made.of(BEADS),
        *made.over(over),
    ]
    last = made.of(FITTINGS)
    cure_h, dry_h = drying_h(wall.layers, job.calendar)
    done = tuple(steps if coats else [*steps, *last])
    return WallSteps(
        wall.entry.name, wall.entry.room, done, cure_h, dry_h, tuple(last if coats else ()), bool(coats)
    )


def treatment_wait(treatment: str, calendar: Calendar) -> tuple[float, str]:
    """How long a primer dries or a spatterdash hardens [h], and what is waited for.

    Examples
    --------
    >>> treatment_wait("spatterdash", Calendar(slow_down=1.5))
    (36.0, 'spatterdash hardens')
    """
    hours = {
        catalogue.PRIMER: calendar.primer_h,
        catalogue.GRIT_PRIMER: calendar.grit_primer_h,
        catalogue.BONDING_AGENT: calendar.bonding_agent_h,
        catalogue.SPATTERDASH: calendar.spatterdash_h,
    }.get(treatment, 0.0)
    verb = "hardens" if treatment == catalogue.SPATTERDASH else "dries"
    return hours * calendar.slow_down, f"{treatment} {verb}" if treatment else ""


def coat_wait(mix: Mix, following: Mix | None, calendar: Calendar) -> tuple[float, str]:
    """How long a coat waits for the next one [h], and what for.

    Parameters
    ----------
    mix : Mix
    following : Mix or None
        Another mix goes on only when this one has been kept damp as long as it asks for.
    calendar : Calendar

    Examples
    --------
    Cement-lime sets for 48 h; another mix waits for the seven days that it is kept damp:

    >>> from mytakeoff.job.catalogue import CEMENT_LIME, GYPSUM_SKIM
    >>> coat_wait(CEMENT_LIME, CEMENT_LIME, Calendar())[0], coat_wait(CEMENT_LIME, GYPSUM_SKIM, Calendar())[0]
    (48.0, 168.0)
    """
    cured = following is not None and following != mix and mix.cure_days * DAY_H > mix.set_h
    hours = mix.cure_days * DAY_H if cured else mix.set_h
    return hours * calendar.slow_down, f"{mix.name} {'kept damp' if cured else 'sets'}"


def holds_h(mix: Mix, calendar: Calendar) -> float:
    """How long a coat needs to hold without its rails [h]: it has set, or stood for the calendar's time."""
    return min(mix.set_h, calendar.rails_out_h) * calendar.slow_down


def drying_h(layers: Sequence[Layer], calendar: Calendar) -> tuple[float, float]:
    """How long a wall is kept damp after its last coat, and how long it dries then [h].

    Notes
    -----
    The last mix is kept damp as its sheet says. Then each mix dries by its days a millimetre where it is
    deepest; what lies deeper under the face than `slow_beyond_mm` takes `slow_beyond_factor` times as long.
    """
    if not layers:
        return 0.0, 0.0
    days, top_mm = 0.0, 0.0
    for layer in layers:
        depth_mm = layer.deepest_mm
        near_mm = min(max(calendar.slow_beyond_mm - top_mm, 0.0), depth_mm)
        days += layer.mix.dry_days_per_mm * (near_mm + (depth_mm - near_mm) * calendar.slow_beyond_factor)
        top_mm += depth_mm
    slow = DAY_H * calendar.slow_down
    return layers[0].mix.cure_days * slow, days * slow


def gaugings_by_mix(job: Job, walls: Sequence[WallResult], measures: Sequence[Measures]) -> Counter[Mix]:
    """How often each mix is mixed on a job, as its programme has it [-]."""
    found: Counter[Mix] = Counter()
    for wall, measured in zip(walls, measures, strict=True):
        for step in wall_steps(job, wall, measured).steps:
            if step.mix is not None:
                found[step.mix] += step.gaugings
    return found


class _Maker:
    """Makes the steps of one wall out of its pieces of work."""

    def __init__(self, job: Job, wall: WallResult, measures: Measures) -> None:
        self.job, self.wall, self.measures = job, wall, measures
        self.factor = wall_factor(wall.entry, measures.storey, job.rates)
        self.pieces: dict[str, list[WorkPiece]] = {}
        for piece in wall_pieces(job, wall, measures):
            self.pieces.setdefault(piece.task, []).append(piece)
        self.reveals_m2 = reveal_area_m2([wall]) if wall.covered else 0.0

    def hours(self, task: str) -> float:
        """With the wall's factor [h]."""
        return sum(piece.hours for piece in self.pieces.get(task, ())) * self.factor

    def of(self, task: str, wait_h: float = 0.0, why: str = "") -> list[Step]:
        """The step of a task, if there is anything of it."""
        pieces = self.pieces.get(task, [])
        hours, quantity = self.hours(task), sum(piece.quantity for piece in pieces)
        if hours <= 0 and quantity <= 0:
            return []
        entry = self.wall.entry
        said = why if wait_h > 0 else ""
        return [Step(task, entry.name, entry.room, hours, quantity, pieces[0].unit, wait_h, said)]

    def dabs_wait(self) -> tuple[float, str]:
        """Rails on dabs wait for those of the backing to hold [h]."""
        if self.job.rails.bedded != "dabs":
            return 0.0, ""
        return holds_h(self.wall.system.backing, self.job.calendar), "dabs set"

    def laid(self, step: Step, mix: Mix, role: str, litres: float) -> Step:
        """A step that lays a mix, with its gaugings and water."""
        waste = waste_share_of(role, self.job)
        parts = site_mix(mix, litres, waste)
        kg = parts.dry_kg if parts else dry_kg(litres, mix.kg_per_l, waste)
        gaugings = gaugings_of(litres, mix, role, self.job)
        return replace(step, mix=mix, litres=litres, gaugings=gaugings, dry_kg=kg)

    def under(self, coats: Sequence[Laid], over: Sequence[Laid]) -> list[Step]:
        """What fills patches and deep places, its hours shared out by litres."""
        hours = self.hours(PATCHES) + self.hours(DUB_OUT)
        litres = sum(each.coat.volume_l for each in coats)
        if not coats:
            return self.of(PATCHES)
        entry, steps = self.wall.entry, []
        following = [*(each.layer.mix for each in coats[1:]), over[0].layer.mix if over else None]
        for each, after in zip(coats, following, strict=True):
            mix, coat = each.layer.mix, each.coat
            wait, why = coat_wait(mix, after, self.job.calendar) if after is not None else (0.0, "")
            share = coat.volume_l / litres if litres else 1 / len(coats)
            step = Step(each.task, entry.name, entry.room, hours * share, coat.area_m2, "m²", wait, why)
            steps.append(self.laid(step, mix, each.layer.role, coat.volume_l))
        return steps

    def over(self, coats: Sequence[Laid]) -> list[Step]:
        """Coats over the whole wall, reveals, and the channels that rails leave."""
        finish = [each for each in coats if each.task == FINISH]
        after = finish[0].layer.mix if finish else None
        steps: list[Step] = []
        for each in (each for each in coats if each.task == FLOAT):
            steps += self._floated(each, after)
        return [*steps, *self._finished(finish)]

    def _floated(self, face: Laid, after: Mix | None) -> list[Step]:
        """The backing coat that covers the wall; the reveals with it; then rails out and channels filled."""
        mix, calendar = face.layer.mix, self.job.calendar
        wait, why = coat_wait(mix, after, calendar) if after is not None else (0.0, "")
        channels = self.of(MAKE_GOOD)
        channel_l = min(self.channels_l if channels else 0.0, face.coat.volume_l)
        steps = [
            self.laid(each, mix, face.layer.role, face.coat.volume_l - channel_l) for each in self.of(FLOAT)
        ]
        steps += [self.laid(each, mix, face.layer.role, self._reveals_l()) for each in self.of(REVEALS)]
        if channels and steps:
            why_out = f"{mix.name} holds without rails"
            steps[-1] = replace(steps[-1], wait_h=holds_h(mix, calendar), why=why_out)
            steps += [self.laid(each, mix, face.layer.role, channel_l) for each in channels]
        if steps and wait > 0:
            steps[-1] = replace(steps[-1], wait_h=wait, why=why)
        return steps

    @property
    def channels_l(self) -> float:
        """What the channels of rails that are taken out hold [l]."""
        rails = self.job.rails
        return self.measures.rail_m * rails.width_mm * rails.depth_mm / 1000

    def _reveals_l(self) -> float:
        """Backing on the reveals [l]."""
        if self.wall.floated:
            return self.reveals_m2 * self.job.reveal_thickness_mm
        return self.reveals_m2 * sum(c.thickness_mm for c in self.wall.skim if c.role == "backing")

    def _finished(self, coats: Sequence[Laid]) -> list[Step]:
        """The finish, its hours shared out by area; the reveals are finished with the last coat of it."""
        entry, hours = self.wall.entry, self.hours(FINISH)
        area = sum(each.coat.area_m2 for each in coats)
        if self.wall.floated:
            reveal_mm = self.wall.system.finish_mm
        else:
            reveal_mm = sum(c.thickness_mm for c in self.wall.skim if c.role == "finish")
        steps = []
        for nth, each in enumerate(coats, start=1):
            mix, coat, last = each.layer.mix, each.coat, nth == len(coats)
            wait, why = (0.0, "") if last else coat_wait(mix, mix, self.job.calendar)
            share = coat.area_m2 / area if area else 1 / len(coats)
            step = Step(FINISH, entry.name, entry.room, hours * share, coat.area_m2, "m²", wait, why)
            litres = coat.volume_l + (self.reveals_m2 * reveal_mm if last else 0.0)
            steps.append(self.laid(step, mix, each.layer.role, litres))
        return steps
