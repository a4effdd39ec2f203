"""Taking turns at writing in a folder: who comes second waits until the first is done.

A lock of the operating system on a small file. It ends with the process that holds it, however that ends; the
file is taken away by whoever holds it, so that none is left in a folder.
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError

LOCK_FILE = ".mytakeoff-lock"
PATIENCE_S = 10.0  # a save takes far less
LOOK_AGAIN_S = 0.02

if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

    def _give_back(handle: int, path: Path) -> None:
        os.close(handle)
        with contextlib.suppress(OSError):  # somebody else has it open by now, and takes it away after
            path.unlink()

else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _give_back(handle: int, path: Path) -> None:
        with contextlib.suppress(OSError):  # the folder may have gone meanwhile
            path.unlink()
        os.close(handle)


@contextlib.contextmanager
def turn_in(folder: Path) -> Iterator[None]:
    """The only one who writes in a folder, of all programs and threads that ask for their turn.

    Raises
    ------
    OSError
        The folder cannot be written to, or lies on a disk that knows no locks.
    TakeoffError
        Another one has not finished after ten seconds.
    """
    path = folder / LOCK_FILE
    until = time.monotonic() + PATIENCE_S
    while (handle := _taken(path)) is None:
        if time.monotonic() > until:
            raise TakeoffError(
                Mistake(
                    "another program is writing in this folder",
                    "one at a time writes there",
                    "wait until it is done, or end it, and save again",
                    str(folder),
                )
            )
        time.sleep(LOOK_AGAIN_S)
    try:
        yield
    finally:
        _give_back(handle, path)


def _taken(path: Path) -> int | None:
    """The lock file, open and locked; None while somebody else holds it."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o666)
    try:
        _lock(handle)
        if os.path.samestat(os.fstat(handle), path.stat()):
            return handle
    except (BlockingIOError, PermissionError, FileNotFoundError):  # held; or taken away with its last turn
        pass
    except BaseException:
        os.close(handle)
        raise
    os.close(handle)
    return None
