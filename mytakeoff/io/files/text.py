"""The text of a file, whatever program wrote it, and the paths that a job may name."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from pathlib import Path, PureWindowsPath

from mytakeoff.errors import Mistake, TakeoffError

NOT_TEXT = (b"%PDF", b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"\x1f\x8b")
CONTROL = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f]")


@dataclass(frozen=True)
class FileText:
    """A file's text with line ends as they stand, and how it was encoded."""

    text: str
    encoding: str

    def encoded(self, text: str) -> bytes:
        """Another text in this file's encoding; in UTF-8 with a mark where that cannot hold it."""
        try:
            if self.encoding in ("utf-16-le", "utf-16-be"):
                mark = codecs.BOM_UTF16_LE if self.encoding == "utf-16-le" else codecs.BOM_UTF16_BE
                return mark + text.encode(self.encoding)
            return text.encode(self.encoding)
        except UnicodeEncodeError:
            return text.encode("utf-8-sig")


def read_text(path: Path, name: str = "") -> FileText:
    """The text of a file in UTF-8, UTF-16 with its mark, or Windows-1252.

    Parameters
    ----------
    path : Path
    name : str
        What the file is called in messages; its own name if empty.

    Raises
    ------
    TakeoffError
        No such file, or it is not text.
    """
    name = name or path.name
    try:
        content = path.read_bytes()
    except (OSError, ValueError) as error:
        raise TakeoffError(
            Mistake(
                f"cannot be read ({getattr(error, 'strerror', None) or error})",
                "a file that is named has to be there",
                "see that it is in its folder and spelled the same",
                name,
            )
        ) from None
    return decode(content, name)


def decode(content: bytes, name: str) -> FileText:
    """The text in some bytes.

    Raises
    ------
    TakeoffError
        The bytes are no text.

    Examples
    --------
    >>> decode("1,5 m²".encode("cp1252"), "a.csv")
    FileText(text='1,5 m²', encoding='cp1252')
    """
    try:
        found = _decoded(content)
    except UnicodeDecodeError:
        found = None
    if found is None or content.startswith(NOT_TEXT) or CONTROL.search(found.text):
        raise TakeoffError(
            Mistake(
                f"{len(content)} bytes that are not text",
                "the file is plain text",
                "save the sheet as CSV (comma or semicolon separated) and name that file",
                name,
            )
        )
    return found


def _decoded(content: bytes) -> FileText:
    if content.startswith(codecs.BOM_UTF8):
        return FileText(content.decode("utf-8-sig"), "utf-8-sig")
    for mark, encoding in ((codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be")):
        if content.startswith(mark):
            return FileText(content[2:].decode(encoding), encoding)
    try:
        return FileText(content.decode("utf-8"), "utf-8")
    except UnicodeDecodeError:
        return FileText(content.decode("cp1252"), "cp1252")


def file_stem(name: str) -> str:
    """A wall's or a job's name as the stem of a file's name.

    Examples
    --------
    >>> file_stem("Party wall / left")
    'party-wall-left'
    """
    return re.sub(r"[^\w]+", "-", name.lower()).strip("-") or "wall"


def as_typed(folder: Path) -> str:
    """A folder as one has to type it in a command: in quotes where its name has blanks.

    Examples
    --------
    >>> as_typed(Path("flat-3")), as_typed(Path("flat 3"))
    ('flat-3', '"flat 3"')
    """
    return f'"{folder}"' if len(str(folder).split()) > 1 else str(folder)


def path_inside(folder: Path, name: str, place: str) -> Path:
    """The path of a file that the job names, which lies in the job's folder.

    Parameters
    ----------
    folder : Path
        The job folder.
    name : str
        As the user wrote it, with either slash.
    place : str
        Where it was written, for the message.

    Raises
    ------
    TakeoffError
        The path is absolute, climbs out with ``..`` or leaves the folder through a link.
    """
    written = PureWindowsPath(name)
    try:
        path = folder.joinpath(*written.parts)
        stays = (
            not written.anchor
            and bool(written.parts)
            and ".." not in written.parts
            and path.resolve().is_relative_to(folder.resolve())
        )
    except (OSError, RuntimeError, ValueError):
        stays = False
    if not stays:
        raise TakeoffError(
            Mistake(
                f"file {name!r}",
                "a job reads only files in its own folder",
                "copy the file into the folder and write its path from there, surveys/north.csv for example",
                place,
            )
        )
    return path
