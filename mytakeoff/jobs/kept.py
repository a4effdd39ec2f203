"""What is kept of a run beside its table: each job's row, and the files that it was worked out from.

A row is taken from here as long as every one of those files holds what it held, and the same versions would
work it out. A file that is missing, damaged or of another version is as good as none.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any

import mytakeoff
from mytakeoff.errors import Mistake
from mytakeoff.io.files.journal import half_done
from mytakeoff.jobs.rows import Row, as_plain, from_plain

FORMAT = 1
LARGEST = 200_000_000  # bytes: a hundred thousand jobs
VERSIONS = f"mytakeoff {mytakeoff.__version__}, numpy {version('numpy')}, scipy {version('scipy')}"
Digests = dict[str, str]
"""Files of a job folder by name, and a digest of what each holds; "" for none."""


@dataclass(frozen=True)
class Kept:
    """A job's row and the files that it was worked out from."""

    files: Digests
    row: Row

    def fits(self, folder: str) -> bool:
        """Whether the folder still holds the same."""
        return not half_done(Path(folder)) and digests(folder, tuple(self.files)) == self.files


Priced = tuple[Kept | None, tuple[Mistake, ...]]
"""A folder's row with what it was worked out from, or its mistakes."""


def kept_path(table: Path) -> Path:
    """Where it is kept: beside the table, whatever kind of table it is.

    Examples
    --------
    >>> kept_path(Path("firm/jobs.csv")).name, kept_path(Path("firm/jobs.parquet")).name
    ('jobs-kept.json', 'jobs-kept.json')
    """
    return table.with_name(f"{table.stem}-kept.json")


def digests(folder: str, names: Sequence[str]) -> Digests:
    """What each of those files holds, as digests."""
    return {name: _digest(Path(folder, name)) for name in names}


def _digest(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, lambda: hashlib.blake2b(digest_size=16)).hexdigest()
    except (OSError, ValueError):  # none there, or no file's name
        return ""


def read_kept(path: Path) -> dict[str, Kept]:
    """What is kept, by folder."""
    try:
        if path.stat().st_size > LARGEST:
            return {}
        document = json.loads(path.read_text(encoding="utf-8"))
        if document["format"] != FORMAT or document["by"] != VERSIONS:
            return {}
        return {
            str(folder): Kept(_digests_in(entry["files"]), from_plain(entry["row"]))
            for folder, entry in document["jobs"].items()
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError, ArithmeticError, RecursionError):
        return {}


def _digests_in(found: Any) -> Digests:
    return {str(name): str(digest) for name, digest in found.items()}


def kept_bytes(jobs: Mapping[str, Kept]) -> bytes:
    """The file, a job to a line."""
    lines = ",\n".join(
        f"{json.dumps(folder)}: {json.dumps({'files': each.files, 'row': as_plain(each.row)})}"
        for folder, each in sorted(jobs.items())
    )
    head = f'{{"format": {FORMAT}, "by": {json.dumps(VERSIONS)}, "jobs": {{\n'
    return f"{head}{lines}\n}}}}\n".encode()
