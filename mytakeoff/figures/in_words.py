"""The headline in words, as screens and the command say it; what to do first where there is none."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Any

from mytakeoff.audience import CLIENT, ESTIMATOR, Audience
from mytakeoff.cost.client import hidden_figures, may_be_told
from mytakeoff.figures.headline import Headline, headline
from mytakeoff.formats.formats import Formats, counted
from mytakeoff.formats.inches import NBSP
from mytakeoff.job.job import Job
from mytakeoff.programme.programme import booked, days_of_work
from mytakeoff.result import Result
from mytakeoff.treatment.notices import WAY_OUT

JOB_WORKBOOK = "job.ipynb"
OR_A_FILE = "or read a file of them in survey.ipynb"
NOTHING_PRICED = "Nothing priced yet"
FIELDS = {"days": "site_days", "paint": "paint_from"}  # of what a client is told, where it has another name


def first_step(job: Job) -> str:
    """What to do first, in one sentence; "" once a wall is read.

    Parameters
    ----------
    job : Job
        As it is shown.
    """
    if not job.walls:
        return f"This job has no wall yet: open {JOB_WORKBOOK} and enter its rooms and walls there first."
    if not job.read_walls:
        name = job.walls[0].name
        return f"No wall is read yet: open {JOB_WORKBOOK} and type the readings of {name} there, {OR_A_FILE}."
    if not job.priced_walls:
        name = job.chosen_walls[0].name
        start = "No wall that is to be priced is read yet"
        return f"{start}: open {JOB_WORKBOOK} and type the readings of {name} there, {OR_A_FILE}."
    return ""


def dated(result: Result) -> Headline:
    """The headline; of a job that does not say when it begins, no day for paint."""
    known = headline(result)
    return known if result.job.calendar.start else replace(known, paint_from=None)


def figures_told(result: Result, audience: Audience = ESTIMATOR) -> dict[str, Any]:
    """The headline's figures by the names of its fields, for files; a client's without those not told."""
    known = asdict(dated(result))
    if audience == ESTIMATOR:
        return known
    told = (FIELDS.get(name, name) for name in ("total", *days_for_client(result, dated(result))))
    return {name: known[name] for name in told}


def to_know(result: Result, audience: Audience = ESTIMATOR) -> tuple[str, ...]:
    """What goes with the headline: what is not priced, what of the price is guessed, walls that cannot be
    plastered as they are priced, which is for the estimator."""
    own = result.not_measured if audience == CLIENT else (*result.guessed, *overloaded(result))
    return (*result.not_priced, *own)


def facts(result: Result, audience: Audience = ESTIMATOR) -> dict[str, str]:
    """The headline's figures as text, by name: all for the estimator, total and days for a client."""
    formats, known = result.job.formats, dated(result)
    total = {"total": formats.amount(known.total, 0)}
    if audience == CLIENT:
        return total | days_for_client(result, known)
    return total | {
        "days": booked(result).in_words(),
        "bags": f"{known.bags} bags",
        "dry": f"{formats.number(known.dry_kg)} kg dry",
        "litres": f"{formats.number(known.litres)} litres",
        "coats": counted(known.coats, "coat"),
        "thickest": f"thickest {formats.depth(known.max_mm, places=0)}",
        "mean": f"mean {formats.depth(known.mean_mm, places=1)}",
    }


def days(head: Headline, formats: Formats) -> list[str]:
    """Days' work, on how many days of the calendar and in how many visits, and when paint may go on."""
    work, on_site, visits = days_of_work(head.work_days, head.site_days, head.visits, formats)
    said = [work, f"on {on_site}, in {visits}"]
    if head.paint_from is None:
        return said
    return [*said, f"paint from {formats.day(head.paint_from).replace(' ', NBSP)}"]


def days_for_client(result: Result, known: Headline) -> dict[str, str]:
    """Days and visits, those left out that a rate could be read off beside the total; the day for paint."""
    whole = round(float(known.total))
    _, tells_days, tells_visits = may_be_told(
        (whole, known.site_days, known.visits), hidden_figures(result.job)
    )
    said = {}
    if tells_days:
        said["days"] = f"{counted(known.site_days, 'day')} on site"
    if tells_visits:
        said["visits"] = (
            f"in {counted(known.visits, 'visit')}" if tells_days else counted(known.visits, "visit")
        )
    if known.paint_from is not None:
        said["paint"] = f"paint from {result.job.formats.day(known.paint_from).replace(' ', NBSP)}"
    return said


def overloaded(result: Result) -> tuple[str, ...]:
    """A sentence for each wall that is far thicker than what carries it."""
    formats = result.job.formats
    return tuple(
        f"{passed.wall} cannot be plastered as priced: {formats.number(100 * passed.share)} % of it is "
        f"thicker than the {formats.depth(passed.limit_mm)} that {passed.carrier} carries, "
        f"up to {formats.depth(passed.max_mm, places=0)}: {WAY_OUT}"
        for passed in result.overloaded_walls
    )
