"""Rules for the target plane, by what they ask, and what a plane by them takes."""

from __future__ import annotations

from typing import Any

import mytakeoff as mt

RULES: dict[str, dict[str, Any]] = {
    "plumb": {},
    "square": {"turn_mm_per_m": 1.5},
    "square along the line": {"turn_mm_per_m": 0.0},
    "turn limit": {"turn_limit_mm_per_m": 0.5},
    "turn limit about a corner": {"turn_mm_per_m": -2.0, "turn_limit_mm_per_m": 0.75},
    "free": {"plumb": False},
    "lean limit": {"plumb": False, "lean_limit_mm_per_m": 1.0},
    "lean and turn limit": {"plumb": False, "lean_limit_mm_per_m": 0.5, "turn_limit_mm_per_m": 0.25},
    "free and square": {"plumb": False, "turn_mm_per_m": 0.7},
}


def litres(surface: mt.Surface, rule: mt.PlaneRule) -> float:
    """Plaster of the target plane by a rule [l]."""
    return mt.full_coat(surface, mt.target_plane(surface, rule), rule).volume_l
