"""What the box of lessons says: what was read, each offer with its reason, what was taken and left out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from mytakeoff.errors import Mistake
from mytakeoff.formats.formats import Formats, counted, in_a_row
from mytakeoff.job.ranges import LearntFigure
from mytakeoff.learning.learn import Lessons, without_job
from mytakeoff.learning.learnt import Learnt
from mytakeoff.learning.offers import LearntOffer
from mytakeoff.learning.words import (
    figure_title,
    figure_words,
    learnt_words,
    moved_words,
    quantile_words,
    reasons_words,
)
from mytakeoff.panels.parts.html import Html, element, joined, listed, message, paragraphs

TITLE = "What your finished jobs say"
WHAT_IT_IS = (
    "Figures begin at their marked defaults and move with what you wrote down of jobs that are done: how "
    "dense plaster was, what was wasted, how long work took. Only the folder below is read, and of it only "
    "job folders with a finished.toml. Nothing leaves this machine; nothing is in a job until you take it."
)
NONE_YET = (
    "No finished job to learn from lies there yet. A job is learnt from when its state is “done” and what "
    "happened is written down."
)
SAYS_NOTHING = "This job is done and says nothing yet: write down what came, what was wasted, hours by task."
NEXT_JOB = (
    "The next job gets it: make its folder beside this one, and its job sheet offers what they all say."
)
NOWHERE = "This job lies in no folder yet: name the folder that holds your finished jobs."
NOTHING_NEW = "They offer this job nothing that it does not have, or that was not left already."
LEFT = "Left as they are, as long as your finished jobs say the same."
SIGNED = "This job is signed: what was agreed stays, and so do the rates of its variations."
BESIDE = "what they say is offered under “What your finished jobs say”, to take or to leave."
MOST_NAMED = 8


def place_words(place: Path) -> Html:
    """Which folder is read."""
    return element("p", "Folder that is read: ", element("code", str(place)), css="mt-hint mt-read-from")


def reading_words(at: tuple[int, int, str]) -> Html:
    """How far the reading is."""
    read, of, name = at
    return message(f"Reading {name}; {read} of {counted(of, 'job')} read." if of else "Reading the folder.")


def read_words(lessons: Lessons) -> Html:
    """Which jobs were learnt from."""
    if not lessons.jobs:
        return message(NONE_YET)
    named, more = lessons.jobs[:MOST_NAMED], len(lessons.jobs) - MOST_NAMED
    names = in_a_row([*named, *([f"{more} more"] if more > 0 else [])])
    return message(f"Learnt from {counted(len(lessons.jobs), 'finished job')}: {names}.")


def left_out(mistakes: Sequence[Mistake]) -> Html:
    """What nothing was learnt from, each with why."""
    if not mistakes:
        return Html()
    count = len({mistake.place.partition(",")[0] for mistake in mistakes})
    title = element("p", f"Not learnt from, {counted(count, 'job')}:", css="mt-unfit")
    return title + listed(str(mistake) for mistake in mistakes)


def all_said(lessons: Lessons, formats: Formats) -> Html:
    """A sentence for each figure."""
    return listed(learnt_words(each, formats) for each in lessons.learnt)


def offer_title(offer: LearntOffer, formats: Formats) -> str:
    """What an offer changes: the label of its tick."""
    was, becomes = moved_words(offer.name, offer.was, offer.becomes, formats)
    return f"{figure_title(offer.name)}: {was} here, {becomes} offered"


def offer_reason(learnt: Learnt, formats: Formats) -> Html:
    """Why, and what the next job stays within, before and after."""
    return paragraphs([learnt_words(learnt, formats), quantile_words(learnt, formats)])


def taken_words(names: Sequence[str]) -> Html:
    """What was taken into the job."""
    return message(f"Taken: {in_a_row([*map(figure_title, names)])}. One step takes it back: Undo.")


def reasons(figures: Iterable[LearntFigure], formats: Formats) -> Html:
    """Why figures of the job are no marked defaults."""
    said = paragraphs(reasons_words(figures, formats))
    return element("div", said, css="mt-reasons") if said else said


def beside_words(count: int) -> Html:
    """That finished jobs lie beside this one."""
    if not count:
        return Html()
    verb = "lies" if count == 1 else "lie"
    return element("p", f"{counted(count, 'finished job')} {verb} beside this one: {BESIDE}", css="mt-hint")


def left_words(count: int) -> str:
    """How much was left as it was."""
    return f"{counted(count, 'figure')} left as {'it is' if count == 1 else 'they are'}." if count else ""


def own_part(lessons: Lessons, name: str, formats: Formats) -> Html:
    """What a job that is done adds to what the others say.

    Parameters
    ----------
    lessons : Lessons
    name : str
        Of its folder.
    formats : Formats
    """
    items = listed(_added(lessons, name, formats))
    if not items:
        told = any(mistake.place.partition(",")[0] == name for mistake in lessons.left_out)
        return Html() if told else element("p", SAYS_NOTHING)
    title = element("p", element("strong", "What this job adds"))
    return joined([title, items, element("p", NEXT_JOB)])


def _added(lessons: Lessons, name: str, formats: Formats) -> Iterator[str]:
    others = {each.name: each.value for each in without_job(lessons, name).learnt}
    for learnt in lessons.learnt:
        for evidence in learnt.evidence:
            if evidence.job == name:
                here = figure_words(learnt, evidence.point, formats)
                before = others.get(learnt.name, learnt.prior.default)
                was, becomes = (figure_words(learnt, value, formats) for value in (before, learnt.value))
                moves = f"{was} without it, {becomes} with it" if was != becomes else f"it stays at {was}"
                yield f"{figure_title(learnt.name)}: {here} here; {moves}"
