"""The points of the budget curve: what flatness costs, and where it gets dear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from mytakeoff.charts.drawing.field import Floats
from mytakeoff.errors import Check
from mytakeoff.formats.formats import Formats

MONEY_STEP = 100.0  # whose worth is told: "the next hundred"
ENOUGH_MM = 0.5  # that it has to take off the gap to be worth telling
LEAST_MM = 0.05  # gaps that read the same


@dataclass(frozen=True)
class OptionMark:
    """One way of treating the wall, as a mark on the curve.

    Parameters
    ----------
    letter : str
        Stands in the ring.
    name : str
        Stands beside the letter under the picture.
    gap_mm : float
        Greatest gap that it leaves, 0 or more [mm].
    total : float or Decimal
        With tax.
    low, high : float or Decimal, optional
        Ends of its price range.
    """

    letter: str
    name: str
    gap_mm: float
    total: float | Decimal
    low: float | Decimal | None = None
    high: float | Decimal | None = None


@dataclass(frozen=True, eq=False)
class Curve:
    """What each step of flatness costs.

    Parameters
    ----------
    gap_mm : (n,) float
        Greatest gap left, from the bare wall's down, 0 or more [mm].
    total : (n,) float
        Price with tax, in real steps.
    formats : Formats
        The job's, for money.
    edge_m : float
        Length of the straightedge, more than 0 [m].
    low, high : (n,) float, optional
        Ends of the price range.
    walls : tuple of str
        On which wall the gap is, for each point; empty where there is only one wall.

    Raises
    ------
    TakeoffError
        Lists of different lengths, none at all, or a number that is not one.
    """

    gap_mm: Floats
    total: Floats
    formats: Formats
    edge_m: float = 2.0
    low: Floats | None = None
    high: Floats | None = None
    walls: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        lists = {"gap_mm": self.gap_mm, "total": self.total, "low": self.low, "high": self.high}
        given = {name: np.array(each, dtype=float) for name, each in lists.items() if each is not None}
        check = Check("budget curve")
        sizes = {each.shape for each in given.values()}
        check.that(
            len(sizes) == 1 and given["gap_mm"].ndim == 1 and given["gap_mm"].size > 0,
            f"lists of {', '.join(str(each.size) for each in given.values())} values",
            "there is one price for each gap, and at least one",
            "compute the curve again",
        )
        check.that(
            all(bool(np.isfinite(each).all()) for each in given.values()),
            "a gap or price that is no number",
            "each point has a gap and a price",
            "leave the point out",
        )
        check.done()
        # A stable sort: points with one gap stay in the order in which they were bought.
        order = np.argsort(-given["gap_mm"], kind="stable")
        for name, each in given.items():
            object.__setattr__(self, name, each[order])
        if self.walls:
            object.__setattr__(self, "walls", tuple(self.walls[at] for at in order))


def gained_mm(curve: Curve, step: float = MONEY_STEP) -> Floats:
    """How many millimetres of gap the next `step` of money takes away, at each point but the last [mm].

    To the first point that costs at least so much more, or the last one; ``inf`` where flatter is no dearer.

    Examples
    --------
    >>> euros = Formats(currency="EUR")
    >>> curve = Curve(np.array([12.0, 6.0, 4.0, 3.0]), np.array([0.0, 300.0, 400.0, 800.0]), euros)
    >>> gained_mm(curve).tolist()
    [2.0, 2.0, 0.25]
    """
    gap, total = curve.gap_mm, curve.total
    gained = np.empty(max(gap.size - 1, 0))
    for index in range(gained.size):
        dearer = np.flatnonzero(total[index + 1 :] >= total[index] + step)
        to = index + 1 + int(dearer[0]) if dearer.size else gap.size - 1
        money = total[to] - total[index]
        gained[index] = (gap[index] - gap[to]) * step / money if money > 0 else np.inf
    return gained


def last_worth(curve: Curve, step: float = MONEY_STEP, enough_mm: float = ENOUGH_MM) -> int:
    """The point from which on no further `step` of money takes `enough_mm` away [mm]; the last one if all do.

    Examples
    --------
    >>> last_worth(Curve(np.array([12.0, 6.0, 4.0, 3.0]), np.array([0.0, 300.0, 400.0, 800.0]), "EUR"))
    2
    """
    worth = np.flatnonzero(gained_mm(curve, step) >= enough_mm)
    return int(worth[-1]) + 1 if worth.size else 0


def worth_words(curve: Curve) -> str:
    """What flatness costs, up to where it gets dear and beyond, from point to point that the curve has.

    Examples
    --------
    >>> euros = Formats(currency="EUR")
    >>> worth_words(Curve(np.array([12.0, 6.0, 4.0, 3.0]), np.array([0.0, 300.0, 400.0, 800.0]), euros))
    '400 EUR take the gap from 12 mm to 4.0 mm, another 400 EUR take it to 3.0 mm in one step'
    >>> worth_words(Curve(np.array([12.0, 3.0]), np.array([0.0, 1500.0]), euros))
    '1\u202f500 EUR take the gap from 12 mm to 3.0 mm in one step'
    """
    knee, end = last_worth(curve), curve.gap_mm.size - 1
    if curve.gap_mm[0] - curve.gap_mm[end] < LEAST_MM:
        return f"Filling hollows leaves the gap at {_gap_words(curve, end)}"
    first = f"the gap from {_gap_words(curve, 0)}"
    if not 0 < knee < end or curve.gap_mm[0] - curve.gap_mm[knee] < LEAST_MM:
        return f"{_money_words(curve, 0, end)} take {first} to {_reached(curve, 0, end)}"
    start = f"{_money_words(curve, 0, knee)} take {first} to {_reached(curve, 0, knee)}"
    if curve.gap_mm[knee] - curve.gap_mm[end] < LEAST_MM:
        return start
    return f"{start}, another {_money_words(curve, knee, end)} take it to {_reached(curve, knee, end)}"


def _money_words(curve: Curve, start: int, end: int) -> str:
    return curve.formats.amount(float(curve.total[end] - curve.total[start]), 0)


def _gap_words(curve: Curve, at: int, told: int | None = None) -> str:
    """The gap at a point, and on which wall it is where there are several and none was told just before."""
    wall = curve.walls[at] if curve.walls else ""
    if told is not None and curve.walls and wall == curve.walls[told]:
        wall = ""
    return curve.formats.mm(float(curve.gap_mm[at])) + (f" (on {wall})" if wall else "")


def _reached(curve: Curve, start: int, end: int) -> str:
    """The gap at the end, and whether nothing lies between it and the start."""
    prices = {float(price) for price in curve.total[start : end + 1]}
    return _gap_words(curve, end, start) + (" in one step" if len(prices) <= 2 else "")


def break_mm(curve: Curve, options: Sequence[OptionMark]) -> float | None:
    """Where the axis of gaps is broken, so that options close together stay apart; None: nowhere [mm].

    Options that leave half the greatest gap or more do not count: where all others lie in the last eighth,
    what lies beyond them is drawn closer together.

    Examples
    --------
    >>> euros = Formats(currency="EUR")
    >>> curve = Curve(np.array([70.0, 5.0, 3.0]), np.array([0.0, 300.0, 400.0]), euros)
    >>> marks = [OptionMark("A", "as it is", 70.0, 0), OptionMark("B", "patch", 5.0, 300)]
    >>> break_mm(curve, [*marks, OptionMark("C", "float", 0.0, 900)])
    6.5
    >>> break_mm(curve, marks[:1]) is None
    True
    """
    widest = max([*curve.gap_mm, *(each.gap_mm for each in options)])
    close = [each.gap_mm for each in options if each.gap_mm < widest / 2]
    if len(close) < 2 or max(close) >= widest / 8:
        return None
    return max(1.3 * max(close), 4 * ENOUGH_MM)


def listed_words(option: OptionMark, formats: Formats) -> str:
    """What an option costs and leaves, as the list under the picture has it."""
    said = f"{option.name}: {formats.amount(option.total, 0)}"
    if option.low is not None and option.high is not None:
        said += f" ({formats.number(option.low)} to {formats.number(option.high)})"
    return f"{said}, leaves {formats.mm(option.gap_mm)}"


def describe_curve(curve: Curve, options: Sequence[OptionMark] = ()) -> str:
    """What the picture shows, in sentences.

    Examples
    --------
    >>> euros = Formats(currency="EUR")
    >>> curve = Curve(np.array([12.0, 6.0, 4.0, 3.0]), np.array([0.0, 300.0, 400.0, 800.0]), euros)
    >>> describe_curve(curve, [OptionMark("B", "patch", 6.0, 320)])
    'Price against the greatest gap left under a 2 m edge: from 0 EUR for 12 mm to 800 EUR for 3.0 mm. \
400 EUR take the gap from 12 mm to 4.0 mm, another 400 EUR take it to 3.0 mm in one step. \
B, patch: 320 EUR, leaves 6.0 mm.'
    """
    first, last = (
        f"{curve.formats.amount(float(curve.total[at]), 0)} for {curve.formats.mm(float(curve.gap_mm[at]))}"
        for at in (0, -1)
    )
    edge = curve.formats.length(curve.edge_m)
    head = f"Price against the greatest gap left under a {edge} edge: from {first} to {last}."
    marks = [f"{each.letter}, {listed_words(each, curve.formats)}." for each in options]
    return " ".join([head, worth_words(curve) + ".", *marks])
