"""What the charts are coloured with: one ramp from thin to thick, ink and paper.

The ramp runs from cream over green to a dark blue: ColorBrewer's *YlGnBu*, listed there as safe for
colour-blind eyes (Brewer and Harrower, colorbrewer2.org), respaced so that its lightness falls by the same
amount with every millimetre.
"""

from __future__ import annotations

import math

import numpy as np
from matplotlib import colormaps
from numpy.typing import ArrayLike, NDArray


def lightness(rgb: ArrayLike) -> NDArray[np.float64]:
    """CIE lightness L* of sRGB colours, 0 for black to 100 for white.

    Parameters
    ----------
    rgb : (..., 3) float
        0 to 1.

    Notes
    -----
    IEC 61966-2-1 for the luminance, CIE 15 for L*.

    Examples
    --------
    >>> lightness([[0.0, 0.0, 0.0], [1.0, 1.0, 1.0]]).round(6).tolist()
    [0.0, 100.0]
    """
    value = np.asarray(rgb, dtype=float)
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    luminance = linear @ np.array([0.2126, 0.7152, 0.0722])
    root = np.where(luminance > (6 / 29) ** 3, np.cbrt(luminance), luminance * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.asarray(116 * root - 16)


def _even_ramp(name: str, first: float, last: float) -> NDArray[np.uint8]:
    """256 colours of a matplotlib colour map between two of its places, evenly spaced in lightness."""
    places = np.linspace(first, last, 1024)
    colours = np.asarray(colormaps[name](places), dtype=float)[:, :3]
    light = lightness(colours)
    wanted = np.linspace(light[0], light[-1], 256)
    even = np.interp(-wanted, -light, places)
    ramp = np.column_stack([np.interp(even, places, colours[:, channel]) for channel in range(3)])
    return np.round(ramp * 255).astype(np.uint8)


RAMP: NDArray[np.uint8] = _even_ramp("YlGnBu", 0.06, 1.0)
RAMP.setflags(write=False)

BOTH_WAYS: NDArray[np.uint8] = np.vstack(
    [_even_ramp("PuOr", 0.5, 0.96)[::-2], _even_ramp("PuOr_r", 0.5, 0.96)[1::2]]
)
"""From hollow (violet) over nothing (near white) to proud (brown): ColorBrewer's *PuOr*, listed there as safe
for colour-blind eyes, each half respaced so that its lightness changes evenly."""
BOTH_WAYS.setflags(write=False)

INK = "#000000"
PAPER = "#ffffff"
HALO = "#ffffff"
"""Light rim that keeps lines and numbers readable on the dark end of the ramp."""

_ROUND_TOPS = (1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0)
_LEAST_TOP_MM = 20.0


def ramp_top(max_mm: float) -> float:
    """The round thickness at which the ramp ends, for a wall whose thickest place is `max_mm`.

    Parameters
    ----------
    max_mm : float
        Thickest place [mm]; not finite or under 20 counts as 20.

    Returns
    -------
    float
        20, 30, 40, 60, 80, 100, 150, 200, 300, … [mm]: the least that is not below `max_mm`.

    Examples
    --------
    >>> [ramp_top(thickest) for thickest in (3, 20, 43.2, 81, 101)]
    [20.0, 20.0, 60.0, 100.0, 150.0]
    """
    if not math.isfinite(max_mm) or max_mm <= _LEAST_TOP_MM:
        return _LEAST_TOP_MM
    ten = 10.0 ** math.floor(math.log10(max_mm))
    return next((top * ten for top in _ROUND_TOPS if top * ten >= max_mm), 10 * ten)


def ramp_index(thickness_mm: ArrayLike, top_mm: float) -> NDArray[np.uint8]:
    """The place on the ramp of each thickness; above the top the last place.

    Parameters
    ----------
    thickness_mm : array of float
        Without NaN [mm].
    top_mm : float
        Thickness at the ramp's dark end, more than 0 [mm].

    Returns
    -------
    array of uint8
        0 for no thickness, 255 at the top and above.

    Examples
    --------
    >>> ramp_index([0.0, 30.0, 60.0, 75.0], top_mm=60.0).tolist()
    [0, 128, 255, 255]
    """
    share = np.clip(np.asarray(thickness_mm, dtype=float) / top_mm, 0.0, 1.0)
    return np.floor(share * 255 + 0.5).astype(np.uint8)


def ramp_colour(thickness_mm: ArrayLike, top_mm: float) -> NDArray[np.uint8]:
    """Red, green and blue of each thickness, 0 to 255; the last axis has length 3.

    Examples
    --------
    >>> bool((ramp_colour(60.0, 60.0) == ramp_colour(99.0, 60.0)).all())
    True
    """
    return RAMP[ramp_index(thickness_mm, top_mm)]
