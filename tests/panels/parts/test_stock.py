"""Layouts and styles that several widgets have: few, never changed, and there again after all were closed."""

from __future__ import annotations

import re
from pathlib import Path

import ipywidgets as widgets
from ipywidgets.widgets.widget import _instances

import mytakeoff as mt
from mytakeoff import panels
from mytakeoff.panels.parts.stock import make, set_shown, shared
from mytakeoff.resources import demo_folder


def test_most_models_of_a_panel_are_what_is_seen_of_it() -> None:
    before = set(_instances)
    panels.budget(mt.open_job(demo_folder()))
    made = [type(_instances[name]) for name in set(_instances) - before]
    dressing = [kind for kind in made if issubclass(kind, widgets.Layout | widgets.Style)]
    assert len(dressing) < len(made) / 10


def test_one_that_is_hidden_hides_no_other() -> None:
    one, other = make(widgets.HTML), make(widgets.HTML)
    assert one.layout is other.layout
    set_shown(one, False)
    assert (one.layout.display, other.layout.display) == ("none", None)
    set_shown(one, True)
    assert one.layout is other.layout


def test_what_was_closed_is_made_anew() -> None:
    closed = shared(widgets.Layout, width="7px")
    closed.close()
    again = shared(widgets.Layout, width="7px")
    assert again is not closed
    assert again.comm is not None


def test_no_panel_changes_a_layout_or_style_that_others_have() -> None:
    for file in Path(panels.__file__).parent.rglob("*.py"):
        assert not re.findall(r"\.(?:layout|style)\.\w+ = ", file.read_text(encoding="utf-8")), file
