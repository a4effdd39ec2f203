"""What a job is known by: a page that says other figures bears another fingerprint."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from hashlib import blake2b
from typing import Any

from mytakeoff.job.job import Job
from mytakeoff.survey.survey import Survey

# where it lies, what follows from it, what is in no figure: a page stays the same once it is signed
NO_PART = ("folder", "worked_out", "scenarios", "state", "learnt")
OF_NO_WALL = ("fixed_places",)  # of a wall: they serve a second survey, and are in no figure


def fingerprint_of(job: Job) -> str:
    """Of all that a job says: the same in every process, another one as soon as anything is said otherwise.

    Examples
    --------
    A price that is raised by a cent, a reading by a millimetre or the client's name give another one; another
    folder does not.
    """
    said = [
        (entry.name, _said(getattr(job, entry.name))) for entry in fields(job) if entry.name not in NO_PART
    ]
    return blake2b(repr(said).encode(), digest_size=8).hexdigest()


def _said(value: Any) -> Any:
    """A value as plain tuples; a survey by its own fingerprint, which knows its arrays."""
    if isinstance(value, Survey):
        return value.fingerprint
    if isinstance(value, tuple):
        return tuple(_said(each) for each in value)
    if is_dataclass(value) and not isinstance(value, type):
        return tuple(
            (entry.name, _said(getattr(value, entry.name)))
            for entry in fields(value)
            if entry.compare and entry.name not in OF_NO_WALL
        )
    return value


@dataclass(frozen=True)
class Mark:
    """What a page can be traced by: the program's version, and the job's fingerprint."""

    version: str
    job: str

    def __str__(self) -> str:
        return f"mytakeoff {self.version}, job {self.job}"
