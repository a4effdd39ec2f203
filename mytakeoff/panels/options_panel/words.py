"""The options side by side as words: a row an option, and everything about them for the estimator."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from mytakeoff.audience import CLIENT, ESTIMATOR, Audience, headed
from mytakeoff.charts.maps.wall_strip import FAILS, PASSES, UNTOLD
from mytakeoff.charts.options.row_drawings import row_exaggeration
from mytakeoff.charts.options.wedge import WedgeDrawing, exaggeration_words
from mytakeoff.figures import in_words as headline_words
from mytakeoff.figures.headline import Headline
from mytakeoff.formats.formats import Formats, unbroken, way
from mytakeoff.job.treatments import PlumbThing
from mytakeoff.options import in_words
from mytakeoff.options.compare import OptionResult, Refused
from mytakeoff.panels.parts import range_words
from mytakeoff.panels.parts.html import element, joined, listed, message, table
from mytakeoff.panels.parts.words import letter
from mytakeoff.ranges.job_ranges import JobRanges
from mytakeoff.result import Result

Option = OptionResult | Refused
NBSP = "\u00a0"
BEST = "least price that passes"
RANGE_FOLLOWS, DAY_FOLLOWS = "its range follows", "the days follow"
WAITS = "being worked out"
MEASURED = f"{PASSES} passes, {FAILS} fails, {UNTOLD} not judged: gaps as the grade measures them"


@dataclass(frozen=True)
class Seen:
    """What a row is told with, beside the option itself.

    Parameters
    ----------
    best : OptionResult or None
    sure : mapping of str to JobRanges
        How sure its figures are, by the option's name, as far as that is worked out.
    heads : mapping of str to Headline
        The headline from the first day on site, by the option's name, as far as it is worked out.
    carried : str
        Name of the option that the job has, empty if none.
    audience : "estimator" or "client"
        The estimator's row has its button, and the days' work.
    """

    best: OptionResult | None
    sure: Mapping[str, JobRanges]
    heads: Mapping[str, Headline]
    carried: str
    audience: Audience


def head(
    thing: PlumbThing | None, wedges: Sequence[WedgeDrawing], tolerance_words: str, audience: Audience
) -> list[dict[str, Any]]:
    """The columns of the table: the way, and four things about it."""
    beside = ""
    if thing is not None:
        beside = f"beside the {thing.name}: {exaggeration_words(row_exaggeration(wedges))}"
    texts = (
        ("option", "way of treating the walls", tolerance_words),
        (
            "walls",
            "thickness of plaster, wall by wall",
            MEASURED,
        ),
        ("price", "price with tax", "under it, where 8 in 10 such jobs end"),
        ("shows", "what you get, what still shows, what moves", beside),
        ("days", "days on site" if audience == CLIENT else "days' work", "and when to paint"),
    )
    return [{"key": key, "text": text, "note": note, "pictured": key == "walls"} for key, text, note in texts]


def blank_row(index: int, name: str) -> dict[str, Any]:
    """An option that is not worked out yet, as the table widget takes it."""
    return {
        "key": name,
        "letter": letter(index),
        "name": name,
        "sign": "",
        "verdict": "",
        "mark": "",
        "best": False,
        "refused": False,
        "carry": "",
        "busy": WAITS,
        "cells": {},
    }


def row(index: int, option: Option, seen: Seen, busy: str) -> dict[str, Any]:
    """One option as the table widget takes it."""
    there, made = seen.carried == option.name, {**blank_row(index, option.name), "busy": busy}
    if isinstance(option, Refused):
        said = {"walls": [str(option.why)]}
        made |= {"sign": FAILS, "verdict": "cannot be done", "refused": True, "cells": said}
    if isinstance(option, OptionResult):
        made |= {
            "sign": PASSES if option.passes else UNTOLD if option.untold else FAILS,
            "verdict": verdict_words(option),
            "mark": BEST if option is seen.best else "",
            "best": option is seen.best,
            "carry": ("In the budget now" if there else "Carry to the budget")
            if seen.audience == ESTIMATOR
            else "",
            "cells": {
                "walls": wall_lines(option),
                "price": price_lines(option, seen.sure.get(option.name)),
                "shows": shows_lines(option),
                "days": days_lines(option, seen.heads.get(option.name), seen.audience),
            },
        }
    return made


def price_lines(option: OptionResult, sure: JobRanges | None) -> list[str]:
    """Price with tax, and the range that eight of ten prices fall in."""
    formats = option.result.job.formats
    price = formats.amount(option.total, 0)
    if option.total == 0:
        return [price]
    if sure is None:
        return [price, RANGE_FOLLOWS]
    low, _, high = sure.total_money
    return [price, f"{formats.number(low)} to {formats.number(high)}"]


def shows_lines(option: OptionResult) -> list[str]:
    """What you get, what you will still see and what moves; then the room that is lost."""
    return [unbroken(in_words.sentence(option)), unbroken(in_words.room_lost(option))]


def days_lines(option: OptionResult, head: Headline | None, audience: Audience) -> list[str]:
    """On how many days, for the estimator how much work, and when to paint; None: not worked out yet."""
    if option.days == 0:
        return ["no work"]
    if head is None:
        return [DAY_FOLLOWS]
    if audience == CLIENT:
        return list(headline_words.days_for_client(option.result, head).values())
    return headline_words.days(head, option.result.job.formats)


def wall_lines(option: OptionResult) -> list[str]:
    """Which walls fail and why; where each wall has its own way, which."""
    own = in_words.own_ways(option) if option.treatment is None else ()
    failing = (f"{reason.number}{NBSP}{reason.wall}: {reason.why}" for reason in in_words.why_fails(option))
    return [*own, *map(unbroken, failing)]


def verdict_words(option: OptionResult) -> str:
    """Passes or fails, on how many walls; the lines beside it name them."""
    return in_words.verdict(option).partition(":")[0]


def title(result: Result, audience: Audience) -> str:
    """Who it is shown to, the job, what is priced and judged, and which walls are not, above the table."""
    job = result.job
    what = "whole job" if not job.only else ", ".join(job.only)
    subject = f"{what[0].upper()}{what[1:]}, {in_words.judged_by(job)}."
    said = (element("p", text, css="mt-subject") for text in (subject, *result.not_read))
    return joined([element("h2", headed(audience, job.title), css="mt-job"), *said])


def status(fresh: Sequence[str], order: Sequence[str], ranged: int, done: int) -> str:
    """What is being worked out, in a line that is always there."""
    if len(fresh) < len(order):
        text = f"Working the options out, {len(fresh)} of {len(order)} done; what is marked is from before."
    elif ranged < done:
        text = f"All options are worked out; the ranges of their prices follow, {ranged} of {done} done."
    else:
        text = "All options are worked out, with the ranges of their prices."
    return message(text)


COLUMNS = {
    "litres": "litres priced, and likely",
    "bags": "bags priced, and likely",
    "days": "days",
    "days_to_paint": "days to paint",
    "dry_kg": "kg on the walls",
    "dry_kg_per_m2": "most, kg/m²",
    "room_lost_mm": "room lost",
    "greatest_gap_mm": "greatest gap",
    "gap_95_mm": "95 % of gaps under",
    "over_tolerance_share": "area over tolerance, %",
    "belly_mm": "greatest bulge",
    "lean_mm": "lean over the height",
}


RANGED = ("litres", "bags")


def estimator_table(options: Sequence[Option], sure: Mapping[str, JobRanges], formats: Formats) -> str:
    """Everything else, a row an option, under litres and bags their range; and what to know about them."""
    rows = (
        (
            _lettered(index, option.name),
            *(joined([_cell(name, option), _range(name, option, sure)]) for name in COLUMNS),
        )
        for index, option in enumerate(options)
    )
    notes = (
        _lettered(index, " ".join(_verdict(option, sure.get(option.name))))
        for index, option in enumerate(options)
        if isinstance(option, OptionResult)
    )
    heads = (formats.head(words, "mm") if name.endswith("_mm") else words for name, words in COLUMNS.items())
    figures = table(("option", *heads), rows, "mt-figures")
    wide = {"tabindex": "0", "role": "region", "aria_label": "All figures"}
    return element("div", figures, css="mt-wide-table", **wide) + listed(notes, "mt-verdicts")


def _lettered(index: int, text: str) -> str:
    return f"{letter(index)}{NBSP} {text}"


def _verdict(option: OptionResult, sure: JobRanges | None) -> tuple[str, ...]:
    """The verdict, and what the range of the price comes of."""
    return f"{option.verdict}.", *(range_words.price_comes_of(sure) if sure is not None else ())


def _range(name: str, option: Option, sure: Mapping[str, JobRanges]) -> str:
    """The range of litres or bags under their figure; nothing where nothing is taken."""
    found = sure.get(option.name)
    if name not in RANGED or found is None or not found.walls:
        return ""
    band = found.litres if name == "litres" else found.bags
    said = range_words.ends(band, formats=found.result.job.formats)
    return element("br") + element("small", said.replace(" ", NBSP))


def _cell(name: str, option: Option) -> str:
    value = option.row.get(name)
    if value is None or isinstance(option, Refused):
        return "not known"
    number = float(str(value)) * (100 if name.endswith("_share") else 1)
    formats = option.result.job.formats
    if name == "lean_mm":
        by = formats.depth(abs(number), places=1, column=True)
        return f"{by} {way(number)}" if abs(number) >= 0.05 else "plumb"
    if name.endswith("_mm"):
        return formats.depth(number, places=1, column=True)
    return formats.number(number, 1 if name.endswith(("_share", "_m2")) or name == "days" else 0)


def notices(options: Sequence[Option]) -> list[str]:
    """What the user should know about any of the options, each once."""
    every = (notice for option in options if isinstance(option, OptionResult) for notice in option.notices)
    return list(dict.fromkeys(every))
