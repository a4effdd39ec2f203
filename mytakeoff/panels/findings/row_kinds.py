"""What can be found on a wall, as rows that ask for it: the boxes of each kind, and what is said of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mytakeoff.job.findings import HighSpot
from mytakeoff.job.job_wall import Fitting, FixedPlace
from mytakeoff.panels.parts.rows import BoxField, RowKind
from mytakeoff.survey.corner import Corner
from mytakeoff.survey.laid_edge import LaidEdge
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


def _fixed(name: str, x_m: float, z_m: float, mm: float, way: str) -> FixedPlace:
    return FixedPlace(name, *_spot(x_m, z_m, mm, way))


def _fixed_boxes(place: FixedPlace) -> Mapping[str, Any]:
    return {"name": place.name, **_spot_boxes((place.x_m, place.z_m, place.proud_mm))}


FIXED_PLACES: RowKind[FixedPlace] = RowKind(
    "fixed", "a fixed place", "F",
    (BoxField("name", "What it is", "text"), *HIGH_SPOTS.fields),
    _fixed,
    {"name": "", **HIGH_SPOTS.blank},
    taken_over=("way",),
    read=_fixed_boxes,
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
    "fixed": "Two or three places far apart that the plaster will not move, a door frame's edge, a socket "
    "box, a screw head, a mark on the floor, read off the same plane as the survey: a second survey of the "
    "finished wall is tied to this one by them.",
}
TITLES = {
    "spots": "High spots", "sweeps": "Laid straightedges", "loose": "Loose and fallen plaster",
    "corner": "The square corner", "fittings": "Fittings",
    "fixed": "Fixed places, for a second survey",
}  # fmt: skip
