"""Coats: the build-up laid on in turns, counted from the finished face inward."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Coat:
    """One coat: its area [m²], litres in place [l] and deepest place [mm]."""

    area_m2: float
    volume_l: float
    max_mm: float


@dataclass(frozen=True)
class Layer:
    """The coats that one mix of the system makes on one wall, face first.

    `role` is "finish", "backing" or "dubbing out"; `mix` the product.
    """

    role: str
    mix_name: str
    coats: tuple[Coat, ...]
