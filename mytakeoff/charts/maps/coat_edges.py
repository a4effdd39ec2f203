"""Where one coat ends and the next begins."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class CoatDepths:
    """How deep each coat goes, counted from the finished face inward.

    Parameters
    ----------
    max_coat_mm : float
        Greatest depth of the first coat under the finish; 0 or less draws no edges [mm].
    finish_mm : float
        The finish coat, part of the thickness, not counted in the number [mm].
    dub_mm : float
        Greatest depth of each coat under the first; 0 for the same as `max_coat_mm` [mm].
    """

    max_coat_mm: float = 0.0
    finish_mm: float = 0.0
    dub_mm: float = 0.0
