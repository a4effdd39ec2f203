"""How notebooks are read for the page: of a stranger's, what JupyterLab would run is left out."""

from __future__ import annotations

from typing import Any

from jupyter_server.services.contents.largefilemanager import AsyncLargeFileManager


class NotebooksUnrun(AsyncLargeFileManager):
    """Files of a job folder, whose notebooks bring no widgets along unless the user ran them here.

    A notebook may carry the state that its widgets had when it was saved, and scripts in it. JupyterLab
    cleans a stranger's results, but wakes these widgets as soon as the notebook is opened, trusted or not.
    """

    def mark_trusted_cells(self, nb: Any, path: str = "") -> None:
        """Mark the cells of a notebook just read by whether the user ran them; if not, drop its widgets."""
        if not self.notary.check_signature(nb):
            nb.metadata.pop("widgets", None)
        super().mark_trusted_cells(nb, path)
