"""What is found on a wall, as rows to fill in: the boxes that each kind of row has, and their folds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import ipywidgets as widgets

from mytakeoff.errors import Check, Mistake
from mytakeoff.formats import HOUSE, Formats
from mytakeoff.job.findings import Findings, HighSpot
from mytakeoff.job.job_wall import Fitting
from mytakeoff.panels.parts.bind import Quiet, number_box
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.rows import BoxField, RowKind, Rows
from mytakeoff.panels.parts.stock import make
from mytakeoff.survey.corner import Corner
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.said import Said, SaidOf, answered
from mytakeoff.survey.wall import LooseArea, Opening

TURN = "Square plane turns by, mm per m, where known"

OPENINGS: RowKind[Opening] = RowKind(
    "opening", "an opening", "opening ",
    (
        BoxField("name", "Opening", "text", needed=False), BoxField("x_m", "Left side at, m"),
        BoxField("z_m", "Sill at, m"), BoxField("width_m", "Width, m"), BoxField("height_m", "Height, m"),
        BoxField("reveal_mm", "Reveal, mm"),
    ),
    Opening,
    {"name": "opening", "x_m": 0.5, "z_m": 0.0, "width_m": 0.9, "height_m": 2.0, "reveal_mm": 0.0},
)  # fmt: skip

OFF_LINE, PROUD = "off_line", "proud"


def _spot(x_m: float, z_m: float, mm: float, way: str) -> HighSpot:
    return x_m, z_m, mm if way == PROUD else 0.0 - mm


def _spot_boxes(spot: HighSpot) -> Mapping[str, Any]:
    return {"x_m": spot[0], "z_m": spot[1], "mm": 0.0 - spot[2], "way": OFF_LINE}


WAYS = (("off the line: bigger is hollower", OFF_LINE), ("towards the room: bigger is prouder", PROUD))
HIGH_SPOTS: RowKind[HighSpot] = RowKind(
    "spots", "a high spot", "H",
    (BoxField("x_m", "From the left, m"), BoxField("z_m", "From the floor, m"),
     BoxField("mm", "Reading, mm", signed=True), BoxField("way", "Read", "choice", options=WAYS)),
    _spot,
    {"x_m": None, "z_m": None, "mm": None, "way": OFF_LINE},
    taken_over=("way",),
    read=_spot_boxes,
)  # fmt: skip

DIRECTIONS = (
    ("level", "level"), ("upright", "upright"), ("rising at 45°", "rising"), ("falling at 45°", "falling"),
)  # fmt: skip


SWEEPS: RowKind[LaidEdge] = RowKind(
    "sweeps", "a laid straightedge", "E",
    (
        BoxField("x_m", "End, from the left, m"),
        BoxField("z_m", "End, from the floor, m"),
        BoxField("direction", "Laid", "choice", options=DIRECTIONS), BoxField("length_m", "Length, m"),
        BoxField("gap_mm", "Worst gap, mm"),
        BoxField("touches_m", "Touches at, m along it", "numbers", needed=False),
        BoxField("gap_at_m", "Worst gap at, m along it", needed=False),
    ),
    LaidEdge,
    {"x_m": None, "z_m": None, "direction": "level", "length_m": None, "gap_mm": None, "touches_m": (),
     "gap_at_m": None},
    taken_over=("direction", "length_m"),
)  # fmt: skip


LOOSE: RowKind[LooseArea] = RowKind(
    "loose", "a loose area", "L",
    (
        BoxField("x_m", "Left side at, m"), BoxField("z_m", "Lower side at, m"),
        BoxField("width_m", "Width, m"), BoxField("height_m", "Height, m"),
        BoxField("depth_mm", "How thick, mm"), BoxField("fallen", "Has fallen already", "tick"),
    ),
    LooseArea,
    {"x_m": None, "z_m": None, "width_m": None, "height_m": None, "depth_mm": None, "fallen": False},
    taken_over=("depth_mm",),
)  # fmt: skip


def _corner(x1: float, off1: float, x2: float, off2: float, z_m: float) -> Corner:
    return Corner((x1, x2), (off1, off2), z_m)


def _corner_boxes(corner: Corner) -> Mapping[str, Any]:
    (x1, x2), (off1, off2) = corner.x_m, corner.off_square_mm
    return {"x1": x1, "off1": off1, "x2": x2, "off2": off2, "z_m": corner.z_m}


CORNERS: RowKind[Corner] = RowKind(
    "corner", "the corner's readings", "Q",
    (
        BoxField("x1", "First place, m"), BoxField("off1", "Off the line there, mm"),
        BoxField("x2", "Second place, m"), BoxField("off2", "Off the line there, mm"),
        BoxField("z_m", "Height of both, m"),
    ),
    _corner,
    dict.fromkeys(("x1", "off1", "x2", "off2", "z_m")),
    read=_corner_boxes,
    most=1,
)  # fmt: skip

FITTINGS_KINDS = tuple((kind, kind) for kind in ("socket", "switch", "light", "pipe", "radiator", "other"))


def _fitting(name: str, kind: Any, **values: Any) -> Fitting:
    return Fitting(name or kind, kind, **values)


FITTINGS: RowKind[Fitting] = RowKind(
    "fittings", "a fitting", "P",
    (
        BoxField("kind", "It is a", "choice", options=FITTINGS_KINDS),
        BoxField("name", "Called", "text", needed=False), BoxField("x_m", "From the left, m"),
        BoxField("z_m", "From the floor, m"),
        BoxField("other_face", "On the other face of this wall", "tick"),
    ),
    _fitting,
    {"kind": "socket", "name": "", "x_m": None, "z_m": None, "other_face": False},
    taken_over=("kind",),
)  # fmt: skip

HINTS = {
    "spots": "Where a swept straightedge rocked: read off the same plane as the survey.",
    "sweeps": "A straightedge laid on the wall: its left end (its lower end where it is upright), the worst "
    "gap anywhere under it, where it touched, with a blank between two places.",
    "loose": "Plaster that sounds hollow or has come down: the rectangle from its lower left corner, and "
    "how thick the plaster is there.",
    "corner": "Two readings at one height, far apart, off a line that is square to the next wall; "
    "places from the left end.",
    "fittings": "What has to move, and where cables run: the middle of each.",
}
TITLES = {
    "spots": "High spots", "sweeps": "Laid straightedges", "loose": "Loose and fallen plaster",
    "corner": "The square corner", "fittings": "Fittings",
}  # fmt: skip


class FindingRows(Quiet):
    """Everything found on a wall beside its readings: `findings`, `widget`."""

    def __init__(self, changed: Callable[[], None], formats: Formats = HOUSE) -> None:
        self._changed = changed
        self.said: tuple[SaidOf, ...] = ()
        self.spots, self.sweeps, self.loose, self.corner, self.fittings = (
            Rows[Any](kind, self._follow, formats) for kind in (HIGH_SPOTS, SWEEPS, LOOSE, CORNERS, FITTINGS)
        )
        self.turn = number_box("turn", TURN, unit="mm/m", formats=formats, signed=True)
        self.turn.observe(lambda _: None if self._busy else self._follow(), "value")
        self.kinds: dict[str, Rows[Any]] = {name: getattr(self, name) for name in TITLES}
        self.folds = {name: Fold(title, self._content(name), name) for name, title in TITLES.items()}
        self.widget = make(widgets.VBox, list(self.folds.values()))
        self._count()

    def _content(self, name: str) -> widgets.VBox:
        hint = make(widgets.HTML, element("p", HINTS[name], css="mt-hint"))
        more = [self.turn] if name == "corner" else []
        return make(widgets.VBox, [hint, self.kinds[name].widget, *more])

    @property
    def findings(self) -> Findings:
        """What the rows describe.

        Raises
        ------
        TakeoffError
            Every box and row that cannot be.
        """
        check = Check()
        made = {name: check.made(rows.read) for name, rows in self.kinds.items()}
        turn = self._turn_typed(check)
        check.done()
        corner = made["corner"] or ()
        return Findings(
            made["spots"] or (), made["sweeps"] or (), made["loose"] or (), corner[0] if corner else None,
            turn, made["fittings"] or (), self.said,
        )  # fmt: skip

    def _turn_typed(self, check: Check) -> float | None:
        return None if self.turn.value == "" else self.turn.number(check)

    @property
    def unfinished(self) -> tuple[Mistake, ...]:
        """A mistake for each row that is not filled in."""
        return tuple(mistake for rows in self.kinds.values() for mistake in rows.unfinished)

    def show(self, found: Findings) -> None:
        """Show these findings and no others."""
        self.said = found.said
        corner = (found.corner,) if found.corner else ()
        shown_now = (found.high_spots, found.sweeps, found.loose, corner, found.fittings)
        for rows, things in zip(self.kinds.values(), shown_now, strict=True):
            rows.show(things)
        self._show_turn(found.turn_mm_per_m)
        self._count()

    def _show_turn(self, turn_mm_per_m: float | None) -> None:
        with self.quietly():
            self.turn.value = turn_mm_per_m

    def keep_of_plane(self, before: Findings, same: bool) -> None:
        """Take what was read off the plane of an earlier survey out, or back in.

        Parameters
        ----------
        before : Findings
            Of the wall as the job has it.
        same : bool
            This survey was read off that plane too.
        """
        now = self.findings
        self.said = before.said if same else ()
        others = tuple(spot for spot in now.high_spots if spot not in before.high_spots)
        turn = None if now.turn_mm_per_m == before.turn_mm_per_m else now.turn_mm_per_m
        if same:
            others, turn = (*before.high_spots, *others), before.turn_mm_per_m if turn is None else turn
        self.spots.show(others)
        self._show_turn(turn)
        self._count()

    def answer(self, at: tuple[float, float], word: Said) -> None:
        """Take what is said of a place, instead of what was said of it before."""
        self.said = answered(self.said, at, word)
        self._changed()

    def _follow(self) -> None:
        self._count()
        self._changed()

    def _count(self) -> None:
        """Say on each fold how many there are."""
        for name, fold in self.folds.items():
            count = sum(not row.missing for row in self.kinds[name].used)
            fold.head.title = f"{TITLES[name]} ({count or 'none'})"
