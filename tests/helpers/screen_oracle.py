"""What a client is shown, worked out from the definitions in loops over plain arrays, without the package."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal

import numpy as np
from scipy import ndimage

# DIN 18202 table 3 line 6 and table 2 (secondary copies), by distance and by height [m, mm]
LINE_6 = ((0.1, 3), (1.0, 5), (4.0, 10), (10.0, 20), (15.0, 25))
OUT_OF_PLUMB = ((0.5, 3), (1.0, 6), (3.0, 8), (6.0, 12))
DIRECTIONS = ((0, 1), (1, 0), (1, 1), (1, -1))  # rows and columns to the next cell of a line


def chords(face: np.ndarray, dx_m: float, dz_m: float, longest_m: float):
    """Every two ends on one unbroken line: their distance [m], and at most how far the wall lies under [mm].

    One array for each pair of ends (distance) and place between; NaN where the line is broken.
    """
    rows, columns = face.shape
    for down, across in DIRECTIONS:
        grid = face if across >= 0 else face[:, ::-1]
        step, way = math.hypot(dx_m * across, dz_m * down), abs(across)
        for apart in range(2, min(int(longest_m / step + 1e-9), max(rows, columns) - 1) + 1):
            high, wide = rows - apart * down, columns - apart * way
            if high <= 0 or wide <= 0:
                break
            cells = [grid[k * down : k * down + high, k * way : k * way + wide] for k in range(apart + 1)]
            under = [(1 - k / apart) * cells[0] + k / apart * cells[-1] - cells[k] for k in range(1, apart)]
            broken = np.isnan(cells).any(axis=0)
            yield apart * step, np.where(broken, -np.inf, np.max(under, axis=0))


def greatest_gap(face: np.ndarray, dx_m: float, dz_m: float, edge_m: float) -> float:
    """Under an edge that rests on any two places of a line, no further apart than it is long [mm]."""
    return max(0.0, *(float(under.max()) for _, under in chords(face, dx_m, dz_m, edge_m)))


def limit_mm(distance_m: float) -> int:
    """Linear between the table's distances, rounded half up to the whole millimetre; its ends beyond it."""
    between = np.interp(distance_m, *zip(*LINE_6, strict=True))
    return math.floor(between + 0.5 + 1e-9)


def over_grade(face: np.ndarray, dx_m: float, dz_m: float, height_m: float) -> list[tuple[float, float]]:
    """(over by, allowed) of flatness and of plumb: DIN 18202 line 6 by distance, table 2 by height [mm]."""
    least = limit_mm(0.0)
    over, allowed = float(-least), least
    for distance, under in chords(face, dx_m, dz_m, 1e9):
        here = float(under.max()) - limit_mm(distance)
        if here > over:
            over, allowed = here, limit_mm(distance)
    plumb = next(limit for most, limit in OUT_OF_PLUMB if height_m <= most)
    leans = []
    for column in face.T:
        known = np.flatnonzero(~np.isnan(column))
        if known.size and (known[-1] - known[0] + 1) * dz_m >= height_m / 2 - 1e-9:
            leans.append(abs(column[known[-1]] - column[known[0]]))
    return [(over, allowed), (max(leans) - plumb, plumb)]


def wedge(face: np.ndarray, x_m: np.ndarray, left_m: float, width_m: float) -> tuple[float, float, float]:
    """Gap at the bottom, at the top and at its widest beside a plumb thing pushed against the face [mm].

    Its back is plumb and straight: of all lines in plan through two places that it can touch (and none that
    it would have to cut into) it takes the one that stands furthest back at its middle, of equal ones the
    one that turns it least.
    """
    middle = left_m + width_m / 2
    behind = np.flatnonzero(np.abs(x_m - middle) <= width_m / 2 + 1e-9)
    x, strip = x_m[behind] - middle, face[:, behind]
    high = np.nanmax(strip, axis=0)
    lines = [(high.max(), 0.0)]
    for i in range(x.size):
        for j in range(i):
            slope = (high[i] - high[j]) / (x[i] - x[j])
            lines.append((high[i] - slope * x[i], slope))
    clear = [line for line in lines if (line[0] + line[1] * x >= high - 1e-9).all()]
    back, slope = min(clear, key=lambda line: (round(line[0], 9), abs(line[1])))
    gaps = []
    for row in strip:
        known = np.flatnonzero(~np.isnan(row))
        if known.size:
            ends = known[[0, -1]]
            gaps.append(max(back + slope * x[k] - row[k] for k in ends))
    return gaps[0], gaps[-1], max(gaps)


def money(lines, shares, places: int = 2) -> Decimal:
    """Total with tax: each (quantity, price) rounded half up, then each share of all that stands above it."""
    cent = Decimal(1).scaleb(-places)
    total = sum(((q * p).quantize(cent, ROUND_HALF_UP) for q, p in lines), Decimal(0))
    for share in shares:
        total += (total * Decimal(str(share))).quantize(cent, ROUND_HALF_UP)
    return total


def triangle(share: np.ndarray, low: float, top: float, high: float) -> np.ndarray:
    """Values that shares of a triangular distribution lie at or below: its cumulated form turned round."""
    left = (top - low) / (high - low)
    rising = low + np.sqrt(share * (high - low) * (top - low))
    falling = high - np.sqrt((1 - share) * (high - low) * (high - top))
    return np.where(share < left, rising, falling)


def patch_depths(fill: np.ndarray) -> list[float]:
    """The deepest place of each filled area whose cells touch by a side or a corner [mm]."""
    numbers, count = ndimage.label(np.nan_to_num(fill) > 1e-4, np.ones((3, 3)))
    return [float(np.nanmax(np.where(numbers == each, fill, 0.0))) for each in range(1, count + 1)]


def drying_days(depths_mm: list[float], days_per_mm: float = 1.0) -> float:
    """A day a millimetre where each mix is deepest, half as long again for what lies deeper than 20 mm."""
    total = sum(depths_mm)
    return days_per_mm * (min(total, 20.0) + 1.5 * max(total - 20.0, 0.0))


def first_day_from(moment: datetime, begins_h: int = 8) -> date:
    """The day of a moment if work has not begun by then, else the next."""
    begun = moment > datetime.combine(moment.date(), datetime.min.time()) + timedelta(hours=begins_h)
    return moment.date() + timedelta(days=1 if begun else 0)
