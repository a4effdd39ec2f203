"""When work is done and how long one waits for plaster: what the user says."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Annotated

from mytakeoff.bounds import Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.formats.formats import HOUSE

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
SOME_MONDAY = date(2001, 1, 1)  # begins a job whose start is not said
LONGEST_BREAK_DAYS = 366
LONGEST_DAYS = 3660  # a job of ten years is a slip of the pen
FIRST_YEAR, LAST_YEAR = 1900, 2200
QUARTER_H = 0.25  # times of work are written to it
LONGEST_MEAL_H = 4.0
OfDay = Annotated[float, Within(0.0, 24.0, under=True, usual="8 is usual, 12 for the break")]
Wait = Annotated[float, Within(0.0, 2400.0, usual="take the waits from the product's sheet")]  # 100 days


@dataclass(frozen=True)
class Calendar:
    """Working days, and waits that differ from the product's sheet (common practice, no source).

    Parameters
    ----------
    start : date or None
        First day on site; None: a Monday that is not said.
    weekdays : tuple of str
        Worked on, "monday" to "sunday".
    holidays : tuple of date
        Not worked on.
    from_h : float
        When the day begins, 0 to under 24; work begins on the quarter hour after it [h].
    break_from_h, break_h : float
        When the meal break begins and how long it is, whole quarter hours, 0 for none (half an hour at noon:
        common practice, no source); a day that is not worked on both sides of it has none [h].
    slow_down : float
        How many times as long everything waits to set, cure and dry, more than 0: 1 at 15 to 20 °C with air
        moving, 1.5 in a cold room, 2 in a cold damp one (common practice, no source) [-].
    slow_beyond_mm, slow_beyond_factor : float
        Plaster deeper than this dries so many times as slowly beyond it, 1 or more (common practice, no
        source; the rule of thumb of a day for each mm is published to 15 mm: hausjournal.net) [mm], [-].
    primer_h, grit_primer_h, bonding_agent_h, spatterdash_h : float
        Waits after each treatment, 0 or more; a spatterdash waits a day at least: ausbauundfassade.de,
        lexikon, Standzeiten (secondary) [h].
    rails_out_h : float
        After this rails may come out of a coat that has not set yet, 0 or more [h].
    least_gauging_l : float
        The smallest gauging that is worth mixing, more than 0 [l].

    Raises
    ------
    TakeoffError
        Everything that is out of its range, told at once.

    Examples
    --------
    >>> Calendar(start=date(2027, 3, 1)).works(date(2027, 3, 6))
    False
    """

    start: date | None = None
    weekdays: tuple[str, ...] = WEEKDAYS[:5]
    holidays: tuple[date, ...] = ()
    from_h: OfDay = 8.0
    break_from_h: OfDay = 12.0
    break_h: Annotated[float, Within(0.0, LONGEST_MEAL_H, usual="0.5 is usual, 0 for none")] = 0.5
    slow_down: Annotated[float, Within(0.1, 20.0, usual="1 in a mild aired room, 1.5 in a cold one")] = 1.0
    slow_beyond_mm: Annotated[float, Within(0.0, 1000.0, usual="20 mm is usual")] = 20.0
    slow_beyond_factor: Annotated[float, Within(1.0, 20.0, usual="1.5 is usual")] = 1.5
    primer_h: Wait = 2.0
    grit_primer_h: Wait = 12.0
    bonding_agent_h: Wait = 1.0
    spatterdash_h: Wait = 24.0
    rails_out_h: Wait = 4.0
    least_gauging_l: Annotated[float, Within(0.0, 1000.0, above=True, usual="3 l is usual")] = 3.0

    def __post_init__(self) -> None:
        check = Check("calendar")
        self._check_days(check)
        if check_numbers(self, check):
            check.that(
                all(each % QUARTER_H == 0 for each in (self.break_from_h, self.break_h)),
                f"a break of {self.break_h:g} h from {self.break_from_h:g} h on",
                "a break begins and ends on a quarter hour",
                "write 0.25, 0.5, 0.75 or whole hours",
            )
        check.done()

    def _check_days(self, check: Check) -> None:
        wrong = [day for day in self.weekdays if day not in WEEKDAYS]
        check.that(
            not wrong,
            f"weekday {', '.join(map(repr, wrong))}",
            f"a weekday is one of {', '.join(WEEKDAYS)}",
            "write it in full and in small letters",
        )
        check.that(
            bool(self.weekdays),
            "no weekday is worked on",
            "there are days to work on",
            "name at least one weekday",
        )
        check.that(
            FIRST_YEAR <= self.first_day.year <= LAST_YEAR,
            f"start on {HOUSE.day(self.first_day)}",
            f"a job begins between {FIRST_YEAR} and {LAST_YEAR}",
            "write year, month and day: 2027-03-01",
        )

    @property
    def first_day(self) -> date:
        """The day that the programme counts from."""
        return self.start or SOME_MONDAY

    def begun(self, today: date) -> Calendar:
        """With a first day where none is said: the next one after `today` that is worked on.

        Examples
        --------
        On a Saturday, with the Monday after it a holiday:

        >>> Calendar(holidays=(date(2026, 11, 30),)).begun(date(2026, 11, 28)).start
        datetime.date(2026, 12, 1)
        """
        return self if self.start else replace(self, start=self.worked_from(today + timedelta(days=1)))

    def worked_from(self, day: date) -> date:
        """The first day from one on that is worked on; that one itself where none is for a year."""
        days = (day + timedelta(days=number) for number in range(LONGEST_BREAK_DAYS))
        return next((each for each in days if self.works(each)), day)

    def works(self, day: date) -> bool:
        """Whether a day is worked on."""
        return WEEKDAYS[day.weekday()] in self.weekdays and day not in self.holidays
