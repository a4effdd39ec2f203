"""The straightedge by its definition, cell by cell in plain Python, sharing no code with the package."""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import linprog


def broken_lines(known, dx_m: float, dz_m: float):
    """Every unbroken line of cells as (cells, step): rows, columns, both diagonals."""
    nz, nx = known.shape
    slant = math.sqrt(dx_m**2 + dz_m**2)
    for dr, dc, step in ((0, 1, dx_m), (1, 0, dz_m), (1, 1, slant), (1, -1, slant)):
        for row in range(nz):
            for column in range(nx):
                before = row - dr, column - dc
                if inside(known, *before) and known[before]:
                    continue
                line = []
                r, c = row, column
                while inside(known, r, c) and known[r, c]:
                    line.append((r, c))
                    r, c = r + dr, c + dc
                if line:
                    yield line, step


def inside(grid, row: int, column: int) -> bool:
    return 0 <= row < grid.shape[0] and 0 <= column < grid.shape[1]


def chords(known, dx_m: float, dz_m: float, length_m: float):
    """Every (cell, start, end, share of the start) of the definition."""
    for line, step in broken_lines(known, dx_m, dz_m):
        span = math.floor(length_m / step + 1e-9)
        for i in range(len(line)):
            for j in range(i + 2, min(len(line), i + span + 1)):
                for k in range(i + 1, j):
                    yield line[k], line[i], line[j], (j - k) / (j - i)


def gap(heights, dx_m: float, dz_m: float, length_m: float) -> np.ndarray:
    """The hollow gap: the greatest of chord − wall, 0 where every chord lies lower."""
    known = np.isfinite(heights)
    out = np.where(known, 0.0, np.nan)
    for k, i, j, share in chords(known, dx_m, dz_m, length_m):
        out[k] = max(out[k], share * heights[i] + (1 - share) * heights[j] - heights[k])
    return out


def least_fill(heights, dx_m: float, dz_m: float, length_m: float, tolerance_mm: float) -> np.ndarray:
    """The fixpoint: each cell raised to the highest chord − tolerance until nothing moves."""
    filled = np.array(heights, dtype=float)
    all_chords = list(chords(np.isfinite(filled), dx_m, dz_m, length_m))
    moved = True
    while moved:
        moved = False
        for k, i, j, share in all_chords:
            asked = share * filled[i] + (1 - share) * filled[j] - tolerance_mm
            if asked > filled[k] + 1e-10:
                filled[k], moved = asked, True
    return filled


def cheapest(heights, area, dx_m, dz_m, length_m, tolerance_mm, cut_limit_mm, ratio) -> float:
    """Least Σ A·(rise + ratio · fall) with every chord of the definition in one linear programme [l]."""
    known = np.isfinite(heights)
    number = {cell: n for n, cell in enumerate(zip(*np.nonzero(known), strict=True))}
    rows, right = [], []
    for k, i, j, share in chords(known, dx_m, dz_m, length_m):
        row = np.zeros(len(number))
        for cell, weight in ((i, share), (j, 1 - share), (k, -1.0)):
            row[number[cell]] += weight
        rows.append(row)
        right.append(tolerance_mm - (share * heights[i] + (1 - share) * heights[j] - heights[k]))
    over = np.array(rows)
    weight = area[known]
    bounds = [(0, None)] * len(number) + [(0, cut_limit_mm)] * len(number)
    answer = linprog(np.concatenate([weight, ratio * weight]), np.hstack([over, -over]), right, bounds=bounds)
    assert answer.status == 0, answer.message
    return float(answer.fun)
