"""A list to choose one of the job's walls or rooms from, which follows what becomes of them."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from mytakeoff.panels.parts.bind import labelled_list, offer


class ChosenName:
    """One of some names: what is called otherwise now, or gone, gives way to what is in its place.

    Attributes
    ----------
    control : widgets.Dropdown
    """

    def __init__(self, name: str, label: str) -> None:
        self.control: widgets.Dropdown = labelled_list(name, label, [], None)
        self._nth = 0

    def offer(self, names: Sequence[str]) -> None:
        """List these names."""
        value, at = self.control.value, min(self._nth, len(names) - 1)
        offer(self.control, list(names), value if value in names else names[at] if names else None)
        self.keep(names)

    def keep(self, names: Sequence[str]) -> None:
        """Remember the place of what is chosen."""
        value = self.control.value
        self._nth = names.index(value) if value in names else 0
