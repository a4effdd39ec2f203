"""What a quotation says of the walls, their survey and the price, in words that a client reads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mytakeoff.formats.formats import in_a_row
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.ranges import DENSITY, LABOUR, WASTE
from mytakeoff.options import in_words
from mytakeoff.options.result import OptionResult
from mytakeoff.options.what_is_left import Remains
from mytakeoff.ranges.job_ranges import BETWEEN, READING, JobRanges
from mytakeoff.result import Result
from mytakeoff.treatment.wall_result import WallResult

LEAST_MM = 0.5  # a gap beside something plumb that rounds to nothing is not told
LEAST_SHARE = 0.01  # of a range
MOVED_BY = {
    BETWEEN: "how the walls stand between the places that were measured",
    READING: "how closely they could be measured",
    DENSITY: "how far the plaster goes",
    WASTE: "how much of it is lost",
    LABOUR: "how long the work takes",
}


def capital(text: str) -> str:
    """A text with a capital at its start.

    Examples
    --------
    >>> capital("no gap"), capital("")
    ('No gap', '')
    """
    return text[:1].upper() + text[1:]


def still_shows(option: OptionResult, wall: WallResult, left: Remains) -> tuple[str, ...]:
    """What will still be seen of one wall: gap, lean, wedge beside what is plumb; a sentence each.

    Parameters
    ----------
    option : OptionResult
        The way chosen.
    wall : WallResult
    left : Remains
        What is left on it.
    """
    alone = OptionResult(option.name, replace(option.result, walls=(wall,)), (left,), option.treatment)
    said = [in_words.gap(alone), in_words.lean(alone), *_wedges(option.result.job, wall, left)]
    linings = [lining.greatest_mm for lining in left.linings if lining.greatest_mm >= LEAST_MM]
    if linings:
        deepest = option.result.job.formats.depth(max(linings), places=0, grouped=False)
        said.append(f"linings of openings packed out by up to {deepest}")
    return tuple(f"{capital(text)}." for text in said)


def _wedges(job: Job, wall: WallResult, left: Remains) -> Iterator[str]:
    things = [thing for thing in job.compare.beside if thing.wall == wall.entry.name]
    for thing, wedge in zip(things, left.wedges, strict=False):
        if wedge.widest_mm >= LEAST_MM:
            yield f"a gap of up to {job.formats.mm(wedge.widest_mm)} beside the {thing.name}"


def surveyed(job: Job) -> tuple[str, ...]:
    """How the walls were measured, a sentence for each way."""
    ways: dict[str, list[str]] = {}
    for wall in job.priced_walls:
        ways.setdefault(_surveyed_how(wall), []).append(wall.name)
    return tuple(f"{capital(in_a_row(names))}: {how}." for how, names in ways.items())


def _surveyed_how(wall: JobWall) -> str:
    survey = wall.survey
    how = "scanned all over" if survey.layout == "scan" else "read by hand, place by place,"
    plumb = "off a plumb line or a plumb laser" if survey.plumb else "with nothing plumb at hand"
    swept = ", then gone over with a straightedge" if survey.swept else ""
    return f"{how} {plumb}{swept}"


def assumed(result: Result) -> tuple[str, ...]:
    """What the price takes for given, a sentence each."""
    job, walls = result.job, result.walls
    said = ["The walls are as they were on the day of the survey.", *result.not_measured]
    if result.allowance_l > 0:
        said.append("Plaster for what lies between the places that were measured is in the price.")
    if any(not area.fallen for wall in walls for area in wall.entry.loose):
        said.append(
            "Loose plaster reaches as far as it sounds hollow today, and a little further as it comes off."
        )
    if any(wall.worked for wall in walls):
        said.append(_drying(job))
    return tuple(said)


def _drying(job: Job) -> str:
    """What the dates for paint rest on."""
    if job.calendar.slow_down > 1:
        return "The days allow for plaster that sets and dries slowly, in cold or damp rooms."
    return "Rooms are mild and aired while the plaster sets and dries."


def would_change(sure: JobRanges) -> tuple[str, ...]:
    """What moves an estimate within its range, the most first, a sentence."""
    names = [MOVED_BY[name] for name, share in sure.total_shares if share >= LEAST_SHARE and name in MOVED_BY]
    return (f"What moves it most: {', then '.join(names)}.",) if names else ()


def likely(sure: JobRanges) -> str:
    """Where an estimate is likely to end, in a sentence."""
    low, _, high = sure.total_money
    formats = sure.result.job.formats
    if low == high:
        return ""
    return (
        f"Eight in ten such jobs end between {formats.amount(low, 0)} and {formats.amount(high, 0)} with tax."
    )
