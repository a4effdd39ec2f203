"""When work is done and how long one waits for plaster: what the user says."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date, timedelta

from mytakeoff.errors import Check
from mytakeoff.formats import HOUSE

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
SOME_MONDAY = date(2001, 1, 1)  # begins a job whose start is not said
LONGEST_BREAK_DAYS = 366
LONGEST_DAYS = 3660  # a job of ten years is a slip of the pen
FIRST_YEAR, LAST_YEAR = 1900, 2200
QUARTER_H = 0.25  # times of work are written to it
LONGEST_MEAL_H = 4.0


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
    from_h: float = 8.0
    break_from_h: float = 12.0
    break_h: float = 0.5
    slow_down: float = 1.0
    slow_beyond_mm: float = 20.0
    slow_beyond_factor: float = 1.5
    primer_h: float = 2.0
    grit_primer_h: float = 12.0
    bonding_agent_h: float = 1.0
    spatterdash_h: float = 24.0
    rails_out_h: float = 4.0
    least_gauging_l: float = 3.0

    def __post_init__(self) -> None:
        check = Check("calendar")
        self._check_days(check)
        self._check_figures(check)
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

    def _check_figures(self, check: Check) -> None:
        check.that(
            0 <= self.from_h < 24,
            f"the day begins at {self.from_h:g} h",
            "a day begins between 0 and 24 h",
            "8 is usual",
        )
        check.that(
            0 <= self.break_from_h < 24 and 0 <= self.break_h <= LONGEST_MEAL_H,
            f"a break of {self.break_h:g} h from {self.break_from_h:g} h on",
            f"a break begins between 0 and 24 h and takes {LONGEST_MEAL_H:g} h at most",
            "half an hour from 12 is usual, 0 for none",
        )
        check.that(
            all(each % QUARTER_H == 0 for each in (self.break_from_h, self.break_h)),
            f"a break of {self.break_h:g} h from {self.break_from_h:g} h on",
            "a break begins and ends on a quarter hour",
            "write 0.25, 0.5, 0.75 or whole hours",
        )
        check.that(
            0 < self.slow_down < math.inf,
            f"slow-down {self.slow_down:g}",
            "it is how many times as long plaster takes, more than 0",
            "1 in a mild aired room, 1.5 in a cold one",
        )
        check.that(
            self.slow_beyond_mm >= 0 and self.slow_beyond_factor >= 1,
            f"drying {self.slow_beyond_factor:g} times as slow beyond {self.slow_beyond_mm:g} mm",
            "a depth is 0 or more, and deep plaster is not quicker",
            "1.5 times beyond 20 mm is usual",
        )
        waits = (
            self.primer_h, self.grit_primer_h, self.bonding_agent_h, self.spatterdash_h, self.rails_out_h
        )  # fmt: skip
        check.that(
            min(waits) >= 0 and self.least_gauging_l > 0,
            f"waits of {', '.join(f'{wait:g}' for wait in waits)} h, least gauging of "
            f"{self.least_gauging_l:g} l",
            "a wait is 0 or more, a gauging holds something",
            "take the waits from the product's sheet",
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
