"""Faces that a wall may have between its readings, drawn in one go."""

from __future__ import annotations

from typing import Any

from mytakeoff.plane.target_plane import PlaneRule
from mytakeoff.simulation.drawing import drawn_faces_steps
from mytakeoff.simulation.faces import DrawnFaces, Floats
from mytakeoff.simulation.planes_over_faces import Drawn, drawn_steps
from mytakeoff.steps import run
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings


def draw_between(
    surface: Surface, lowering_mm: Floats, readings: Readings, *likely: Any, **choices: Any
) -> DrawnFaces:
    """`drawn_faces_steps` to its end."""
    return run(drawn_faces_steps(surface, lowering_mm, readings, *likely, **choices))


def drawn_litres(drawn_faces: DrawnFaces, rule: PlaneRule) -> Drawn:
    """`drawn_steps` to its end."""
    return run(drawn_steps(drawn_faces, rule))
