"""Voila, with the token in the address that it prints and opens."""

from __future__ import annotations

import webbrowser
from collections.abc import Mapping
from typing import Any

from tornado.web import HTTPError
from voila.app import Voila

from mytakeoff.launch.own_workbooks import runs_as_own


def check_own(_request: object, notebook: Mapping[str, Any], **_where: object) -> None:
    """Before each page, refuse a workbook that was changed since the server was started.

    Voila calls this with what it read just now (its *prelaunch hook*), and would run it unseen.

    Raises
    ------
    HTTPError
        403, unless the notebook runs as one of the package's own does.
    """
    if runs_as_own(notebook) is None:
        raise HTTPError(403, reason="This workbook was changed and does not run here: open it without --app")


class JobApp(Voila):
    """Voila on a job's workbook.

    Voila leaves the token out of both addresses, so that its page would ask for a password nobody has.
    """

    @property
    def display_url(self) -> str:
        """The page's address, with its token."""
        return f"http://{self.ip}:{self.port}{self.base_url}?token={self.identity_provider.token}"

    def launch_browser(self) -> None:
        """Open the page in the user's browser."""
        webbrowser.open(self.display_url, new=self.webbrowser_open_new)
