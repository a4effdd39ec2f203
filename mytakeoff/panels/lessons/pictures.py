"""Learnt figures before and after as pictures, wide and narrow: drawn when somebody looks, and kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.learning.before_after import draw_learnt, learnt_picture_words
from mytakeoff.formats.formats import Formats
from mytakeoff.learning.learnt import Learnt
from mytakeoff.panels.parts.html import Html, element

WIDTHS_PX = {"wide": 560.0, "narrow": 320.0}


class LearntPictures:
    """The pictures of some figures."""

    def __init__(self) -> None:
        self._drawn: dict[str, tuple[Learnt, Formats, Html]] = {}

    def steps(self, several: Sequence[Learnt], formats: Formats) -> Iterator[Html]:
        """All that is drawn by now, after each picture."""
        self._drawn = {
            name: known for name, known in self._drawn.items() if name in {s.name for s in several}
        }
        for nth, learnt in enumerate(several):
            known = self._drawn.get(learnt.name)
            if known is None or known[:2] != (learnt, formats):
                self._drawn[learnt.name] = learnt, formats, _drawings(learnt, formats, nth)
                yield self._all(several)
        yield self._all(several)

    def _all(self, several: Sequence[Learnt]) -> Html:
        drawn = (self._drawn[each.name][2] for each in several if each.name in self._drawn)
        return element("div", *drawn, css="mt-learnt-pictures")


def _drawings(learnt: Learnt, formats: Formats, nth: int) -> Html:
    label, made = " ".join(learnt_picture_words(learnt, formats)), []
    for css, width_px in WIDTHS_PX.items():
        svg = Html(page_svg(draw_learnt(learnt, formats, width_px=width_px), f"learnt-{nth}-{css}", label))
        made.append(element("div", svg, css=f"mt-{css}-drawing"))
    return element("div", *made, css="mt-learnt-picture")
