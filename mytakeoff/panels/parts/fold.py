"""A part of a panel that folds away, opened and closed by a button that a keyboard reaches."""

from __future__ import annotations

import ipywidgets as widgets


class Fold:
    """Something under a button: `title`, `widget`.

    Stock accordions are opened by the mouse only.
    """

    def __init__(self, name: str, content: widgets.Widget, title: str) -> None:
        self.button = widgets.Button()
        for css in ("mt-fold", f"mt-fold-{name}"):
            self.button.add_class(css)
        self.content = content
        self.widget = widgets.VBox([self.button, content])
        self.opened, self._title = False, title
        self.button.on_click(lambda _: self.open(not self.opened))
        self.open(False)

    @property
    def title(self) -> str:
        """What stands on the button, after what a press does."""
        return self._title

    @title.setter
    def title(self, title: str) -> None:
        """Say something else on the button."""
        self._title = title
        self.button.description = f"{'Hide' if self.opened else 'Show'} {title}"

    def open(self, opened: bool = True) -> None:
        """Open it, or close it."""
        self.opened = opened
        self.content.layout.display = None if opened else "none"
        self.title = self._title
