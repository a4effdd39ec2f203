"""How the survey panel is laid out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import ipywidgets as widgets

from mytakeoff.panels.look import STYLE, SURVEY_STYLE

if TYPE_CHECKING:
    from mytakeoff.panels.surveypanel import SurveyPanel


def layout(panel: SurveyPanel) -> widgets.Widget:
    """All parts of the panel, in the order in which they are read."""
    panel.progress.style.description_width = "initial"
    panel.progress_row = widgets.HBox([panel.progress, panel.buttons["stop"]])
    panel.progress_row.add_class("mt-waiting")
    save = widgets.HBox([panel.buttons["save"]])
    save.add_class("mt-buttons")
    controls = [
        _heading("The wall"), panel.wall.widget, _heading("Its survey"), panel.file.widget,
        panel.scan.widget, save, panel.said,
    ]  # fmt: skip
    lines = widgets.HBox([panel.at_x.widget, panel.at_z.widget])
    lines.add_class("mt-lines")
    shown = [
        panel.progress_row, panel.status, _heading("What was understood"), panel.facts, panel.left_out,
        _heading("How it stands"), panel.against, panel.map, panel.places, lines, panel.lines,
    ]  # fmt: skip
    parts = {
        "headline": [panel.headline, panel.problem],
        "controls": controls,
        "map": shown,
        "notes": [_heading("Openings"), panel.openings.widget],
    }
    boxes = []
    for name, children in parts.items():
        box = widgets.VBox(children)
        box.add_class(f"mt-{name}")
        boxes.append(box)
    grid = widgets.Box(boxes)
    grid.add_class("mt-grid")
    made = widgets.VBox([widgets.HTML(f"<style>{STYLE}{SURVEY_STYLE}</style>"), grid, panel.page])
    for css in ("mt-panel", "mt-survey-panel"):
        made.add_class(css)
    return made


def _heading(text: str) -> widgets.HTML:
    return widgets.HTML(f"<h3>{text}</h3>")
