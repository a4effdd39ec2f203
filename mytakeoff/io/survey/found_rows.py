"""What was found on a wall beside its readings, as rows under them in the sheet of a form.

A row ``found on the wall`` ends the readings. Under it each kind has a row with its name and what stands in
the columns; the rows below that begin with an empty cell and hold one thing each. Said of all readings:
``the plane was plumb`` and ``swept all over``, with yes or nothing beside them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from mytakeoff.errors import Check
from mytakeoff.io.files.lengths import length_in
from mytakeoff.io.files.sheet import Cell, Sheet, cell_in, decimal_mark
from mytakeoff.io.survey.cells import Row
from mytakeoff.job.findings import Findings
from mytakeoff.job.job_wall import Fitting, FixedPlace
from mytakeoff.survey.corner import Corner
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.wall import LooseArea
from mytakeoff.units import to_metres, to_millimetres

TITLE = "found on the wall"
PLUMB, SWEPT, YES = "the plane was plumb", "swept all over", "yes"
SPOT, EDGE, LOOSE, FITTING, CORNER = "high spot", "laid straightedge", "loose plaster", "fitting", "corner"
FIXED = "fixed place"
COLUMNS: dict[str, tuple[str, ...]] = {
    SPOT: ("x_cm", "z_cm", "off_line_mm"),
    EDGE: ("x_cm", "z_cm", "lies", "length_cm", "gap_mm", "touches_cm"),
    LOOSE: ("x_cm", "z_cm", "width_cm", "height_cm", "depth_mm", "state"),
    FITTING: ("what", "x_cm", "z_cm"),
    CORNER: ("x_cm", "off_square_mm", "z_cm"),
    FIXED: ("what", "x_cm", "z_cm", "off_line_mm"),
}
CHOICES: dict[str, tuple[str, ...]] = {
    "lies": ("level", "upright", "rising", "falling"),
    "state": ("loose", "fallen"),
}
MAY_BE_EMPTY = ("touches_cm",)
FITTING_KINDS = ("socket", "switch", "light", "pipe", "radiator")


@dataclass(frozen=True)
class FoundInSheet:
    """What a sheet says of its wall beside the readings; None of plumb and swept: it does not say."""

    findings: Findings = field(default_factory=Findings)
    plumb: bool | None = None
    swept: bool | None = None


def readings_part(sheet: Sheet) -> Sheet:
    """A sheet without what was found; the text of the file stays whole."""
    at = _begins(sheet)
    return sheet if at is None else replace(sheet, rows=sheet.rows[:at])


def found_typed(sheet: Sheet) -> int:
    """In how many cells something was entered that was found [-]."""
    rows = (row for row in _found(sheet) if row[0].text.lower() not in COLUMNS)
    return sum(bool(cell.text) for row in rows for cell in row[1:])


def found_in(sheet: Sheet) -> FoundInSheet:
    """What was found on the wall, as it stands under the readings.

    Raises
    ------
    TakeoffError
        Every cell that is empty or cannot be, and every thing that cannot.
    """
    rows = _Rows(sheet, decimal_mark(cell for row in sheet.rows for cell in row), Check(sheet.name))
    things: dict[str, list[Any]] = {kind: [] for kind in COLUMNS}
    said: dict[str, bool] = {}
    kind = ""
    for row in _found(sheet):
        name = row[0].text.lower()
        if name in COLUMNS:
            kind = name
        elif name in (PLUMB, SWEPT):
            said |= {name: True} if cell_in(row, 2).text else {}
        elif name or not kind:
            known = ", ".join(COLUMNS)
            rows.check.that(False, repr(row[0].text), f"under {TITLE!r} stand {known}",
                            "write one of them, or leave the cell empty", sheet.place(row[0]))  # fmt: skip
        elif (values := rows.values(kind, row)) is not None:
            things[kind].append((values, row[0]))
    findings = rows.findings(things)
    rows.check.done()
    return FoundInSheet(findings, said.get(PLUMB), said.get(SWEPT))


def _begins(sheet: Sheet) -> int | None:
    return next((n for n, row in enumerate(sheet.rows) if row[0].text.lower() == TITLE), None)


def _found(sheet: Sheet) -> list[Row]:
    at = _begins(sheet)
    below = () if at is None else sheet.rows[at + 1 :]
    return [row for row in below if any(cell.text for cell in row)]


@dataclass(frozen=True)
class _Rows:
    """The rows of one sheet, with the mistakes found so far."""

    sheet: Sheet
    mark: str
    check: Check

    def values(self, kind: str, row: Row) -> dict[str, Any] | None:
        """One thing by its columns, in metres and millimetres; None with the mistakes noted."""
        before = len(self.check.mistakes)
        cells = {name: cell_in(row, n) for n, name in enumerate(COLUMNS[kind], start=2)}
        values = {name: self._value(kind, name, cell) for name, cell in cells.items()}
        return values if len(self.check.mistakes) == before else None

    def _value(self, kind: str, name: str, cell: Cell) -> Any:
        if not cell.text and name not in MAY_BE_EMPTY:
            self._wrong(cell, f"nothing under {name} of a {kind}", "a row is filled in or left out")
            return None
        if name == "what":
            return cell.text
        if name in CHOICES:
            known = ", ".join(CHOICES[name])
            self.check.that(cell.text.lower() in CHOICES[name], repr(cell.text), f"here stands {known}",
                            "write one of them", self.sheet.place(cell))  # fmt: skip
            return cell.text.lower()
        if name in MAY_BE_EMPTY:
            return tuple(self._length(name, cell._replace(text=each)) for each in cell.text.split())
        return self._length(name, cell)

    def _length(self, name: str, cell: Cell) -> float:
        unit = name.rpartition("_")[2]
        length = length_in(self.sheet, cell, unit, self.mark, self.check)
        if length is None:
            return 0.0  # with the mistake noted
        return to_millimetres(length, unit) if unit == "mm" else to_metres(length, unit)

    def findings(self, things: dict[str, list[tuple[dict[str, Any], Cell]]]) -> Findings:
        """All things, as far as they can be made."""
        made = {
            kind: tuple(self._made(MAKERS[kind], values, cell) for values, cell in things[kind])
            for kind in MAKERS
        }
        spots, sweeps, loose, fittings, fixed = (tuple(filter(None, made[kind])) for kind in MAKERS)
        return Findings(spots, sweeps, loose, self._corner(things[CORNER]), None, fittings, (), fixed)

    def _made(self, make: Callable[..., Any], values: dict[str, Any], cell: Cell) -> Any:
        found = Check(self.sheet.place(cell))
        made = found.made(lambda: make(**values))
        self.check.mistakes += [replace(each, place=self.sheet.place(cell)) for each in found.mistakes]
        return made

    def _corner(self, rows: list[tuple[dict[str, Any], Cell]]) -> Corner | None:
        if not rows:
            return None
        values, cell = [each for each, _ in rows], rows[0][1]
        if len(rows) != 2 or values[0]["z_cm"] != values[1]["z_cm"]:
            self._wrong(cell, f"{len(rows)} places of a corner", "two are read, both at one height")
            return None
        across = tuple(each["x_cm"] for each in values), tuple(each["off_square_mm"] for each in values)
        made: Corner | None = self._made(lambda: Corner(*across, values[0]["z_cm"]), {}, cell)
        return made

    def _wrong(self, cell: Cell, found: str, rule: str) -> None:
        self.check.that(False, found, rule, "fill it in, or empty the row", self.sheet.place(cell))


def _spot(x_cm: float, z_cm: float, off_line_mm: float) -> tuple[float, float, float]:
    return x_cm, z_cm, 0.0 - off_line_mm


def _edge(x_cm: float, z_cm: float, lies: Any, length_cm: float, gap_mm: float, touches_cm: Any) -> LaidEdge:
    return LaidEdge(x_cm, z_cm, length_cm, gap_mm, lies, touches_cm)


def _loose(
    x_cm: float, z_cm: float, width_cm: float, height_cm: float, depth_mm: float, state: str
) -> LooseArea:
    return LooseArea(x_cm, z_cm, width_cm, height_cm, depth_mm, state == "fallen")


def _fitting(what: str, x_cm: float, z_cm: float) -> Fitting:
    kind: Any = next((each for each in FITTING_KINDS if each in what.lower()), "other")
    return Fitting(what, kind, x_cm, z_cm)


def _fixed(what: str, x_cm: float, z_cm: float, off_line_mm: float) -> FixedPlace:
    return FixedPlace(what, *_spot(x_cm, z_cm, off_line_mm))


# They take metres for what the columns hold in centimetres.
MAKERS: dict[str, Callable[..., Any]] = {
    SPOT: _spot, EDGE: _edge, LOOSE: _loose, FITTING: _fitting, FIXED: _fixed,
}  # fmt: skip
