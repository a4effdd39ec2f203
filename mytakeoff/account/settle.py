"""The account of a finished job: what was agreed against what it cost, line by line, and why they differ."""

from __future__ import annotations

from collections.abc import Collection, Generator, Iterator
from dataclasses import replace
from decimal import Decimal

from mytakeoff.account.account import Account, AccountLine
from mytakeoff.account.check import WHERE, by_item, check_finished, used_of, wasted_of
from mytakeoff.account.lines import product_lines, task_lines
from mytakeoff.account.worth import HOURS, NOTHING, TRIPS, LineWorth, Powder
from mytakeoff.chain import evaluate, priced_with
from mytakeoff.cost.cost import CostLine
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Delivered, Finished, HoursSpent
from mytakeoff.job.catalogue import PLASTERER
from mytakeoff.job.job import Job
from mytakeoff.labour.hours import HALF_DAYS
from mytakeoff.measure.line import LABOUR, without_zeros
from mytakeoff.measure.materials import MixNeed, bag_kg_of
from mytakeoff.result import Result
from mytakeoff.steps import run
from mytakeoff.treatment.left_open import with_more
from mytakeoff.units import decimal_of, round_money

RETURN_VISITS = "return visits"
NOT_PLANNED = "trips that were not planned"


def settle_up(job: Job, finished: Finished, where: str = WHERE) -> Account:
    """Settle up a job: its agreed price against what it really cost, and what made the difference.

    Parameters
    ----------
    job : Job
        As it was agreed: what was agreed is the saved job.
    finished : Finished
    where : str
        The file that it stands in, for messages.

    Returns
    -------
    Account

    Raises
    ------
    TakeoffError
        Everything in it that cannot be, as `check_finished` tells; whatever `evaluate` finds wrong.

    Notes
    -----
    What the measured thickness does to every line is this program's own price for walls that take those
    litres. The rest of a line is ``price × packs + charge`` with ``packs = litres × kg/l × (1 + waste) / kg
    in a pack + what is over``, and ``wage × hours``, which the figures written down fit to the cent. A line
    that nothing was written down for counts as priced.
    """
    priced = evaluate(job)
    check_finished(priced, finished, where)
    measured = as_measured(priced, finished)
    lines = (
        *_products(priced, measured, finished),
        *_tasks(priced, measured, finished),
        *_trips(priced, finished),
    )
    return Account(priced, finished, lines)


def as_measured(result: Result, finished: Finished) -> Result:
    """The job priced for the plaster that is on its walls by their second survey; as it is where none was."""
    means = {wall.name: wall.mean_mm for wall in finished.walls if wall.mean_mm is not None}
    if not means:
        return result
    walls = tuple(
        with_more(wall, mean_mm * wall.build_up.area_m2 - wall.build_up.volume_l)
        if (mean_mm := means.get(wall.entry.name)) is not None
        else wall
        for wall in result.walls
    )
    return priced_with(result.job, walls)


def _products(priced: Result, measured: Result, finished: Finished) -> Iterator[AccountLine]:
    """What was bought: lines with deliveries as they really were, the others as priced."""
    came, after = by_item(finished), product_lines(measured.cost)
    powders = _powders(priced, measured, came)
    for item, line in product_lines(priced.cost).items():
        again = after.get(item)
        quantity = again.quantity if again is not None else NOTHING
        if item in came:
            worth = _bought(priced.job, line, quantity, came[item], powders.get(item))
            yield AccountLine(item, line.item, line.group, line.unit, worth, written=True)
        else:
            yield _as_priced(item, line, priced.job)


def _as_priced(name: str, line: CostLine, job: Job) -> AccountLine:
    worth = LineWorth(
        (line.price, line.price), (line.quantity, line.quantity), line.quantity, places=job.money_places
    )
    return AccountLine(name, line.item, line.group, line.unit, worth, written=False)


def _bought(
    job: Job, line: CostLine, measured: Decimal, rows: Collection[Delivered], powder: Powder | None
) -> LineWorth:
    """A product: what was paid for all that came, less what was paid back for what was brought back."""
    used, keeps = without_zeros(decimal_of(used_of(rows))), decimal_of(job.buying.restocking_share)
    paid, came, back = NOTHING, NOTHING, NOTHING
    for row in rows:
        price = line.price if row.price is None else decimal_of(row.price)
        usual = price * decimal_of(row.brought_back) * (1 - keeps)
        paid += price * decimal_of(row.delivered)
        back += usual if row.credit is None else decimal_of(row.credit)
        came += decimal_of(row.delivered)
    mean = paid / came if came else line.price
    spent = round_money(paid - back, job.money_places)
    prices, quantities = (line.price, mean), (line.quantity, measured)
    return LineWorth(prices, quantities, used, spent - mean * used, powder=powder, places=job.money_places)


def _powders(priced: Result, measured: Result, came: dict[str, list[Delivered]]) -> dict[str, Powder]:
    """Each mix that came in bags, as it was priced and as it was.

    What was not looked at stands as it was priced, and with the next thing that was: waste with density.
    """
    after = {need.mix.name: need for need in measured.needs}
    return {
        need.mix.name: _powder(priced.job, need, after[need.mix.name], came[need.mix.name])
        for need in priced.needs
        if need.recipe is None and need.mix.name in came and need.mix.name in after
    }


def _powder(job: Job, need: MixNeed, after: MixNeed, rows: Collection[Delivered]) -> Powder:
    used, wasted = used_of(rows), wasted_of(rows)
    unit_kg = 1.0 if need.mix.name in job.buying.in_stock else bag_kg_of(job, need.mix)
    stayed = used / (1 + need.waste_share) if wasted is None else used - wasted
    waste = need.waste_share if wasted is None or stayed == 0 else wasted / stayed
    kg_per_l = stayed * unit_kg / after.priced_l
    return Powder(
        (need.priced_l, after.priced_l), (need.mix.kg_per_l, kg_per_l), (need.waste_share, waste), unit_kg
    )


def _tasks(priced: Result, measured: Result, finished: Finished) -> Iterator[AccountLine]:
    """Labour: hours as they were spent; what is charged to whole half days is no work."""
    spent: dict[str, list[HoursSpent]] = {}
    for row in finished.hours:
        spent.setdefault(row.task, []).append(row)
    more = _hours_for_thickness(priced, measured) if spent else {}
    for task, line in task_lines(priced.cost).items():
        rows = spent.get(task, [])
        if rows or (spent and task == HALF_DAYS):
            quantity, cause = (
                line.quantity + more.get(task, NOTHING),
                TRIPS if task == RETURN_VISITS else HOURS,
            )
            worth = _worked(priced.job, line, quantity, rows, cause)
            yield AccountLine(task, line.item, line.group, line.unit, worth, written=bool(rows))
        else:
            yield _as_priced(task, line, priced.job)


def _hours_for_thickness(priced: Result, measured: Result) -> dict[str, Decimal]:
    """Hours by task that the measured thickness is priced with on top, half days apart [h]."""
    before, after = (task_lines(_by_the_hour(each).cost) for each in (priced, measured))
    return {
        task: (after[task].quantity if task in after else NOTHING) - line.quantity
        for task, line in before.items()
    }


def _by_the_hour(result: Result) -> Result:
    """The same walls with hours as they are: whole half days would hide what moves them."""
    job = replace(result.job, rates=replace(result.job.rates, least_half_days=0))
    return priced_with(job, result.walls)


def _worked(
    job: Job, line: CostLine, measured: Decimal, rows: Collection[HoursSpent], cause: str
) -> LineWorth:
    hours = sum((decimal_of(row.hours) for row in rows), NOTHING)
    paid = sum((decimal_of(row.hours) * (line.price if row.price is None else decimal_of(row.price))
                for row in rows), NOTHING)  # fmt: skip
    wage = paid / hours if hours else line.price
    spent = round_money(paid, job.money_places)
    return LineWorth(
        (line.price, wage), (line.quantity, measured), hours, spent - wage * hours, cause,
        places=job.money_places,
    )  # fmt: skip


def _trips(priced: Result, finished: Finished) -> Iterator[AccountLine]:
    """Trips that nobody planned, as a line of their own that was priced with nothing."""
    if not finished.trips:
        return
    wage = next((line.price for line in priced.cost.lines if line.priced_as == PLASTERER), NOTHING)
    hours = sum((decimal_of(trip.hours) for trip in finished.trips), NOTHING)
    amount = sum((decimal_of(trip.amount) for trip in finished.trips), NOTHING)
    worth = LineWorth(
        (wage, wage), (NOTHING, NOTHING), hours, amount, TRIPS, places=priced.job.money_places
    )  # fmt: skip
    yield AccountLine(NOT_PLANNED, NOT_PLANNED, LABOUR, "h", worth, written=True)


def account_spread(job: Job, finished: Finished, where: str = WHERE) -> dict[str, Decimal]:
    """How far each part may be off because the thickness was measured with some uncertainty.

    Parameters
    ----------
    job : Job
    finished : Finished
    where : str

    Returns
    -------
    dict of str to Decimal
        A standard deviation by cause: thickness and density, mostly, which then share the same powder
        otherwise. Walls are taken as independent of one another [currency].

    Raises
    ------
    TakeoffError
        As `settle_up`.
    """
    return run(spread_steps(job, finished, where))


def spread_steps(
    job: Job, finished: Finished, where: str = WHERE
) -> Generator[None, None, dict[str, Decimal]]:
    """The same wall by wall: a screen goes on meanwhile."""
    parts = settle_up(job, finished, where).parts
    squares = dict.fromkeys(parts, NOTHING)
    for wall in finished.walls:
        if wall.mean_mm is not None and wall.uncertainty_mm > 0:
            yield
            moved = settle_up(job, _thicker(finished, wall), where).parts
            squares = {cause: squares[cause] + (moved[cause] - parts[cause]) ** 2 for cause in parts}
    return {cause: round_money(each.sqrt(), job.money_places) for cause, each in squares.items()}


def _thicker(finished: Finished, wall: FinishedWall) -> Finished:
    """What was written down with a wall thicker by as much as it may be off."""
    thicker = replace(wall, mean_mm=(wall.mean_mm or 0.0) + wall.uncertainty_mm)
    return replace(finished, walls=tuple(thicker if each is wall else each for each in finished.walls))
