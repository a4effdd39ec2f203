"""Hours on site: what the rates of `labour` make of the walls.

Fixed parts (set-up, visits, clean-up, patches) and parts by m², m and piece; each wall by its own factor for
size, height and stairs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mytakeoff.areas import deducted_area_m2
from mytakeoff.backgrounds import treatment_for
from mytakeoff.coats import Coat
from mytakeoff.defaults import SPATTERDASH
from mytakeoff.job import Job, JobWall
from mytakeoff.labour import LabourRates
from mytakeoff.materials import whole
from mytakeoff.measures import Measures, measure_wall, storey_of
from mytakeoff.quantities import plain
from mytakeoff.units import decimal_of, round_money, say
from mytakeoff.wallresult import WallResult

OVERNIGHT_H = 12.0  # a wait of this long sends the plasterer home
NOTHING = 1e-9


@dataclass(frozen=True)
class Task:
    """A plasterer's work: how much of it, the hours it takes with all factors, what they come from.

    `quantity` is in `unit` [-], `hours` are person-hours of a plasterer [h].
    """

    name: str
    quantity: float
    unit: str
    hours: float
    basis: str


@dataclass(frozen=True)
class Piece:
    """Part of a task on one wall, before the wall's factor: quantity [unit], hours [h], the rate in words."""

    task: str
    quantity: float
    unit: str
    hours: float
    rate: str


def float_h_per_m2(mean_mm: float, rates: LabourRates) -> float:
    """Hours to float one square metre of a coat of that mean thickness [h/m²].

    Examples
    --------
    0.5 to 15 mm and 0.1 for each further 5 mm:

    >>> float_h_per_m2(12, LabourRates()), float_h_per_m2(20, LabourRates())
    (0.5, 0.6)
    """
    more_mm = max(0.0, mean_mm - rates.float_to_mm)
    return rates.float_h_per_m2 + rates.float_more_h_per_m2_per_5_mm * more_mm / 5


def patch_hours(count: int, area_m2: float, rates: LabourRates) -> float:
    """Hours for patches: a least charge for each and the area of all [h].

    Examples
    --------
    >>> patch_hours(1, 0.5, LabourRates())
    1.0
    """
    return count * rates.patch_h_each + area_m2 * rates.patch_h_per_m2


def wall_factor(entry: JobWall, storey: int, rates: LabourRates) -> float:
    """How much slower a wall goes than a large one at the ground: small or narrow, high, up the stairs [-].

    A narrow wall is a small one for the same reason, so the greater of these two factors counts, not both.
    """
    wall = entry.wall
    small = wall.width_m * wall.height_m - deducted_area_m2(wall) < rates.small_wall_m2
    narrow = wall.width_m < rates.narrow_m
    size = max(rates.small_wall_factor if small else 1.0, rates.narrow_factor if narrow else 1.0)
    height = rates.high_wall_factor if wall.height_m > rates.high_wall_m else 1.0
    return float(size * height * rates.storey_factor**storey)


def return_visits(wall: WallResult) -> int:
    """Visits after the first: one for each wait over night, one more when the wall has dried [-]."""
    laid = [layer.mix.set_h for layer in reversed(wall.layers) for _ in layer.coats]
    thrown = bool(laid) and treatment_for(wall.entry.background, wall.first_mix) == SPATTERDASH
    return sum(wait >= OVERNIGHT_H for wait in laid[:-1]) + thrown + bool(laid)


def labour_hours(
    job: Job, walls: Sequence[WallResult], measures: Sequence[Measures] | None = None
) -> tuple[Task, ...]:
    """A plasterer's hours by task, rounded up to half days by a task of its own.

    Parameters
    ----------
    job : Job
        For rates, rails, rooms and the opening rule.
    walls : sequence of WallResult
    measures : sequence of Measures or None
        Of the same walls, where they are at hand.

    Returns
    -------
    tuple of Task
        In the order of the work; empty without walls. The hours add up to whole half days of the crew.
    """
    if not walls:
        return ()
    measures = measures or [measure_wall(job, wall) for wall in walls]
    tasks = [*_room_tasks(job, walls), *_wall_tasks(job, walls, measures)]
    tasks.append(_clean_up(tasks, job.rates))
    tasks.append(_round_up(tasks, job.rates))
    return tuple(task for task in tasks if task.hours > NOTHING)


def _room_tasks(job: Job, walls: Sequence[WallResult]) -> list[Task]:
    """Set-up by room, return visits by room."""
    rates, rooms = job.rates, list(dict.fromkeys(wall.entry.room for wall in walls))
    stairs = {room: rates.storey_factor ** storey_of(job, room) for room in rooms}
    visits = {room: max(return_visits(wall) for wall in walls if wall.entry.room == room) for room in rooms}
    set_up = rates.room_set_up_h * sum(stairs.values())
    again = rates.return_visit_h * sum(visits[room] * stairs[room] for room in rooms)
    said = ", ".join(f"{room} {visits[room]}" for room in rooms)
    rooms_said = f"{rates.room_set_up_h:g} h for each of {', '.join(rooms)}, more by floors"
    return [
        Task("set up", len(rooms), "room", set_up, rooms_said),
        Task(
            "return visits",
            sum(visits.values()),
            "visit",
            again,
            f"waits over night and one after drying: {said}; × {rates.return_visit_h:g} h",
        ),
    ]


def _wall_tasks(job: Job, walls: Sequence[WallResult], measured: Sequence[Measures]) -> list[Task]:
    """The pieces of all walls, each by its wall's factor, added up by task."""
    by_task: dict[str, list[tuple[Piece, float]]] = {}
    for wall, measures in zip(walls, measured, strict=True):
        factor = wall_factor(wall.entry, measures.storey, job.rates)
        before, after = _preparation(measures, job), _last(measures, wall, job)
        for piece in (*before, *_plastering(measures, wall, job), *after):
            by_task.setdefault(piece.task, []).append((piece, factor))
    order = {name: place for place, name in enumerate(TASKS)}
    return [_added_up(name, by_task[name]) for name in sorted(by_task, key=lambda name: order[name])]


TASKS = (
    "hack off and bag",
    "take down high spots",
    "prime",
    "rails",
    "patches",
    "dub out",
    "mesh",
    "beads",
    "float backing",
    "reveals",
    "make good rail channels",
    "finish coat",
    "sockets and radiators",
)


def _added_up(name: str, parts: Iterable[tuple[Piece, float]]) -> Task:
    parts = list(parts)
    first = parts[0][0]
    quantity, bare = sum(p.quantity for p, _ in parts), sum(p.hours for p, _ in parts)
    hours = sum(p.hours * factor for p, factor in parts)
    basis = f"{plain(round_money(decimal_of(quantity)))} {first.unit}, {first.rate}: {say(bare, 2)} h"
    if hours > bare + 0.005:
        basis += f"; small, narrow or high walls and stairs add {say(hours - bare, 2)} h"
    return Task(name, quantity, first.unit, hours, basis)


def _by_rate(task: str, quantity: float, unit: str, rate_h: float) -> Piece:
    return Piece(task, quantity, unit, quantity * rate_h, f"{rate_h:g} h/{unit}")


def _preparation(measures: Measures, job: Job) -> list[Piece]:
    rates = job.rates
    return [
        _by_rate("hack off and bag", measures.hacked_m2, "m²", rates.hack_off_h_per_m2),
        _by_rate("take down high spots", measures.cut_m2, "m²", rates.take_down_h_per_m2),
        _by_rate("prime", measures.treated_m2, "m²", rates.prime_h_per_m2),
        _by_rate("rails", measures.rail_m, "m", rates.rails_h_per_m),
        _by_rate("mesh", measures.mesh_m2, "m²", rates.mesh_h_per_m2),
        _by_rate("beads", measures.angle_bead_m + measures.stop_bead_m, "m", rates.beads_h_per_m),
    ]


def _plastering(measures: Measures, wall: WallResult, job: Job) -> list[Piece]:
    rates = job.rates
    backing = [coat for layer in wall.layers if layer.role == "backing" for coat in layer.coats]
    deep = [*backing[1:], *(c for layer in wall.layers if layer.role == "dubbing out" for c in layer.coats)]
    patches = Piece(
        "patches",
        measures.hollows_m2,
        "m²",
        patch_hours(measures.hollows, measures.hollows_m2, rates),
        f"{rates.patch_h_each:g} h each and {rates.patch_h_per_m2:g} h/m²",
    )
    return [patches, _dub_out(deep, measures, rates), *_float(backing[:1], measures, rates)]


def _dub_out(deep: Sequence[Coat], measures: Measures, rates: LabourRates) -> Piece:
    """Coats under the one that covers the wall; what fills patches is paid with the patches."""
    litres = max(0.0, sum(coat.volume_l for coat in deep) - measures.hollows_l)
    rate = rates.dub_out_h_per_m2_per_10_mm
    return Piece("dub out", litres, "l", litres * rate / 10, f"{rate:g} h/m² for each 10 mm, patches apart")


def _float(face: Sequence[Coat], measures: Measures, rates: LabourRates) -> list[Piece]:
    """The backing coat that covers the wall, by its mean thickness."""
    rate = (
        f"{rates.float_h_per_m2:g} h/m² to {rates.float_to_mm:g} mm and "
        f"{rates.float_more_h_per_m2_per_5_mm:g} for each further 5 mm"
    )
    more_m2 = measures.paid_m2 - measures.coated_m2
    return [
        Piece(
            "float backing",
            coat.area_m2 + more_m2,
            "m²",
            (coat.area_m2 + more_m2) * float_h_per_m2(coat.volume_l / coat.area_m2, rates),
            rate,
        )
        for coat in face
        if coat.area_m2 > 0
    ]


def _last(measures: Measures, wall: WallResult, job: Job) -> list[Piece]:
    rates = job.rates
    skimmed = measures.paid_m2 + measures.reveal_skim_m2
    finished = skimmed if any(layer.role == "finish" for layer in wall.layers) else 0.0
    channels = 0.0 if job.rails.left_in else measures.rail_m
    sockets, radiators = measures.sockets, measures.radiators
    fitting = sockets * rates.fitting_h_each + radiators * rates.radiator_h_each
    fitting_rate = f"sockets {rates.fitting_h_each:g} h, radiators {rates.radiator_h_each:g} h each"
    return [
        _by_rate("reveals", measures.reveal_m, "m", rates.reveals_h_per_m),
        _by_rate("make good rail channels", channels, "m", rates.make_good_h_per_m),
        _by_rate("finish coat", finished, "m²", rates.skim_h_per_m2),
        Piece("sockets and radiators", sockets + radiators, "piece", fitting, fitting_rate),
    ]


def _clean_up(tasks: Sequence[Task], rates: LabourRates) -> Task:
    half_day_h = rates.day_h * rates.crew / 2
    days = whole(sum(task.hours for task in tasks) / half_day_h) / 2
    basis = f"{days:g} days × {rates.clean_up_h_per_day:g} h"
    return Task("clean up", days, "day", days * rates.clean_up_h_per_day, basis)


def _round_up(tasks: Sequence[Task], rates: LabourRates) -> Task:
    """What is missing to whole half days of the crew, and to the least that a job is charged."""
    hours, half_day_h = sum(task.hours for task in tasks), rates.day_h * rates.crew / 2
    half_days = max(whole(hours / half_day_h), rates.least_half_days)
    basis = (
        f"{say(hours, 2)} h rounded up to {half_days} half days of {half_day_h:g} h, "
        f"at least {rates.least_half_days}"
    )
    return Task("up to half days", half_days, "half day", half_days * half_day_h - hours, basis)
