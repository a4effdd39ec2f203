"""The controls of the panel for buying and days, and what each of them does to the job."""

from __future__ import annotations

from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import Number
from mytakeoff.panels.parts.controls import CONFIDENCE, part_number, with_part


def with_saturdays(job: Job, worked: bool) -> Job:
    """The job with Saturdays worked on or not."""
    others = tuple(day for day in job.calendar.weekdays if day != "saturday")
    return with_part(job, "calendar", weekdays=(*others, "saturday") if worked else others)


DAYS = (
    Number(
        "crew", "Plasterers in the crew", 1.0, 6.0, 1.0,
        lambda job: float(job.rates.crew),
        lambda job, value: with_part(job, "rates", crew=round(value)),
    ),
    part_number("rates", "day_h", "Hours worked in a day", 4.0, 12.0, 0.5),
    part_number(
        "calendar", "slow_down", "Plaster takes so many times as long", 0.5, 3.0, 0.1,
        hint=lambda job: f"1 in a mild aired room, {job.formats.short(1.5)} in a cold one, 2 cold and damp",
    ),
)  # fmt: skip
BUYING = (
    part_number("buying", "carry_kg", "Carried at a time, kg", 5.0, 50.0, 1.0),
    part_number("buying", "stack_m2", "Floor that the stack stands on, m²", 0.5, 8.0, 0.1),
    part_number(
        "buying", "restocking_share", "Kept of a pack brought back, %", 0.0, 1.0, 0.05, shown_per_unit=100.0
    ),
    part_number(
        "buying", "return_trip_price", "A trip to bring packs back, in the job's currency", 0.0, 100.0, 1.0
    ),
)  # fmt: skip
ORDER_WORDS = {
    "For less": "is the cheapest order, by price breaks, least orders and delivery.",
    "Take this order": "buys so; only then the price moves.",
}
NUMBERS = (*DAYS, CONFIDENCE, *BUYING)
