"""What each kind of thing on a wall asks for in its boxes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

from mytakeoff.job.findings import ThingKind
from mytakeoff.panels.findings.row_kinds import FITTINGS, FIXED_PLACES, HIGH_SPOTS, LOOSE, OPENINGS, SWEEPS
from mytakeoff.panels.parts.rows import BoxField, RowKind
from mytakeoff.survey.wall import REVEAL_SIDES, Opening


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
    "fitting": FITTINGS, "fixed": FIXED_PLACES,
}  # fmt: skip
