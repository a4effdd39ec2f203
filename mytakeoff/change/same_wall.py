"""Whether two surveys are of one wall, and either enough to say anything."""

from __future__ import annotations

from mytakeoff.errors import Check
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Rectangle, Wall

SAME_M = 0.02  # sizes of one wall, measured twice (no source)
SIDES = ("x_m", "z_m", "width_m", "height_m")


def check_enough(survey: Survey, which: str, check: Check) -> None:
    """Note a survey whose readings make no plane."""
    count = survey.x_m.size
    check.that(
        survey.is_enough,
        f"{count} {'reading' if count == 1 else 'readings'}",
        "a survey has at least three readings that count, not on one straight line",
        "measure more of the wall",
        survey.source or f"{which} survey of wall {survey.wall.name!r}",
    )


def check_same_wall(first: Wall, second: Wall, check: Check) -> None:
    """Note where the wall of the second survey is another one than that of the first."""
    for name in ("width_m", "height_m"):
        before, after = getattr(first, name), getattr(second, name)
        check.that(
            abs(before - after) <= SAME_M,
            f"{name.removesuffix('_m')} {after:g} m, and {before:g} m in the first survey",
            "both surveys are of the same wall",
            "give the second one the wall of the first",
        )
    ground, other = bare(first), bare(second)
    if not alike(ground, other):
        mirrored = alike(bare(first, mirrored=True), other)
        check.that(
            False,
            "openings or units as the first survey has them from the wall's other end" if mirrored
            else f"{_said(other)}, and {_said(ground)} in the first survey",
            "x runs from the wall's left end, seen from inside the room" if mirrored
            else "both surveys have the same openings and the same strips that are not plastered",
            "measure the second survey's x from the other end" if mirrored
            else "give the second one the wall of the first",
        )  # fmt: skip


def bare(wall: Wall, mirrored: bool = False) -> list[Rectangle]:
    """What of a wall is not plastered, from its left end or from its other one, in order."""
    found = [
        Rectangle(wall.width_m - each.x_m - each.width_m, each.z_m, each.width_m, each.height_m)
        if mirrored else each
        for each in wall.not_plastered
    ]  # fmt: skip
    return sorted(found, key=lambda one: tuple(round(getattr(one, side), 1) for side in SIDES))


def alike(some: list[Rectangle], others: list[Rectangle]) -> bool:
    """Whether rectangles lie where others do, in any order."""
    left = list(others)
    for one in some:
        same = next((each for each in left if _near(one, each)), None)
        if same is None:
            return False
        left.remove(same)
    return not left


def _near(one: Rectangle, other: Rectangle) -> bool:
    return all(abs(getattr(one, side) - getattr(other, side)) <= SAME_M for side in SIDES)


def _said(grounds: list[Rectangle]) -> str:
    """Where they lie, in words."""
    each = (f"x {one.x_m:g}, z {one.z_m:g}, {one.width_m:g} × {one.height_m:g} m" for one in grounds)
    return "; ".join(each) or "nothing but plaster"
