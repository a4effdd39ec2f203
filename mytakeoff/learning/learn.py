"""Finished jobs put together: what they move, and which of them are no evidence and why."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import in_a_row
from mytakeoff.learning.evidence import FinishedJob, Said, evidence_of
from mytakeoff.learning.learnt import Learnt, learnt_of, shared_shift
from mytakeoff.learning.priors import ALL_TASKS, Evidence, Kind, Prior
from mytakeoff.treatment.left_open import entered_mm, left_open_steps
from mytakeoff.treatment.ways import evaluate_wall

ORDER: tuple[Kind, ...] = ("mix density", "waste", "hours", "high spots", "strayed")
TOGETHER: tuple[Kind, ...] = ("mix density", "hours")  # figures of these kinds tell something of one another


@dataclass(frozen=True)
class Lessons:
    """What finished jobs say together.

    Parameters
    ----------
    learnt : tuple of Learnt
        Each figure that a job said something about.
    jobs : tuple of str
        The jobs that it was learnt from.
    left_out : tuple of Mistake
        What nothing was learnt from, and why; the place is the job's name.
    """

    learnt: tuple[Learnt, ...]
    jobs: tuple[str, ...]
    left_out: tuple[Mistake, ...] = ()

    def named(self, name: str) -> Learnt:
        """The figure of that name.

        Raises
        ------
        TakeoffError
            No job said anything about it.
        """
        for each in self.learnt:
            if each.name == name:
                return each
        names = ", ".join(repr(each.name) for each in self.learnt) or "nothing yet"
        raise TakeoffError(Mistake(f"{name!r}", "only what a finished job speaks of is learnt",
                                   f"choose from {names}", "learnt"))  # fmt: skip


def learn(jobs: Iterable[FinishedJob], left_out: Iterable[Mistake] = ()) -> Lessons:
    """What some finished jobs say of this user's own figures.

    Parameters
    ----------
    jobs : iterable of FinishedJob
    left_out : iterable of Mistake
        Jobs that could not even be opened.

    Returns
    -------
    Lessons
        A job with an account that cannot be, copies of one job, and the demonstration job beside others are
        left out and told.

    Notes
    -----
    Densities of all mixes are taken to lean one way, and so are hours of all tasks: where each starts is
    first moved by what the others did, shrunk by as many jobs as its default stands for; then its own jobs
    count.
    """
    return learn_from_heard([heard(done) for done in jobs], left_out)


@dataclass(frozen=True)
class Heard:
    """One finished job, and what it says.

    Parameters
    ----------
    done : FinishedJob
    said : tuple of (Prior, Evidence)
    mistakes : tuple of Mistake
        Why nothing can be learnt from it; none where something can.
    """

    done: FinishedJob
    said: tuple[Said, ...] = ()
    mistakes: tuple[Mistake, ...] = ()


def heard(done: FinishedJob) -> Heard:
    """What a finished job says, or why it cannot: the part of `learn` that takes time."""
    try:
        return Heard(done, evidence_of(done))
    except TakeoffError as error:
        return Heard(done, mistakes=tuple(_left_out(done.name, mistake) for mistake in error.mistakes))


def heard_steps(done: FinishedJob) -> Generator[None, None, Heard]:
    """The same step by step, for a screen that stays alive meanwhile: walls first, which the rest knows."""
    try:
        for entry in done.job.priced_walls:
            wall = evaluate_wall(done.job, entry, None)
            yield
            if entered_mm(done.job, wall) is None:
                yield from left_open_steps(done.job, wall)
                yield
    except TakeoffError:  # told with all others below
        pass
    return heard(done)


def learn_from_heard(several: Iterable[Heard], left_out: Iterable[Mistake] = ()) -> Lessons:
    """What finished jobs say together, each of them heard already; see `learn`."""
    told = list(left_out)
    once = _without_invented(_each_once(several, told), told)
    told += [mistake for each in once for mistake in each.mistakes]
    used = tuple(each.done.name for each in once if each.said)
    return Lessons(tuple(_put_together([row for each in once for row in each.said])), used, tuple(told))


def without_job(lessons: Lessons, name: str) -> Lessons:
    """What the other jobs say alone: what one of them added is the difference."""
    said = [(learnt.prior, each) for learnt in lessons.learnt for each in learnt.evidence if each.job != name]
    others = tuple(job for job in lessons.jobs if job != name)
    return Lessons(tuple(_put_together(said)), others, lessons.left_out)


def _left_out(name: str, mistake: Mistake) -> Mistake:
    place = mistake.place if mistake.place.startswith(name) else f"{name}, {mistake.place}"
    return Mistake(mistake.found, mistake.rule, mistake.remedy, place)


def _each_once(several: Iterable[Heard], told: list[Mistake]) -> list[Heard]:
    """Jobs whose walls have readings that no other job's have; of copies that say the same, the first."""
    by_walls: dict[tuple[str, ...], list[Heard]] = {}
    for each in several:
        by_walls.setdefault(each.done.readings or (each.done.name,), []).append(each)
    kept = []
    for group in by_walls.values():
        copies = [each.done for each in group]
        differ = any(copy.finished != copies[0].finished for copy in copies)
        kept += [] if differ else group[:1]
        for nth, copy in enumerate(copies):
            if differ or nth > 0:
                told.append(_copied(copy, [*copies[:nth], *copies[nth + 1 :]], differ))
    return kept


def _without_invented(several: list[Heard], told: list[Mistake]) -> list[Heard]:
    """Without the demonstration job where another one says anything; alone it shows how all of it works."""
    if not any(each.said and not each.done.is_invented for each in several):
        return several
    told += [
        Mistake("it is the demonstration job, which is invented", "a user's own jobs are learnt from",
                "nothing is to be done: it counts where no other finished job lies beside it",
                each.done.name)
        for each in several if each.done.is_invented
    ]  # fmt: skip
    return [each for each in several if not each.done.is_invented]


def _copied(copy: FinishedJob, others: Sequence[FinishedJob], differ: bool) -> Mistake:
    names = in_a_row([other.name for other in others])
    said = "and says otherwise what happened" if differ else "which counts once"
    return Mistake(f"the same readings as {names}, {said}", "a job is learnt from once",
                   "keep one of them, that which says how it was", copy.name)  # fmt: skip


def _put_together(said: Sequence[Said]) -> list[Learnt]:
    by_name: dict[str, list[Said]] = {}
    for prior, evidence in said:
        by_name.setdefault(prior.name, []).append((prior, evidence))
    groups = {name: (_first(rows), [each for _, each in rows]) for name, rows in by_name.items()}
    found = [learnt_of(*group, _shift(name, groups)) for name, group in groups.items()]
    return sorted(found, key=lambda each: (ORDER.index(each.prior.kind), each.prior.of == ALL_TASKS))


def _first(rows: Sequence[Said]) -> Prior:
    """The default that the figure started at: that of the earliest job, whatever was taken over since."""
    return min(rows, key=lambda each: each[1].day or date.max)[0]


def _shift(name: str, groups: dict[str, tuple[Prior, list[Evidence]]]) -> float:
    """By how much the logarithm of a figure starts elsewhere, by what the others of its kind did [-]."""
    kind = groups[name][0].kind
    if kind not in TOGETHER or groups[name][0].of == ALL_TASKS:
        return 0.0
    others = [
        group
        for other, group in groups.items()
        if other != name and group[0].kind == kind and group[0].of != ALL_TASKS
    ]
    return shared_shift(others)
