"""The button that writes the quotation: of the saved job, so that the page can be traced to what is kept."""

from __future__ import annotations

from pathlib import Path

from mytakeoff.documents.write import write_quotation
from mytakeoff.formats.formats import in_a_row
from mytakeoff.panels.parts.panel import JobPanel

QUOTE = "Write the quotation"
SAVE_FIRST = "Nothing was written: save to the job first. What is handed over is the job as it is kept."


def write_quotation_of(panel: JobPanel) -> tuple[Path, ...]:
    """Write the quotation of a panel's job into its folder, and say where; nothing while it is not saved.

    Returns
    -------
    tuple of Path
        See `write_quotation`.

    Raises
    ------
    TakeoffError
        See `write_quotation`.
    """
    if panel.unsaved:
        panel.say(SAVE_FIRST)
        return ()
    panel.to_write(panel.store.result if panel.store.result.walls else None)
    files = write_quotation(panel.settled(), panel.folder(None))
    client, own = files[:3], files[3:]
    named = [in_a_row([path.name for path in some]) for some in (client, own)]
    panel.say(f"In {files[0].parent}: for the client {named[0]}; for yourself {named[1]}.")
    return files
