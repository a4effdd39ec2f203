"""How the survey panel is laid out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import ipywidgets as widgets

from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.look import SURVEY_STYLE

if TYPE_CHECKING:
    from mytakeoff.panels.survey_panel.panel import SurveyPanel


def layout(panel: SurveyPanel) -> widgets.Widget:
    """All parts of the panel, in the order in which they are read."""
    panel.progress.style.description_width = "initial"
    panel.progress_row = widgets.HBox([panel.progress, panel.buttons["stop"]])
    panel.progress_row.add_class("mt-waiting")
    save = widgets.HBox([panel.buttons["save"]])
    save.add_class("mt-buttons")
    controls = [
        heading("The wall"), panel.wall.widget, heading("Its survey"), panel.file.widget,
        panel.scan.widget, save, panel.said,
    ]  # fmt: skip
    lines = widgets.HBox([panel.at_x.widget, panel.at_z.widget])
    lines.add_class("mt-lines")
    shown = [
        panel.progress_row, panel.status, heading("What was understood"), panel.facts, panel.left_out,
        heading("How it stands"), panel.against, panel.map, panel.places, panel.marked, lines, panel.lines,
    ]  # fmt: skip
    parts = {
        "headline": [panel.headline, panel.problem],
        "controls": controls,
        "map": shown,
        "notes": [
            heading("Openings"), panel.openings.widget, heading("Found on the wall"), panel.found.widget,
        ],
    }  # fmt: skip
    return framed(parts, panel.page, SURVEY_STYLE, "mt-survey-panel")
