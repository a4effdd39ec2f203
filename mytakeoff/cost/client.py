"""The client's table: a row for each finished piece of work, and no number that lets a rate be read off.

Notes
-----
A row has one number, its amount, so there is nothing in it to divide by. What stands beside it in a headline
is told only as far as no quotient of two of its numbers is a price or a rate of the job (`may_be_told`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property, lru_cache
from itertools import combinations
from math import prod

import numpy as np

from mytakeoff.job.catalogue import DELIVERY
from mytakeoff.job.choices import Extra, Margins
from mytakeoff.job.job import Job
from mytakeoff.job.packs import Buying
from mytakeoff.job.prices import PriceList
from mytakeoff.job.treatments import STRAIGHTEN
from mytakeoff.labour.hours import HALF_DAYS
from mytakeoff.measure.line import SUNDRIES, Quantity, present, quantity
from mytakeoff.measure.wall_measures import Measures, measure_wall
from mytakeoff.survey.survey import Floats
from mytakeoff.takeoff.needs import needs_of
from mytakeoff.takeoff.purchases import as_bought
from mytakeoff.takeoff.takeoff import Takeoff, takeoff_lines
from mytakeoff.treatment.room_planes import is_squared
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.units import round_money, share_out

READS_OFF = 0.001  # a quotient nearer to a price than this share of it lets the price be read off
PARTS_OF_MARGINS = ("overhead_share", "profit_share", "contingency_share", "tax_share")
CACHE_SIZE = 64  # walls
WHOLE_JOB = "the work as agreed"


@dataclass(frozen=True)
class ClientRow:
    """A finished piece of work in words, its room and wall ("" for none), and all that it costs."""

    item: str
    room: str
    amount: Decimal
    wall: str = ""


@dataclass(frozen=True, eq=False)
class FinishedWork:
    """What a job's finished pieces of work are, and what each weighs when the price is shared out.

    Parameters
    ----------
    job : Job
    walls : tuple of WallResult
        Those that are priced.
    """

    job: Job
    walls: tuple[WallResult, ...]

    def rows(self, subtotal: Decimal, before_tax: Decimal) -> tuple[ClientRow, ...]:
        """The rows, before tax.

        Parameters
        ----------
        subtotal : Decimal
            Sum of the estimator's lines.
        before_tax : Decimal
            That with overhead, profit and contingency: the rows add up to it.

        Notes
        -----
        An extra that is a finished thing in a room weighs what it, or the packs that it is bought in, would
        cost alone; all else is shared among the
        walls by what each would cost alone. So margins lie on all rows alike, and what walls have in common
        (carriage, whole bags, whole half days) lies on the walls. Cents that are left over go by name where
        two lost alike, so that no row hangs on the order of the walls.
        """
        extras = [extra for extra in self.job.extras if extra.room and not extra.excluded]
        apart = [self._line(extra) for extra in extras]
        worked = [wall for wall in self.walls if wall.worked]
        left, alone = subtotal - sum(apart, Decimal(0)), self._alone
        whole = sum(alone, Decimal(0)) or Decimal(1)
        works = [
            ClientRow(work_words(self.job, wall), wall.entry.room, Decimal(0), wall.entry.name)
            for wall in worked
        ]
        weights = [left * weight / whole for weight in alone]
        if not works and left:
            works, weights = [ClientRow(WHOLE_JOB, "", Decimal(0))], [left]
        rows = [*works, *(ClientRow(extra.item, extra.room, Decimal(0)) for extra in extras)]
        weights += apart
        by_name = sorted(range(len(rows)), key=lambda at: (rows[at].wall, rows[at].room, rows[at].item))
        amounts = share_out(before_tax, [weights[at] for at in by_name], self.job.money_places)
        return tuple(
            replace(rows[at], amount=part) for at, part in sorted(zip(by_name, amounts, strict=True))
        )

    def _line(self, extra: Extra) -> Decimal:
        lines = present(quantity(extra.item, extra.quantity, "", SUNDRIES, unit=""))
        alone = Takeoff(lines, needs=needs_of(self.job, (), (), lines))
        return round_money(_lines_cost(self.job, alone), self.job.money_places)

    @cached_property
    def _alone(self) -> tuple[Decimal, ...]:
        """What each wall's own lines come to, without what a job rounds up to or has brought."""
        job = replace(self.job, extras=())
        return tuple(_own_cost(job, wall) for wall in self.walls if wall.worked)


def _own_cost(job: Job, wall: WallResult) -> Decimal:
    """What a wall's lines cost, without carriage, which has no item of its own, and the line of half days."""
    chosen = Buying(chosen=job.buying.chosen)  # what is kept may stand in the price list alone
    bare = replace(job, prices=PriceList(), margins=Margins(), buying=chosen, scenarios=(), learnt=())
    return _lines_cost(job, own_takeoff(bare, wall))


def _lines_cost(job: Job, takeoff: Takeoff) -> Decimal:
    lines = as_bought(job, takeoff).quantities
    own = (line for line in lines if line.item not in ("", DELIVERY) and not line.label.endswith(HALF_DAYS))
    return sum((line.quantity * _price(line, job.prices) for line in own), Decimal(0))


def _price(line: Quantity, prices: PriceList) -> Decimal:
    return prices.of(line.item).price if line.price is None else line.price


@lru_cache(maxsize=CACHE_SIZE)
def own_takeoff(job: Job, wall: WallResult) -> Takeoff:
    """What a wall takes by itself; the job comes without prices and margins, which nothing here reads."""
    return takeoff_lines(job, [wall])


def work_words(job: Job, wall: WallResult) -> str:
    """What is done to a wall, as a client reads it: no quantities, mixes or hours.

    Parameters
    ----------
    job : Job
    wall : WallResult
        One on which something is done.

    Examples
    --------
    ``window wall: brought to a plumb plane and skimmed, ready to paint; the radiator taken off and hung
    again``
    """
    measures = measure_wall(job, wall)
    skimmed = any(layer.role == "finish" for layer in wall.layers)
    face = _face_words(job, wall) + (" and skimmed, ready to paint" if skimmed else "")
    return f"{wall.entry.name}: {'; '.join((face, *_beside(wall, measures)))}"


def _face_words(job: Job, wall: WallResult) -> str:
    if not wall.floated:
        straight = wall.treatment is not None and wall.treatment.kind == STRAIGHTEN
        return "hollows filled until it is straight" if straight else "loose and fallen places patched"
    rule = wall.rule
    if not rule.plumb:
        return "brought to a true plane that follows its lean"
    if rule.turn_mm_per_m is None:
        return "brought to a plumb plane"
    squared = "in the room" if is_squared(job, wall.entry) else "to the corner"
    return f"brought to a plumb plane square {squared}"


def _beside(wall: WallResult, measures: Measures) -> Iterable[str]:
    """What else is done on the wall."""
    radiators = "the radiator" if measures.radiators == 1 else "the radiators"
    done = (
        (bool(wall.entry.strip), f"{wall.entry.strip} stripped off first"),
        (measures.hacked_m2 > 0, "loose plaster taken off first"),
        (measures.cut_m2 > 0, "high spots taken down"),
        (measures.reveal_m > 0, "reveals plastered"),
        (measures.angle_bead_m > 0, "corners with beads"),
        (measures.sockets > 0, "sockets brought forward"),
        (wall.covered and wall.entry.skirting_off_m > 0, "the skirting taken off and put back"),
        (measures.radiators > 0, f"{radiators} taken off and hung again"),
    )
    return (words for there_is, words in done if there_is)


def hidden_figures(job: Job) -> Floats:
    """Every price and rate of a job times every product of its margins, ascending."""
    prices = [*(row.price for row in job.prices.rows), *(pack.price for pack in job.packs.rows)]
    figures = np.array([*map(float, prices), *job.rates.figures])
    more = [1.0 + getattr(job.margins, name) for name in PARTS_OF_MARGINS]
    products = [prod(some) for count in range(len(more) + 1) for some in combinations(more, count)]
    return np.unique(np.outer(figures[figures > 0], products))


def reads_off(one: float, other: float, hidden: Floats) -> bool:
    """Whether one number over the other, either way, comes within 0.1 % of a hidden figure.

    Examples
    --------
    >>> reads_off(221.32, 13, np.array([17.02])), reads_off(221.32, 13, np.array([17.2]))
    (True, False)
    """
    if not (one and other):
        return False
    quotients = np.array([one / other, other / one])
    return bool((abs(hidden[:, None] - quotients) <= READS_OFF * hidden[:, None]).any())


def may_be_told(numbers: Sequence[float], hidden: Floats) -> tuple[bool, ...]:
    """Which numbers may stand side by side before a client.

    The first always does; each further one where it makes no quotient with one that stands already from
    which a hidden figure could be read off, be it by chance: then it is left out.

    Examples
    --------
    >>> may_be_told([221.32, 13, 4], np.array([17.02]))
    (True, False, True)
    """
    standing: list[float] = []
    shown = []
    for number in numbers:
        may = not any(reads_off(number, other, hidden) for other in standing)
        standing += [number] if may else []
        shown.append(may)
    return tuple(shown)
