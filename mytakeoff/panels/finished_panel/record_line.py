"""What others did with ``finished.toml`` and the surveys that it names, as a panel says and asks it."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished
from mytakeoff.io.job.news import Looks
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.parts.buttons import make_buttons
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.panels.parts.watching import FolderWatch

TAKEN = "Taken over from the folder: what was written down."
ASKED = f"{FINISHED_FILE} was changed by others, and what stands here is not saved."


class RecordLine:
    """Looks at the record in the folder: what is new is taken over, unless something here is not saved.

    Parameters
    ----------
    desk : Desk
    failed : function
        Told what went wrong.
    gone : function
        Whether the panel is no more.

    Attributes
    ----------
    widget : widgets.VBox
        What is said, and the way to take what the file says.
    buttons : dict of str to Button
    """

    def __init__(self, desk: Desk, failed: Callable[[Exception], None], gone: Callable[[], bool]) -> None:
        self._desk = desk
        self.watch = FolderWatch(self.look, failed, gone)
        self.said = make(widgets.HTML)
        self.buttons = make_buttons(
            {"take-record": (f"Take what {FINISHED_FILE} says, drop mine", self.take)}, failed
        )
        self.widget = make(widgets.VBox, [self.said, *self.buttons.values()])
        self._say("")

    def start(self, folder: str) -> None:
        """Begin to look."""
        self.watch.start(folder, self._names())

    def know(self) -> None:
        """The file says what stands here: it was just saved."""
        self.watch.know(self.watch.looks(), self._names())
        self._say("")

    def take(self) -> None:
        """Show what the file says; what was written down here since is dropped."""
        if self._desk.open():
            self._say("")

    def look(self, _before: Looks | None, looks: Looks) -> None:
        """The record or one of its surveys has come to rest as something else."""
        self.watch.know(looks, self._names())
        if open_finished(self._desk.store.job.folder) == self._desk.opened:
            self._desk.unread = ""  # it is again what was read before
            self._desk.check_again()
        elif self._desk.is_saved:
            self._say(TAKEN if self._desk.open() else "")
        else:
            self._say(ASKED, asked=True)

    def _names(self) -> tuple[str, ...]:
        named = (name for of_wall in self._desk.surveys.values() for name in of_wall)
        return FINISHED_FILE, *dict.fromkeys(named)

    def _say(self, said: str, *, asked: bool = False) -> None:
        news = element("div", said, css="mt-news", role="alert" if asked else "status")
        self.said.value = news if said else ""
        set_shown(self.buttons["take-record"], asked)
        set_shown(self.widget, bool(said))
