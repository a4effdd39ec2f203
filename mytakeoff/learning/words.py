"""What was learnt, in words: how jobs came out, what moves, since when."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from mytakeoff.formats.formats import Formats, counted
from mytakeoff.formats.inches import NBSP
from mytakeoff.job.ranges import LearntFigure
from mytakeoff.learning.learn import Lessons
from mytakeoff.learning.learnt import Learnt
from mytakeoff.learning.offers import LearntOffer
from mytakeoff.learning.priors import ALL_TASKS

MORE_PLACES = 2  # where two figures would read alike


def figure_words(learnt: Learnt, value: float, formats: Formats) -> str:
    """A value of a learnt figure with its unit [the figure's unit]."""
    return _figure(learnt.prior.kind, value, formats)


def moved_words(name: str, was: float, becomes: float, formats: Formats) -> tuple[str, str]:
    """Two values of the figure of a name [its unit], to as many places as it takes to tell them apart.

    Examples
    --------
    >>> [each.replace(NBSP, " ") for each in moved_words("waste", 0.1, 0.12, Formats())]
    ['10.0 %', '12.0 %']
    >>> moved_words("hours: rails", 1.0, 1.003, Formats())[1].replace(NBSP, " ")
    '× 1.0030'
    """
    kind = name.partition(": ")[0]
    said = _figure(kind, was, formats), _figure(kind, becomes, formats)
    if said[0] != said[1]:
        return said
    return _figure(kind, was, formats, MORE_PLACES), _figure(kind, becomes, formats, MORE_PLACES)


def _figure(kind: str, value: float, formats: Formats, more: int = 0) -> str:
    if kind == "waste":
        return f"{formats.number(100 * value, 1 + more)}{NBSP}%"
    unit = {"mix density": f"{NBSP}kg/l", "high spots": f"{NBSP}a{NBSP}m²"}.get(kind, "")
    return f"{formats.number(value, 2 + more)}{unit}" if unit else f"×{NBSP}{formats.number(value, 2 + more)}"


def learnt_words(learnt: Learnt, formats: Formats) -> str:
    """How a user's own jobs came out against the default, and where that moves it."""
    jobs, figure = len(learnt.evidence), learnt.prior.default
    if not jobs:
        return f"No job says anything of {learnt.name}: it stays at {figure_words(learnt, figure, formats)}."
    since = f"; default moved since {formats.day(learnt.since)}" if learnt.since and learnt.is_offered else ""
    was, becomes = (figure_words(learnt, value, formats) for value in (figure, learnt.value))
    moves = f"{was} → {becomes}" if was != becomes else f"it stays at {was}"
    return f"{_came_out(learnt, formats)} over {counted(jobs, 'job')}: {moves}{since}."


def _came_out(learnt: Learnt, formats: Formats) -> str:
    off = learnt.seen / learnt.prior.default - 1 if learnt.prior.default else 0.0
    per_cent, of = f"{formats.number(100 * abs(off))}{NBSP}%", learnt.prior.of
    near = per_cent == f"0{NBSP}%"
    if learnt.prior.kind == "mix density":
        denser = "as dense as its sheet" if near else f"{per_cent} {'denser' if off > 0 else 'lighter'}"
        return f"Your {of} came out {denser}"
    if learnt.prior.kind == "waste":
        return f"Your waste came to {figure_words(learnt, learnt.seen, formats)} of what stayed on the walls"
    if learnt.prior.kind == "hours":
        what = "All your work" if of == ALL_TASKS else f"Your {of}"
        return f"{what} took {'as long as priced' if near else f'{per_cent} {_longer(off)}'}"
    if learnt.prior.kind == "high spots":
        found = figure_words(learnt, learnt.seen, formats)
        return f"High spots that no reading had shown were {found} on your {of}"
    return f"Places that you had not read strayed {formats.number(learnt.seen, 2)} times as far as was said"


def _longer(off: float) -> str:
    return "longer than at the default rates" if off > 0 else "less than at the default rates"


def quantile_words(learnt: Learnt, formats: Formats) -> str:
    """What the next job stays within at 10, 50 and 90 %, before and after."""
    before, after = (
        ", ".join(figure_words(learnt, belief.quantile(share), formats) for share in (0.1, 0.5, 0.9))
        for belief in (learnt.before, learnt.after)
    )
    return f"10, 50 and 90 % of jobs: {before} before; {after} now. The default {learnt.prior.stated}."


def offer_words(offer: LearntOffer, formats: Formats) -> str:
    """What an offer changes in a job, and why."""
    was, becomes = moved_words(offer.name, offer.was, offer.becomes, formats)
    return f"{offer.name}: {was} here, {becomes} offered. {learnt_words(offer.learnt, formats)}"


def figure_title(name: str) -> str:
    """What a learnt figure is called where it is read, by the name that it is accepted by.

    Examples
    --------
    >>> [figure_title(name) for name in ("mix density: gypsum skim", "hours: rails", "waste")]
    ['density of gypsum skim', 'hours for rails', 'waste']
    """
    kind, _, of = name.partition(": ")
    return {
        "mix density": f"density of {of}",
        "hours": f"hours for {of}",
        "high spots": f"high spots on {of}",
        "strayed": "how far unread places stray",
    }.get(kind, name)


def reasons_words(figures: Iterable[LearntFigure], formats: Formats) -> Iterator[str]:
    """Why a job has figures that were taken from finished jobs, a sentence for each lot of jobs.

    Examples
    --------
    >>> figures = LearntFigure("waste", 0.1, 0.12, 3), LearntFigure("hours: rails", 1.0, 1.1, 3)
    >>> [said.replace(NBSP, " ") for said in reasons_words(figures, Formats())]
    ['From 3 finished jobs of your own: waste 10.0 % → 12.0 %; hours for rails × 1.00 → × 1.10.']
    """
    lots: dict[str, list[str]] = {}
    for each in figures:
        was, becomes = moved_words(each.name, each.was, each.becomes, formats)
        since = f" since {formats.day(each.since)}" if each.since else ""
        lot = f"From {counted(each.jobs, 'finished job')} of your own{since}"
        lots.setdefault(lot, []).append(f"{figure_title(each.name)} {was} → {becomes}")
    return (f"{lot}: {'; '.join(moved)}." for lot, moved in lots.items())


def lessons_words(lessons: Lessons, formats: Formats) -> Iterator[str]:
    """All that was learnt, and what was left out and why."""
    for each in lessons.learnt:
        yield learnt_words(each, formats)
    for mistake in lessons.left_out:
        yield f"Not learnt from: {mistake}."
