"""Working time: which hours of which days are worked, counted in hours from the first midnight."""

from __future__ import annotations

import math
from datetime import date, datetime, time, timedelta

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.formats import HOUSE
from mytakeoff.job.calendar import LONGEST_BREAK_DAYS, LONGEST_DAYS, Calendar

SECOND_H = 1 / 3600
FUZZ_H = 1e-7  # what adding floats may leave over


class Clock:
    """Hours since midnight of the calendar's first day, and which of them are worked.

    Parameters
    ----------
    calendar : Calendar
    day_h : float
        Worked on a working day, more than 0; the day ends by midnight [h].

    Raises
    ------
    TakeoffError
        A day that goes on past midnight or has no time in it. Later, from any method: no day to work on for
        a year.

    Examples
    --------
    Work of 10 h begun on a Friday at 14:00 ends on Tuesday at 8:00 and no earlier than Monday at 16:00:

    >>> clock = Clock(Calendar(start=date(2027, 3, 5)), 8.0)
    >>> str(clock.moment(clock.after(14.0, 10.0)))
    '2027-03-08 16:00:00'
    """

    def __init__(self, calendar: Calendar, day_h: float) -> None:
        check = Check("calendar")
        check.that(
            0 < day_h <= 24 - calendar.from_h,
            f"{day_h:g} h a day from {calendar.from_h:g} h on",
            "a working day has time in it and ends by midnight",
            "shorten the day or begin it earlier; cleaning up is taken off it",
        )
        check.done()
        self.calendar, self.day_h = calendar, day_h
        self._working: list[bool] = []

    def works(self, day: int) -> bool:
        """Whether the day of that number, 0 the first, is worked on."""
        while len(self._working) <= day:
            on = self.calendar.first_day + timedelta(days=len(self._working))
            self._working.append(self.calendar.works(on))
        return self._working[day]

    def working_day(self, day: int) -> int:
        """The first day from that one on which is worked on."""
        for each in range(day, day + LONGEST_BREAK_DAYS):
            if self.works(each):
                return each
        since = self.calendar.first_day + timedelta(days=day)
        raise TakeoffError(
            Mistake(
                f"no day to work on from {HOUSE.day(since)} for a year",
                "weekdays and holidays leave days to work on",
                "take holidays out, or work on more weekdays",
                "calendar",
            )
        )

    def hours_left(self, at_h: float) -> float:
        """Working time left on the day of a moment, from that moment on [h]."""
        day = int((at_h + FUZZ_H) // 24)
        if not self.works(day):
            return 0.0
        into = max(at_h - 24 * day - self.calendar.from_h, 0.0)
        return max(self.day_h - into, 0.0)

    def next(self, at_h: float, least_h: float = 0.0) -> float:
        """The first working moment from one on after which at least so much of the day is left [h]."""
        self._check_length(at_h)
        least_h = min(max(least_h, 2 * FUZZ_H), self.day_h)
        day = int((at_h + FUZZ_H) // 24)
        if self.hours_left(at_h) + FUZZ_H >= least_h:
            return max(at_h, 24 * day + self.calendar.from_h)
        return 24 * self.working_day(day + 1) + self.calendar.from_h

    def _check_length(self, at_h: float) -> None:
        """Refuse a job that goes on for ever."""
        if at_h > 24 * LONGEST_DAYS:
            raise TakeoffError(
                Mistake(
                    f"work goes on {at_h / 24:.0f} days after its start",
                    f"a job and its waits end within {LONGEST_DAYS} days",
                    "see the hours of a day, the slow-down, and how long the mixes set, cure and dry",
                    "calendar",
                )
            )

    def after(self, at_h: float, hours: float) -> float:
        """When work of so many hours begun at a moment is done [h]."""
        return self.spans(at_h, hours, 0.0)[-1][1]

    def spans(self, at_h: float, hours: float, piece_h: float) -> list[tuple[float, float]]:
        """When work is done from a moment on: a stretch a day, made of whole pieces [h].

        Parameters
        ----------
        at_h : float
        hours : float
            0 or more [h].
        piece_h : float
            What is not left unfinished over night; under a second: anything may be left [h].
        """
        piece_h = min(piece_h, self.day_h, hours) if piece_h > SECOND_H else 0.0
        at_h, done = self.next(at_h, piece_h), []
        while True:
            left = self.hours_left(at_h)
            fits = hours if hours <= left + FUZZ_H else left
            if fits < hours and piece_h > 0:
                fits = math.floor(left / piece_h + FUZZ_H) * piece_h
            done.append((at_h, at_h + fits))
            hours -= fits
            if hours <= FUZZ_H:
                return done
            at_h = self.next(at_h + fits, min(piece_h, hours))

    def between(self, start_h: float, end_h: float) -> float:
        """Working time between two moments [h]."""
        worked, at_h = 0.0, start_h
        while at_h < end_h - FUZZ_H:
            midnight = 24.0 * (int((at_h + FUZZ_H) // 24) + 1)
            until = min(midnight, end_h)
            worked += self.hours_left(at_h) - (self.hours_left(until) if until < midnight else 0.0)
            at_h = until
        return worked

    def moment(self, at_h: float) -> datetime:
        """The date and time of a moment, to the minute."""
        midnight = datetime.combine(self.calendar.first_day, time())
        return midnight + timedelta(minutes=round(60 * at_h))

    def day_after(self, at_h: float) -> date:
        """The first day that begins no earlier than a moment: its own if work has not begun there yet."""
        day = int((at_h + FUZZ_H) // 24)
        begun = at_h > 24 * day + self.calendar.from_h + FUZZ_H
        return self.calendar.first_day + timedelta(days=day + begun)
