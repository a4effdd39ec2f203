"""What the budget panel says of a job whose walls are not all floated, and the way back to floating."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from mytakeoff.job.edits import floated
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.buttons import make_buttons
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.store import Store

ACTS = (
    "Prices, margins, waste, mix density and coats act as ever. The rule for the plane, the least thickness "
    "and the high spots act on floated walls only; to choose another rule floats every wall."
)


def treated_words(job: Job) -> str:
    """Which way the walls are treated, and what the sliders act on; empty where all are floated as chosen."""
    own = [wall for wall in job.priced_walls if wall.treatment is not None]
    if job.treatment is None and not own:
        return ""
    whole = f"Every wall: {job.treatment.name}." if job.treatment is not None else ""
    each = "; ".join(f"{wall.name}: {wall.treatment.name}" for wall in own if wall.treatment is not None)
    said = " ".join(part for part in (whole, f"{each}." if each else "") if part)
    return f"Carried from the options. {said} {ACTS}"


class TreatedNote:
    """The words and the button, there only while a job carries a way of treating its walls: `widget`."""

    def __init__(self, store: Store, failed: Callable[[Exception], None]) -> None:
        self.store = store
        self.text = make(widgets.HTML)
        self.buttons = make_buttons({"float": ("Float every wall instead", self.float_all)}, failed)
        self.widget = make(widgets.VBox, [self.text, self.buttons["float"]], css="mt-treated")
        self.refresh(store.job)

    def float_all(self) -> None:
        """Go back to floating every wall to the plane that the job has chosen."""
        self.store.apply(floated)

    def refresh(self, job: Job) -> None:
        """Show what the job carries."""
        said = treated_words(job)
        text = element("p", said, css="mt-hint") if said else ""
        if self.text.value != text:
            self.text.value = text
        set_shown(self.widget, bool(said))
