"""What cannot be in what was written down of a finished job: all of it told together."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date
from difflib import get_close_matches
from math import isclose
from posixpath import normpath

from mytakeoff.account.lines import product_lines, task_lines
from mytakeoff.errors import Check
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import AgreedVariation, Delivered, Finished, HoursSpent, ReturnTrip
from mytakeoff.job.edits import mixes_of
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.result import Result

WHERE = "finished job"


def check_finished(result: Result, finished: Finished, where: str = WHERE) -> None:
    """See that what was written down can have happened on a job.

    Parameters
    ----------
    result : Result
        Of the job as it was agreed.
    finished : Finished
    where : str
        The file it stands in, for messages.

    Raises
    ------
    TakeoffError
        Products, tasks, walls, fixed places or mixes that the job has none of; more brought back than came;
        used, came and brought back that do not agree; more wasted than used; a day before the job; one survey
        named as two; a clear width or the number of a snag written down twice: all of them at once.
    """
    check = Check(where)
    _check_products(result, finished, where, check)
    _check_tasks(result, finished, where, check)
    _check_days(result.job, finished, where, check)
    _check_walls(result, finished, where, check)
    _check_widths(finished, where, check)
    check.done()


def by_item(finished: Finished) -> dict[str, list[Delivered]]:
    """What came, brought back and was used of each product, in the order in which it first came."""
    found: dict[str, list[Delivered]] = {}
    for row in finished.deliveries:
        found.setdefault(row.item, []).append(row)
    return found


def used_of(rows: Collection[Delivered]) -> float:
    """What was used of a product: what is said, else what came and was not brought back [its unit]."""
    return sum(row.delivered for row in rows) - sum(row.brought_back for row in rows)


def wasted_of(rows: Collection[Delivered]) -> float | None:
    """What was wasted of a product [its unit]; None where nobody looked."""
    wasted = [row.wasted for row in rows if row.wasted is not None]
    return sum(wasted) if wasted else None


def _known(name: str, names: Collection[str], what: str, place: str, check: Check) -> None:
    near = get_close_matches(name, list(names), 1)
    remedy = f"write {near[0]!r}" if near else f"choose from {', '.join(map(repr, names))}"
    later = "; what was agreed later is a variation" if what in ("product", "task") else ""
    check.that(name in names, f"{what} {name!r}", f"it is a {what} of the agreed price", f"{remedy}{later}",
               place)  # fmt: skip


def _check_products(result: Result, finished: Finished, where: str, check: Check) -> None:
    names = list(product_lines(result.cost))
    for nth, row in enumerate(finished.deliveries, start=1):
        place = f"{where}, delivery {nth} ({row.item})"
        _known(row.item, names, "product", place, check)
        check.that(row.credit is None or row.brought_back > 0, "a credit, and nothing brought back",
                   "money comes back for what was brought back",
                   "write how much was brought back, or take the credit out", place)  # fmt: skip
    for item, rows in by_item(finished).items():
        _check_product(rows, f"{where}, delivery of {item}", check)


def _check_product(rows: Collection[Delivered], place: str, check: Check) -> None:
    """One product over all its deliveries."""
    came, back = sum(row.delivered for row in rows), sum(row.brought_back for row in rows)
    said = [row.used for row in rows if row.used is not None]
    check.that(back <= came, f"{came:g} came, {back:g} brought back", "no more is brought back than came",
               "count both again, by the unit of the cost table", place)  # fmt: skip
    agrees = not said or isclose(sum(said), came - back, rel_tol=1e-9, abs_tol=1e-9)
    check.that(agrees or back > came, f"{came:g} came, {back:g} brought back, {sum(said):g} used",
               "what came was used or brought back",
               f"write {came - back:g} used, or leave it out: it follows", place)  # fmt: skip
    wasted = wasted_of(rows)
    check.that(wasted is None or wasted < came - back or came - back == wasted == 0 or back > came,
               f"{wasted} wasted of {came - back:g}", "some of what is used stays on the wall",
               "write what went to the skip", place)  # fmt: skip


def _check_tasks(result: Result, finished: Finished, where: str, check: Check) -> None:
    names = list(task_lines(result.cost))
    for nth, row in enumerate(finished.hours, start=1):
        _known(row.task, names, "task", f"{where}, hours {nth} ({row.task})", check)


def _check_days(job: Job, finished: Finished, where: str, check: Check) -> None:
    start, formats = job.calendar.start, job.formats
    for place, day in _days(finished, where) if start is not None else ():
        check.that(start is None or day is None or day >= start, f"{day and formats.day(day)}",
                   f"the job begins on {start and formats.day(start)}",
                   "look at the day again, or at the start in the job's calendar", place)  # fmt: skip


def _days(finished: Finished, where: str) -> Iterator[tuple[str, date | None]]:
    kinds: dict[str, tuple[Delivered | HoursSpent | AgreedVariation | ReturnTrip, ...]] = {
        "delivery": finished.deliveries, "hours": finished.hours, "variation": finished.variations,
        "trip": finished.trips,
    }  # fmt: skip
    for kind, rows in kinds.items():
        yield from ((f"{where}, {kind} {nth}", row.day) for nth, row in enumerate(rows, start=1))
    for wall in finished.walls:
        rounds = enumerate(wall.rounds, start=1)
        yield from ((f"{where}, wall ({wall.name}), round {nth}", each.on) for nth, each in rounds)


def _check_walls(result: Result, finished: Finished, where: str, check: Check) -> None:
    priced = {wall.entry.name: wall.entry for wall in result.walls if wall.worked}
    names = [wall.name for wall in finished.walls]
    mixes = [mix.name for mix in mixes_of(result.job)]
    for nth, wall in enumerate(finished.walls, start=1):
        place = f"{where}, wall {nth} ({wall.name})"
        _known(wall.name, priced, "wall", place, check)
        check.that(names.count(wall.name) == 1, f"{wall.name!r} twice", "a wall is written down once",
                   "put both together", place)  # fmt: skip
        _check_wall(wall, mixes, place, check)
        _check_surveys(wall, place, check)
        if wall.name in priced:
            _check_against_first(wall, priced[wall.name], place, check)


def _check_wall(wall: FinishedWall, mixes: Collection[str], place: str, check: Check) -> None:
    for coat in wall.settled:
        if coat.mix:
            _known(coat.mix, mixes, "mix", place, check)
    check.that((wall.strayed_ratio is None) == (wall.strayed_places == 0),
               f"a ratio of {wall.strayed_ratio} from {wall.strayed_places} places",
               "how far places strayed is worked out from some", "give both or neither", place)  # fmt: skip
    check.that(wall.looked_over_m2 is None or wall.spots_found is not None, "an area that was looked over",
               "it says where high spots were counted", "write how many were found, 0 for none",
               place)  # fmt: skip
    numbers = [snag.number for snag in wall.snags]
    for number in dict.fromkeys(numbers):
        check.that(numbers.count(number) == 1, f"snag {number} twice", "a number means one place",
                   "give the other one a number of its own", place)  # fmt: skip


def _check_surveys(wall: FinishedWall, place: str, check: Check) -> None:
    """The surveys that a wall names, against one another."""
    check.that(bool(wall.after) or not wall.later, f"a later survey, {wall.later!r}, and none right after",
               "how far a face went back is told against what it was",
               "name the survey of the finished face under after", place)  # fmt: skip
    check.that(not wall.after or _file(wall.after) != _file(wall.later), f"{wall.after!r} twice",
               "after and later are two surveys, on two days", "name the other file, or leave later out",
               place)  # fmt: skip


def _check_against_first(wall: FinishedWall, entry: JobWall, place: str, check: Check) -> None:
    """What ties a wall's surveys to its first one, and that they are others."""
    first = entry.survey.source
    again = {"after": wall.after, "later": wall.later}
    again |= {f"round {nth}": each.survey for nth, each in enumerate(wall.rounds, start=1)}
    for which, name in again.items():
        check.that(not (first and name) or _file(name) != _file(first), f"{which} {name!r}",
                   "that is the survey of the wall before anything was put on",
                   "name the file of the new one", place)  # fmt: skip
    places = [each.name for each in entry.fixed_places]
    read = [each.name for each in wall.fixed_again]
    for name in dict.fromkeys(read):
        found = f"{place}, fixed place ({name})"
        _check_fixed(name, places, read.count(name), found, check)


def _check_fixed(name: str, places: Collection[str], times: int, place: str, check: Check) -> None:
    """One fixed place that was read again, by its name."""
    marked = list(places)
    near = get_close_matches(name, marked, 1)
    remedy = f"write {near[0]!r}" if near else f"choose from {', '.join(map(repr, marked))}"
    check.that(name in marked, f"{name!r}, read again", "it is a fixed place that the first survey read",
               remedy if marked else "mark fixed places on the wall first: three, not in line",
               place)  # fmt: skip
    check.that(marked.count(name) < 2, f"{marked.count(name)} fixed places called {name!r}",
               "a second reading belongs to one place of the first survey", "rename one in the job",
               place)  # fmt: skip
    check.that(times == 1, f"{name!r}, {times} times", "a fixed place is written down once",
               "put both readings together", place)  # fmt: skip


def _check_widths(finished: Finished, where: str, check: Check) -> None:
    """Each clear width is taped once; one that the job asks for no more is in nobody's way."""
    named = [(each.room, each.name) for each in finished.clear_widths]
    for nth, (room, name) in enumerate(named, start=1):
        place = f"{where}, clear width {nth} ({name})"
        check.that(named.count((room, name)) == 1, f"{name!r} twice", "it is taped where it is least",
                   "keep the smaller one", place)  # fmt: skip


def _file(name: str) -> str:
    """A file's name in one spelling: either slash, no way round."""
    return normpath(name.replace("\\", "/")) if name else ""
