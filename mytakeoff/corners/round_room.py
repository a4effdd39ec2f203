"""In which order walls stand round a room, as its corners say, and what cannot be of what is said of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from mytakeoff.bounds import ROUNDING_M
from mytakeoff.corners.clear_width import ClearWidth
from mytakeoff.corners.diagonals import SIDES, Diagonals
from mytakeoff.corners.room_corner import STRAIGHT_DEG, RoomCorner
from mytakeoff.errors import Check
from mytakeoff.survey.wall import Wall

ROUND_DEG = 360.0
CLOCKWISE = "go round clockwise as seen from above: each wall's right end meets the next one's left end"


def check_round(
    corners: Sequence[RoomCorner],
    clear_widths: Sequence[ClearWidth],
    parallel: Sequence[tuple[str, ...]],
    diagonals: Diagonals | None,
    check: Check,
) -> None:
    """Note what cannot be, whatever the walls are, of what a room says of how they join."""
    _check_ends(corners, check)
    if not check.mistakes:
        _check_loops(corners, diagonals, check)
    for pair in parallel:
        check.that(
            len(set(pair)) == len(pair) == 2,
            f"parallel {', '.join(map(repr, pair)) or 'nothing'}",
            "two walls are parallel to one another",
            "name the two walls",
        )
    for name, times in Counter(each.name for each in clear_widths).items():
        check.that(times == 1, f"{times} clear widths called {name!r}", "each has its own name", "rename one")


def _check_ends(corners: Sequence[RoomCorner], check: Check) -> None:
    """Note a corner that stands twice, and an end of a wall that meets two others."""
    pairs = Counter(frozenset((each.wall, each.next_wall)) for each in corners)
    twice = [pair for pair, times in pairs.items() if times > 1]
    for pair in twice:
        names = " – ".join(map(repr, sorted(pair)))
        check.that(
            False,
            f"corner {names} {pairs[pair]} times",
            "a corner is measured in one way, and stands once",
            "keep the surest, and take the others out",
        )
    once = [each for each in corners if frozenset((each.wall, each.next_wall)) not in twice]
    for side, ends in (
        ("right", Counter(each.wall for each in once)),
        ("left", Counter(each.next_wall for each in once)),
    ):
        for name, times in ends.items():
            check.that(
                times == 1,
                f"{times} walls at the {side} end of {name!r}",
                "one wall meets each end of a wall",
                CLOCKWISE,
            )


def _check_loops(corners: Sequence[RoomCorner], diagonals: Diagonals | None, check: Check) -> None:
    """Note walls that go round at other angles than a room has, and what else a room measures of them."""
    loops = [chain for chain in chains(corners) if closes(chain, corners)]
    check.that(
        len(loops) <= 1,
        f"{len(loops)} times round: {'; '.join(' – '.join(map(repr, loop)) for loop in loops)}",
        "the walls of a room go round it once",
        CLOCKWISE,
    )
    for loop in loops:
        turned = sum(STRAIGHT_DEG - each.angle_deg for each in corners if each.wall in loop)
        check.that(
            abs(turned - ROUND_DEG) < 1e-6,
            f"angles that turn by {turned:g}° round {len(loop)} walls",
            f"180° less each angle inside the room comes to {ROUND_DEG:g}° all round",
            "look for a corner that is missing, or 90° where 270° round an outer corner was meant, and "
            + CLOCKWISE,
        )
    if diagonals is not None:
        _check_diagonals(corners, loops, diagonals, check)


def _check_diagonals(
    corners: Sequence[RoomCorner], loops: Sequence[tuple[str, ...]], diagonals: Diagonals, check: Check
) -> None:
    loop = loops[0] if loops else ()
    check.that(
        len(loop) == SIDES and diagonals.wall in loop,
        f"diagonals from wall {diagonals.wall!r}, and {len(loop) or 'no'} walls all round",
        "two diagonals say how a room stands whose four walls go all round",
        "list its four corners, or measure each corner by itself and take the diagonals out",
        f"{check.place}, diagonals",
    )
    wide = [each.where for each in corners if each.wall in loop and each.angle_deg >= STRAIGHT_DEG]
    check.that(
        not wide,
        f"diagonals across {', '.join(wide)}",
        "diagonals lie inside a room of four inner corners",
        "measure each corner by itself and take the diagonals out",
        f"{check.place}, diagonals",
    )
    measured = [each.where for each in corners if each.wall in loop and each.measured]
    check.that(
        not measured,
        f"diagonals, and {', '.join(measured)} measured too",
        "a corner is measured in one way, and the diagonals measure all four",
        "keep the surer, and take the other out",
        f"{check.place}, diagonals",
    )


def chains(corners: Iterable[RoomCorner]) -> tuple[tuple[str, ...], ...]:
    """Walls in order round the room, those that join one another in one chain.

    Parameters
    ----------
    corners : iterable of RoomCorner
        Each end of a wall in one of them at most.

    Examples
    --------
    >>> chains([RoomCorner("b", "c"), RoomCorner("a", "b"), RoomCorner("y", "z")])
    (('a', 'b', 'c'), ('y', 'z'))
    """
    following = {each.wall: each.next_wall for each in corners}
    begins = [name for name in following if name not in following.values()]
    found: list[tuple[str, ...]] = []
    for name in [*begins, *following]:
        if any(name in chain for chain in found):
            continue
        chain = [name]
        while following.get(chain[-1]) not in (None, name):
            chain.append(following[chain[-1]])
        found.append(tuple(chain))
    return tuple(found)


def closes(chain: Sequence[str], corners: Iterable[RoomCorner]) -> bool:
    """Whether the last wall of a chain meets the first."""
    return any(each.wall == chain[-1] and each.next_wall == chain[0] for each in corners)


def check_on_walls(
    walls: Mapping[str, Wall],
    corners: Iterable[RoomCorner],
    clear_widths: Iterable[ClearWidth],
    parallel: Iterable[tuple[str, ...]],
    diagonals: Diagonals | None,
    check: Check,
) -> None:
    """Note what names a wall that does not stand in the room, or a place that is not on it.

    Parameters
    ----------
    walls : mapping of str to Wall
        The walls of the room.
    corners, clear_widths, parallel, diagonals
        As `Room` has them.
    check : Check
        At the room.
    """
    named = [(each.where, name) for each in corners for name in (each.wall, each.next_wall)]
    named += [(f"clear width {w.name!r}", name) for w in clear_widths for name in (w.wall, w.opposite)]
    named += [("parallel", name) for pair in parallel for name in pair]
    named += [("diagonals", diagonals.wall)] if diagonals is not None else []
    before = len(check.mistakes)
    for where, name in named:
        check.that(
            name in walls,
            f"no wall called {name!r} in it",
            "only walls of the room join there",
            f"choose from {', '.join(map(repr, walls))}" if walls else "add it, or take its name out",
            f"{check.place}, {where}",
        )
    if len(check.mistakes) == before:
        for corner in corners:
            _check_places(corner, walls, Check(f"{check.place}, {corner.where}", check.mistakes))
        for width in clear_widths:
            place = f"{check.place}, clear width {width.name!r}"
            _check_x((width.x_m,), walls[width.wall], Check(place, check.mistakes))
        if diagonals is not None:
            _check_z(diagonals.z_m, walls.values(), Check(f"{check.place}, diagonals", check.mistakes))


def _check_places(corner: RoomCorner, walls: Mapping[str, Wall], check: Check) -> None:
    """Note places of a corner that are not on its walls, or at the other end of them."""
    wall, after = walls[corner.wall], walls[corner.next_wall]
    if corner.triangle is not None:
        triangle = corner.triangle
        _check_x((triangle.run_m,), wall, check)
        _check_x((triangle.next_run_m,), after, check)
        _check_z(triangle.z_m, (wall, after), check)
    square = corner.off_square
    if square is None:
        return
    places = (square.on_x_m, square.x_m) if square.on == corner.wall else (square.x_m, square.on_x_m)
    _check_z(square.z_m, (wall, after), check)
    for one, x_m, side in ((wall, places[0], "right"), (after, places[1], "left")):
        _check_x(x_m, one, check)
        away = min(one.width_m - x if side == "right" else x for x in x_m)
        check.that(
            away <= one.width_m / 2 or max(x_m) > one.width_m,
            f"read at x {x_m[0]:g} and {x_m[1]:g} m of {one.name!r}, {one.width_m:g} m wide",
            f"they meet at its {side} end, and a square lies in the corner",
            "measure x from each wall's left end, and " + CLOCKWISE,
        )


def _check_x(x_m: Iterable[float], wall: Wall, check: Check) -> None:
    for x in x_m:
        check.that(
            x <= wall.width_m + ROUNDING_M,
            f"at {x:g} m along {wall.name!r}",
            f"it lies on the wall, {wall.width_m:g} m wide",
            "measure along that wall",
        )


def _check_z(z_m: float, walls: Iterable[Wall], check: Check) -> None:
    height_m = min(wall.height_m for wall in walls)
    check.that(
        z_m <= height_m + ROUNDING_M,
        f"at a height of {z_m:g} m",
        f"the lower of the walls is {height_m:g} m high",
        "measure z from the floor",
    )
