"""Buttons that say what they do, and what went wrong when they could not."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from typing import Any

import ipywidgets as widgets

from mytakeoff.panels.parts.stock import make

log = logging.getLogger(__name__)
Action = Callable[[], Any]


def safely(action: Action, failed: Callable[[Exception], None]) -> Callable[..., None]:
    """An action whose failure is told and logged: front-end callbacks swallow errors."""

    def act(*_: Any) -> None:
        try:
            action()
        except Exception as error:
            log.exception("an action of the panel failed")
            failed(error)

    return act


def make_buttons(
    doing: Mapping[str, tuple[str, Action]], failed: Callable[[Exception], None]
) -> dict[str, widgets.Button]:
    """A button for each thing to do, by name, as (label, action)."""
    buttons = {}
    for name, (label, action) in doing.items():
        button = make(widgets.Button, description=label, css=f"mt-{name}")
        button.on_click(safely(action, failed))
        buttons[name] = button
    return buttons


def button_row(buttons: Mapping[str, widgets.Button]) -> widgets.HBox:
    """The buttons side by side, wrapping where there is no room."""
    return make(widgets.HBox, list(buttons.values()), css="mt-buttons")
