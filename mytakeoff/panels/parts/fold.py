"""A part of a panel that folds away under a button."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import anywidget
import ipywidgets as widgets
import traitlets

from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make, shared, source


class FoldHead(anywidget.AnyWidget):
    """The button of a fold, which shows and hides what follows it in the browser.

    Attributes
    ----------
    title : str
    opened : bool
    entered : int
        How often a panel has led into what is folded.
    """

    _esm = source(__file__, "fold.js")

    title = traitlets.Unicode().tag(sync=True)
    opened = traitlets.Bool(False).tag(sync=True)
    entered = traitlets.Int(0).tag(sync=True)


class Fold(widgets.VBox):
    """Something under a button, the `head`.

    Parameters
    ----------
    title : str
    content : Widget
    name : str
        Of its CSS class.
    opened : bool
        Whether it is open to begin with; afterwards that is the user's.
    """

    def __init__(self, title: str, content: widgets.Widget, name: str = "", *, opened: bool = False) -> None:
        shut = "" if opened else "mt-shut"  # hides what is folded until the button is there
        self.head = make(FoldHead, title=title, opened=opened, css=f"mt-fold-head {shut}")
        content.add_class("mt-folded")
        css = ("mt-fold", f"mt-fold-{name}") if name else ("mt-fold",)
        super().__init__([self.head, content], _dom_classes=css, layout=shared(widgets.Layout))


class LazyFold(Fold):
    """A fold whose content is made when it is opened for the first time.

    Parameters
    ----------
    title, name, opened
        Of every fold.
    content : function that gives widgets
    """

    def __init__(
        self,
        title: str,
        content: Callable[[], Sequence[widgets.Widget]],
        name: str = "",
        *,
        opened: bool = False,
    ) -> None:
        self._content, self.box = content, make(widgets.VBox, [])
        super().__init__(title, self.box, name, opened=opened)
        self.head.observe(lambda _: self.fill(), "opened")
        if opened:
            self.fill()

    def enter(self) -> None:
        """Open it, as a hand does, and go to its first control."""
        self.head.opened = True
        self.head.entered += 1

    def fill(self) -> None:
        """Make what is folded, unless it is there."""
        if not self.box.children:
            self.box.children = tuple(self._content())


def explained(words: Mapping[str, str], title: str = "What these do") -> Fold:
    """What controls do, folded away beside them.

    Parameters
    ----------
    words : mapping of str to str
        What each does, by its name.
    title : str
    """
    said = [element("li", element("strong", name), f" {text}") for name, text in words.items()]
    return Fold(title, make(widgets.HTML, element("ul", *said)), "explained")
