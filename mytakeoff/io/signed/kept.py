"""What was signed, as it lies in the job's folder: ``signed/quotation``, ``signed/variation-1`` and so on.

Each is a job folder of its own, of plain files, with a note of what it is known by: the digest of every file,
the job's fingerprint (the page that was signed bears it) and the total. Each variation names the fingerprint
of what it changed. So what was damaged or changed since is told, and never reckoned from.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from pathlib import Path

import mytakeoff
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.files.journal import digest
from mytakeoff.io.files.text import path_inside
from mytakeoff.io.files.written import QUOTATION, SIGNED, VARIATION
from mytakeoff.io.job.open_job import open_job
from mytakeoff.quotation.fingerprint import fingerprint_of
from mytakeoff.variations.variation import SignedJob

NOTE_FILE = "signed.json"
FORMAT = 1
LARGEST = 1_000_000  # bytes of a note: thousands of files
NUMBERED = re.compile(rf"{VARIATION}-([1-9]\d{{0,3}})")
CACHE_SIZE = 8
AS_SIGNED = "what was signed is kept as it was, and a variation is reckoned from it"
FROM_A_COPY = f"put the folder {SIGNED} back from a copy of the job folder"


@dataclass(frozen=True)
class SignedNote:
    """What a signed job is known by.

    Parameters
    ----------
    signed_on : date
    version : str
        Of the program that it was signed with.
    fingerprint, on : str
        Of the job, and of the one that it was a variation of; "" for the first.
    total : Decimal
        With tax [currency].
    currency : str
    files : mapping of str to str
        Digest of each file, by its path in the folder.
    """

    signed_on: date
    version: str
    fingerprint: str
    on: str
    total: Decimal
    currency: str
    files: Mapping[str, str]

    def text(self) -> str:
        """As it is written."""
        said = {**asdict(self), "signed_on": self.signed_on.isoformat(), "total": str(self.total)}
        return json.dumps({"format": FORMAT, **said}, indent=1, ensure_ascii=False) + "\n"


def signed_name(number: int) -> str:
    """The folder's name of what was signed: 0 for the job, 1 for it with its first variation [-]."""
    return f"{VARIATION}-{number}" if number else QUOTATION


def signed_place(folder: Path, number: int) -> Path:
    """Where it is kept in a job's folder."""
    return folder / SIGNED / signed_name(number)


def times_signed(folder: Path) -> int:
    """How often something was signed in a job's folder: the job once, then each variation [-].

    Raises
    ------
    TakeoffError
        One of them is missing.
    """
    try:
        names = {path.name for path in (folder / SIGNED).iterdir() if _holds_anything(path)}
    except OSError:
        return 0
    numbers = {int(found[1]) for name in names if (found := NUMBERED.fullmatch(name))}
    numbers |= {0} if QUOTATION in names else set()
    check = Check(f"{folder / SIGNED}")
    for missing in sorted(set(range(max(numbers, default=-1))) - numbers):
        check.that(False, f"no {signed_name(missing)}", AS_SIGNED, FROM_A_COPY)
    check.done()
    return len(numbers)


def _holds_anything(place: Path) -> bool:
    """Whether there is a file in a folder: one that was cut off before it was written leaves it empty."""
    return any(path.is_file() or path.is_symlink() for path in place.rglob("*"))


def last_signed(folder: str | Path) -> SignedJob | None:
    """The job as it was signed last, with its variations; None where nothing is signed.

    Parameters
    ----------
    folder : str or Path
        The job's.

    Raises
    ------
    TakeoffError
        A file of it was damaged, changed or taken away: all of them told; or it is of another job than the
        one that was signed.
    """
    folder = Path(folder)
    count = times_signed(folder)
    if not count:
        return None
    stamps = tuple(_stamp(path) for path in sorted((folder / SIGNED).rglob("*")))
    return _last(folder, count, stamps)


@lru_cache(maxsize=CACHE_SIZE)
def _last(folder: Path, count: int, _stamps: tuple[object, ...]) -> SignedJob:
    """Read once, as long as no file there is another one."""
    notes = [_note(signed_place(folder, number)) for number in range(count)]
    for number, note in enumerate(notes):
        if note.on != (notes[number - 1].fingerprint if number else ""):
            found = f"{signed_name(number)} is no variation of {signed_name(max(number - 1, 0))}"
            raise TakeoffError(Mistake(found, AS_SIGNED, FROM_A_COPY, str(folder / SIGNED)))
    place, note = signed_place(folder, count - 1), notes[-1]
    _check_files(place, note)
    job = open_job(place)
    if fingerprint_of(job) != note.fingerprint and note.version == mytakeoff.__version__:
        found = f"a job of the fingerprint {fingerprint_of(job)} is kept, and {note.fingerprint} was signed"
        raise TakeoffError(Mistake(found, AS_SIGNED, FROM_A_COPY, str(place)))
    return SignedJob(count - 1, job, note.signed_on, note.total, note.fingerprint)


def _stamp(path: Path) -> tuple[str, int, int]:
    try:
        known = path.stat()
    except OSError:
        return str(path), 0, 0
    return str(path), known.st_mtime_ns, known.st_size


def _check_files(place: Path, note: SignedNote) -> None:
    check = Check(str(place))
    for name, was in note.files.items():
        found = digest(path_inside(place, name, str(place / NOTE_FILE)))
        what = f"{name} is missing" if found is None else f"{name} is not as it was signed"
        check.that(found == was, what, AS_SIGNED, FROM_A_COPY)
    check.done()


def _note(place: Path) -> SignedNote:
    path = place / NOTE_FILE
    try:
        if path.stat().st_size > LARGEST:
            raise ValueError("too large")
        return _noted(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, InvalidOperation, RecursionError):
        found = f"{NOTE_FILE} is missing" if not path.exists() else f"{NOTE_FILE} cannot be read"
        raise TakeoffError(Mistake(found, AS_SIGNED, FROM_A_COPY, str(place))) from None


def _noted(text: str) -> SignedNote:
    """A note as it was written.

    Raises
    ------
    ValueError, KeyError, TypeError, AttributeError, InvalidOperation
        It is none that this program writes.
    """
    said = json.loads(text)
    if said["format"] != FORMAT:
        raise ValueError("another format")
    total = Decimal(str(said["total"]))
    if not total.is_finite() or not said["files"]:
        raise ValueError("no total, or no files")
    version, mark, on = (str(said[name]) for name in ("version", "fingerprint", "on"))
    files = {str(name): str(known) for name, known in said["files"].items()}
    return SignedNote(
        date.fromisoformat(said["signed_on"]), version, mark, on, total, str(said["currency"]), files
    )
