"""What happened on a job, as rows that ask for it: the boxes of each kind, and what may be chosen in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from mytakeoff.account.lines import product_lines, task_lines
from mytakeoff.finished.record import AgreedVariation, Delivered, Finished, HoursSpent, ReturnTrip
from mytakeoff.panels.parts.rows import BoxField, RowKind
from mytakeoff.result import Result

Options = tuple[tuple[str, str], ...]
NONE_YET = ("choose", "")
GONE = "no line of the price now"
DAY = BoxField("day", "Day", "day", needed=False)


def _with_nothing(kind: type, *names: str) -> Any:
    """Makes a thing whose boxes of these names may be left empty: nothing is 0 there."""

    def make(**values: Any) -> Any:
        return kind(**{name: values[name] or 0.0 if name in names else values[name] for name in values})

    return make


def _left_empty(*names: str) -> Any:
    """Reads a thing for its boxes: 0 is left empty in these."""

    def read(thing: Any) -> Mapping[str, Any]:
        return {name: value or None if name in names else value for name, value in vars(thing).items()}

    return read


DELIVERIES: RowKind[Delivered] = RowKind(
    "deliveries", "a delivery", "delivery ",
    (
        BoxField("item", "Product", "choice"), BoxField("delivered", "Came"),
        BoxField("brought_back", "Brought back", needed=False),
        BoxField("used", "Used, where counted", needed=False),
        BoxField("wasted", "Wasted, of what was used", needed=False),
        BoxField("price", "Price of one, paid", needed=False),
        BoxField("credit", "Paid back for all brought back", needed=False), DAY,
    ),
    _with_nothing(Delivered, "brought_back"),
    {"item": "", **dict.fromkeys(("delivered", "brought_back", "used", "wasted", "price", "credit", "day"))},
    taken_over=("day",),
    read=_left_empty("brought_back"),
)  # fmt: skip

HOURS: RowKind[HoursSpent] = RowKind(
    "hours", "hours", "hours ",
    (
        BoxField("task", "Task", "choice"), BoxField("hours", "Hours of all hands"),
        BoxField("price", "Wage for an hour", needed=False), DAY,
    ),
    HoursSpent,
    {"task": "", "hours": None, "price": None, "day": None},
    taken_over=("day",),
)  # fmt: skip

VARIATIONS: RowKind[AgreedVariation] = RowKind(
    "variations", "a variation", "variation ",
    (
        BoxField("words", "What was agreed", "text"),
        BoxField("amount", "Amount, below 0 for what was left out", signed=True), DAY,
    ),
    AgreedVariation,
    {"words": "", "amount": None, "day": None},
)  # fmt: skip

TRIPS: RowKind[ReturnTrip] = RowKind(
    "trips", "a return trip", "trip ",
    (
        BoxField("why", "Why", "text", needed=False), BoxField("hours", "Hours of a plasterer"),
        BoxField("amount", "What else it cost", needed=False), DAY,
    ),
    _with_nothing(ReturnTrip, "amount"),
    {"why": "", "hours": None, "amount": None, "day": None},
    read=_left_empty("amount"),
)  # fmt: skip

KINDS: dict[str, RowKind[Any]] = {
    "deliveries": DELIVERIES, "hours": HOURS, "variations": VARIATIONS, "trips": TRIPS,
}  # fmt: skip
CHOSEN = {"deliveries": "item", "hours": "task"}  # the box of a row that offers what the price has
TITLES = {
    "deliveries": "Deliveries", "hours": "Hours", "variations": "Variations", "trips": "Return trips",
}  # fmt: skip
HINTS = {
    "deliveries": "What came, counted as its line of the price counts it. Where nothing is typed: nothing "
    "brought back, all that stayed was used, nobody looked at what was wasted, paid as priced, paid back as "
    "the job says.",
    "hours": "Hours of all hands at a task, on a day or all together. Without a wage they count with the one "
    "that was priced.",
    "variations": "What was agreed on top of the price or left out of it, before tax.",
    "trips": "Trips that nobody planned: hours that are not among those above, and what else they cost.",
}


def offered(result: Result, finished: Finished) -> dict[str, Options]:
    """What each kind of row offers to be chosen: the lines of the price, and what stands in rows already.

    Parameters
    ----------
    result : Result
        Of the job.
    finished : Finished
        As it stands: what it names stays, though its line may be gone.

    Returns
    -------
    dict of str to tuple of (words, name)
    """
    products = {name: f"{name} ({line.unit})" for name, line in product_lines(result.cost).items()}
    tasks = {name: name for name in task_lines(result.cost)}
    used = {
        "deliveries": [row.item for row in finished.deliveries],
        "hours": [row.task for row in finished.hours],
    }
    return {
        "deliveries": _options(products, used["deliveries"]),
        "hours": _options(tasks, used["hours"]),
    }


def _options(names: Mapping[str, str], used: Iterable[str]) -> Options:
    gone = [name for name in dict.fromkeys(used) if name not in names]
    there = [(words, name) for name, words in names.items()]
    return (NONE_YET, *there, *((f"{name}: {GONE}", name) for name in gone))
