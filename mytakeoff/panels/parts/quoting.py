"""What is handed over and signed: of the saved job, so that each page can be traced to what is kept."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets

from mytakeoff.documents.variation_written import write_variation
from mytakeoff.documents.write import write_quotation
from mytakeoff.errors import TakeoffError
from mytakeoff.formats.formats import in_a_row
from mytakeoff.io.files.written import SIGNED
from mytakeoff.io.signed.kept import last_signed, signed_place, times_signed
from mytakeoff.io.signed.sign import sign_job
from mytakeoff.io.signed.standing import STATE, variation, variation_against
from mytakeoff.panels.parts.buttons import make_buttons, safely
from mytakeoff.panels.parts.html import message
from mytakeoff.panels.parts.panel import REST_S, JobPanel
from mytakeoff.panels.parts.slices import Waiting
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.variations.said import standing_told
from mytakeoff.variations.variation import SignedJob

QUOTE, VARY, SIGN = "Write the quotation", "Write the variation", "Keep it as signed"
SAVE_FIRST = "Nothing was written: save to the job first. What is handed over is the job as it is kept."
NOT_KEPT = (
    "The job says that it is signed, and nothing of that is kept here. Set how far it is to quoted on the "
    "job sheet, and to signed again: then it is kept as it stands."
)


class HandingOver:
    """The buttons that write what is handed over, and a line on how the job stands against what was signed.

    Parameters
    ----------
    panel : JobPanel
        Its job is the one that is spoken of.

    Attributes
    ----------
    line : widgets.HTML
        Empty as long as nothing is signed; then the variation's buttons are not there either.
    buttons : dict of str to Button
        "quote", "vary", "sign".
    """

    def __init__(self, panel: JobPanel) -> None:
        self.panel, self._resting = panel, Waiting()
        self.line = make(widgets.HTML, css="mt-against-signed")
        self.buttons = make_buttons(
            {
                "quote": (QUOTE, lambda: write_quotation_of(panel)),
                "vary": (VARY, lambda: write_variation_of(panel)),
                "sign": (SIGN, self._sign),
            },
            panel.failed,
        )

    def watch(self) -> None:
        """Follow the job, once the hand rests."""
        show = safely(self.show, self.panel.failed)
        self.panel.store.observe(lambda _: self._resting.start(REST_S, show) or show(), "result")
        show()

    def show(self) -> None:
        """Say how the job stands, and offer what can be done about it."""
        said, changed = self._told()
        if self.line.value != said:
            self.line.value = said
        set_shown(self.line, bool(said))
        for name in ("vary", "sign"):
            set_shown(self.buttons[name], changed)

    def _told(self) -> tuple[str, bool]:
        """How the job stands against what was signed, "" where nothing is; whether its work has changed."""
        job = self.panel.store.job
        try:
            signed = last_signed(job.folder) if job.folder else None
            if signed is None:
                return message(NOT_KEPT) if job.state == STATE and job.folder else "", False
            made = variation_against(signed, job)
        except TakeoffError as error:
            return message(str(error)), False
        if made.changed.held:
            return message("Against what was signed: being worked out."), bool(made.told)
        return message(standing_told(made)), bool(made.told)

    def _sign(self) -> None:
        if nothing_unsaved(self.panel):
            self.panel.say(kept_words(sign_job(self.panel.folder(None)), self.panel))
            self.show()


def nothing_unsaved(panel: JobPanel) -> bool:
    """Whether the saved job is the one that is shown; it is said if not."""
    if panel.unsaved:
        panel.say(SAVE_FIRST)
    return not panel.unsaved


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
    if not nothing_unsaved(panel):
        return ()
    panel.to_write(panel.store.result if panel.store.result.walls else None)
    return _written(panel, lambda folder: write_quotation(panel.settled(), folder))


def write_variation_of(panel: JobPanel) -> tuple[Path, ...]:
    """The same of what has changed since the job was signed; see `write_variation`."""
    if not nothing_unsaved(panel):
        return ()
    return _written(panel, lambda folder: write_variation(variation(panel.settled().job), folder))


def _written(panel: JobPanel, write: Callable[[Path], tuple[Path, ...]]) -> tuple[Path, ...]:
    files = write(panel.folder(None))
    client, own = files[:3], files[3:]
    named = [in_a_row([path.name for path in some]) for some in (client, own)]
    panel.say(f"In {files[0].parent}: for the client {named[0]}; for yourself {named[1]}.")
    return files


def kept_words(signed: SignedJob, panel: JobPanel) -> str:
    """Where what was signed is kept."""
    return f"Signed: {signed.name} is kept in {signed_place(panel.folder(None), signed.number)}."


def keep_what_is_signed(panel: JobPanel, state: str) -> None:
    """Keep the saved job where it is called signed and was not yet; `state` is how far it was before.

    Raises
    ------
    TakeoffError
        It cannot be signed as it stands.
    """
    now, folder = panel.saved.state, Path(panel.saved.folder)
    if now == STATE and not times_signed(folder):
        panel.say(kept_words(sign_job(folder), panel))
    elif now != state and now in ("draft", "quoted", STATE) and times_signed(folder):
        panel.say(
            f"What was signed stays kept in {folder / SIGNED}, and what has changed since is a variation. "
            "Take that folder away where it never was signed."
        )
