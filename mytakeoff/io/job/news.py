"""What others did in a job folder: which of its files are no longer as they were, since when, and by whom.

Each save of ours leaves a note of who made it and what each file held then. A file that holds something else
by now was changed by another program: of that one nothing is known but the time.
"""

from __future__ import annotations

import getpass
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from mytakeoff.formats.formats import MONTH_AND_DAY, Formats, in_a_row
from mytakeoff.io.files.journal import Content, digest
from mytakeoff.io.job.shape import JOB_FILE, PACK_FILE, PRICE_FILE
from mytakeoff.job.job import Job

SAVED_BY_FILE = "saved-by.json"
FORMAT = 1
LARGEST = 1_000_000  # bytes: thousands of files
ANOTHER = "Another program"


@dataclass(frozen=True)
class Look:
    """How a file lies in its folder: enough to see that it is another one, without reading it."""

    changed_ns: int
    size: int
    number: int

    @property
    def at(self) -> datetime:
        """When it was last written, by the clock of here."""
        return datetime.fromtimestamp(self.changed_ns / 1e9)


Looks = Mapping[str, Look | None]


def files_of(job: Job) -> tuple[str, ...]:
    """The files that a job is read from, by their paths in its folder."""
    surveys = (wall.survey.source for wall in job.walls)
    return tuple(dict.fromkeys((JOB_FILE, PRICE_FILE, PACK_FILE, *filter(None, surveys))))


def looks_of(folder: str | Path, names: Iterable[str]) -> dict[str, Look | None]:
    """How files of a folder lie there; None for one that is not there. Reads none of them."""
    return {name: _look(Path(folder) / name) for name in names}


def folders_in(folder: str | Path) -> tuple[str, ...]:
    """The folder and those in it, by their paths there: they look otherwise when a file comes or goes."""
    try:
        inner = sorted(path.name for path in Path(folder).iterdir() if path.is_dir())
    except OSError:
        inner = []
    return (".", *inner)


def _look(path: Path) -> Look | None:
    try:
        found = path.stat()
    except OSError:  # away, or the drive is
        return None
    return Look(found.st_mtime_ns, found.st_size, found.st_ino)


def note_of_save(folder: Path, contents: Mapping[Path, Content], workbook: str) -> dict[Path, Content]:
    """The note that a save leaves: of the files that it writes who wrote them, of others as it stands there.

    Parameters
    ----------
    folder : Path
    contents : mapping of Path to bytes or Path
        What is written.
    workbook : str
        Which of ours does it.
    """
    by = {"workbook": workbook, "user": _user()}
    written = {
        path.relative_to(folder).as_posix(): {**by, "holds": _digest(content)}
        for path, content in contents.items()
    }
    note = {"format": FORMAT, "files": {**_notes(folder), **written}}
    return {folder / SAVED_BY_FILE: json.dumps(note, indent=1).encode()}


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):  # a number without a name, as in a container
        return ""


def _digest(content: Content) -> str | None:
    if isinstance(content, bytes):
        return sha256(content).hexdigest()
    return None if content is None else digest(content)


def _notes(folder: Path) -> dict[str, Any]:
    """What the note says of each file; nothing where there is none that can be trusted."""
    path = folder / SAVED_BY_FILE
    try:
        if path.stat().st_size > LARGEST:
            return {}
        document = json.loads(path.read_text(encoding="utf-8"))
        files = document["files"] if document["format"] == FORMAT else {}
        return {
            str(name): {key: str(one[key]) for key in ("workbook", "user", "holds")}
            for name, one in files.items()
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def who_changed(folder: str | Path, before: Looks, now: Looks, formats: Formats) -> str:
    """Who changed which file when, as far as that can be known.

    Examples
    --------
    "The options workbook (anna) saved job.toml at 14:03. Another program changed prices.csv at 14:05."
    """
    folder = Path(folder)
    notes = _notes(folder)
    files = [name for name, look in now.items() if look != before.get(name)]
    done: dict[tuple[str, str], list[str]] = {}
    for name in files:
        what = _by_whom(folder / name, notes.get(name)), _when(now[name], formats)
        done.setdefault(what, []).append(name)
    return " ".join(f"{who} {in_a_row(names)}{when}." for (who, when), names in done.items())


def _by_whom(path: Path, note: Mapping[str, str] | None) -> str:
    if not path.exists():
        return f"{ANOTHER} took away"
    if note is None or note["holds"] != digest(path):
        return f"{ANOTHER} changed"
    user = f" ({note['user']})" if note["user"] else ""
    return f"The {note['workbook']} workbook{user} saved"


def _when(look: Look | None, formats: Formats) -> str:
    """At what time, and on which day if that is not today; nothing is known of a file that is away."""
    if look is None:
        return ""
    day = (
        "" if look.at.date() == datetime.now().date() else f" on {formats.day(look.at.date(), MONTH_AND_DAY)}"
    )
    return f"{day} at {look.at:%H:%M}"
