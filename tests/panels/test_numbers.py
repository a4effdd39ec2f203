"""A job says how its numbers are written: every panel follows, in words, tables and pictures."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from html.parser import HTMLParser
from typing import Any

import ipywidgets as widgets
import pytest
from babel import Locale
from babel.numbers import format_currency
from demo import demo

import mytakeoff as mt
from mytakeoff.numerals import THIN_SPACE
from mytakeoff.panels import OptionsPanel, SettingPanel, budget, buying_and_days, options, setting_out, survey
from mytakeoff.panels.parts.panel import Panel

DAY = date(2027, 3, 1)
TWO_WALLS = ("breast front", "breast left cheek")
SAID = ("aria-label", "title", "alt")
TYPED = (widgets.Text, widgets.Textarea, widgets.Dropdown)  # what stands in a box is the user's own
# Numbers of standards and of fixings are names, whatever the locale.
STANDARDS = re.compile(r"522\.6\.202|3\.04\.01-87|1926\.1153")
POINT = re.compile(r"\d+(?:\.\d+)+")
GROUPED = re.compile(r"[1-9]\d{0,2}(\.\d{3})+")


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


def with_points(texts: list[str]) -> list[str]:
    return [text for text in texts if POINT.search(text)]


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
}


@pytest.mark.parametrize("name", PANELS)
def test_with_a_decimal_comma_no_number_has_a_point(name: str) -> None:
    texts = shown(PANELS[name](replace(demo(), decimal_comma=True)))
    assert any(re.search(r"\d,\d", text) for text in texts)
    assert with_points(texts) == []


@pytest.mark.parametrize("name", PANELS)
def test_in_germany_numbers_have_commas_and_points_between_thousands(name: str) -> None:
    texts = shown(PANELS[name](replace(demo(), locale="de_DE")))
    assert any(re.search(r"\d,\d", text) for text in texts)
    assert with_points([GROUPED.sub("", text) for text in texts]) == []
    assert [text for text in texts if re.search(rf"\d{THIN_SPACE}\d", text)] == []


@pytest.mark.parametrize("locale", ["de_DE", "de_AT", "en_GB", "fr_FR"])
def test_the_total_is_written_as_the_repository_has_it(locale: str) -> None:
    panel = budget(replace(demo(), locale=locale))
    total = panel.store.result.cost.total
    whole = total.quantize(Decimal(1), ROUND_HALF_UP)
    pattern = Locale.parse(locale).currency_formats["standard"].pattern.replace(".00", "")
    written = format_currency(whole, "EUR", pattern, locale, currency_digits=False)
    assert written in "".join(shown(panel))
    assert format_currency(total, "EUR", locale=locale) in str(panel.store.result)


def test_a_locale_that_nobody_knows_is_refused() -> None:
    with pytest.raises(mt.TakeoffError) as told:
        replace(demo(), locale="de_XX")
    assert "locale 'de_XX'" in str(told.value)
    assert "as de_AT, en_GB, fr_FR" in str(told.value)
