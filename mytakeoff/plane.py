"""The target plane: the finished face that takes the least plaster and clears the wall."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mytakeoff.cutback import cheapest_plane, overfill
from mytakeoff.errors import Check
from mytakeoff.lowest import STEEPEST_MM_PER_M, TIGHT_MM, Bounds, lowest_plane
from mytakeoff.surface import Surface
from mytakeoff.survey import Floats

BLOCK = 16  # cells across a block: a block whose highest cell is cleared is not looked into
BLOCKS_AT_ONCE = 64
ADDED_AT_ONCE = 8


@dataclass(frozen=True)
class PlaneRule:
    """What the finished plane has to keep.

    Parameters
    ----------
    least_mm : float
        Thickness kept everywhere, 0 or more [mm].
    rails_x_m : tuple of float
        Where rails stand, on the wall [m].
    rail_least_mm : float
        Thickness kept along the rails where that is more than `least_mm` [mm].
    cut_mm : float
        High spots may be taken down by at most this, 0 or more [mm].
    plumb : bool
        No lean: c = 0.
    turn_mm_per_m : float or None
        Turn of the plane square to the measured corner; None: free to turn [mm/m].
    lean_limit_mm_per_m : float or None
        Bound on the lean of a plane that is not plumb, 0 or more; None: as steep as 10 m for each metre,
        which stands for no bound [mm/m].
    turn_limit_mm_per_m : float or None
        Bound on the turn away from `turn_mm_per_m` (from 0 where that is None), 0 or more [mm/m].

    Raises
    ------
    TakeoffError
        A negative figure, or a bound on the lean of a plumb plane.
    """

    least_mm: float = 5.0
    rails_x_m: tuple[float, ...] = ()
    rail_least_mm: float = 0.0
    cut_mm: float = 0.0
    plumb: bool = True
    turn_mm_per_m: float | None = None
    lean_limit_mm_per_m: float | None = None
    turn_limit_mm_per_m: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "rails_x_m", tuple(self.rails_x_m))
        check = Check("rule for the plane")
        figures = {
            "least thickness": (self.least_mm, "mm"),
            "least thickness at rails": (self.rail_least_mm, "mm"),
            "high spots taken down": (self.cut_mm, "mm"),
            "lean allowed": (self.lean_limit_mm_per_m or 0.0, "mm/m"),
            "turn allowed": (self.turn_limit_mm_per_m or 0.0, "mm/m"),
        }
        for word, (value, unit) in figures.items():
            check.that(
                bool(np.isfinite(value)) and value >= 0,
                f"{word} {value} {unit}",
                "it is 0 or more",
                "correct it",
            )
        check.that(
            not (self.plumb and self.lean_limit_mm_per_m is not None),
            f"a plumb plane with {self.lean_limit_mm_per_m} mm/m of lean allowed",
            "a plumb plane does not lean",
            "leave the lean allowed out, or choose the plane that is free to lean",
        )
        check.done()

    @property
    def bounds(self) -> Bounds:
        """Slopes allowed: of turn and of lean [mm/m]."""
        turn, limit = self.turn_mm_per_m, self.turn_limit_mm_per_m
        if limit is None:
            limit = STEEPEST_MM_PER_M if turn is None else 0.0
        middle = turn or 0.0
        lean = self.lean_limit_mm_per_m
        lean = 0.0 if self.plumb else STEEPEST_MM_PER_M if lean is None else lean
        return (middle - limit, middle + limit), (-lean, lean)

    def lift_mm(self, surface: Surface) -> Floats:
        """Thickness kept in each column of cells (nx,) [mm]."""
        return self.lift_at(surface.x_m, _half_cell_m(surface.x_m))

    def lift_at(self, x_m: Floats, half_m: float) -> Floats:
        """Thickness kept at places that reach `half_m` to both sides [mm]."""
        lift = np.full(x_m.shape, self.least_mm)
        for rail in self.rails_x_m:
            near = np.abs(x_m - rail) <= half_m + 1e-9
            lift[near] = max(self.least_mm, self.rail_least_mm)
        return lift


def _half_cell_m(x_m: Floats) -> float:
    return float(x_m[1] - x_m[0]) / 2 if x_m.size > 1 else float(x_m[0])


@dataclass(frozen=True)
class Touch:
    """A high spot that sets the plane: where the least thickness binds (or the most that is taken down).

    Place [m] and height of the wall there [mm].
    """

    x_m: float
    z_m: float
    proud_mm: float


@dataclass(frozen=True)
class TargetPlane:
    """The finished face, ``proud = a + b·x + c·z``.

    Parameters
    ----------
    a_mm : float
        At the lower left corner of the wall [mm].
    b_mm_per_m : float
        Turn: how much further proud for each metre to the right [mm/m].
    c_mm_per_m : float
        Lean: how much further proud for each metre up [mm/m].
    touches : tuple of Touch
        The high spots that set it, left to right.
    """

    a_mm: float
    b_mm_per_m: float
    c_mm_per_m: float
    touches: tuple[Touch, ...] = field(default=())

    def at(self, x_m: ArrayLike, z_m: ArrayLike) -> Floats:
        """Height of the face at places that broadcast together [mm].

        Examples
        --------
        >>> float(TargetPlane(10.0, 2.0, -1.0).at(3.0, 2.0))
        14.0
        """
        return np.asarray(
            self.a_mm
            + self.b_mm_per_m * np.asarray(x_m, dtype=np.float64)
            + self.c_mm_per_m * np.asarray(z_m, dtype=np.float64)
        )


def _highest_by_rows(proud_mm: Floats) -> Floats:
    """Highest cell of each column in each run of `BLOCK` rows (blocks, nx) [mm]."""
    whole = len(proud_mm) // BLOCK * BLOCK
    high = np.fmax.reduce(proud_mm[:whole].reshape(-1, BLOCK, proud_mm.shape[1]), axis=1)
    if whole == len(proud_mm):
        return np.asarray(high)
    return np.vstack([high, np.fmax.reduce(proud_mm[whole:], axis=0)])


class Clearance:
    """What a plane has to clear: each known cell and reading, with the thickness kept there.

    Places are told from the centroid of the known area, where a plane's height is its mean.
    """

    def __init__(self, surface: Surface, rule: PlaneRule) -> None:
        self.x0_m, self.z0_m = surface.centroid_m
        self.x_m, self.z_m = surface.x_m - self.x0_m, surface.z_m - self.z0_m
        self.proud_mm = surface.proud_mm
        self.lift_mm = rule.lift_mm(surface) - rule.cut_mm
        points = surface.points
        lift = rule.lift_at(points.x_m, _half_cell_m(surface.x_m)) - rule.cut_mm
        self.points = np.column_stack(
            [points.x_m - self.x0_m, points.z_m - self.z0_m, points.proud_mm + lift]
        )
        self._make_blocks()

    def _make_blocks(self) -> None:
        rows, columns = (np.arange(0, size, BLOCK) for size in (self.z_m.size, self.x_m.size))
        high = _highest_by_rows(self.proud_mm) + self.lift_mm
        self.block_mm = np.nan_to_num(np.fmax.reduceat(high, columns, axis=1), nan=-np.inf)
        last_row = np.minimum(rows + BLOCK, self.z_m.size) - 1
        last_column = np.minimum(columns + BLOCK, self.x_m.size) - 1
        self.block_x = np.array([self.x_m[columns], self.x_m[last_column]])
        self.block_z = np.array([self.z_m[rows], self.z_m[last_row]])
        self.rows, self.columns = rows, columns

    def _suspects(self, a: float, b: float, c: float) -> NDArray[np.intp]:
        """Blocks (k, 2) that may hold a cell above the plane, the likeliest first."""
        lowest = a + (b * self.block_x).min(axis=0)[None, :] + (c * self.block_z).min(axis=0)[:, None]
        over = self.block_mm - lowest
        blocks = np.argwhere(over > TIGHT_MM)
        return blocks[np.argsort(-over[blocks[:, 0], blocks[:, 1]])]

    def _worst_cells(self, blocks: NDArray[np.intp], a: float, b: float, c: float) -> tuple[Floats, Floats]:
        """The cell of each block that stands furthest above the plane, as points (k, 3), and how far (k,)."""
        span = np.arange(BLOCK)
        row = np.minimum(self.rows[blocks[:, 0]][:, None] + span, self.z_m.size - 1)
        column = np.minimum(self.columns[blocks[:, 1]][:, None] + span, self.x_m.size - 1)
        over = self.proud_mm[row[:, :, None], column[:, None, :]]
        over += (self.lift_mm - a - b * self.x_m)[column][:, None, :]
        over -= (c * self.z_m)[row][:, :, None]
        flat = np.nan_to_num(over.reshape(len(blocks), BLOCK * BLOCK), copy=False, nan=-np.inf)
        each, at = np.arange(len(blocks)), flat.argmax(axis=1)
        return self._cells(row[each, at // BLOCK], column[each, at % BLOCK]), flat[each, at]

    def above(self, a: float, b: float, c: float) -> Floats:
        """Some of the worst points above a plane (k, 3) [m, m, mm]; none only when everything is cleared.

        The likeliest blocks are looked into first, the others only when those are cleared.
        """
        blocks = self._suspects(a, b, c)
        found, miss = self.points, self.points[:, 2] - a - self.points[:, :2] @ np.array([b, c])
        slack = max(TIGHT_MM, 1e-13 * abs(a))
        for chunk in np.split(blocks, range(BLOCKS_AT_ONCE, len(blocks), BLOCKS_AT_ONCE)):
            cells, over = self._worst_cells(chunk, a, b, c)
            found, miss = np.vstack([found, cells]), np.concatenate([miss, over])
            worst = np.argsort(-miss)[:ADDED_AT_ONCE]
            if miss.size and miss[worst[0]] > slack:
                return np.asarray(found[worst[miss[worst] > slack]])
            found, miss = found[:0], miss[:0]
        return found[:0]

    def _cells(self, row: NDArray[np.intp], column: NDArray[np.intp]) -> Floats:
        """Cells as points (k, 3): place from the centroid and height to clear."""
        return np.column_stack(
            [self.x_m[column], self.z_m[row], self.proud_mm[row, column] + self.lift_mm[column]]
        )

    def highest(self) -> Floats:
        """The highest cell, to start from (1, 3)."""
        row, column = np.unravel_index(int(self.block_mm.argmax()), self.block_mm.shape)
        low = self.block_mm[row, column]
        return np.array([[self.block_x[0, column], self.block_z[0, row], low - 1e3]])


def target_plane(surface: Surface, rule: PlaneRule) -> TargetPlane:
    """The plane that takes the least plaster and keeps the rule.

    Minimises Σ A·(p - d) subject to ``p >= d + least`` over every known cell and reading of the wall
    (along rail lines the rail's least where greater), exactly: a linear programme in at most three
    unknowns. With high spots taken down it minimises Σ A·max(p - d, least) subject to
    ``d + least - p <= cut``. Among equal answers the least b² + c².

    Parameters
    ----------
    surface : Surface
    rule : PlaneRule

    Returns
    -------
    TargetPlane

    Raises
    ------
    TakeoffError
        A rail that does not stand on the wall.

    Examples
    --------
    A wall that leans 10 mm into the room over its height of 1 m, made plumb with at least 5 mm: the face
    stands 5 mm in front of its top row of cells.

    >>> from mytakeoff.wall import Wall
    >>> leaning = Surface.from_grid(Wall("A", 1.0, 1.0), [0.5], [0.25, 0.75], [[2.5], [7.5]])
    >>> target_plane(leaning, PlaneRule(least_mm=5.0)).a_mm
    12.5
    """
    _check_rails(surface, rule)
    clearance = Clearance(surface, rule)
    a, b, c, binding = lowest_plane(clearance.above, clearance.highest(), rule.bounds)
    if rule.cut_mm > 0:
        cost = overfill(surface, clearance.x_m, clearance.z_m, rule.lift_mm(surface))
        start, uncut = np.array([a, b, c]), np.array([a + rule.cut_mm, b, c])
        a, b, c, binding = cheapest_plane(cost, clearance.above, start, uncut, rule.bounds)
    return _placed(clearance, rule, surface, (a, b, c), binding)


def _check_rails(surface: Surface, rule: PlaneRule) -> None:
    check = Check(f"wall {surface.wall.name!r}")
    for rail in rule.rails_x_m:
        check.that(
            0 <= rail <= surface.wall.width_m,
            f"a rail at {rail:g} m",
            f"rails stand on the wall, 0 to {surface.wall.width_m:g} m",
            "move it",
        )
    check.done()


def _placed(
    clearance: Clearance,
    rule: PlaneRule,
    surface: Surface,
    slopes: tuple[float, float, float],
    binding: Floats,
) -> TargetPlane:
    """The plane told from the wall's lower left corner, with its high spots."""
    a, b, c = slopes
    x, z = binding[:, 0] + clearance.x0_m, binding[:, 1] + clearance.z0_m
    lift = rule.lift_at(x, _half_cell_m(surface.x_m)) - rule.cut_mm
    touches = sorted(
        {
            Touch(round(float(at), 9), round(float(up), 9), round(float(mm), 9))
            for at, up, mm in zip(x, z, binding[:, 2] - lift, strict=True)
        },
        key=lambda touch: (touch.x_m, touch.z_m),
    )
    return TargetPlane(a - b * clearance.x0_m - c * clearance.z0_m, b, c, tuple(touches))
