"""Several files of a folder changed together, even if the program or the machine stops in the middle.

What the files shall hold is laid ready in a folder of its own, then a journal says what goes where, then each
file is put in place in one step of the file system. Without its journal nothing has been changed yet; with it
whoever comes next can finish. All of it is done by the one whose turn it is (`turn_in`).

A power cut reorders nothing of this: parts are flushed before the journal, the journal before the first file
is put in place, the folders of the files before the journal is taken away.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import re
import secrets
import shutil
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from mytakeoff.errors import Mistake, TakeoffError

STAGE = "unfinished-save"  # in plain sight: who finds it after a crash should know what it is
JOURNAL = "journal.json"
OURS = re.compile(r"[0-9a-f]{16}\.part|journal\.json")
PIECE = 2**20  # bytes

Content = bytes | Path | None
"""What a file shall hold: these bytes, what another file holds, or that it shall be gone."""


@dataclass(frozen=True)
class FileChange:
    """One file of several: where it stands in the folder, the part that is laid ready for it, what it held
    and what it shall hold, as digests; None for no file."""

    file: str
    part: str | None
    was: str | None
    becomes: str | None

    def state(self, folder: Path) -> str:
        """Whether the file is "new", "old" and can be changed, "stuck" as the old one because its part is not
        what was laid ready, or "edited" by somebody else since."""
        there = digest(_inside(folder, self.file))
        if there == self.becomes:
            return "new"
        if there != self.was:
            return "edited"
        part = None if self.part is None else digest(folder / STAGE / self.part)
        return "old" if part == self.becomes else "stuck"


def half_done(folder: Path) -> bool:
    """Whether a save in the folder was begun and not finished: it may be going on, or have been cut off."""
    stage = folder / STAGE
    return (stage / JOURNAL).is_file() and not stage.is_symlink()


def put_together(folder: Path, contents: Mapping[Path, Content]) -> None:
    """Change several files below a folder: all of them or none. Only for the one whose turn it is.

    Parameters
    ----------
    folder : Path
        Holds all of them; it is there.
    contents : mapping of Path to bytes, Path or None
        In the order in which they are put in place. A link that stays in the folder stays, and the file that
        it leads to is changed.

    Raises
    ------
    OSError
        One of them could not be changed: then all are as they were, unless the folder is `half_done`.
    """
    targets = {_target(folder, path): content for path, content in contents.items()}
    before = {path: _on_disk(path) for path in targets}
    made = _make_folders(folder, targets)
    try:
        _put(folder, targets)
    except OSError:
        with contextlib.suppress(OSError):  # then the journal stays, and whoever comes next finishes
            if half_done(folder):
                _put(folder, {path: content for path, content in before.items() if _on_disk(path) != content})
        if not half_done(folder):
            for path in reversed(made):
                with contextlib.suppress(OSError):
                    path.rmdir()
        raise
    finally:
        if not half_done(folder):
            sweep(folder)


def finish_save(folder: Path) -> None:
    """Finish what was cut off, and sweep away what it left. Only for the one whose turn it is.

    Raises
    ------
    OSError
        The folder cannot be written to.
    TakeoffError
        Some files are of the new state, and others, still of the old one, have been edited since.
    """
    if half_done(folder):
        named: dict[str, list[FileChange]] = {"new": [], "old": [], "stuck": [], "edited": []}
        for change in _changes(folder):
            named[change.state(folder)].append(change)
        if not named["stuck"] and not named["edited"]:
            _put_in_place(folder, named["old"])
        elif named["new"] and (named["old"] or named["stuck"]):
            raise _cannot_finish("a save was cut off: " + _told(named), folder)
        (folder / STAGE / JOURNAL).unlink()  # all of it is as before or as after, whatever was edited since
    sweep(folder)


def _told(named: Mapping[str, list[FileChange]]) -> str:
    """Which files are of the new state, which of the old one, and which neither."""
    groups = {
        "as saved": named["new"],
        "as before": [*named["old"], *named["stuck"]],
        "edited since": named["edited"],
    }
    return "; ".join(
        f"{', '.join(one.file for one in changes)} {how}" for how, changes in groups.items() if changes
    )


def sweep(folder: Path) -> None:
    """Take away the parts that nobody needs; what is not ours in the folder stays."""
    stage = folder / STAGE
    with contextlib.suppress(OSError):
        for path in stage.iterdir() if not stage.is_symlink() else ():
            if OURS.fullmatch(path.name):
                path.unlink()
        stage.rmdir()


def digest(path: Path) -> str | None:
    """What tells a file's content; None if there is no such file."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return None


def _on_disk(path: Path) -> bytes | None:
    return path.read_bytes() if path.exists() else None


def _target(folder: Path, path: Path) -> Path:
    """The file that a link leads to, if that is in the folder; else the path itself."""
    try:
        led = path.resolve()
        return folder / led.relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):
        return path


def _inside(folder: Path, file: str) -> Path:
    """The path of a file that a journal names.

    Raises
    ------
    ValueError
        It leads out of the folder.
    """
    parts = PurePosixPath(file).parts
    path = folder.joinpath(*parts)
    if not parts or ".." in parts or not path.parent.resolve().is_relative_to(folder.resolve()):
        raise ValueError("it leads out of the folder")
    return path


def _make_folders(folder: Path, paths: Iterable[Path]) -> list[Path]:
    """Make the folders that are missing; which ones."""
    made = []
    for place in _folders_of(folder, paths):
        with contextlib.suppress(FileExistsError):
            place.mkdir()
            made.append(place)
    return made


def _folders_of(folder: Path, paths: Iterable[Path]) -> list[Path]:
    """The folders that some paths below a folder stand in, the outer before the inner."""
    return sorted({place for path in paths for place in path.parents if folder in (place, *place.parents)})


def _put(folder: Path, targets: Mapping[Path, Content]) -> None:
    stage = folder / STAGE
    if stage.is_symlink():
        raise FileExistsError(errno.EEXIST, "a link of this name leads elsewhere", str(stage))
    stage.mkdir(exist_ok=True)
    changes = [_laid_ready(folder, path, content) for path, content in targets.items()]
    changed = [change for change in changes if change.was != change.becomes]
    if len(changed) > 1:  # one alone is put in place in one step
        _write_journal(folder, changed)
    _put_in_place(folder, changes)
    (stage / JOURNAL).unlink(missing_ok=True)


def _laid_ready(folder: Path, path: Path, content: Content) -> FileChange:
    """A flushed part with the rights of the file that it will replace."""
    file, was = path.relative_to(folder).as_posix(), digest(path)
    if content is None:
        return FileChange(file, None, was, None)
    part = folder / STAGE / f"{secrets.token_hex(8)}.part"
    _write(part, _pieces(content))
    if was is not None:
        shutil.copymode(path, part)
    return FileChange(file, part.name, was, digest(part))


def _pieces(content: bytes | Path) -> Iterator[bytes]:
    """A content piece by piece: a scan may be larger than the memory."""
    if isinstance(content, bytes):
        yield content
        return
    with content.open("rb") as file:
        while piece := file.read(PIECE):
            yield piece


def _write(path: Path, pieces: Iterable[bytes]) -> None:
    with path.open("xb") as file:
        for piece in pieces:
            file.write(piece)
        file.flush()
        os.fsync(file.fileno())


def _write_journal(folder: Path, changes: Iterable[FileChange]) -> None:
    stage = folder / STAGE
    part = stage / f"{secrets.token_hex(8)}.part"
    _write(part, [json.dumps([asdict(change) for change in changes], indent=1).encode()])
    _flush_folder(stage)
    os.replace(part, stage / JOURNAL)
    _flush_folder(stage)
    _flush_folder(folder)


def _put_in_place(folder: Path, changes: Iterable[FileChange]) -> None:
    paths = {change: _inside(folder, change.file) for change in changes}
    for change, path in paths.items():
        if change.part is None:
            path.unlink(missing_ok=True)
        else:
            os.replace(folder / STAGE / change.part, path)
    for place in _folders_of(folder, paths.values()):
        _flush_folder(place)


def _flush_folder(place: Path) -> None:
    """Which names stand in a folder, down to the disk; some systems cannot, and keep the order themselves."""
    with contextlib.suppress(OSError):
        handle = os.open(place, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _changes(folder: Path) -> list[FileChange]:
    """What the journal says, if it is one that this program writes.

    Raises
    ------
    TakeoffError
        It is not.
    """
    try:
        changes = [_change(entry) for entry in json.loads((folder / STAGE / JOURNAL).read_bytes())]
        for change in changes:
            _inside(folder, change.file)
    except (ValueError, TypeError, KeyError, RecursionError):
        raise _cannot_finish(f"a save was cut off, and its {JOURNAL} cannot be read", folder) from None
    return changes


def _change(entry: Any) -> FileChange:
    change = FileChange(**entry)
    known = (change.file, *(one for one in (change.part, change.was, change.becomes) if one is not None))
    ours = change.part is None or OURS.fullmatch(change.part)
    whole = (change.part is None) == (change.becomes is None)
    if not (ours and whole and all(isinstance(one, str) for one in known)):
        raise ValueError("not ours")
    return change


def _cannot_finish(found: str, folder: Path) -> TakeoffError:
    return TakeoffError(
        Mistake(
            found,
            "the files of a job are changed together",
            f"look through the files, put right what is wrong, then delete the folder {STAGE}: they are "
            "taken as they stand",
            str(folder),
        )
    )
