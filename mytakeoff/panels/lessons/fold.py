"""The fold that reads a folder of finished jobs when it is opened, and says what they say."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.errors import TakeoffError
from mytakeoff.formats.formats import Formats
from mytakeoff.io.job.news import Looks
from mytakeoff.learning.learn import Lessons
from mytakeoff.panels.lessons import words
from mytakeoff.panels.lessons.pictures import LearntPictures
from mytakeoff.panels.lessons.reading import LessonsReading
from mytakeoff.panels.parts.bind import text_box
from mytakeoff.panels.parts.buttons import button_row, make_buttons, safely
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.html import Html, element, message, problem
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.panels.parts.stock import make, set_shown, set_text
from mytakeoff.panels.parts.watching import FolderWatch

PICTURES = "Before and after, as pictures"


class LessonsFold:
    """What the finished jobs of a folder say: `widget`, `controls`, `buttons`.

    Nothing is read until it is opened; then in slices, again when files of that folder are others, and when a
    button asks for it.

    Parameters
    ----------
    place : Path or None
        The folder that holds job folders; None where it has to be named.
    formats : function
        Gives how numbers are written.
    failed : function
        Told what went wrong.
    middle : sequence of Widget
        What stands between what was read and the pictures; else all sentences.
    heard : function
        Called when there is something else to say.

    Attributes
    ----------
    lessons : Lessons or None
        None until the folder is read.
    """

    def __init__(
        self,
        place: Path | None,
        formats: Callable[[], Formats],
        failed: Callable[[Exception], None],
        middle: Sequence[widgets.Widget] = (),
        heard: Callable[[], None] = lambda: None,
    ) -> None:
        self._place, self._formats, self._failed, self._heard = place, formats, failed, heard
        self._reading, self._steps, self._drawing = LessonsReading(), Steps(), Steps()
        self._pictures, self._due, self._watched = LearntPictures(), True, Path()
        self._refused = Html()
        self.other = text_box(
            "lessons-folder", "Another folder of finished jobs", placeholder="../jobs of 2026"
        )
        self.buttons = make_buttons({"look-again": ("Look again", self.look_again)}, failed)
        self.controls: dict[str, Any] = {"lessons_folder": self.other}
        self.where, self.said, self.text, self.picture, self.left_out = (make(widgets.HTML) for _ in range(5))
        self.drawn = Fold(PICTURES, self.picture, "learnt-pictures")
        row = make(widgets.VBox, [self.other, self.where, button_row(self.buttons)])
        hint = make(widgets.HTML, element("p", words.WHAT_IT_IS, css="mt-hint"))
        self._sentences = not middle
        parts = [hint, self.said, *(middle or [self.text]), self.drawn, self.left_out, row]
        self.widget = Fold(words.TITLE, make(widgets.VBox, parts), "lessons")
        self.watch = FolderWatch(self._moved, failed, lambda: self.widget.comm is None)
        self.widget.head.observe(safely(self._look, failed), "opened")
        self.drawn.head.observe(safely(self.draw, failed), "opened")
        self.other.observe(safely(self.look_again, failed), "value")

    @property
    def lessons(self) -> Lessons | None:
        """What the jobs of the folder say."""
        return self._reading.lessons if self._reading.place == self.place else None

    @property
    def place(self) -> Path | None:
        """The folder that is read."""
        named = self.other.value.strip()
        if not named:
            return self._place
        return (self._place or Path.cwd()) / Path(named).expanduser()

    def look_again(self) -> None:
        """Read the folder again: of jobs whose files lie as they did, nothing is worked out twice."""
        self._due = True
        self._look()

    def _moved(self, _before: Looks | None, _now: Looks) -> None:
        self.look_again()

    def _look(self) -> None:
        place = self.place
        self.show()
        if not (self._due and self.widget.head.opened) or place is None:
            return
        self._due, self._refused = False, Html()
        self._steps.start(self._read(place), self.show, self._failed)

    def _read(self, place: Path) -> Iterator[bool]:
        try:
            yield from self._reading.steps(place)
        except TakeoffError as error:
            self._refused = problem(str(error), "Nothing was read.")
            return
        if place != self._watched:
            self._watched = place
            self.watch.start(str(place), ())
        self.watch.know(self._reading.looks, self._reading.looks)

    def show(self) -> None:
        """Say what is read by now; pictures follow where they are looked at."""
        lessons, formats, place = self.lessons, self._formats(), self.place
        set_text(self.where, words.place_words(place) if place is not None else Html())
        set_text(self.said, self._refused or self._how_far(place))
        set_text(self.text, words.all_said(lessons, formats) if lessons and self._sentences else Html())
        set_text(self.left_out, words.left_out(lessons.left_out) if lessons else Html())
        set_shown(self.drawn, bool(lessons and lessons.learnt))
        self.draw()
        self._heard()

    def _how_far(self, place: Path | None) -> Html:
        if place is None:
            return message(words.NOWHERE)
        return words.read_words(self.lessons) if self.lessons else words.reading_words(self._reading.at)

    def draw(self) -> None:
        """Draw what is new, in slices, where the pictures are looked at."""
        if not (self.drawn.head.opened and self.lessons):
            return
        drawings = self._pictures.steps(self.lessons.learnt, self._formats())

        def work() -> Iterator[bool]:
            for drawn in drawings:
                set_text(self.picture, drawn)
                yield True

        self._drawing.start(work(), lambda: None, self._failed)
