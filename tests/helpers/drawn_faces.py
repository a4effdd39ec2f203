"""Faces that a wall may have between its readings, drawn in one go."""

from __future__ import annotations

from typing import Any

from mytakeoff.simulation.faces import DrawnFaces, Floats, drawn_faces_steps
from mytakeoff.steps import run
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings


def draw_between(surface: Surface, lowering_mm: Floats, readings: Readings, **choices: Any) -> DrawnFaces:
    """`drawn_faces_steps` to its end."""
    return run(drawn_faces_steps(surface, lowering_mm, readings, **choices))
