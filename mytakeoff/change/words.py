"""What there is to know of a change, in sentences."""

from __future__ import annotations

import numpy as np

from mytakeoff.change.change import FIXED, Change
from mytakeoff.change.fixed import ReadTwice
from mytakeoff.change.registration import Registration
from mytakeoff.formats.formats import Formats, counted, in_a_row
from mytakeoff.surface.surface import Surface

NOT_TOLD_M2 = 0.05
MOST_SHARE = 0.7  # of the variance, from which it is said what it comes of


def change_notices(
    made: Change,
    first: Surface,
    second: Surface,
    twice: ReadTwice,
    tie: Registration | None,
    plumb: bool,
    formats: Formats,
) -> tuple[str, ...]:
    """All of them: how the surveys are tied, which places moved, where nothing is told."""
    tied = (shape_only(twice, plumb),) if tie is None else _tied(made, twice, tie, formats)
    return (*tied, *_not_told(made, first, second, formats))


def shape_only(twice: ReadTwice, plumb: bool) -> str:
    """Why neither mean nor litres are told, and what to do."""
    there = counted(twice.x_m.size, "fixed place") if twice.x_m.size else "no fixed place"
    wanted = "two that differ in x" if plumb else "three that are not in line"
    return (
        f"Only the change of shape is told: {there} to tie the second survey to the first by, and it takes "
        f"{wanted}. An instrument that is set up anew stands at another depth, which looks like an even "
        "coat. Read places that the plaster does not move (a door frame's edge, a screw head, a mark on the "
        "floor) in both surveys."
    )


def _tied(made: Change, twice: ReadTwice, tie: Registration, formats: Formats) -> tuple[str, ...]:
    counts, off = int(tie.counts.sum()), tie.residual_mm
    said = [_moved(nth, twice, float(off[nth]), formats) for nth in made.moved]
    if not tie.agree:
        worst = int(np.argmax(np.abs(off)))
        return (
            f"The {counted(counts, 'fixed place')} disagree by more than readings are off "
            f"(up to {formats.depth(abs(float(off[worst])), places=1)}, at {twice.called(worst)}), and it "
            "cannot be told which of them moved: the uncertainty says so. Read them again, or one more.",
        )
    said += _too_close(made)
    if tie.fit.spare == 0:
        return (
            *said,
            f"{counted(counts, 'fixed place')} tie the surveys and none is to spare: if one was moved, it "
            "does not show. Read one more.",
        )
    within = formats.depth(float(np.abs(off[tie.counts]).max()), places=1)
    return (*said, f"{counted(counts, 'fixed place')} tie the surveys and agree within {within}.")


def _too_close(made: Change) -> list[str]:
    """Whether the fixed places make the most of what the mean may be off by."""
    squares = {part.name: part.standard**2 for part in made.parts}
    if squares.get(FIXED, 0.0) <= MOST_SHARE * sum(squares.values()):
        return []
    return [
        "Most of what this may be off comes of the fixed places: one more, far from the others and beyond "
        "the middle of the wall, makes it surer."
    ]


def _moved(nth: int, twice: ReadTwice, off_mm: float, formats: Formats) -> str:
    way = "towards the room" if off_mm > 0 else "away from the room"
    called = twice.called(nth)
    return (
        f"{called[0].upper()}{called[1:]} moved by {formats.depth(abs(off_mm), places=1)} {way} against the "
        "others, or was misread: it is put aside. Look at it again."
    )


def _not_told(made: Change, first: Surface, second: Surface, formats: Formats) -> tuple[str, ...]:
    """Where nothing is told, and whose survey says nothing there."""
    missing = float(first.cell_area_m2.sum() - made.area_m2.sum())
    if missing < NOT_TOLD_M2:
        return ()
    surveys = (("first", first), ("second", second))
    whose = [which for which, surface in surveys if surface.unknown_area_m2 >= NOT_TOLD_M2]
    by = f", where the {in_a_row(whose)} survey says nothing" if whose else ""
    return (f"Nothing is told of {formats.number(missing, 1)} m²{by}.",)
