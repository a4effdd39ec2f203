"""The agreed job and its scenarios side by side, worked out in small pieces; no widget."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import dataclass, replace

from mytakeoff.errors import TakeoffError
from mytakeoff.io.job.changes import what_changed
from mytakeoff.io.job.scenarios import with_scenario
from mytakeoff.job.confidence import LeftOpen
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import Scenario
from mytakeoff.options.compare import judged_steps
from mytakeoff.options.result import OptionResult, Refused
from mytakeoff.treatment.left_open import left_open_steps

Steps = Iterator[bool | None]  # True where there is more to show
MOST_COMPARED = 7  # beside the agreed job: more is no comparison, and each is a job to work out


@dataclass(frozen=True, eq=False)
class Compared:
    """A job beside the agreed one.

    Parameters
    ----------
    job : Job
        With the scenario's edits.
    changes : tuple of str
        What it says otherwise than the agreed job, in words.
    option : OptionResult or Refused
        What it costs and leaves, or why it fits no more.
    """

    job: Job
    changes: tuple[str, ...]
    option: OptionResult | Refused


def compared_of(scenarios: tuple[Scenario, ...], chosen: str) -> tuple[Scenario, ...]:
    """Which scenarios stand beside the agreed job: those kept last, and the one that is chosen."""
    last = scenarios[-MOST_COMPARED:]
    if len(scenarios) > MOST_COMPARED and all(each.name != chosen for each in last):
        last = last[1:]
    return tuple(each for each in scenarios if each in last or each.name == chosen)


class ScenarioWork:
    """What the agreed job and its scenarios come to, as far as it is worked out.

    Attributes
    ----------
    known : dict of str to Compared
        By the scenario's name; the agreed job by "".
    found : list of LeftOpen
        What was worked out on the way, for whoever shows one of them.
    """

    def __init__(self) -> None:
        self.known: dict[str, Compared] = {}
        self.found: list[LeftOpen] = []
        self._of: tuple[Job, tuple[Scenario, ...]] | None = None

    def complete(self, agreed: Job, scenarios: tuple[Scenario, ...]) -> bool:
        """Whether all of it is known, and of this job."""
        return self._of == (replace(agreed, scenarios=()), scenarios)

    def steps(self, agreed: Job, scenarios: tuple[Scenario, ...]) -> Steps:
        """Work out what is not known; True where there is more to show."""
        agreed = replace(agreed, scenarios=())
        wanted = ("", *(each.name for each in scenarios))
        self.known = {name: each for name, each in self.known.items() if name in wanted}
        yield from self._one("", agreed, agreed)
        for scenario in scenarios:
            try:
                job = with_scenario(agreed, scenario)
            except TakeoffError as error:
                self.known[scenario.name] = Compared(agreed, (), Refused(scenario.name, error))
                yield True
                continue
            yield None
            yield from self._one(scenario.name, agreed, job)
        self._of = agreed, scenarios
        yield True

    def _one(self, name: str, agreed: Job, job: Job) -> Steps:
        changes = what_changed(agreed, job)
        known = self.known.get(name)
        if known is not None and known.job == job and isinstance(known.option, OptionResult):
            self.known[name] = replace(known, changes=changes)
            return
        try:
            option: OptionResult | Refused = yield from self._judged(name, job)
        except TakeoffError as error:
            option = Refused(name, error)
        self.known[name] = Compared(job, changes, option)
        yield True

    def _judged(self, name: str, job: Job) -> Generator[bool | None, None, OptionResult]:
        """A job priced and judged, with what lies between its readings worked out."""
        known = job.worked_out.learnt(self.found)
        option = yield from judged_steps(name, replace(job, worked_out=known))
        held = [wall for wall in option.walls if wall.held]
        for wall in held:
            self.found.append((yield from left_open_steps(option.result.job, wall)))
        if held:
            option = yield from judged_steps(name, replace(job, worked_out=known.learnt(self.found)))
        _ = option.headline  # its days are worked out here, and not while they are shown
        yield None
        return option
