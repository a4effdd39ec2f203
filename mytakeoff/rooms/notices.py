"""What is said of a room that comes square: how its corners were found, what takes no part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mytakeoff.corners.closing import Closed
from mytakeoff.corners.plan import Plan
from mytakeoff.formats.formats import Formats, in_a_row
from mytakeoff.job.choices import Room
from mytakeoff.rooms.joined import Joined
from mytakeoff.rooms.planes import FoundWidth

TOLD_GAP_PER_WALL_M = 0.005  # what widths miss closing by is told from here: each may be a centimetre off


def notices_of(
    room: Room,
    found: Joined,
    names: Sequence[str],
    plans: Sequence[Plan],
    widths: Sequence[FoundWidth],
    formats: Formats,
) -> tuple[str, ...]:
    """Everything to know about a room beside its figures."""
    said = [*_of_corners(found, names)]
    if found.closing is not None:
        said += _of_closing(found.closing, formats)
    for plan in plans:
        if plan.gap_m > TOLD_GAP_PER_WALL_M * len(plan.names):
            gap = formats.depth(plan.gap_m * 1000, places=0, grouped=False)
            said.append(f"The widths of the walls miss closing by {gap}; it is spread over them.")
    for wall, other in room.parallel:
        if not found.together(wall, other):
            said.append(f"{wall} and {other} are not made parallel: a corner between them is not known.")
    return (*said, *(_of_width(each, formats) for each in widths if not each.kept))


def _of_corners(found: Joined, names: Sequence[str]) -> Iterator[str]:
    """Which corners are free, and which walls stand by themselves."""
    free = [each.corner for each in found.corners if each.angle_deg is None]
    unread = [each for each in free if not {each.wall, each.next_wall} <= set(names)]
    for corner in free:
        why = "a wall there takes no part" if corner in unread else "it was not measured"
        yield f"The corner of {corner.wall} and {corner.next_wall} is left free: {why}."
    joined = {name for each in found.known for name in (each.corner.wall, each.corner.next_wall)}
    alone = [name for name in names if name not in joined]
    if alone:
        stand = "stands by itself" if len(alone) == 1 else "stand by themselves"
        yield f"{in_a_row(alone)} {stand}: no corner there is known."


def _of_closing(closing: Closed, formats: Formats) -> Iterator[str]:
    """Which corner followed from the others, or what was spread over all of them."""
    if closing.followed is not None:
        each, corner = closing.followed, closing.followed.corner
        sure = f"exactly {formats.fixed(each.angle_deg or 0.0, 2)}°"
        if each.sd_mm_per_m > 0:
            sd = formats.fixed(each.sd_mm_per_m, 1)
            sure = f"{sure.removeprefix('exactly ')}, with a standard deviation of {sd} mm/m"
        yield (
            f"The corner of {corner.wall} and {corner.next_wall} was not measured: it follows from the "
            f"others as {sure}."
        )
    elif closing.over_mm_per_m is not None and closing.sd_mm_per_m > 0:
        over, sd = (formats.fixed(abs(each), 1) for each in (closing.over_mm_per_m, closing.sd_mm_per_m))
        yield (
            f"All round, the angles are {over} mm/m too {'wide' if closing.over_mm_per_m > 0 else 'narrow'}, "
            f"with a standard deviation of {sd}. It is spread over those that were measured by tape or "
            "square, by how sure they are."
        )


def _of_width(width: FoundWidth, formats: Formats) -> str:
    """A width that does not remain, or of which that is not known."""
    asked = width.asked
    if width.got_mm is None:
        return (
            f"{asked.name}: it is not known how {asked.wall} and {asked.opposite} lie to one another. "
            "Measure the corners between them, or the distance between the planes that they were read off."
        )
    lengths = width.got_mm, width.known_mm, asked.needs_mm, asked.needs_mm - width.got_mm
    got, known, needs, more = (formats.depth(mm, places=0, grouped=False) for mm in lengths)
    return f"{asked.name}: {got} remain, ± {known}, and it needs {needs}, {more} more."
