"""``finished.toml``: what really happened on a job, read and saved. Its keys are the fields of `Finished`."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.finished.record import Finished
from mytakeoff.io.files.atomic import put_all, read_together, writing_in
from mytakeoff.io.files.text import FileText, path_inside, read_text
from mytakeoff.io.files.toml_fields import as_toml, construct, keys_of, read_table, toml_document
from mytakeoff.io.files.written import FINISHED
from mytakeoff.io.job.job_file import check_same, merge
from mytakeoff.io.job.shape import JOB_FILE

FINISHED_FILE = FINISHED
FINISHED_FORMAT = 1
FINISHED_KEYS = keys_of(Finished)
NEW = FileText(
    "# What really happened on this job. Amounts before tax, counted as the cost table counts them.\n"
    f"format = {FINISHED_FORMAT}\n",
    "utf-8",
)


def open_finished(folder: str | Path) -> Finished:
    """What was written down of the job in a folder; nothing where there is no ``finished.toml``.

    Parameters
    ----------
    folder : str or Path

    Returns
    -------
    Finished
        As the file says it. Whether all of that can be is seen when it is settled: that takes the job.

    Raises
    ------
    TakeoffError
        The file cannot be read, a key is unknown or missing, a value breaks its rule, a survey is named that
        does not lie in the folder: all that can be found at once, each with its place.
    """
    folder = Path(folder)

    def read() -> Finished:
        path = folder / FINISHED_FILE
        return finished_in(read_text(path).text, folder) if path.exists() else Finished()

    return read_together(folder, (JOB_FILE, FINISHED_FILE), read)


def finished_in(text: str, folder: Path) -> Finished:
    """What a text says, of a job in that folder.

    Raises
    ------
    TakeoffError
        As `open_finished`.
    """
    document = toml_document(text, FINISHED_FILE)
    _check_format(document)
    check = Check(FINISHED_FILE)
    values = read_table(FINISHED_KEYS, document, FINISHED_FILE, check, ("format",))
    finished: Finished | None = construct(Finished, values, FINISHED_FILE, check)
    for wall in finished.walls if finished else ():
        place = f"{FINISHED_FILE}, wall ({wall.name})"
        for nth, each in enumerate(wall.rounds, start=1):
            _check_survey(folder, each.survey, f"{place}, round {nth}", check)
        for name in (wall.after, wall.later):
            _check_survey(folder, name, place, check)
    check.done()
    assert finished is not None  # else a mistake was noted
    return finished


def _check_survey(folder: Path, name: str, place: str, check: Check) -> None:
    path = check.made(lambda: path_inside(folder, name, place)) if name else None
    check.that(path is None or path.is_file(), f"no file {name!r}", "a survey that is named is there",
               "see that it is in its folder and spelled the same", place)  # fmt: skip


def _check_format(document: Mapping[str, Any]) -> None:
    found = document.get("format")
    if found != FINISHED_FORMAT or isinstance(found, bool):
        raise TakeoffError(
            Mistake("no format" if found is None else f"format {found!r}",
                    f"this version reads what was written down in format {FINISHED_FORMAT}",
                    f"write format = {FINISHED_FORMAT} at the top, or open it with a newer mytakeoff",
                    FINISHED_FILE)
        )  # fmt: skip


def save_finished(finished: Finished, folder: str | Path, opened: Finished | None = None) -> None:
    """Write down what happened on the job in a folder: only what differs, remarks and layout kept.

    Parameters
    ----------
    finished : Finished
    folder : str or Path
        Holds the job.
    opened : Finished or None
        As it was opened. Given, it is refused where somebody else has changed the file since.

    Raises
    ------
    TakeoffError
        No job there; the file cannot be read, changed in place or written; it has been changed meanwhile;
        what would be written could not be opened again. Nothing was changed then.
    """
    folder = Path(folder)
    if not (folder / JOB_FILE).is_file():
        raise TakeoffError(
            Mistake(f"no {JOB_FILE}", "what happened is written down beside the job", "name its folder",
                    str(folder))
        )  # fmt: skip
    with writing_in(folder):
        path = folder / FINISHED_FILE
        file = read_text(path) if path.exists() else NEW
        now = finished_in(file.text, folder)
        if opened is not None and now != opened:
            raise TakeoffError(
                Mistake("it was changed meanwhile", "nothing that somebody wrote down is lost",
                        "open it again, and write down there what is new", FINISHED_FILE)
            )  # fmt: skip
        if now != finished or not path.exists():
            put_all(folder, {path: file.encoded(_edited(file, finished, folder))})


def _edited(file: FileText, finished: Finished, folder: Path) -> str:
    """The text of a file with what differs changed; it opens as what was to be written."""
    try:
        document = tomlkit.parse(file.text)
    except (TOMLKitError, ValueError):
        document = tomlkit.document()
    check_same(tomlkit.dumps(document) == file.text, FINISHED_FILE)
    tables = {name: as_toml(getattr(finished, key.field)) for name, key in FINISHED_KEYS.items()}
    merge(document, tables, FINISHED_KEYS)
    text = tomlkit.dumps(document)
    check_same(finished_in(text, folder) == finished, FINISHED_FILE)
    return text
