"""Plain, slow answers that share no code with the package: the tests hold the package to them."""

from __future__ import annotations

import csv
import itertools
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix
from scipy.spatial import ConvexHull

import mytakeoff as mt

TIGHT = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}


@dataclass(frozen=True)
class Cells:
    """Places that bind a plane: position [m], proud [mm], area [m²] (0 for a reading), least [mm]."""

    x: np.ndarray
    z: np.ndarray
    proud: np.ndarray
    area: np.ndarray
    least: np.ndarray

    @property
    def net_m2(self) -> float:
        return float(self.area.sum())

    @property
    def centroid(self) -> tuple[float, float]:
        return float(self.x @ self.area / self.net_m2), float(self.z @ self.area / self.net_m2)

    def litres_under(self, a: float, b: float, c: float) -> float:
        """Σ A·(p − d), with nothing taken down."""
        return float(self.area @ (a + b * self.x + c * self.z - self.proud))

    def litres_of(self, plane) -> float:
        return self.litres_under(plane.a_mm, plane.b_mm_per_m, plane.c_mm_per_m)

    def clearance(self, plane) -> np.ndarray:
        """How far the plane stands above wall plus least thickness, negative where it breaks the rule."""
        height = plane.a_mm + plane.b_mm_per_m * self.x + plane.c_mm_per_m * self.z
        return height - self.proud - self.least


def cells_of(surface, rule, readings=()) -> Cells:
    """The known cells with wall in them, and the readings given as (x, z, proud) rows with no area."""
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    least = np.full(x.shape, float(rule.least_mm))
    half = 0.5 * surface.wall.width_m / surface.x_m.size
    for rail in rule.rails_x_m:
        least[:, np.abs(surface.x_m - rail) < half] = max(rule.least_mm, rule.rail_least_mm)
    known = np.isfinite(surface.proud_mm) & (surface.cell_area_m2 > 0)
    table = np.array(readings, dtype=float).reshape(-1, 3)
    return Cells(
        np.concatenate([x[known], table[:, 0]]),
        np.concatenate([z[known], table[:, 1]]),
        np.concatenate([surface.proud_mm[known], table[:, 2]]),
        np.concatenate([surface.cell_area_m2[known], np.zeros(len(table))]),
        np.concatenate([least[known], np.full(len(table), float(rule.least_mm))]),
    )


def slope_bounds(rule) -> tuple[tuple[float | None, float | None], tuple[float | None, float | None]]:
    """The bounds on turn b and lean c that a rule means."""
    turn = rule.turn_mm_per_m
    b: tuple[float | None, float | None] = (None, None)
    if rule.turn_limit_mm_per_m is not None:
        b = ((turn or 0.0) - rule.turn_limit_mm_per_m, (turn or 0.0) + rule.turn_limit_mm_per_m)
    elif turn is not None:
        b = (turn, turn)
    if rule.plumb:
        return b, (0.0, 0.0)
    limit = rule.lean_limit_mm_per_m
    return b, ((None, None) if limit is None else (-limit, limit))


def least_plaster_by_lp(cells: Cells, rule) -> float:
    """Least litres over all planes that clear the wall, by a general solver (scipy's HiGHS).

    The solver may leave a constraint broken by its tolerance; the plane is lifted until it clears.
    """
    x0, z0 = cells.centroid
    x, z = cells.x - x0, cells.z - z0
    rows = -np.column_stack([np.ones_like(x), x, z])
    b, c = slope_bounds(rule)
    cost = [cells.area.sum(), cells.area @ x, cells.area @ z]
    needed = cells.proud + cells.least
    answer = linprog(cost, rows, -needed, bounds=[(None, None), b, c], method="highs", options=TIGHT)
    assert answer.status == 0, answer.message
    _, turn, lean = answer.x
    height = float((needed - turn * x - lean * z).max())
    return cells.litres_under(height - turn * x0 - lean * z0, turn, lean)


def least_plaster_by_hull(cells: Cells, plumb: bool) -> float:
    """The same for planes free to turn (and to lean): the upper hull's facet over the area's centroid."""
    x0, z0 = cells.centroid
    places = [cells.x - x0] if plumb else [cells.x - x0, cells.z - z0]
    hull = ConvexHull(np.column_stack([*places, cells.proud + cells.least]))
    upper = hull.equations[hull.equations[:, -2] > 1e-12]
    height = float((-upper[:, -1] / upper[:, -2]).min())
    return float(height * cells.net_m2 - cells.area @ cells.proud)


def least_with_cut_by_lp(cells: Cells, rule) -> float:
    """min Σ A·max(p − d, least) with d + least − p ≤ cut."""
    return cheapest_by_lp(cells, rule, 1.0, 0.0)


def cheapest_by_lp(cells: Cells, rule, fill: float, cut: float) -> float:
    """min Σ A·(fill·thickness + cut·removed) with removed ≤ the rule's cut, one hinge variable a cell.

    thickness = max(p − d, least), removed = thickness − (p − d).
    """
    n = cells.x.size
    x0, z0 = cells.centroid
    place = np.column_stack([np.ones(n), cells.x - x0, cells.z - z0])
    # variables: a, b, c, then t per cell, t ≥ p − d and t ≥ least
    i, k = np.indices(place.shape)
    hinge = coo_matrix(
        (
            np.concatenate([place.ravel(), -np.ones(n)]),
            (np.concatenate([i.ravel(), np.arange(n)]), np.concatenate([k.ravel(), 3 + np.arange(n)])),
        ),
        shape=(n, 3 + n),
    )
    limit = coo_matrix((-place.ravel(), (i.ravel() + n, k.ravel())), shape=(2 * n, 3 + n))
    hinge.resize((2 * n, 3 + n))
    right = np.concatenate([cells.proud, rule.cut_mm - cells.proud - cells.least])
    b, c = slope_bounds(rule)
    bounds = [(None, None), b, c, *((low, None) for low in cells.least)]
    cost = np.concatenate([-cut * (cells.area @ place), (fill + cut) * cells.area])
    answer = linprog(cost, (hinge + limit).tocsr(), right, bounds=bounds, method="highs", options=TIGHT)
    assert answer.status == 0, answer.message
    return float(answer.fun + cut * cells.area @ cells.proud)


def cheapest_height(cells: Cells, turn: float, limit: float, *prices: float) -> float:
    """Cost of a plumb plane with that turn at its best height: every cell's own, and the lowest allowed."""
    need = cells.proud + cells.least - turn * cells.x
    tried = np.append(need[need >= need.max() - limit], need.max() - limit)[:, None]
    cut = np.where(need - tried > 1e-9, need - tried, 0.0)
    fill = tried - need + cells.least + cut
    return float((prices[0] * fill @ cells.area + prices[1] * cut @ cells.area
                  + prices[2] * (cut > 0) @ cells.area).min())  # fmt: skip


def covered_area(x_edges, z_edges, rectangles) -> np.ndarray:
    """Area of each cell under the union of (x, z, width, height) rectangles, each place counted once."""
    return depth_volume(x_edges, z_edges, [(*rectangle, 1.0) for rectangle in rectangles])


def depth_volume(x_edges, z_edges, boxes) -> np.ndarray:
    """∫ over each cell of the deepest of (x, z, width, height, depth) boxes, by cutting at every edge."""
    cuts_x = np.unique([*x_edges, *itertools.chain.from_iterable((b[0], b[0] + b[2]) for b in boxes)])
    cuts_z = np.unique([*z_edges, *itertools.chain.from_iterable((b[1], b[1] + b[3]) for b in boxes)])
    out = np.zeros((len(z_edges) - 1, len(x_edges) - 1))
    for (x1, x2), (z1, z2) in itertools.product(itertools.pairwise(cuts_x), itertools.pairwise(cuts_z)):
        x, z = (x1 + x2) / 2, (z1 + z2) / 2
        if not (x_edges[0] < x < x_edges[-1] and z_edges[0] < z < z_edges[-1]):
            continue
        inside = [b[4] for b in boxes if b[0] < x < b[0] + b[2] and b[1] < z < b[1] + b[3]]
        if inside:
            column, row = np.searchsorted(x_edges, x) - 1, np.searchsorted(z_edges, z) - 1
            out[row, column] += max(inside) * (x2 - x1) * (z2 - z1)
    return out


def bilinear(xs, zs, values, x, z) -> np.ndarray:
    """Bilinear between the rows and columns of a grid, at every crossing of x and z inside it."""
    along = np.array([np.interp(x, xs, row) for row in values])
    return np.array([np.interp(z, zs, column) for column in along.T]).T


def coats_of_place(thickness: float, greatest: float, least: float) -> tuple[list[float], bool]:
    """Coats at one place, face first, and whether a split within least and greatest exists."""
    count = math.ceil(thickness / greatest - 1e-12)
    if count == 0:
        return [], True
    coats = [greatest] * (count - 1) + [thickness - greatest * (count - 1)]
    for shared in range(1, count + 1):
        mean = sum(coats[-shared:]) / shared
        if mean >= least - 1e-12:
            return coats[:-shared] + [mean] * shared, True
    return coats, False


def flat_wall(width_m=4.0, height_m=2.5, proud_mm=0.0, openings=(), **details):
    """A wall read at its four corners, level everywhere: (wall, survey)."""
    wall = mt.Wall("flat", width_m, height_m, tuple(openings), **details)
    x, z = np.meshgrid([0.0, width_m], [0.0, height_m])
    return wall, mt.Survey.from_readings(wall, x.ravel(), z.ravel(), np.full(4, float(proud_mm)))


def grid_of(proud, cell_m=0.1, openings=()):
    """A ready surface whose square cells hold these values."""
    proud = np.asarray(proud, dtype=float)
    nz, nx = proud.shape
    wall = mt.Wall("made", nx * cell_m, nz * cell_m, tuple(openings))
    return mt.Surface.from_grid(wall, (np.arange(nx) + 0.5) * cell_m, (np.arange(nz) + 0.5) * cell_m, proud)


def rough_wall(seed: int, nx=24, nz=14, lean=6.0, bow=8.0, noise=2.0) -> np.ndarray:
    """An invented old wall: it leans, bows, and is rough (mm, rows from the floor)."""
    random = np.random.default_rng(seed)
    x, z = np.meshgrid(np.linspace(0, 1, nx), np.linspace(0, 1, nz))
    tilt = random.normal(0, lean, 2)
    shape = (
        tilt[0] * x
        + tilt[1] * z
        + random.normal(0, bow) * (x - 0.5) ** 2
        + random.normal(0, bow) * (z - 0.5) ** 2
    )
    return shape + random.normal(0, noise, x.shape)


def field_grid_file(path: Path) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Distances, heights, proud (NaN for a blank) from a file laid out as a field grid of off_line_mm."""
    with path.open(newline="", encoding="utf-8") as file:
        first, *rest = csv.reader(file)
    assert first[0] == "off_line_mm"
    body = np.array([[float(cell) if cell.strip() else np.nan for cell in row] for row in rest])
    return np.array(first[1:], dtype=float), body[:, 0], -body[:, 1:]
