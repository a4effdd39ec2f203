"""Stock widgets that share layouts and styles: a page then has less than half as many models to make."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets as widgets

_MADE: dict[tuple[Any, ...], Any] = {}


def source(module: str, *names: str) -> str:
    """Files beside a module as one text, so that scripts and styles need no build step."""
    return "\n".join((Path(module).parent / name).read_text(encoding="utf-8") for name in names)


def shared(kind: Any, **traits: Any) -> Any:
    """A layout or style, the same one for all that ask for equal traits: never to be changed."""
    key = kind, *sorted(traits.items())
    made = _MADE.get(key)
    if made is None or made.comm is None:  # closed with all others, as by `Widget.close_all`
        made = _MADE[key] = kind(**traits)
    return made


def make(kind: Any, *args: Any, css: str = "", **traits: Any) -> Any:
    """A widget whose layout and style are shared unless given, its label as wide as the words.

    Parameters
    ----------
    kind : subclass of Widget
    *args, **traits
        As the kind takes them.
    css : str
        Its CSS classes.
    """
    traits.setdefault("layout", shared(widgets.Layout))
    known = kind.class_traits()
    if "style" in known:
        style = known["style"].klass
        wide = {"description_width": "initial"} if "description_width" in style.class_traits() else {}
        traits.setdefault("style", shared(style, **wide))
    return kind(*args, _dom_classes=tuple(css.split()), **traits)


def set_shown(widget: widgets.Widget, there: bool) -> None:
    """Show a widget, or take it from the page."""
    if (widget.layout.display != "none") != there:
        widget.layout = shared(widgets.Layout) if there else shared(widgets.Layout, display="none")


def set_text(box: widgets.HTML, text: str) -> None:
    """Say something else, where it is something else: the page gets only what differs."""
    if box.value != text:
        box.value = text
