"""Files replaced whole or not at all, several of them together, by one writer at a time."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import TypeVar

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.journal import JOURNAL, STAGE, Content, finish_save, half_done, put_together
from mytakeoff.io.files.turn import turn_in

Read = TypeVar("Read")
TRIES = 5  # that a reader is overtaken by a save so often in a row is no chance


def check_free(folder: Path) -> None:
    """See that a job folder can be made here without touching what is there.

    Raises
    ------
    TakeoffError
        A folder that is not empty, or a file.
    """
    if folder.is_dir() and not any(folder.iterdir()):
        return
    if not folder.exists():
        return
    found = "the folder is not empty" if folder.is_dir() else "there is a file of this name"
    raise TakeoffError(
        Mistake(
            found,
            "a new job goes into a folder of its own and nothing is written over",
            "choose another name, or open the job that is there: mytakeoff open",
            str(folder),
        )
    )


def write_all(contents: Mapping[Path, Content]) -> None:
    """Replace or create several files together: all of them or none, even if the program is killed.

    Parameters
    ----------
    contents : mapping of Path to bytes or Path
        What each file shall hold: these bytes, or what that other file holds. The folder of each exists.

    Raises
    ------
    TakeoffError
        The disk is full, or a file or folder may not be written to; then every file is as it was.

    Notes
    -----
    Each text goes to a part file first and is flushed to the disk; only when all of them stand there are they
    put in place, each in one step of the file system. What is cut off between the first of these steps and
    the last is finished by whoever writes in the folder next, and by `open_job`.
    """
    if contents:
        folder = Path(os.path.commonpath([path.parent.absolute() for path in contents]))
        with writing_in(folder):
            put_all(folder, {path.absolute(): content for path, content in contents.items()})


@contextlib.contextmanager
def writing_in(folder: Path) -> Iterator[None]:
    """One's turn to write in a folder, with what was cut off there finished before.

    Raises
    ------
    TakeoffError
        Nothing can be written there; another one does not finish; what was cut off cannot be finished.
    """
    with contextlib.ExitStack() as turn:
        try:
            turn.enter_context(turn_in(folder))
            finish_save(folder)
        except OSError as error:
            raise _refused(error, folder, [folder]) from error
        yield


def put_all(folder: Path, contents: Mapping[Path, Content]) -> None:
    """Write several files below a folder together, by the one whose turn it is (`writing_in`).

    Raises
    ------
    TakeoffError
        See `write_all`.
    """
    try:
        put_together(folder, contents)
    except OSError as error:
        raise _refused(error, folder, contents) from error


def _refused(error: OSError, folder: Path, paths: Iterable[Path]) -> TakeoffError:
    names = [path.name or str(path) for path in paths]
    about = Path(str(error.filename or "")).name
    half = half_done(folder) and "what is half done is finished when the job is opened or saved next"
    return TakeoffError(
        Mistake(
            f"{about if about in names else names[-1]} could not be written ({error.strerror or error})",
            half or "a file is written whole or not at all, so nothing was changed",
            "see that the folder may be written to and the disk has room, then save again",
            ", ".join(names),
        )
    )


def read_together(folder: Path, names: Iterable[str], read: Callable[[], Read]) -> Read:
    """What `read` gives from files of a folder that are changed together: all of them old, or all new.

    Parameters
    ----------
    folder : Path
    names : iterable of str
        Files that are changed together.
    read : function
        Is called again if they were changed meanwhile.

    Raises
    ------
    TakeoffError
        Whatever `read` raises; or a save was cut off and cannot be finished, because others have edited the
        files since or the folder cannot be written to.
    """
    paths = [folder / name for name in (f"{STAGE}/{JOURNAL}", *names)]
    for _ in range(TRIES):
        _finish_what_was_cut_off(folder)
        before = _stamps(paths)
        try:
            found = read()
        except TakeoffError:
            if _stamps(paths) == before:
                raise
        else:
            if _stamps(paths) == before:
                return found
    raise TakeoffError(
        Mistake(
            "its files were changed each time that they were read",
            "the files of a job are read together",
            "see which program keeps saving there, and open it again",
            str(folder),
        )
    )


def _finish_what_was_cut_off(folder: Path) -> None:
    if not half_done(folder):
        return
    try:
        with turn_in(folder):
            finish_save(folder)
    except OSError as error:
        raise TakeoffError(
            Mistake(
                f"a save was cut off here, and nothing can be written here ({error.strerror or error})",
                "the files of a job are changed together",
                "copy the folder to where you may write, and open it there",
                str(folder),
            )
        ) from error


def _stamps(paths: Iterable[Path]) -> list[tuple[int, ...] | None]:
    """What changes with each file."""
    return [_stamp(path) for path in paths]


def _stamp(path: Path) -> tuple[int, ...] | None:
    try:
        known = path.stat()
    except OSError:
        return None
    return known.st_ino, known.st_mtime_ns, known.st_size
