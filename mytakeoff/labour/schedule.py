"""When each piece of work is done: one crew, several walls, and while one sets another is worked on.

List scheduling: of the walls that can go on soonest the crew takes the one with most still before it. The
crew works on one thing at a time, all of them together.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from itertools import accumulate

from mytakeoff.errors import Check
from mytakeoff.job.job import Job
from mytakeoff.labour.clock import Clock
from mytakeoff.labour.waits import Step, WallSteps, wall_steps
from mytakeoff.measure.wall_measures import Measures, measure_wall, storey_of
from mytakeoff.treatment.wall_result import WallResult

SET_UP = "set up and protect"
COME_BACK = "come back"
CHECK = "check and touch up"
FUZZ_H = 1e-6


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

    def days_on(self, walls: Collection[str] | None = None) -> int:
        """Days on which somebody works, on one of these walls; None: on anything [-]."""
        booked = (each for each in self.bookings if walls is None or each.step.wall in walls)
        return len({self.clock.moment(start).date() for each in booked for start, _ in each.spans})


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
        Cleaning up takes the whole day, or the day goes on past midnight.
    """
    rates = job.rates
    check = Check("working hours")
    check.that(
        rates.clean_up_h_per_day / rates.crew < rates.day_h,
        f"{rates.clean_up_h_per_day:g} h of cleaning up in a day of {rates.day_h:g} h",
        "a day leaves time for work",
        "lengthen the day or clean up in less",
    )
    check.that(
        rates.day_h + job.calendar.from_h <= 24,
        f"{rates.day_h:g} h a day from {job.calendar.from_h:g} h on",
        "a working day ends by midnight",
        "shorten the day or begin it earlier",
    )
    check.done()
    return Clock(job.calendar, rates.day_h - rates.clean_up_h_per_day / rates.crew)


def schedule(job: Job, walls: Sequence[WallResult], measures: Sequence[Measures] | None = None) -> Schedule:
    """When the work on some walls is done.

    Parameters
    ----------
    job : Job
        For rates, rails, rooms and its calendar.
    walls : sequence of WallResult
    measures : sequence of Measures or None
        Of the same walls, where they are at hand.

    Returns
    -------
    Schedule
        The crew leaves the site when it would stand idle for more than half a working day; what it comes
        back to then costs a visit for each room. When all walls are dry there is one visit more, to check.

    Raises
    ------
    TakeoffError
        Hours or a calendar in which nothing can be done.
    """
    measures = measures or [measure_wall(job, wall) for wall in walls]
    pairs = zip(walls, measures, strict=True)
    chains = [_chain(wall_steps(job, wall, measured), job.rates.crew) for wall, measured in pairs]
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
    """The crew, when it is free, and what it has done."""

    job: Job
    clock: Clock
    free_h: float = 0.0
    visit: int = 1
    bookings: list[Booking] = field(default_factory=list)
    returns: dict[str, int] = field(default_factory=dict)
    last_visit: dict[str, int] = field(default_factory=dict)
    ends: dict[str, float] = field(default_factory=dict)

    def choose(self, chains: Sequence[_Chain]) -> _Chain:
        """The wall that can go on soonest; of several the one with most before it, then the first."""
        crew, clock = self.job.rates.crew, self.clock
        now = clock.next(self.free_h)
        left = clock.hours_left(now)
        at_once = [each for each in chains if each.ready_h <= now and each.step.piece_h / crew <= left]
        if at_once:
            return max(at_once, key=lambda chain: chain.tails_h[chain.at])

        def order(chain: _Chain) -> tuple[float, float]:
            start = clock.next(max(now, chain.ready_h), chain.step.piece_h / crew)
            return round(start, 6), -chain.tails_h[chain.at]

        return min(chains, key=order)

    def work(self, chain: _Chain) -> None:
        """Do the next step of a wall, after what the room needs first."""
        self._enter(chain.wall.room, chain.ready_h)
        booked = self._book(chain.step, chain.ready_h)
        chain.ready_h = booked.end_h + chain.step.wait_h
        self.ends[chain.wall.wall] = booked.end_h
        chain.at += 1

    def check(self, walls: Sequence[WallSteps], dried: dict[str, Dried]) -> None:
        """One visit when every wall is dry: check, touch up, and what has to wait for it."""
        if not walls:
            return
        dry_h = max(each.dry_h for each in dried.values())
        self.visit += 1
        for room in dict.fromkeys(wall.room for wall in walls):
            self._come_back(room, dry_h, CHECK)
            for step in (step for wall in walls if wall.room == room for step in wall.last):
                self._book(step, dry_h)

    def _enter(self, room: str, ready_h: float) -> None:
        """Set a room up, or come back to it when the crew has been away since."""
        idle_h = self.clock.between(self.free_h, ready_h) if ready_h > self.free_h else 0.0
        if self.bookings and idle_h > self.job.rates.day_h / 2 + FUZZ_H:
            self.visit += 1
        if room not in self.last_visit:
            self.returns[room] = 0
            self._book(Step(SET_UP, "", room, self._room_h(room, self.job.rates.room_set_up_h)), ready_h)
        elif self.last_visit[room] < self.visit:
            self._come_back(room, ready_h, COME_BACK)
        self.last_visit[room] = self.visit

    def _come_back(self, room: str, ready_h: float, task: str) -> None:
        self.returns[room] = self.returns.get(room, 0) + 1
        self.last_visit[room] = self.visit
        self._book(Step(task, "", room, self._room_h(room, self.job.rates.return_visit_h)), ready_h)

    def _room_h(self, room: str, hours: float) -> float:
        """With what the stairs add [h]."""
        return hours * self.job.rates.storey_factor ** storey_of(self.job, room)

    def _book(self, step: Step, ready_h: float) -> Booking:
        crew = self.job.rates.crew
        spans = self.clock.spans(max(self.free_h, ready_h), step.hours / crew, step.piece_h / crew)
        booked = Booking(step, tuple(spans), self.visit)
        self.bookings.append(booked)
        self.free_h = booked.end_h
        return booked
