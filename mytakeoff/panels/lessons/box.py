"""What finished jobs say, offered to this job: what would change and why, taken or left by a button."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.errors import TakeoffError
from mytakeoff.formats.formats import Formats
from mytakeoff.io.finished.finished_jobs import finished_below
from mytakeoff.job.job import Job
from mytakeoff.learning.kept import (
    reasons_in,
    still_offered,
    with_offers_again,
    with_offers_left,
    with_offers_taken,
)
from mytakeoff.learning.offers import LearntOffer
from mytakeoff.panels.lessons import words
from mytakeoff.panels.lessons.fold import LessonsFold
from mytakeoff.panels.parts.bind import tick
from mytakeoff.panels.parts.buttons import button_row, make_buttons
from mytakeoff.panels.parts.html import Html, element, message
from mytakeoff.panels.parts.stock import make, set_shown, set_text
from mytakeoff.store import Store


class LessonsBox:
    """The offers of finished jobs to the store's job: `widget`, `controls`, `buttons`.

    Finished jobs are looked for beside this job's folder, once the fold is opened; this job is one of them
    when it is done, and is offered nothing then. Which figures are from them, and why, stands above the fold.

    Parameters
    ----------
    store : Store
    failed : function
        Told what went wrong.

    Attributes
    ----------
    fold : LessonsFold
        What is read, and how far.
    offers : tuple of LearntOffer
        What can be taken now.
    both : Widget
        The buttons that take and leave.
    controls : dict of str to widget
        "lessons_folder", and "take NAME" for each offer once it was made.
    """

    def __init__(self, store: Store, failed: Callable[[Exception], None]) -> None:
        self.store = store
        self.offers: tuple[LearntOffer, ...] = ()
        self._said_of = store.job
        self._rows: dict[str, tuple[widgets.Checkbox, widgets.HTML, widgets.VBox]] = {}
        acts = {
            "take-learnt": ("Take what is ticked", self.take),
            "leave-learnt": ("Leave all as they are", self.leave),
            "offer-again": ("Offer again what was left", self.offer_again),
        }
        made = make_buttons(acts, failed)
        self._beside = _count_beside(store.job)
        self.reasons, self.own, self.left, self.done = (make(widgets.HTML) for _ in range(4))
        self.list = make(widgets.VBox, [], css="mt-offers")
        self.both = button_row({name: made[name] for name in ("take-learnt", "leave-learnt")})
        self._again = made["offer-again"]
        middle = [self.list, self.both, self.done, self.own, self.left, self._again]
        place = _beside(store.job)
        self.fold = LessonsFold(place, lambda: store.job.formats, failed, middle, self._show)
        self.controls: dict[str, Any] = self.fold.controls
        self.buttons = {**made, **self.fold.buttons}
        self.widget = make(widgets.VBox, [self.reasons, self.fold.widget], css="mt-lessons")
        self.refresh()

    # -- what the hand can do -------------------------------------------------------------------

    @property
    def ticked(self) -> tuple[str, ...]:
        """Names of the offers that are ticked."""
        return tuple(offer.name for offer in self.offers if self._rows[offer.name][0].value)

    def take(self) -> None:
        """Take what is ticked into the job, in one step that can be taken back."""
        names, lessons = self.ticked, self.fold.lessons
        if lessons is None or not names:
            self._say(message("Tick first what is to be taken."))
        elif self.store.apply(lambda job: with_offers_taken(job, lessons, names)):
            self._say(words.taken_words(names))

    def leave(self) -> None:
        """Leave the job as it is: the same is not offered again."""
        offers = self.offers
        if self.store.apply(lambda job: with_offers_left(job, offers)):
            self._say(message(words.LEFT))

    def offer_again(self) -> None:
        """Offer what was left."""
        if self.store.apply(with_offers_again):
            self._say(Html())

    def _say(self, text: str) -> None:
        """Say what was done to the job as it stands now."""
        self._said_of, self.done.value = self.store.job, text

    # -- what follows the store -----------------------------------------------------------------

    def refresh(self, client: bool = False) -> None:
        """Show what fits the store's job; a client sees none of it."""
        set_shown(self.widget, not client)
        set_text(self.reasons, Html() if client else self._above(self.store.job))
        if self.store.job != self._said_of:
            set_text(self.done, Html())
        if not client and self.fold.widget.head.opened:
            self.fold.show()

    def _show(self) -> None:
        job, lessons = self.store.job, self.fold.lessons
        formats, is_done = job.formats, job.state == "done"
        set_text(self.reasons, self._above(job))
        self.offers = () if lessons is None or is_done else still_offered(job, lessons)
        rows = [self._row(offer, formats) for offer in self.offers]
        if list(self.list.children) != rows:
            self.list.children = rows
        left = 0 if is_done else sum(not each.taken for each in job.learnt)
        set_shown(self.both, bool(self.offers))
        set_shown(self._again, bool(left))
        set_text(self.left, self._below(job, left))
        set_text(self.own, self._own(job, formats) if is_done else Html())

    def _row(self, offer: LearntOffer, formats: Formats) -> widgets.VBox:
        """A tick and why, made once for each figure: what is ticked stays so."""
        title = words.offer_title(offer, formats)
        if offer.name not in self._rows:
            box, why = tick("take-figure", title, True), make(widgets.HTML)
            self._rows[offer.name] = box, why, make(widgets.VBox, [box, why], css="mt-offer")
            self.controls[f"take {offer.name}"] = box
        box, why, row = self._rows[offer.name]
        if box.description != title:
            box.description = title
        set_text(why, words.offer_reason(offer.learnt, formats))
        return row

    def _above(self, job: Job) -> Html:
        """Why figures of the job are what they are; of a job that took and left nothing, who could say."""
        said = words.reasons(reasons_in(job), job.formats)
        return said if said or job.learnt or job.state == "done" else words.beside_words(self._beside)

    def _below(self, job: Job, left: int) -> Html:
        said = [words.left_words(left), words.SIGNED if job.state == "signed" and self.offers else ""]
        if self.fold.lessons and self.fold.lessons.jobs and job.state != "done" and not self.offers:
            said.insert(0, words.NOTHING_NEW)
        text = " ".join(filter(None, said))
        return element("p", text, css="mt-hint") if text else Html()

    def _own(self, job: Job, formats: Formats) -> Html:
        lessons = self.fold.lessons
        there = _beside(job)
        if lessons is None or there is None or self.fold.place != there:
            return Html()
        return words.own_part(lessons, Path(job.folder).absolute().name, formats)


def _beside(job: Job) -> Path | None:
    """The folder that this job's folder lies in."""
    return Path(job.folder).absolute().parent if job.folder else None


def _count_beside(job: Job) -> int:
    """How many finished jobs lie beside this one: folders are looked at, none is opened."""
    place = _beside(job)
    try:
        found: Sequence[Path] = finished_below(place) if place is not None else ()
    except TakeoffError:
        return 0
    return sum(each.name != Path(job.folder).absolute().name for each in found)
