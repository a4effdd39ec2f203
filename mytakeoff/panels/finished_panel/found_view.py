"""What a finished wall comes to on the screen: verdicts, the map and the list of its snags, the rounds."""

from __future__ import annotations

from collections.abc import Iterator

import ipywidgets as widgets

from mytakeoff.acceptance.checked_wall import CheckedWall
from mytakeoff.acceptance.snags import SnagList
from mytakeoff.audience import Audience
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.formats.formats import Formats
from mytakeoff.panels.finished_panel import pictures, words
from mytakeoff.panels.finished_panel.words import NOT_LOOKED_AT
from mytakeoff.panels.parts.frame import heading
from mytakeoff.panels.parts.stock import make, set_shown


class FoundView:
    """A checked wall in words and as a map: `verdicts`, `snags`, `days`, `maps`, `widget`."""

    def __init__(self) -> None:
        self.verdicts, self.snags, self.days = (make(widgets.HTML) for _ in range(3))
        self.maps: dict[str, widgets.HTML] = {css: make(widgets.HTML) for css in pictures.WIDTHS_PX}
        self._drawn: tuple[SnagList, Formats] | None = None
        parts = [
            self.verdicts, *self.maps.values(), heading("Snags"), self.snags, heading("Rounds"), self.days,
        ]  # fmt: skip
        self.widget = make(widgets.VBox, parts)

    def clear(self) -> None:
        """Nothing to show."""
        set_shown(self.widget, False)
        self._drawn = None
        for text in (self.verdicts, self.snags, self.days, *self.maps.values()):
            text.value = ""

    def show(self, checked: CheckedWall, record: FinishedWall, formats: Formats, to: Audience) -> None:
        """The words of it."""
        set_shown(self.widget, True)
        self.verdicts.value = words.verdicts(checked, formats)
        self.snags.value = words.snags(checked.snags, formats, to) if checked.looked_at else NOT_LOOKED_AT
        for shown in self.maps.values():
            set_shown(shown, checked.looked_at)
        self.days.value = words.rounds(record, formats)

    def draw(self, snags: SnagList, formats: Formats) -> Iterator[None]:
        """Its map for a wide panel, then for a narrow one; nothing where these snags are drawn already."""
        if self._drawn is not None and self._drawn[0] is snags and self._drawn[1] == formats:
            return
        for css, shown in self.maps.items():
            drawn = pictures.map_of(snags, formats, css)
            if shown.value != drawn:
                shown.value = drawn
            yield
        self._drawn = snags, formats
