"""What each kind of thing on a wall asks for in its boxes, and what a hand may add."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any, get_args

from mytakeoff.job.findings import HighSpot, ThingKind
from mytakeoff.job.job_wall import Fitting, FittingKind
from mytakeoff.panels.parts.rows import BoxField, RowKind
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.wall import REVEAL_SIDES, LooseArea, Opening

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


FITTINGS_KINDS: tuple[tuple[str, FittingKind], ...] = tuple((kind, kind) for kind in get_args(FittingKind))


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


def _opening_boxes(opening: Opening) -> Mapping[str, Any]:
    own = {field.name: getattr(opening, field.name) for field in fields(opening)}
    sides = own.pop("reveal_sides")
    return own | {side: side in sides for side in REVEAL_SIDES}


def _opening(*, left: bool, right: bool, top: bool, bottom: bool, **values: Any) -> Opening:
    ticked = zip(REVEAL_SIDES, (left, right, top, bottom), strict=True)
    return Opening(**values, reveal_sides=tuple(side for side, there in ticked if there))


_SIDES = tuple(BoxField(side, f"Reveal or edge at the {side}", "tick") for side in REVEAL_SIDES)
WHOLE_OPENINGS = replace(
    OPENINGS, letter="O", fields=(*OPENINGS.fields, *_SIDES), make=_opening, read=_opening_boxes
)
FITTED = replace(WHOLE_OPENINGS, name="fitted", called="a fitted unit", letter="U")
KINDS: dict[ThingKind, RowKind[Any]] = {  # larger grounds first: what comes later lies on top
    "loose": LOOSE, "opening": WHOLE_OPENINGS, "fitted": FITTED, "sweep": SWEEPS, "spot": HIGH_SPOTS,
    "fitting": FITTINGS,
}  # fmt: skip
