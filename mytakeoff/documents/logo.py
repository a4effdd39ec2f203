"""The user's own logo, from the job folder: bounded before anything of it is decoded, and no program in it.

A job folder may come from anybody. A PNG says its size in its head; an SVG is read without entities, and may
hold shapes, words and colours, and nothing that runs, fetches or repeats itself.
"""

from __future__ import annotations

import base64
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from xml.parsers import expat

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.formats.formats import HOUSE
from mytakeoff.io.files.text import path_inside

PLACE = "quotation, logo"
MOST_BYTES, MOST_SIDE_PX, MOST_ELEMENTS, DEEPEST = 1_000_000, 4000, 5000, 50
PNG_HEAD = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"
SVG = "http://www.w3.org/2000/svg"
DRAWN = frozenset(
    ("svg", "g", "defs", "title", "desc", "metadata", "style", "path", "rect", "circle", "ellipse", "line",
     "polyline", "polygon", "text", "tspan", "linearGradient", "radialGradient", "stop", "clipPath")
)  # fmt: skip
SAVE_AS = "save it anew as a plain PNG"


@dataclass(frozen=True)
class Logo:
    """A logo that was looked through: its bytes, "png" or "svg", and its words."""

    content: bytes
    format: str
    alt: str

    @property
    def address(self) -> str:
        """The logo as an address that a page holds within itself."""
        kind = "svg+xml" if self.format == "svg" else self.format
        return f"data:image/{kind};base64,{base64.b64encode(self.content).decode()}"


def logo_of(folder: str, name: str, firm: str) -> Logo | None:
    """The logo that a job names, None where it names none.

    Parameters
    ----------
    folder : str
        The job's.
    name : str
        Of a file inside it.
    firm : str
        Whose logo it is, for who does not see it.

    Raises
    ------
    TakeoffError
        No such file, one outside the folder, too large, or holding what no logo needs.
    """
    if not name:
        return None
    path = path_inside(Path(folder or "."), name, PLACE)
    content = _read(path)
    alt = f"Logo of {firm}" if firm else "Logo"
    if content.startswith(PNG_HEAD):
        _check_png(content, name)
        return Logo(content, "png", alt)
    _check_svg(content, name)
    return Logo(content, "svg", alt)


def _read(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size <= MOST_BYTES:
            return path.read_bytes()
    except OSError as error:
        raise _refused(
            path.name, f"cannot be read ({error.strerror or error})", "put it there, or take its name out"
        ) from None
    raise _refused(
        path.name,
        f"{HOUSE.number(size / 1000)} kB",
        f"{SAVE_AS} of at most {HOUSE.number(MOST_BYTES / 1000)} kB",
    )


def _refused(name: str, found: str, remedy: str) -> TakeoffError:
    return TakeoffError(
        Mistake(f"{name}: {found}", "a logo is a small PNG or SVG in the job folder", remedy, PLACE)
    )


def _check_png(content: bytes, name: str) -> None:
    """Its sides, from its head: a picture of many megapixels may be a small file."""
    across, up = struct.unpack(">II", content[16:24])
    if not (0 < across <= MOST_SIDE_PX and 0 < up <= MOST_SIDE_PX):
        raise _refused(
            name,
            f"{across} by {up} pixels",
            f"save it with at most {MOST_SIDE_PX} pixels a side; 1000 are plenty",
        )


def _check_svg(content: bytes, name: str) -> None:
    """That it is an SVG of plain shapes; every kind of thing that no logo needs is told, each once."""
    looked = _Look(name)
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = looked.element
    parser.EndElementHandler = looked.end
    parser.StartDoctypeDeclHandler = looked.doctype
    parser.CharacterDataHandler = looked.words
    parser.ProcessingInstructionHandler = lambda target, data: looked.found.setdefault(f"<?{target}")
    try:
        parser.Parse(content, True)
    except expat.ExpatError as error:
        raise _refused(name, f"neither a PNG nor an SVG ({error})", SAVE_AS) from None
    check = Check(PLACE)
    for found in looked.found:
        check.add(_refused(name, f"holds {found}", SAVE_AS))
    if not looked.is_svg:
        check.add(_refused(name, "no drawing", SAVE_AS))
    check.done()


class _Look:
    """What of an SVG is no plain shape."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.found: dict[str, None] = {}
        self.is_svg = False
        self.elements = self.depth = 0

    def doctype(self, _name: str, _system: str | None, _public: str | None, defines: bool) -> None:
        """A document type may define entities; drawings need none, and nothing is read beyond them."""
        if defines:
            raise _refused(self.name, "defines its own entities", SAVE_AS)

    def element(self, name: str, attributes: Mapping[str, str]) -> None:
        """Note what it is, where that is no plain shape."""
        space, _, bare = name.rpartition(" ")
        self.elements, self.depth = self.elements + 1, self.depth + 1
        self.is_svg = self.is_svg or (self.elements == 1 and space == SVG and bare == "svg")
        if self.elements > MOST_ELEMENTS or self.depth > DEEPEST:
            raise _refused(
                self.name, f"more than {MOST_ELEMENTS} parts, or {DEEPEST} within one another", SAVE_AS
            )
        if bare not in DRAWN and space in (SVG, "", "http://www.w3.org/1999/xhtml"):
            self.found.setdefault(f"<{bare}>")
        for key, value in attributes.items():
            plain = key.rpartition(" ")[2].lower()
            if plain.startswith("on"):
                self.found.setdefault(plain)
            if plain == "href" and not value.startswith("#"):
                self.found.setdefault("an address")
            self.words(value)

    def end(self, _name: str) -> None:
        """One level up again."""
        self.depth -= 1

    def words(self, text: str) -> None:
        """A style may fetch by url() and @import."""
        bare = "".join(text.lower().split())
        if "@import" in bare or "url(" in bare.replace("url(#", "").replace("url('#", "").replace(
            'url("#', ""
        ):
            self.found.setdefault("an address")
