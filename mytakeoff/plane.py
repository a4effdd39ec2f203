"""The target plane."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Touch:
    """A high spot that sets the plane: where the least thickness binds."""

    x_m: float
    z_m: float
    proud_mm: float


@dataclass(frozen=True)
class TargetPlane:
    """The finished face, ``proud = a + b·x + c·z``."""

    a_mm: float
    b_mm_per_m: float
    c_mm_per_m: float
    touches: tuple[Touch, ...] = ()
