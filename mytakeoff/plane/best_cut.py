"""How deep it pays to take high spots down, and the plane that goes with it.

Sources
-------
A convex piecewise linear cost is least by a linear programme: S. Boyd and L. Vandenberghe, "Convex
Optimization" (2004), chapter 4. Two prices, one for each side of the plane: R. Koenker and G. Bassett,
"Regression quantiles", Econometrica 46 (1978) 33-50. Both from memory.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from mytakeoff.errors import Check
from mytakeoff.plane.cut_path import CutPath
from mytakeoff.plane.price_search import cost_at_least
from mytakeoff.plane.rule import CutWorth, PlaneRule
from mytakeoff.plane.target_plane import TargetPlane, check_rails, deepest_cut_mm, target_plane
from mytakeoff.surface.surface import Surface

MOST_WORTH = 1e7  # dearer than so many litres filled, even a cell of a square centimetre stays


def cheapest_plane(
    surface: Surface,
    rule: PlaneRule,
    fill_price_per_l: float,
    cut_price_per_l: float,
    cut_price_per_m2: float = 0.0,
    cut_limit_mm: float = 20.0,
) -> TargetPlane:
    """The plane that costs least in filling and in taking down together.

    Minimises ``fill · volume_l + cut · cut_l + per m² · cut_area_m2`` of ``full_coat(surface, plane,
    replace(rule, cut_mm=cut_limit_mm))``, not rounded, over all planes that the rule allows and that cut
    nothing deeper than the limit. Over a cell of area A, by h = d + least and p = plane, that is ``A · (fill
    · least + fill · max(p - h, 0) + cut · max(h - p, 0) + per m² · [h > p])``.

    Parameters
    ----------
    surface : Surface
    rule : PlaneRule
        Its own `cut_mm` and `cut_worth` are not read.
    fill_price_per_l, cut_price_per_l : float
        Of a litre filled and of a litre taken down, 0 or more [currency/l].
    cut_price_per_m2 : float
        Of a square metre where anything is taken down, 0 or more [currency/m²].
    cut_limit_mm : float
        Most that may be taken down, 0 or more [mm].

    Returns
    -------
    TargetPlane
        Without a price per m² no plane is cheaper: the cost is convex and piecewise linear, and the linear
        programme is solved exactly. With one the cost has many valleys: the plane is never dearer than the
        best of those that take the least plaster for their depth, and `cheapest_plane_bound` tells below what
        no plane lies. Where leaving the wall uncut costs as little, nothing is cut.

    Raises
    ------
    TakeoffError
        A price or limit that is negative or not a number, or a rail that does not stand on the wall.

    Examples
    --------
    A wall of four cells of 1 m², proud by 0, 2, 4 and 10 mm, 5 mm kept, the plane square to the corner.
    Filling costs 2 a litre, cutting 4: lowering the plane by 1 mm saves 2 on each cell that is filled and
    costs 4 on each that is cut, so it pays while more than two cells in three are filled. The plane comes to
    rest on the cell at 4 mm, at 9 mm: 26 l filled and 6 l taken down, for 76. Uncut it would stand at 15 mm,
    44 l for 88.

    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Wall("A", 4.0, 1.0)
    >>> rough = Surface.from_grid(wall, [0.5, 1.5, 2.5, 3.5], [0.5], [[0.0, 2.0, 4.0, 10.0]])
    >>> round(cheapest_plane(rough, PlaneRule(turn_mm_per_m=0.0), 2.0, 4.0).a_mm, 6)
    9.0
    """
    worth = _worth(surface, fill_price_per_l, cut_price_per_l, cut_price_per_m2, cut_limit_mm)
    if worth is None:
        return target_plane(surface, replace(rule, cut_mm=0.0))
    return target_plane(surface, replace(rule, cut_mm=cut_limit_mm, cut_worth=worth))


def cheapest_plane_bound(
    surface: Surface,
    rule: PlaneRule,
    fill_price_per_l: float,
    cut_price_per_l: float,
    cut_price_per_m2: float = 0.0,
    cut_limit_mm: float = 20.0,
) -> float:
    """What filling and taking down cost at least, whatever the plane.

    So the plane of `cheapest_plane` costs at most the difference more than the best there is.

    Parameters
    ----------
    surface, rule
        As for `cheapest_plane`.
    fill_price_per_l, cut_price_per_l : float
        Of a litre filled and of a litre taken down, 0 or more [currency/l].
    cut_price_per_m2 : float
        Of a square metre where anything is taken down, 0 or more [currency/m²].
    cut_limit_mm : float
        Most that may be taken down, 0 or more [mm].

    Returns
    -------
    float
        [currency]. Without a price per m² it is the cost of the cheapest plane, to a millionth.

    Raises
    ------
    TakeoffError
        As `cheapest_plane`.

    Examples
    --------
    Of the wall of `cheapest_plane` with 5 more for each m² cut, to 20 mm at most: a quarter a litre more. The
    plane still rests on the cell at 4 mm, for 81; with the area priced by the litre it would be 77.5.

    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Wall("A", 4.0, 1.0)
    >>> rough = Surface.from_grid(wall, [0.5, 1.5, 2.5, 3.5], [0.5], [[0.0, 2.0, 4.0, 10.0]])
    >>> round(cheapest_plane_bound(rough, PlaneRule(turn_mm_per_m=0.0), 2.0, 4.0, 5.0), 3)
    77.5
    """
    worth = _worth(surface, fill_price_per_l, cut_price_per_l, cut_price_per_m2, cut_limit_mm)
    check_rails(surface, rule)
    path = CutPath(surface, rule)
    if worth is None or cut_limit_mm == 0:
        return fill_price_per_l * path.moved(path.uncut)[0]
    return fill_price_per_l * (path.least_l + cost_at_least(path, worth, cut_limit_mm))


def best_cut(
    surface: Surface,
    rule: PlaneRule,
    fill_price_per_l: float,
    cut_price_per_l: float,
    cut_price_per_m2: float = 0.0,
    cut_limit_mm: float = 20.0,
) -> float:
    """The depth of taking down high spots that costs least: the deepest cut of `cheapest_plane`.

    Parameters
    ----------
    surface, rule
        As for `cheapest_plane`.
    fill_price_per_l, cut_price_per_l : float
        Of a litre filled and of a litre taken down, 0 or more [currency/l].
    cut_price_per_m2 : float
        Of a square metre where anything is taken down, 0 or more [currency/m²].
    cut_limit_mm : float
        Most that may be taken down, 0 or more [mm].

    Returns
    -------
    float
        At any cell or reading, between 0 and the limit [mm].

    Raises
    ------
    TakeoffError
        As `cheapest_plane`.

    Examples
    --------
    A nib of 10 mm on 1 m² in twenty: left alone 10 mm of fill on 19 m², knocked off 10 l of cutting.

    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Wall("A", 20.0, 1.0)
    >>> nib = Surface.from_grid(wall, [i + 0.5 for i in range(20)], [0.5], [[0.0] * 9 + [10.0] + [0.0] * 10])
    >>> square = PlaneRule(turn_mm_per_m=0.0)
    >>> best_cut(nib, square, 2.0, 5.0), best_cut(nib, square, 2.0, 60.0)
    (10.0, 0.0)
    """
    prices = (fill_price_per_l, cut_price_per_l, cut_price_per_m2)
    return deepest_cut_mm(surface, rule, cheapest_plane(surface, rule, *prices, cut_limit_mm))


def _worth(
    surface: Surface, fill_per_l: float, cut_per_l: float, cut_per_m2: float, limit_mm: float
) -> CutWorth | None:
    """What taking down costs, in litres filled; None where filling is free.

    Raises
    ------
    TakeoffError
        A price or limit that is negative or not a number.
    """
    check = Check(f"cheapest plane on wall {surface.wall.name!r}")
    for word, value in (
        ("price of filling a litre", fill_per_l),
        ("price of taking down a litre", cut_per_l),
        ("price of taking down a square metre", cut_per_m2),
        ("most that may be taken down, in mm,", limit_mm),
    ):
        check.that(
            bool(np.isfinite(value)) and value >= 0,
            f"{word} {value}",
            "it is a number, 0 or more",
            "correct it",
        )
    check.done()
    if fill_per_l == 0:
        return None
    by_l, by_m2 = (min(each, MOST_WORTH * fill_per_l) / fill_per_l for each in (cut_per_l, cut_per_m2))
    return CutWorth(by_l, by_m2)
