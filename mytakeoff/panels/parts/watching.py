"""A panel and its job folder: seeing that others have saved, and what is said and asked then.

Notes
-----
The files are looked at, not listened to: size and time of a handful of them cost microseconds twice a second,
on network drives as well, where no library hears of what another machine writes; nothing is read until one of
them is another. The looking goes on on the kernel's own loop, ends with the kernel, with the panel's widgets
and when its cell runs again in its window, and never begins where no loop runs.
"""

from __future__ import annotations

import time
import weakref
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

import ipywidgets as widgets
from IPython.core.getipython import get_ipython

from mytakeoff.errors import TakeoffError
from mytakeoff.formats.formats import counted
from mytakeoff.io.job.changes import what_changed
from mytakeoff.io.job.news import Looks, files_of, folders_in, looks_of, who_changed
from mytakeoff.io.job.open_job import open_job
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.buttons import make_buttons, safely
from mytakeoff.panels.parts.html import MOST_LISTED, Html, element, listed, problem
from mytakeoff.panels.parts.slices import Waiting
from mytakeoff.panels.parts.stock import make, set_shown

LOOK_S = 0.5  # two looks that are alike and what follows stay within two seconds
EASE = 20.0  # a slow drive is left alone so many times longer than a look at it took

MOST_OF_A_CELL = (
    16  # windows on one workbook, and pages that were loaded again; a panel may watch two folders
)

_MADE: dict[str, list[Made]] = {}  # by each cell, the latest last


class Asked(NamedTuple):
    """What the folder says by now, while it is asked which way; `who` is empty where the panel was handed
    another job than the folder says."""

    there: Job
    theirs: tuple[str, ...]
    looks: Looks
    who: str


def read_again(
    watch: FolderWatch, line: FolderLine, opened: Job, before: Looks | None, looks: Looks
) -> Asked | None:
    """What a folder says by now whose files have come to rest as something else.

    Parameters
    ----------
    watch, line
        Are told what is known by then, and that the folder does not open.
    opened : Job
        What it said when it was read last.
    before, looks : Looks
        How the files lay, None at first, and how they lie.

    Returns
    -------
    Asked or None
        None where the folder does not open.
    """
    try:
        there = open_job(opened.folder)
    except TakeoffError as error:
        watch.know(looks, (*looks, *folders_in(opened.folder)))
        line.broken(str(error))
        return None
    watch.know(looks, files_of(there))
    theirs, who = what_changed(opened, there), ""
    if theirs and before is not None:
        who = who_changed(opened.folder, before, looks, there.formats)
    return Asked(there, theirs, looks, who)


class Made(NamedTuple):
    """A watch, and in which window and run of its cell it was made."""

    window: str
    run: str
    watch: weakref.ref[FolderWatch]


class FolderWatch:
    """Looks at the files of a folder, and calls when they have come to rest as something else.

    Files are replaced one by one: what still moves is left alone until two looks are alike.

    Parameters
    ----------
    changed : function of (before, now)
        Called on the loop with how the files lay, None at first, and how they lie.
    failed : function
        Told what that raised.
    gone : function
        Whether whoever watches is no more.
    """

    def __init__(
        self,
        changed: Callable[[Looks | None, Looks], None],
        failed: Callable[[Exception], None],
        gone: Callable[[], bool],
    ) -> None:
        self._changed, self._failed, self._gone = changed, failed, gone
        self._timer, self._stopped = Waiting(), False
        self._folder, self._names = "", tuple[str, ...]()
        self._known: Looks | None = None  # None: what was handed over may be older than the files
        self._last: Looks | None = None

    def start(self, folder: str, names: Iterable[str]) -> None:
        """Begin to look at these files, in place of those that an earlier run of the cell looked at."""
        _take_turns(self)
        self._folder, self._names = folder, tuple(names)
        self._timer.start(LOOK_S, self._look)

    def stop(self) -> None:
        """Look no more."""
        self._stopped = True

    @property
    def over(self) -> bool:
        """Whether nobody looks any more: whoever watches is no more, or the cell ran again."""
        return self._stopped or self._gone()

    def looks(self) -> Looks:
        """How the files lie there now."""
        return looks_of(self._folder, self._names)

    def know(self, looks: Looks, names: Iterable[str]) -> None:
        """Look at these files from now on: they are known as in a look, those not in it as they lie there."""
        self._names = tuple(names)
        now = looks_of(self._folder, self._names)
        self._known = {name: looks.get(name, look) for name, look in now.items()}

    def _look(self) -> None:
        if self.over:
            return
        began = time.perf_counter()
        looks = self.looks()
        took_s = time.perf_counter() - began
        rests, self._last = looks == self._last, looks
        if rests and looks != self._known:
            before, self._known = self._known, looks
            safely(lambda: self._changed(before, looks), self._failed)()
        self._timer.start(max(LOOK_S, EASE * took_s), self._look)


def _take_turns(watch: FolderWatch) -> None:
    """End the watches that an earlier run of the same cell in the same window made: what they belong to is
    off the page."""
    shell: Any = get_ipython()
    parent = shell.get_parent() if hasattr(shell, "get_parent") else {}
    cell, header = parent.get("metadata", {}).get("cellId"), parent.get("header", {})
    if not cell:
        return
    mine = Made(header.get("session", ""), header.get("msg_id", ""), weakref.ref(watch))
    before = _MADE.get(cell, [])
    stay = [each for each in before if each.window != mine.window or each.run == mine.run]
    _MADE[cell] = [*stay, mine][-MOST_OF_A_CELL:]
    for each in before:
        if each not in _MADE[cell] and (ended := each.watch()) is not None:
            ended.stop()


class FolderLine:
    """What is said of the folder, and both ways where it is asked: `widget`.

    Parameters
    ----------
    take, keep : function
        Take what the folder says; keep what stands in the panel.
    failed : function
        Told what one of them raised.
    """

    def __init__(
        self, take: Callable[[], None], keep: Callable[[], None], failed: Callable[[Exception], None]
    ) -> None:
        self.said = make(widgets.HTML)
        self.buttons = make_buttons(
            {
                "take_theirs": ("Take what the folder says, drop mine", take),
                "keep_mine": ("Keep mine, take the rest", keep),
            },
            failed,
        )
        self._both = make(widgets.HBox, list(self.buttons.values()), css="mt-buttons")
        self.widget = make(widgets.VBox, [self.said, self._both], css="mt-folder")
        self.clear()

    def clear(self) -> None:
        """Nothing to say."""
        self._show(Html())

    def settle(self) -> bool:
        """Nothing is asked or broken any more, what was taken over stays told; whether something was."""
        was_open = self._open
        if was_open:
            self.clear()
        return was_open

    def taken_over(self, theirs: Sequence[str], who: str = "") -> None:
        """Say what was taken over, if anything, and who it is from."""
        said = f"Taken over from the folder: {in_short(theirs)}." if theirs else ""
        self._show(element("div", " ".join(filter(None, (said, who))), css="mt-news", role="status"))

    def ask(self, theirs: Sequence[str], mine: Sequence[str], who: str) -> None:
        """Say what both sides have changed, and ask which way."""
        there = f"In the folder: {in_short(theirs)}."
        here = f"Here, not saved yet: {in_short(mine)}." if mine else ""
        said = [element("p", each) for each in (" ".join(filter(None, (who, there))), here) if each]
        title = element("strong", "The folder no longer says what was opened here.")
        self._show(element("div", title, *said, css="mt-news", role="alert"), asked=True)

    def broken(self, why: str) -> None:
        """Say that the folder does not open as it is now."""
        self._show(problem(f"The folder, as it is now: what is shown is from before. {why}"), is_open=True)

    def _show(self, said: str, *, asked: bool = False, is_open: bool = False) -> None:
        self._open = asked or is_open
        if self.said.value != said:
            self.said.value = said
        (self.widget.add_class if self._open else self.widget.remove_class)("mt-stays")
        set_shown(self._both, asked)
        set_shown(self.widget, bool(said))


def in_short(changes: Sequence[str]) -> str:
    """Some changes in a row; of many, how many more there are.

    Examples
    --------
    >>> in_short(["waste 10 % → 12 %", "wall 'north' added"])
    "waste 10 % → 12 %; wall 'north' added"
    """
    more = len(changes) - MOST_LISTED
    return "; ".join([*changes[:MOST_LISTED], *([f"and {more} more"] if more > 0 else [])])


def unsaved_words(changes: Sequence[str]) -> Html:
    """How many changes are not saved, and which, for the place beside the button that saves them.

    Examples
    --------
    >>> "All saved" in unsaved_words([])
    True
    """
    if not changes:
        return element("div", "All saved", css="mt-unsaved", role="status")
    title = element("summary", f"{counted(len(changes), 'change')} not saved yet")
    return element("div", element("details", title, listed(changes)), css="mt-unsaved", role="status")
