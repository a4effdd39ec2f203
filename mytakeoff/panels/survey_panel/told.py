"""What went wrong with a survey: a second message does not wipe out why its file could not be read."""

from __future__ import annotations

from typing import Any

from mytakeoff.panels.parts.html import message, problem


class Told:
    """What stands in the boxes for problems and for what is shown.

    Parameters
    ----------
    box, status : widgets.HTML
        For what went wrong, and for what the pictures are of.
    """

    def __init__(self, box: Any, status: Any) -> None:
        self.box, self.status = box, status
        self._unread = ""

    def failed(self, error: Exception) -> None:
        """Tell what went wrong, after why the file was not read."""
        told = dict.fromkeys(filter(None, (self._unread, str(error) or repr(error))))
        self.box.value = problem("\n".join(told))

    def not_read(self, error: Exception, shown: str = "") -> None:
        """Tell why the file was not read, until it is; `shown` is the file that is shown as it was before."""
        self._unread = str(error) or repr(error)
        self.status.value = message(f"What is shown is {shown} as it was last read.") if shown else ""
        self.failed(error)

    def all_is_read(self) -> None:
        """Nothing is wrong, and what is shown is what was asked for."""
        self._unread = self.box.value = self.status.value = ""
