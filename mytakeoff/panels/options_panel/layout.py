"""How the options panel is laid out: what the client sees, and what is folded away for the estimator."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

import ipywidgets as widgets

from mytakeoff.audience import Audience
from mytakeoff.job.job import Job
from mytakeoff.options.result import OptionResult
from mytakeoff.panels.options_panel.controls import GROUPS
from mytakeoff.panels.options_panel.squared import told_steps
from mytakeoff.panels.parts.bind import Bound
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.frame import heading
from mytakeoff.panels.parts.stock import make, set_shown

TITLES = {
    "squared": "Corners and widths",
    "curve": "What more money buys: price against the gap that is left",
    "true": "The gap beside it, at true ratio",
    "figures": "All figures",
    "drivers": "What drives the price",
}


class Folds:
    """What is worked out or shown only when it is asked for: curve, true tapers, figures, bars."""

    def __init__(self) -> None:
        self.curve, self.true, self.figures, self.notices, self.drivers, self.squared = (
            make(widgets.HTML) for _ in range(6)
        )
        self.progress = make(widgets.IntProgress, max=1, description="Working the curve out")
        self.parts: dict[str, Fold] = {}
        self.bar = make(widgets.HBox, [self.progress])

    def fold(self, stop: widgets.Button, driven: widgets.Dropdown) -> None:
        """Put each content into a fold of its own, with what stops the curve and the option driven."""
        self.bar.children = [self.progress, stop]
        contents = {
            "squared": self.squared,
            "curve": make(widgets.VBox, [self.bar, self.curve]),
            "true": self.true,
            "figures": make(widgets.VBox, [self.figures, self.notices]),
            "drivers": make(widgets.VBox, [driven, self.drivers]),
        }
        self.parts = {name: Fold(TITLES[name], content, name) for name, content in contents.items()}
        self.waiting(False)

    def is_open(self, name: str) -> bool:
        """Whether a fold is open."""
        return bool(self.parts[name].head.opened)

    def work_squared(
        self, job: Job, done: Sequence[OptionResult], audience: Audience
    ) -> Iterator[bool | None]:
        """Tell what squareness costs and gains, where that is asked for; True once it is told."""
        if self.is_open("squared"):
            for told in told_steps(job, done, audience):
                if told is not None:
                    self.squared.value = told
                yield told is not None or None

    def open(self, name: str) -> None:
        """Open a fold as a hand would."""
        self.parts[name].head.opened = True

    def on_open(self, action: Callable[..., None]) -> None:
        """Do something when a fold is opened or shut."""
        for part in self.parts.values():
            part.head.observe(action, "opened")

    def waiting(self, working: bool) -> None:
        """Show the bar while the curve is worked out."""
        set_shown(self.bar, working)


def side(
    bound: Mapping[str, Bound], forms: Mapping[str, widgets.Widget], below: Sequence[widgets.Widget]
) -> widgets.VBox:
    """The estimator's controls under plain headings, then forms that fold, by title, and the rest."""
    parts: list[widgets.Widget] = []
    for title, names in GROUPS.items():
        parts += [heading(title), *(bound[name].widget for name in names)]
    folded = [Fold(title, form) for title, form in forms.items()]
    return make(widgets.VBox, [*parts, *folded, *below])
