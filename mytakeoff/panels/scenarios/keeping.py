"""What a hand does with scenarios: each is kept in the job's folder, beside what was agreed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.job.changes import what_changed
from mytakeoff.io.job.news import files_of
from mytakeoff.io.job.planned import planned
from mytakeoff.io.job.scenarios import edits_between, with_scenario
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import Scenario
from mytakeoff.panels.parts.bind import Number
from mytakeoff.panels.parts.panel import NOWHERE, JobPanel

UNTOUCHED = "A scenario has no readings, no rooms and no walls added or taken out; save those to the job"
LATER = "“Save to the job” or “Take it into the job” changes what was agreed."


class ScenarioKeeper(JobPanel):
    """A panel whose play can be kept under a name; what was agreed is the saved job."""

    def __init__(self, job: Job, numbers: Sequence[Number]) -> None:
        super().__init__(job, numbers)
        self.dropped: Scenario | None = None

    def keep_scenario(self, name: str) -> bool:
        """Keep what stands here as a scenario of that name; the agreed job stays as it is.

        Parameters
        ----------
        name : str

        Returns
        -------
        bool
            Whether there was anything to keep, and a folder to keep it in.

        Raises
        ------
        TakeoffError
            No name, or one that another scenario has.
        """
        edits = edits_between(self.saved, self.store.job)
        if not edits:
            left = self._left_out(Scenario("nothing"))
            why = f" {left}" if left else " What stands here is what was agreed: move a slider first."
            self.say(f"Nothing was kept.{why}")
            return False
        scenario = Scenario(name.strip(), edits)
        if any(each.name == scenario.name for each in self.saved.scenarios):
            kept = f"a scenario called {scenario.name!r}"
            raise TakeoffError(
                Mistake(kept, "each has its own name", "choose another name, or drop it first")
            )
        left = self._left_out(scenario)
        if not self._save_scenarios((*self.saved.scenarios, scenario)):
            return False
        self.say(
            f"Kept as “{scenario.name}”. The agreed job is as it was. {LATER}{' ' + left if left else ''}"
        )
        return True

    def show_scenario(self, name: str) -> bool:
        """Move every control to a scenario, in one step that can be taken back; nothing is saved."""
        if not self.store.apply(lambda _: self._with(name)):
            return False
        self.say(f"“{name}” stands here to be looked at. {LATER}")
        return True

    def take_scenario(self, name: str) -> bool:
        """Make a scenario what is agreed: the job with its edits is saved, and stands here."""
        before = self.saved
        if not self.store.apply(lambda _: self._with(name)) or not self._keep(self.settled().job):
            return False
        changes = what_changed(replace(before, scenarios=()), replace(self.saved, scenarios=()))
        self.say(f"“{name}” is in the job now, and saved: {'; '.join(changes) or 'nothing changed by it'}.")
        return True

    def drop_scenario(self, name: str) -> bool:
        """Take a scenario out of the folder; it can be put back as long as the workbook is open."""
        scenario = self._named(name)
        if not self._save_scenarios(tuple(each for each in self.saved.scenarios if each is not scenario)):
            return False
        self.dropped = scenario
        self.refresh()
        self.say(f"“{name}” was dropped. The agreed job is as it was.")
        return True

    def put_back(self) -> bool:
        """Keep the scenario again that was dropped last."""
        scenario = self.dropped
        if scenario is None or not self._save_scenarios((*self.saved.scenarios, scenario)):
            return False
        self.dropped = None
        self.refresh()
        self.say(f"“{scenario.name}” is kept again.")
        return True

    def known_of_scenarios(self, job: Job) -> Job:
        """The job with what was worked out while scenarios were compared."""
        return job

    def _named(self, name: str) -> Scenario:
        for scenario in self.saved.scenarios:
            if scenario.name == name:
                return scenario
        names = ", ".join(repr(each.name) for each in self.saved.scenarios)
        choose = f"choose from {names}" if names else "keep one first"
        raise TakeoffError(Mistake(f"no scenario called {name!r}", "the job has to know it", choose))

    def _with(self, name: str) -> Job:
        return self.known_of_scenarios(with_scenario(self.saved, self._named(name)))

    def _left_out(self, scenario: Scenario) -> str:
        """What stands here and is in no scenario, in words; empty where all of it is."""
        made = with_scenario(self.saved, scenario)
        left = what_changed(made, replace(self.store.job, scenarios=made.scenarios))
        return f"{UNTOUCHED}: {'; '.join(left)}." if left else ""

    def _save_scenarios(self, scenarios: tuple[Scenario, ...]) -> bool:
        """Save the agreed job with these scenarios, and nothing of what stands here."""
        opened, job = self.saved, replace(self.saved, scenarios=scenarios)
        if not job.folder:
            self.say(NOWHERE)
            return False
        done = self._write(job, Path(job.folder), opened)
        looks = self.folder_watch.looks()
        theirs = what_changed(job, done.job)
        here = planned(self.store.job, Path(job.folder), opened).job if theirs else None
        self.store.note(lambda job: replace(job, scenarios=done.job.scenarios))
        if here is not None:
            self.store.apply(lambda _: here)
        self._now_saved(done.job if theirs else job, looks, files_of(done.job))
        if theirs or done.told:
            self.folder_line.taken_over(theirs, " ".join(done.told))
        return True
