"""Voila, with the token in the address that it prints and opens."""

from __future__ import annotations

import webbrowser

from voila.app import Voila


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
