"""Every text that a panel shows: of its widgets, its pages and its pictures."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from typing import Any

import ipywidgets as widgets

import mytakeoff as mt
from mytakeoff.panels import (
    OptionsPanel,
    SettingPanel,
    budget,
    buying_and_days,
    finished,
    options,
    setting_out,
    survey,
)
from mytakeoff.panels.parts.panel import Panel

DAY = date(2027, 3, 1)
TWO_WALLS = ("breast front", "breast left cheek")
SAID = ("aria-label", "title", "alt")
TYPED = (widgets.Text, widgets.Textarea, widgets.Dropdown)  # what stands in a box is the user's own
# Numbers of standards and of fixings are names, whatever the locale.
STANDARDS = re.compile(r"522\.6\.202|3\.04\.01-87|106:2012, 8\.[23]|1926\.1153")


class Words(HTMLParser):
    """What a page shows or says of itself, without coordinates and style."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.inside: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside.append(tag)
        self.found += [value for name, value in attrs if name in SAID and value]

    def handle_endtag(self, tag: str) -> None:
        while self.inside and self.inside.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if "style" not in self.inside and "metadata" not in self.inside:
            self.found.append(data)


def tree(widget: widgets.Widget, seen: set[str]) -> Iterator[widgets.Widget]:
    """A widget and all that it holds."""
    if widget.model_id in seen:
        return
    seen.add(widget.model_id)
    yield widget
    for name in widget.keys:
        held = getattr(widget, name)
        for each in held if isinstance(held, list | tuple) else (held,):
            if isinstance(each, widgets.Widget):
                yield from tree(each, seen)


def strings(value: Any) -> Iterator[str]:
    """Every text in a trait's value; of a table all cells but the prices that are typed into it."""
    if isinstance(value, str):
        if value.startswith('{"'):
            yield from strings(json.loads(value))
        else:
            yield from Words(value).found if "<" in value else [value]
    elif isinstance(value, dict):
        boxed = {"price"} if value.get("editable") else set()
        for name, each in value.items():
            yield from () if name in boxed else strings(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from strings(each)


def shown(panel: Panel) -> list[str]:
    """Every text that a panel shows."""
    found = []
    for widget in tree(panel.widget, set()):
        for name in widget.keys:
            if name.startswith("_") or (isinstance(widget, TYPED) and name == "value"):
                continue
            found += [STANDARDS.sub("", text) for text in strings(getattr(widget, name))]
    labels = fixing_labels(panel)
    return [re.sub(r"(?<=fixing )\d+\.\d+", "", text) for text in found if text not in labels]


def fixing_labels(panel: Panel) -> set[str]:
    """How the fixings of a panel are called: 2.1 is the first of the second rail."""
    setting = panel.setting if isinstance(panel, SettingPanel) else None
    return {fixing.label for wall in setting.walls for fixing in wall.fixings} if setting else set()


def compared(job: mt.Job) -> OptionsPanel:
    """The options on one small wall, every fold open."""
    panel = options(replace(job, only=TWO_WALLS[1:]), DAY)
    for name in panel.folds.parts:
        panel.folds.open(name)
    return panel


PANELS: dict[str, Callable[[mt.Job], Panel]] = {
    "budget": lambda job: budget(job),
    "survey": lambda job: survey(job),
    "options": compared,
    "setting out": lambda job: setting_out(replace(job, only=TWO_WALLS), DAY),
    "days": lambda job: buying_and_days(replace(job, only=TWO_WALLS)),
    "finished": lambda job: finished(job, DAY),
}
