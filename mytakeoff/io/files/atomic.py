"""Files replaced whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from collections.abc import Mapping
from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError


def write_all(contents: Mapping[Path, bytes]) -> None:
    """Replace or create several files together: all of them, or none as far as the disk allows.

    Parameters
    ----------
    contents : mapping of Path to bytes
        What each file shall hold. The folder of each exists.

    Raises
    ------
    TakeoffError
        The disk is full, or a file or folder may not be written to; then every file is as it was.

    Notes
    -----
    Each text goes to a temporary file in the same folder first and is flushed to the disk; only when all
    of them stand there are they put in place, each in one step of the file system.
    """
    waiting: dict[Path, Path] = {}
    try:
        for path, content in contents.items():
            waiting[path] = _write_beside(path, content)
        _put_in_place(waiting)
    except OSError as error:
        name = Path(error.filename).name if error.filename else "a file"
        raise TakeoffError(
            Mistake(
                f"{name} could not be written ({error.strerror or error})",
                "a file is written whole or not at all, so nothing was changed",
                "see that the folder may be written to and the disk has room, then save again",
                ", ".join(path.name for path in contents),
            )
        ) from error
    finally:
        for temporary in waiting.values():
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)


def _write_beside(path: Path, content: bytes) -> Path:
    """A flushed temporary file in the folder of `path`, with the rights of the file that it will replace."""
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        with open(temporary, "xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            shutil.copymode(path, temporary)
    except OSError:
        temporary.unlink(missing_ok=True)
        raise
    return temporary


def _put_in_place(waiting: Mapping[Path, Path]) -> None:
    """Swap all files in; if one cannot be, put the earlier ones back as they were."""
    before = {path: path.read_bytes() if path.exists() else None for path in waiting}
    done: list[Path] = []
    try:
        for path, temporary in waiting.items():
            os.replace(temporary, path)
            done.append(path)
    except OSError:
        for path in done:
            _put_back(path, before[path])
        raise


def _put_back(path: Path, content: bytes | None) -> None:
    if content is None:
        path.unlink(missing_ok=True)
    else:
        os.replace(_write_beside(path, content), path)
