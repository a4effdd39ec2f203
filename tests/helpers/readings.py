"""Readings on invented walls, and where their cells lie."""

from __future__ import annotations

import numpy as np

import mytakeoff as mt


def edges(surface):
    nz, nx = surface.cell_area_m2.shape
    return np.linspace(0, surface.wall.width_m, nx + 1), np.linspace(0, surface.wall.height_m, nz + 1)


def survey_of(xs, zs, proud, width=None, height=None, **details):
    """Readings at each crossing of columns xs and rows zs; proud has a row for each height."""
    wall = mt.Wall("A", width or max(xs), height or max(zs), details.pop("openings", ()))
    x, z = np.meshgrid(xs, zs)
    return mt.Survey.from_readings(wall, x.ravel(), z.ravel(), np.ravel(proud), **details)


def row_and_column(surface, x, z):
    return int(np.argmin(np.abs(surface.z_m - z))), int(np.argmin(np.abs(surface.x_m - x)))
