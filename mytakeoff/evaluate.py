"""The chain: from what the user entered to each stage's result."""

from __future__ import annotations

from dataclasses import dataclass

from mytakeoff.buildup import BuildUp
from mytakeoff.coats import Layer
from mytakeoff.job import JobWall
from mytakeoff.plane import TargetPlane
from mytakeoff.surface import Surface


@dataclass(frozen=True, eq=False)
class WallResult:
    """Every stage of one wall."""

    entry: JobWall
    surface: Surface
    plane: TargetPlane
    build_up: BuildUp
    layers: tuple[Layer, ...]
    allowance_mm: float
    rails_x_m: tuple[float, ...]
    rail_length_m: float
    notices: tuple[str, ...]
