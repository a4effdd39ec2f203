"""What the job sheet says beside its boxes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mytakeoff.formats.formats import Formats
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.panel import NOWHERE

MOST_TOLD = 8
SAMPLE, SAMPLE_DAY = 1234.5, date(2027, 3, 1)
SAVED = "Every change on this sheet is saved as it is made, taking one back too."


def first(job: Job) -> str:
    """What is said once at the top."""
    where = f"{SAVED} It goes to the folder {job.folder}." if job.folder else NOWHERE
    return element("p", where, css="mt-hint")


def first_here(job: Job) -> str:
    """What to do first on this sheet, in one sentence; nothing once a wall is read."""
    if not job.rooms:
        return element("p", "Begin with a room under Rooms and walls, then add its walls.", css="mt-first")
    if not job.walls:
        return element(
            "p", f"Add the walls of {job.rooms[0].name}, each with its width and height.", css="mt-first"
        )
    if not job.read_walls:
        name = job.walls[0].name
        return element("p", f"Type the readings of {name} under The chosen wall, Readings.", css="mt-first")
    return ""


def written_so(formats: Formats) -> str:
    """How the job writes amounts, numbers and days."""
    said = (formats.amount(SAMPLE), formats.depth(SAMPLE, places=1), formats.day(SAMPLE_DAY))
    return element("p", f"So it is written: {'; '.join(said)}.", css="mt-hint")


def together(texts: Sequence[str]) -> str:
    """What is wrong, each thing once, as much of it as one reads."""
    found = [line for text in dict.fromkeys(texts) for line in text.split("\n")]
    shown = list(dict.fromkeys(found))
    more = len(shown) - MOST_TOLD
    return "\n".join([*shown[:MOST_TOLD], *([f"and {more} more, each beside its box"] if more > 0 else [])])


def gone(entry: JobWall) -> str:
    """What became of a wall that was removed."""
    stay = f" Its readings stay in the folder, in {entry.survey.source}." if entry.survey.source else ""
    return f"{entry.name} is out of the job.{stay} Undo brings it back."


def copied(entry: JobWall) -> str:
    """What a copy has and has not."""
    return f"{entry.name} is copied with all that stands on it, without its readings: those are of one wall."
