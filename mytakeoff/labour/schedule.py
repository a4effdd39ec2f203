"""When each piece of work is done: one crew, several walls, and while one sets another is worked on.

List scheduling: of the walls that can go on soonest the crew takes the one with most still before it. The
crew works on one thing at a time, all of them together.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import accumulate

from mytakeoff.job.calendar import QUARTER_H
from mytakeoff.job.edits import without_money
from mytakeoff.job.job import Job
from mytakeoff.labour.clock import Clock, to_quarter
from mytakeoff.labour.pieces import FINISH
from mytakeoff.labour.waits import Step, WallSteps, wall_steps
from mytakeoff.measure.wall_measures import measure_wall, storey_of
from mytakeoff.treatment.wall_result import WallResult

SET_UP = "set up and protect"
COME_BACK = "come back"
CHECK = "check and touch up"
CACHE_SIZE = 16  # schedules kept: each holds every wall of its job


@dataclass(frozen=True)
class Booking:
    """A step with its hours on the clock: a stretch for each day [h], and the visit that it belongs to."""

    step: Step
    spans: tuple[tuple[float, float], ...]
    visit: int

    @property
    def end_h(self) -> float:
        """When it is done [h]."""
        return self.spans[-1][1]


@dataclass(frozen=True)
class Dried:
    """When a wall's last coat is done, when it need not be kept damp any more, and when it is dry [h]."""

    laid_h: float
    cured_h: float
    dry_h: float


@dataclass(frozen=True)
class Schedule:
    """Bookings in the order of the clock, how often the crew comes back to each room, when walls are dry."""

    clock: Clock
    bookings: tuple[Booking, ...]
    returns: dict[str, int]
    dried: dict[str, Dried]

    @property
    def site_days(self) -> int:
        """Days of the calendar on which somebody works [-]."""
        return self.days_on()

    def days_on(self, walls: Collection[str] | None = None) -> int:
        """Days on which somebody works on one of these walls; None: on anything [-]."""
        booked = (each for each in self.bookings if walls is None or each.step.wall in walls)
        return len({int(start // 24) for booking in booked for start, _ in booking.spans})

    @property
    def visits(self) -> int:
        """Stays on site without a gap of more than half a working day; a day that ends early is none [-]."""
        return self.bookings[-1].visit if self.bookings else 0


@dataclass
class _Chain:
    """One wall on its way: the step that comes next, when it may begin, and what is before the wall [h]."""

    wall: WallSteps
    tails_h: Sequence[float]
    at: int = 0
    ready_h: float = 0.0

    @property
    def step(self) -> Step:
        return self.wall.steps[self.at]

    @property
    def done(self) -> bool:
        return self.at == len(self.wall.steps)


def _chain(wall: WallSteps, crew: int) -> _Chain:
    """A wall at its first step; before it lie its work, its waits and its drying."""
    each = [step.hours / crew + step.wait_h for step in reversed(wall.steps)]
    tails = list(accumulate(each, initial=wall.cure_h + wall.dry_h))
    return _Chain(wall, tails[:0:-1])


def working_clock(job: Job) -> Clock:
    """The hours in which the crew works; cleaning up is taken off each day.

    Raises
    ------
    TakeoffError
        Cleaning up leaves no quarter hour of a day, or the day goes on past midnight.
    """
    rates = job.rates
    return Clock(job.calendar, rates.day_h - rates.clean_up_h_per_day / rates.crew)


def schedule(job: Job, walls: Sequence[WallResult]) -> Schedule:
    """When the work on some walls is done.

    Parameters
    ----------
    job : Job
        For rates, rails, rooms and its calendar; prices, margins and packs are not read.
    walls : sequence of WallResult

    Returns
    -------
    Schedule
        The crew leaves the site when it would stand idle for more than half a working day, and comes back in
        a morning; unless that is the next one, each room then costs a visit. When all walls are dry there is
        one visit more, to check.

    Raises
    ------
    TakeoffError
        Hours or a calendar in which nothing can be done.
    """
    return _planned(without_money(job), tuple(walls))


@lru_cache(maxsize=CACHE_SIZE)
def _planned(job: Job, walls: tuple[WallResult, ...]) -> Schedule:
    """`schedule`, kept: the price, every headline and the programme read the same one."""
    chains = [_chain(wall_steps(job, wall, measure_wall(job, wall)), job.rates.crew) for wall in walls]
    crew = _Crew(job, working_clock(job))
    waiting = [chain for chain in chains if not chain.done]
    while waiting:
        chain = crew.choose(waiting)
        crew.work(chain)
        waiting = [chain for chain in waiting if not chain.done]
    dried = {chain.wall.wall: _dried(chain, crew) for chain in chains if chain.wall.laid}
    crew.check([chain.wall for chain in chains if chain.wall.laid], dried)
    return Schedule(crew.clock, tuple(crew.bookings), crew.returns, dried)


def _dried(chain: _Chain, crew: _Crew) -> Dried:
    laid = crew.ends[chain.wall.wall]
    cured = laid + chain.wall.cure_h
    return Dried(laid, cured, cured + chain.wall.dry_h)


@dataclass
class _Crew:
    """The crew, when it is free, what it has done, and what rounding to quarters has left over so far [h]."""

    job: Job
    clock: Clock
    free_h: float = 0.0
    owed_h: float = 0.0
    visit: int = 1
    bookings: list[Booking] = field(default_factory=list)
    returns: dict[str, int] = field(default_factory=dict)
    last_visit: dict[str, int] = field(default_factory=dict)
    ends: dict[str, float] = field(default_factory=dict)

    def choose(self, chains: Sequence[_Chain]) -> _Chain:
        """The wall that can go on soonest; of several the one with most before it, then the first."""
        clock, now = self.clock, self.clock.next(self.free_h)
        left = clock.hours_left(now)
        at_once = [each for each in chains if each.ready_h <= now and self._piece_h(each.step) <= left]
        if at_once:
            return max(at_once, key=lambda chain: chain.tails_h[chain.at])

        def order(chain: _Chain) -> tuple[float, float]:
            return self._start(chain.ready_h, self._piece_h(chain.step))[0], -chain.tails_h[chain.at]

        return min(chains, key=order)

    def work(self, chain: _Chain) -> None:
        """Do the next step of a wall, after what the room needs first."""
        self._enter(chain.wall.room, chain.ready_h, self._piece_h(chain.step))
        booked = self._book(chain.step, chain.ready_h)
        chain.ready_h = booked.end_h + chain.step.wait_h
        self.last_visit[chain.wall.room] = self.visit
        self.ends[chain.wall.wall] = booked.end_h
        chain.at += 1

    def check(self, walls: Sequence[WallSteps], dried: dict[str, Dried]) -> None:
        """When every wall is dry: check, touch up, and what has to wait for it."""
        dry_h = max((each.dry_h for each in dried.values()), default=0.0)
        for room in dict.fromkeys(wall.room for wall in walls):
            self._come_back(room, dry_h, CHECK)
            for step in (step for wall in walls if wall.room == room for step in wall.last):
                self._book(step, dry_h)

    def _enter(self, room: str, ready_h: float, piece_h: float) -> None:
        """Set a room up, or come back to it when the crew has been away since; then no day ends between."""
        if room not in self.last_visit:
            self.returns[room] = 0
            step = Step(SET_UP, "", room, self._room_h(room, self.job.rates.room_set_up_h))
            self._book(step, ready_h, step.hours / self.job.rates.crew + piece_h)
        elif self.last_visit[room] < self.visit or self._start(ready_h, piece_h)[1]:
            self._come_back(room, ready_h, COME_BACK, piece_h)

    def _come_back(self, room: str, ready_h: float, task: str, piece_h: float = 0.0) -> None:
        self.returns[room] = self.returns.get(room, 0) + 1
        step = Step(task, "", room, self._room_h(room, self.job.rates.return_visit_h))
        self._book(step, ready_h, step.hours / self.job.rates.crew + piece_h)

    def _room_h(self, room: str, hours: float) -> float:
        """With what the stairs add [h]."""
        return hours * self.job.rates.storey_factor ** storey_of(self.job, room)

    def _piece_h(self, step: Step) -> float:
        """What is not left over night: a finish coat, where a day has time to come back and do it [h]."""
        crew, rates = self.job.rates.crew, self.job.rates
        first_h = max(rates.room_set_up_h, rates.return_visit_h) / crew
        whole = step.task == FINISH and step.hours / crew + first_h <= self.clock.day_h
        return (step.hours if whole else step.piece_h) / crew

    def _start(self, ready_h: float, least_h: float) -> tuple[float, bool]:
        """When work can begin that needs so much of a day [h], and whether the crew was away till then.

        It leaves when it would stand idle for more than half a working day, and comes back in a morning; who
        goes home early and is back the next morning was not away.
        """
        at_h = self.clock.next(max(self.free_h, ready_h), least_h)
        if not self.bookings or self.clock.between(self.free_h, at_h) <= self.job.rates.day_h / 2:
            return at_h, False
        at_h = self.clock.morning(at_h)
        return at_h, at_h > self.clock.morning(self.free_h)

    def _book(self, step: Step, ready_h: float, least_h: float = 0.0) -> Booking:
        """Put a step down to the quarter hour; what that leaves over the steps after it make up for."""
        piece_h = self._piece_h(step)
        at_h, away = self._start(ready_h, max(piece_h, least_h))
        self.visit += away
        own_h = step.hours / self.job.rates.crew
        near_h = to_quarter(own_h)
        hours = min(max(to_quarter(own_h + self.owed_h), near_h - QUARTER_H, QUARTER_H), near_h + QUARTER_H)
        spans = self.clock.spans(at_h, hours, piece_h)
        self.owed_h += own_h - sum(end - start for start, end in spans)
        booked = Booking(step, tuple(spans), self.visit)
        self.bookings.append(booked)
        self.free_h = booked.end_h
        return booked
