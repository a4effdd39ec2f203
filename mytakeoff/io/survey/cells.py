"""What every kind of survey file is read with: places and readings in any unit, each slip with its cell."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

from mytakeoff.errors import Check, Mistake
from mytakeoff.io.files.lengths import length_in, with_unit
from mytakeoff.io.files.sheet import Cell, Sheet
from mytakeoff.survey.as_taken import AGREE_MM
from mytakeoff.survey.wall import Wall
from mytakeoff.units import METRES, to_metres, to_millimetres

HEADING = re.compile(rf"(x|z|off_line|off_plumb_lines|proud)_({'|'.join(METRES)})")
WORDS = {
    "x": "distance",
    "z": "height",
    "off_line": "reading",
    "off_plumb_lines": "reading",
    "proud": "reading",
}
NOT_READ = ("", "-", "–", "—", "−")  # a dash says that nothing is to be read there
MOST_MM = 500.0  # a wall further than this from the plane it was measured off is a slip of the pen
LEAST_MM = 0.1  # nobody reads a whole wall to less than this: such readings were typed in another unit
SLACK_M = 1e-9
MOST_TOLD = 2000  # mistakes kept; a file with more is another kind of file

Row = tuple[Cell, ...]


@dataclass
class BodyReadings:
    """What the body of a file says, in the wall frame, with the cell that each reading stands in."""

    x_m: list[float] = field(default_factory=list)
    z_m: list[float] = field(default_factory=list)
    proud_mm: list[float] = field(default_factory=list)
    cells: list[Cell] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    off_plumb_lines: bool = False

    def add(self, x_m: float, z_m: float, proud_mm: float, cell: Cell) -> None:
        """Take over one reading and the cell that it stands in [m, m, mm]."""
        self.x_m.append(x_m)
        self.z_m.append(z_m)
        self.proud_mm.append(proud_mm)
        self.cells.append(cell)


@dataclass(frozen=True)
class Heading:
    """What a column holds, its unit, and where that is written."""

    what: str
    unit: str
    cell: Cell


@dataclass(frozen=True)
class Reader:
    """One sheet being read for one wall, with the mistakes found so far."""

    sheet: Sheet
    wall: Wall
    mark: str
    check: Check

    def wrong(self, cell: Cell, found: str, rule: str, remedy: str) -> None:
        """Note a mistake at a cell."""
        self.check.that(False, found, rule, remedy, self.sheet.place(cell))

    def place_m(self, cell: Cell, what: str, unit: str) -> float | None:
        """A distance ("x") or height ("z") on the wall [m], or None with the mistake noted."""
        length = length_in(self.sheet, cell, unit, self.mark, self.check)
        if length is None:
            return None
        value = to_metres(length, unit)
        size = self.wall.width_m if what == "x" else self.wall.height_m
        if -SLACK_M <= value <= size + SLACK_M:
            return value
        from_where = "from its left end" if what == "x" else "up from the floor"
        self.wrong(
            cell,
            f"{WORDS[what]} {with_unit(cell.text, unit)}",
            f"wall {self.wall.name!r} reaches from 0 to {size:g} m {from_where}",
            f"measure it {from_where}, and see that the heading's unit is the one it was typed in",
        )
        return None

    def proud_mm(self, cell: Cell, what: str, unit: str) -> float | None:
        """A reading towards the room [mm], or None with the mistake noted."""
        length = length_in(self.sheet, cell, unit, self.mark, self.check)
        if length is None:
            return None
        value = to_millimetres(length, unit)
        if abs(value) <= MOST_MM:
            return value if what == "proud" else 0.0 - value
        self.wrong(
            cell,
            f"reading {with_unit(cell.text, unit)}",
            f"a wall lies within {MOST_MM:g} mm of the line it was measured from",
            "was it typed in tenths of a millimetre, or in another unit than its heading says? Put it right",
        )
        return None


@dataclass(frozen=True)
class Format:
    """A kind of survey file.

    Parameters
    ----------
    name : str
        In words: "a field grid".
    starts : str
        What its first row holds, for somebody who wrote another one.
    recognises : function of the first row
        Whether a file is of this kind.
    read : function of the reader, the first row and the others
    crossings : bool
        Readings stand at the crossings of rows and columns.
    """

    name: str
    starts: str
    recognises: Callable[[Row], bool]
    read: Callable[[Reader, Row, list[Row]], BodyReadings]
    crossings: bool = False


def heading(text: str, initials: str) -> re.Match[str] | None:
    """A heading's word and unit, if it starts with one of the initials: x, z, o (off the line), p (proud)."""
    match = HEADING.fullmatch(text.strip().lower())
    return match if match and match[1][0] in initials else None


def first_heading(head: Row) -> re.Match[str] | None:
    """What was read and its unit, where a file's first cell begins with that."""
    words = head[0].text.split()
    return heading(words[0], "op") if words else None


def was_read(cell: Cell) -> bool:
    """Whether anything was read at a cell: it is neither empty nor a dash."""
    return cell.text not in NOT_READ


def extra_remedy(reader: Reader) -> str:
    """What to do about a cell that no heading stands over."""
    remedy = "take the cell out or give its column a heading"
    if reader.sheet.separator == ",":
        remedy += "; if commas are decimal marks, separate the cells with semicolons"
    return remedy


def check_magnitude(reader: Reader, readings: BodyReadings) -> None:
    """Note a survey whose every reading is a tiny fraction of a millimetre: it was typed in metres."""
    largest = max((abs(value) for value in readings.proud_mm), default=0.0)
    reader.check.that(
        not 0 < largest < LEAST_MM,
        f"the largest of {len(readings.cells)} readings is {largest:g} mm",
        f"readings by hand are in whole millimetres or so, not all below {LEAST_MM:g} mm",
        "if they were typed in metres, write off_line_m or proud_m in the heading",
    )


def check_repeats(reader: Reader, readings: BodyReadings) -> None:
    """Note readings at one place that disagree, with both of their rows."""
    at_place: dict[tuple[float, float], list[int]] = defaultdict(list)
    for index, (x_m, z_m) in enumerate(zip(readings.x_m, readings.z_m, strict=True)):
        at_place[round(x_m, 6), round(z_m, 6)].append(index)
    for (x_m, z_m), indices in at_place.items():
        values = [readings.proud_mm[index] for index in indices]
        if max(values) - min(values) > AGREE_MM:
            cells = [readings.cells[index] for index in indices]
            reader.check.mistakes.append(
                Mistake(
                    " and ".join(cell.text for cell in cells) + f" at x {x_m:g} m, z {z_m:g} m",
                    f"readings at one place agree within {AGREE_MM} mm",
                    "measure there again and keep one",
                    f"{reader.sheet.name}, rows {', '.join(str(cell.row) for cell in cells)}",
                )
            )


def shorten(check: Check) -> None:
    """Keep the first mistakes and count the rest."""
    more = len(check.mistakes) - MOST_TOLD
    if more > 0:
        del check.mistakes[MOST_TOLD:]
        check.that(False, f"{more} more mistakes", "each reading keeps to its heading",
                   "put the first ones right, or see that this is a survey file")  # fmt: skip
