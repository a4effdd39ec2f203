"""Scan files of any kind: told apart by what they begin with, read in chunks, with progress, cancellable."""

from __future__ import annotations

import codecs
from collections.abc import Callable, Generator, Iterator, Sequence
from pathlib import Path
from typing import Any, TypeVar

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.scan.chunks import Chunk, ScanFile, wrong
from mytakeoff.io.scan.e57 import open_e57
from mytakeoff.io.scan.kind import ENDINGS, head_of, scan_kind
from mytakeoff.io.scan.las import open_las
from mytakeoff.io.scan.pcd import open_pcd
from mytakeoff.io.scan.ply import open_ply
from mytakeoff.io.scan.text_cloud import open_text
from mytakeoff.steps import relabel, run

Made = TypeVar("Made")
Progress = Callable[[float], Any]

READERS = {"XYZ": open_text, "PLY": open_ply, "LAS": open_las, "E57": open_e57, "PCD": open_pcd}


def open_scan(path: str | Path, name: str = "") -> ScanFile:
    """A scan file, its header read and checked, its points not yet.

    Parameters
    ----------
    path : str or Path
        XYZ, TXT, ASC, PTS or CSV text; PLY; LAS or LAZ; E57; PCD.
    name : str
        What the file is called in messages; its own name if empty.

    Raises
    ------
    TakeoffError
        No such file, empty, of another kind than its ending says or of none that is read, cut off or damaged,
        or a library is missing.
    """
    path = Path(path)
    name = name or path.name
    head = head_of(path)
    if head is None:
        raise wrong(name, "cannot be read", "a file that is named has to be there",
                    "see that it is in its folder and spelled the same")  # fmt: skip
    if not head.strip():
        raise wrong(name, "nothing in it", "a scan file holds points", "export the cloud again")
    ending = path.suffix.lower()
    kind, said = scan_kind(head), next((kind for kind, known in ENDINGS.items() if ending in known), None)
    if kind is None and said in (None, "XYZ") and not _is_binary(head):
        kind = "XYZ"
    if kind is None or said not in (None, kind):
        raise wrong(
            name,
            f"ends in {ending or 'nothing'} and begins like {_article(kind)}",
            "a scan's ending says what it is: " + ", ".join(e for known in ENDINGS.values() for e in known),
            f"rename it to {Path(name).stem}{ENDINGS[kind][0]}"
            if kind
            else "export the cloud as one of these",
        )
    try:
        return READERS[kind](path, name)
    except OSError as error:
        raise wrong(name, f"cannot be read ({error.strerror})", "a file that is named has to be there",
                    "see that it can be opened") from None  # fmt: skip


def _is_binary(head: bytes) -> bool:
    return b"\x00" in head and not head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))


def _article(kind: str | None) -> str:
    return {None: "no cloud that is read", "XYZ": "text", "LAS": "a LAS file", "E57": "an E57 file",
            "PLY": "a PLY file", "PCD": "a PCD file"}[kind]  # fmt: skip


def chunks_of(files: Sequence[ScanFile]) -> Iterator[Chunk]:
    """The points of several files one after the other, the share done counted over all.

    Raises
    ------
    TakeoffError
        One cannot be read to its end.
    """
    for nth, file in enumerate(files):
        for chunk in file.chunks():
            yield Chunk(chunk.points, (nth + chunk.done_share) / len(files), chunk.dropped)


class CancelledError(TakeoffError):
    """The user stopped the reading."""

    def __init__(self) -> None:
        super().__init__(Mistake("reading was stopped", "", "read the file again", ""))


def finish(work: Generator[float, None, Made], progress: Progress | None = None) -> Made:
    """Run work to its end.

    Parameters
    ----------
    work : generator
        Yields the share done, returns what was made.
    progress : function, optional
        Called with the share done; what it raises ends the work, and so does False.

    Raises
    ------
    CancelledError
        It returned False.
    """

    def tell(done_share: float) -> None:
        if progress is not None and progress(done_share) is False:
            raise CancelledError

    return run(relabel(work, tell))
