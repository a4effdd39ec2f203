"""What the survey panel shows of a wall: words first, then the pictures, which take longer."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.io.forms.desk import Draft
from mytakeoff.io.forms.facts import facts_of
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels.parts.fold import explained
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make
from mytakeoff.panels.survey_panel import finding_words, pictures, words
from mytakeoff.panels.survey_panel.asked_rows import Answer, AskedRows
from mytakeoff.panels.survey_panel.controls import LineControl, against_list
from mytakeoff.panels.survey_panel.hollow_rows import HollowRows
from mytakeoff.surface.deviation import Deviation, deviation, profile, stance_of
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.stands_off import asked_notices, on_the_face, stands_off
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall

if TYPE_CHECKING:
    from mytakeoff.io.scan.found_wall import FoundWall

NO_SURVEY = element("div", "No survey yet", css="mt-total")
CHOOSE = element("p", "Choose a file of the job folder, or bring one from this device.")


class SurveyView:
    """Texts and pictures of one wall, and the controls of what they show; `draw` fills them."""

    held: Deviation | None = None

    def __init__(self, size: Wall, answer: Answer, formats: Formats = HOUSE) -> None:
        self.asked, self.hollows = AskedRows(answer), HollowRows(answer)
        self.beside = make(widgets.VBox, [self.asked.widget, self.hollows.widget])
        self.at_x = LineControl("at_x", "Upright line at x, m", size.width_m, formats)
        self.at_z = LineControl("at_z", "Level line at z, m", size.height_m, formats)
        self.against = against_list()
        self.explained = explained(words.MAP_WORDS, "What the map shows")
        parts = [make(widgets.HTML) for _ in range(7)]
        self.headline, self.facts, self.left_out, self.map, self.places, self.marked, self.lines = parts
        self._lines_of: tuple[Any, ...] = ()

    def fit(self, wall: Wall) -> None:
        """Let the lines run over another wall."""
        self.at_x.fit(wall.width_m)
        self.at_z.fit(wall.height_m)

    def draw(
        self,
        draft: Draft,
        survey: Survey,
        entry: JobWall,
        surface: Surface,
        scanned: FoundWall | None,
        formats: Formats,
    ) -> Iterator[bool | None]:
        """Show a wall, in steps; what has not changed is not drawn again.

        Parameters
        ----------
        draft : Draft
        survey : Survey
            As it was read.
        entry : JobWall
            With what was found on it.
        surface : Surface
        scanned : FoundWall or None
            The wall in its scan, where that is known.
        formats : Formats
        """
        assert draft.file is not None
        held = self.held
        if held is None or held.surface is not surface or held.against != self.against.value:
            held = self.held = deviation(surface, self.against.value)
        self.headline.value = words.headline(entry, stance_of(surface), formats)
        facts = facts_of(draft.file, survey, surface, formats)
        self.facts.value = words.understood(facts, surface, asked_notices(entry.survey, formats))
        self.places.value = words.places(held, formats)
        self.marked.value = finding_words.listed(draft.found, formats)
        off = stands_off(entry.survey)
        asked = {place.at for place in off}  # they have their rows and marks already
        face = [one for one in on_the_face(entry.survey, entry.loose) if one.at not in asked]
        self.asked.show(off, formats)
        self.hollows.show(face, formats)
        yield True
        where = self.at_x.value, self.at_z.value
        against = entry.survey.plumb, entry.square_turn_mm_per_m
        if self._lines_of != (held, where, against):
            lines = profile(held, where[0], True), profile(held, where[1], False)
            self.lines.value = pictures.profiles(held, lines, *against, formats)
            self._lines_of = held, where, against
            yield True
        self.left_out.value = pictures.left_out(scanned, formats) if scanned else ""
        self.map.value = pictures.maps(held, entry.name, *where, draft.found, formats, off, face)

    def clear(self, unread: str = "") -> None:
        """Show that there is nothing yet, or that a file was not read."""
        self.held, self._lines_of = None, ()
        self.asked.show((), HOUSE)
        self.hollows.show((), HOUSE)
        self.headline.value, self.facts.value = NO_SURVEY, CHOOSE
        if unread:
            self.headline.value = element("div", "Not read yet", css="mt-total")
            self.facts.value = element("p", f"{unread} was not read: see above.")
        for text in (self.left_out, self.map, self.places, self.marked, self.lines):
            text.value = ""
