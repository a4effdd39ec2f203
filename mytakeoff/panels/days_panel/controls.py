"""The controls of the panel for buying and days, and what each of them does to the job."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import Number
from mytakeoff.panels.parts.controls import confidence_number


def _with_rates(job: Job, **changes: Any) -> Job:
    return replace(job, rates=replace(job.rates, **changes))


def with_calendar(job: Job, **changes: Any) -> Job:
    """The job with another start, other working days or waits."""
    return replace(job, calendar=replace(job.calendar, **changes))


def _with_buying(job: Job, **changes: Any) -> Job:
    return replace(job, buying=replace(job.buying, **changes))


def with_saturdays(job: Job, worked: bool) -> Job:
    """The job with Saturdays worked on or not."""
    others = tuple(day for day in job.calendar.weekdays if day != "saturday")
    return with_calendar(job, weekdays=(*others, "saturday") if worked else others)


DAYS = (
    Number(
        "crew", "Plasterers in the crew", 1.0, 6.0, 1.0,
        lambda job: float(job.rates.crew),
        lambda job, value: _with_rates(job, crew=round(value)),
    ),
    Number(
        "day_h", "Hours worked in a day", 4.0, 12.0, 0.5,
        lambda job: job.rates.day_h,
        lambda job, value: _with_rates(job, day_h=value),
    ),
    Number(
        "slow_down", "Plaster takes so many times as long", 0.5, 3.0, 0.1,
        lambda job: job.calendar.slow_down,
        lambda job, value: with_calendar(job, slow_down=value),
        hint=lambda job: "1 in a mild aired room, 1.5 in a cold one, 2 cold and damp",
    ),
)  # fmt: skip
BUYING = (
    Number(
        "carry_kg", "Carried at a time, kg", 5.0, 50.0, 1.0,
        lambda job: job.buying.carry_kg,
        lambda job, value: _with_buying(job, carry_kg=value),
    ),
    Number(
        "stack_m2", "Floor that the stack stands on, m²", 0.5, 8.0, 0.1,
        lambda job: job.buying.stack_m2,
        lambda job, value: _with_buying(job, stack_m2=value),
    ),
    Number(
        "restocking_share", "Kept of a pack brought back, %", 0.0, 1.0, 0.05,
        lambda job: job.buying.restocking_share,
        lambda job, value: _with_buying(job, restocking_share=value),
        shown_per_unit=100.0,
    ),
    Number(
        "return_trip_price", "A trip to bring packs back, in the job's currency", 0.0, 100.0, 1.0,
        lambda job: job.buying.return_trip_price,
        lambda job, value: _with_buying(job, return_trip_price=value),
    ),
)  # fmt: skip
CONFIDENCE = confidence_number("Bags that last in so many jobs of a hundred, %")
NUMBERS = (*DAYS, CONFIDENCE, *BUYING)
