"""Working time: which hours of which days are worked, counted in hours from the first midnight.

Work begins and ends on a quarter hour, as a person writes it in a diary. Quarters are exact in binary: times
of work are added and compared as they are.
"""

from __future__ import annotations

import math
from datetime import date, datetime, time, timedelta

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.formats.formats import HOUSE
from mytakeoff.job.calendar import LONGEST_BREAK_DAYS, LONGEST_DAYS, QUARTER_H, Calendar

FUZZ_H = 1e-7  # what adding floats may leave over
Span = tuple[float, float]


def to_quarter(hours: float) -> float:
    """To the nearest quarter hour, half a quarter up [h].

    Examples
    --------
    >>> to_quarter(1.1), to_quarter(0.125), to_quarter(0.02)
    (1.0, 0.25, 0.0)
    """
    return math.floor((hours + FUZZ_H) / QUARTER_H + 0.5) * QUARTER_H


def up_to_quarter(hours: float) -> float:
    """To the next quarter hour, unless it is one [h]."""
    return math.ceil((hours - FUZZ_H) / QUARTER_H) * QUARTER_H


class Clock:
    """Hours since midnight of the calendar's first day, and which of them are worked.

    Parameters
    ----------
    calendar : Calendar
    day_h : float
        Worked on a working day, of which whole quarter hours count; the day ends by midnight [h].

    Raises
    ------
    TakeoffError
        A day that goes on past midnight or has no quarter hour in it. Later, from any method: no day to work
        on for a year.

    Examples
    --------
    Work of 10 h begun on a Friday at 14:00 leaves 2½ h of an 8 hours' day and its half hour of break, so it
    ends on Monday after 7½ h more:

    >>> clock = Clock(Calendar(start=date(2027, 3, 5)), 8.0)
    >>> str(clock.moment(clock.spans(14.0, 10.0, 0.0)[-1][1]))
    '2027-03-08 16:00:00'
    """

    def __init__(self, calendar: Calendar, day_h: float) -> None:
        self.calendar, self.day_h = calendar, math.floor(day_h / QUARTER_H + FUZZ_H) * QUARTER_H
        self.stretches = self._stretches()
        check = Check("calendar")
        check.that(
            self.day_h > 0,
            f"{day_h:g} h of work a day",
            "a day leaves time for work, a quarter hour at least when cleaning up is done",
            "lengthen the day or clean up in less",
        )
        check.that(
            self.stretches[-1][1] <= 24,
            f"{day_h:g} h a day from {calendar.from_h:g} h on, the break among them",
            "a working day ends by midnight",
            "shorten the day or begin it earlier",
        )
        check.done()
        self._working: list[bool] = []

    def _stretches(self) -> tuple[Span, ...]:
        """From when to when is worked on a working day, the break between [h]."""
        begins, noon = up_to_quarter(self.calendar.from_h), self.calendar.break_from_h
        ends = begins + self.day_h
        if not self.calendar.break_h or not begins < noon < ends:
            return ((begins, ends),)
        back = noon + self.calendar.break_h
        return (begins, noon), (back, back + ends - noon)

    @property
    def begins_h(self) -> float:
        """When a working day begins [h]."""
        return self.stretches[0][0]

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
        day, left = int(at_h // 24), 0.0
        if self.works(day):
            into = at_h - 24 * day
            for start, end in self.stretches:
                if into < end:
                    left += end - (into if into > start else start)
        return left

    def _till_break(self, at_h: float) -> float:
        """Working time from a working moment to the next break or evening [h]."""
        into = at_h % 24
        return next(end - into for _, end in self.stretches if into < end)

    def next(self, at_h: float, least_h: float = 0.0) -> float:
        """The first working moment from one on after which at least so much of the day is left [h]."""
        self._check_length(at_h)
        at_h = up_to_quarter(at_h)
        day, left = int(at_h // 24), self.hours_left(at_h)
        if left and left + FUZZ_H >= min(least_h, self.day_h):
            start = next(start for start, end in self.stretches if at_h < 24 * day + end)
            return max(at_h, 24 * day + start)
        return 24 * self.working_day(day + 1) + self.begins_h

    def morning(self, at_h: float) -> float:
        """The first beginning of a working day from a moment on [h]."""
        day = self.working_day(int(at_h // 24))
        begins = 24 * day + self.begins_h
        return begins if begins + FUZZ_H >= at_h else 24 * self.working_day(day + 1) + self.begins_h

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

    def spans(self, at_h: float, hours: float, piece_h: float) -> list[Span]:
        """When work is done from a moment on, without nights and breaks [h].

        Parameters
        ----------
        at_h : float
        hours : float
            Whole quarters, one or more [h].
        piece_h : float
            What is not left unfinished over night; the break falls where it falls [h].

        Notes
        -----
        Nobody comes back for a last quarter hour: it is done before the break or the evening, and the spans
        may be that much shorter than `hours`.
        """
        piece_h = min(max(piece_h, QUARTER_H), self.day_h, hours)
        at_h, done = self.next(at_h, piece_h), list[Span]()
        while hours > 0:
            left = self.hours_left(at_h)
            for enough in (self._till_break(at_h), left):
                if hours - enough <= QUARTER_H < enough:
                    hours = min(hours, enough)
            pieces = math.floor(left / piece_h + FUZZ_H)
            fits = hours if hours <= left else up_to_quarter(pieces * piece_h)
            hours -= fits
            midnight = 24 * (at_h // 24)
            for start, end in self.stretches:
                begins = max(at_h, midnight + start)
                took = min(fits, midnight + end - begins)
                if took > 0:
                    done.append((begins, begins + took))
                    fits -= took
            if hours > 0:
                at_h = self.next(done[-1][1], min(piece_h, hours))
        return done

    def between(self, start_h: float, end_h: float) -> float:
        """Working time between two moments [h]."""
        worked, at_h = 0.0, start_h
        while at_h < end_h - FUZZ_H:
            midnight = 24.0 * (int(at_h // 24) + 1)
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
        begun = at_h > 24 * day + self.begins_h + FUZZ_H
        return self.calendar.first_day + timedelta(days=day + begun)
