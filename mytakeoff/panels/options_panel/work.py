"""What the options panel has worked out of one job, and the work itself in small pieces; no widget."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from datetime import date

from mytakeoff.figures.headline import Headline
from mytakeoff.job.confidence import LeftOpen
from mytakeoff.job.job import Job
from mytakeoff.job.ranges import SURVEY
from mytakeoff.options.compare import (
    WALL_BY_WALL,
    OptionResult,
    Refused,
    best_of,
    curve_steps,
    option_steps_by_wall,
    options_of,
)
from mytakeoff.options.price_curve import CurvePoint, curve_tolerances
from mytakeoff.ranges.drivers import Driver, price_driver, ranges_asked, strongest_first, survey_driver
from mytakeoff.ranges.job_ranges import JobRanges, ranges_steps
from mytakeoff.treatment.left_open import left_open_steps

Option = OptionResult | Refused


class OptionsWork:
    """The options of one job as far as they are worked out; until then those of the job before.

    Parameters
    ----------
    job : Job
    before : OptionsWork or None
        Of the job that was shown last: what it has of the same names stays until it is worked out anew.
    """

    def __init__(self, job: Job, before: OptionsWork | None = None) -> None:
        self.job = job
        several = (WALL_BY_WALL,) if len(job.priced_walls) > 1 else ()
        ways = options_of(job) if job.priced_walls else ()  # of no wall there is nothing to choose
        self.order = (*(treatment.name for treatment in ways), *several)
        same = before is not None and [w.name for w in before.job.priced_walls] == [
            w.name for w in job.priced_walls
        ]
        self.known: dict[str, Option] = dict(before.known) if before is not None and same else {}
        self.fresh: list[str] = []
        self.shown: list[str] = []
        self.sure: dict[str, JobRanges] = {}
        self.heads: dict[str, Headline] = dict(before.heads) if before is not None and same else {}
        self._dated: dict[str, tuple[OptionResult, date]] = {}
        self.points: list[CurvePoint] = []
        self.points_in_all = 0
        self.drivers: list[Driver] = []

    @property
    def options(self) -> list[Option]:
        """In the order of the table, old ones among them."""
        return [self.known[name] for name in self.order if name in self.known]

    @property
    def done(self) -> list[OptionResult]:
        """Those that can be done."""
        return [option for option in self.options if isinstance(option, OptionResult)]

    @property
    def placed(self) -> list[tuple[int, OptionResult]]:
        """The same with the place of each in the table, from 0, which gives its letter."""
        return [(self.order.index(option.name), option) for option in self.done]

    @property
    def complete(self) -> bool:
        """Whether every option is of this job."""
        return set(self.fresh) >= set(self.order)

    @property
    def best(self) -> OptionResult | None:
        """The cheapest that passes, once all are known."""
        return best_of(self.options) if self.complete else None

    @property
    def curve_done(self) -> bool:
        """Whether every point of the budget curve is known."""
        return 0 < self.points_in_all == len(self.points)

    def named(self, name: str) -> OptionResult | None:
        """The option of that name, if it is of this job and can be done."""
        option = self.known.get(name) if name in self.fresh else None
        return option if isinstance(option, OptionResult) else None

    def work_options(self) -> Iterator[bool | None]:
        """The options one by one; True before the one that needs all others, so that they are shown."""
        if not self.order:
            return
        for option in option_steps_by_wall(self.job):
            if option is not None:
                self.known[option.name] = option
                self.fresh.append(option.name)
            yield len(self.fresh) == len(options_of(self.job)) and option is not None

    def work_left_open(self) -> Generator[None, None, list[LeftOpen]]:
        """What lies between the readings of each wall in each way, where figures stand for it so far."""
        found = []
        for option in self.done:
            for wall in (wall for wall in option.walls if wall.held):
                found.append((yield from left_open_steps(option.result.job, wall)))
        return found

    def work_dates(self, start: date) -> Iterator[None]:
        """The headline of each option that is of this job, where it is not known for this start."""
        for option in [each for name in self.fresh if (each := self.named(name)) is not None]:
            if self._dated.get(option.name) != (option, start):
                self.heads[option.name] = option.headline_from(start)
                self._dated[option.name] = (option, start)
                yield

    @property
    def ranged(self) -> bool:
        """Whether the ranges of all options are known."""
        return self.complete and set(self.sure) >= {option.name for option in self.done}

    def work_ranges(self) -> Iterator[None]:
        """How sure each option's figures are."""
        for option in self.done:
            yield from self._work_range(option)

    def _work_range(self, option: OptionResult) -> Iterator[None]:
        if option.name not in self.sure:
            self.sure[option.name] = yield from ranges_steps(option.result)
            yield

    def work_curve(self) -> Iterator[None]:
        """The points of the budget curve, one by one."""
        self.points = []
        self.points_in_all = len(curve_tolerances(self.job)) + 1
        for point in curve_steps(self.job):
            if point is not None:
                self.points.append(point)
            yield

    def work_drivers(self, name: str) -> Iterator[None]:
        """How far each input, and what lies between the readings, moves the price of one option."""
        option = self.named(name)
        self.drivers = []
        if option is None:
            return
        asked, found = ranges_asked(option.result.job), []
        for each in asked:
            found.append(price_driver(option.result.job, each))
            yield
        if SURVEY not in {each.name for each in asked}:
            yield from self._work_range(option)
            found.append(survey_driver(self.sure[name]))
        self.drivers = list(strongest_first(found))
