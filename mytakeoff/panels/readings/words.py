"""What is said beside the readings of a wall: how many, what the wall comes to so far, where to read next."""

from __future__ import annotations

from mytakeoff.formats.formats import Formats
from mytakeoff.job.job import Job
from mytakeoff.panels.parts import range_words
from mytakeoff.panels.parts.html import Html, element, message, paragraphs
from mytakeoff.ranges.job_ranges import JobRanges
from mytakeoff.ranges.worth_reading import NextPlace, WorthReading
from mytakeoff.survey.reading_grid import Typed, TypedGrid
from mytakeoff.survey.stance import Stance
from mytakeoff.survey.wall import Wall

LEAST_FOR_RANGE = 6  # with fewer readings a range says nothing but that they are few
WALK = (
    "Enter goes on to the next place: down the first column from the left, up the next one. A dash says that "
    "a place could not be read; an empty one is not read yet."
)
WALK_A_LIST = (
    "Enter goes on to the next place of the list. A dash says that a place could not be read; an empty one "
    "is not read yet."
)
NO_WALL = message("Choose a wall to read.")
TOO_FEW = "Three readings that are not in one line make a plane: from then on the wall is shown."


DASH = "–"


def walk(typed: Typed) -> str:
    """How one goes on from place to place."""
    return WALK if isinstance(typed, TypedGrid) else WALK_A_LIST


def where(instead_of: str, name: str, folder: str) -> str:
    """Where what is typed goes, where that is not the sheet that it was read from."""
    if not folder:
        return "This job was not opened from a folder, so nothing is kept of what is typed."
    return f"What is typed goes to {name}; {instead_of} stays as it is."


def of_line(unit: str, *, towards: bool) -> str:
    """What a reading is, with its unit."""
    return (
        f"towards the room, {unit} (larger: prouder)"
        if towards
        else f"off the line, {unit} (larger: hollower)"
    )


def counted(typed: Typed, wall: Wall, formats: Formats) -> str:
    """How many places of how many are read."""
    asked = len(typed.walk(wall))
    dashes = sum(typed.value(spot) == "-" for spot in typed.spots)
    could_not = f", {formats.number(dashes)} could not be" if dashes else ""
    return f"{formats.number(typed.count)} of {formats.number(asked)} places are read{could_not}."


def heads(typed: Typed, formats: Formats) -> tuple[list[list[str]], list[list[str]]]:
    """Columns and rows, each as it stands at its side and as it is spoken."""
    if isinstance(typed, TypedGrid):
        return (
            [
                [
                    formats.length(x, places=2, grouped=True, column=True),
                    f"x {formats.length(x, places=2, grouped=True)}",
                ]
                for x in typed.x_m
            ],
            [
                [
                    formats.length(z, places=2, grouped=True, column=True),
                    f"z {formats.length(z, places=2, grouped=True)}",
                ]
                for z in typed.z_m
            ],
        )
    at = [formats.place(x, z, grouped=True) for x, z, _ in typed.places]
    return [["reading", ""]], [[each, each] for each in at]


def corner(typed: Typed, formats: Formats) -> str:
    """What stands over the heights and beside the distances."""
    return f"z ↓  x →{'' if formats.feet_and_inches else '  m'}" if isinstance(typed, TypedGrid) else "place"


def stands(stance: Stance, wall: Wall, *, plumb: bool, formats: Formats) -> Html:
    """How the wall stands by the readings so far."""
    lean = formats.lean(stance.c_mm_per_m * wall.height_m if plumb else None, wall.height_m)
    bow = formats.mm(stance.bow_mm)
    return element("p", f"The wall {lean}. It bows by {bow} from its hollowest to its proudest place.")


def litres(sure: JobRanges, wall: str) -> Html:
    """Litres of the wall and their range."""
    found = sure.wall(wall)
    return paragraphs([range_words.wall(found, sure.result.job.formats)]) if found is not None else Html()


def next_mark(number: int, place: NextPlace, formats: Formats) -> list[str]:
    """The sign of a place to read next, and what a reading there does."""
    return [range_words.place_mark(number), f"read next, {_does(place, formats)}"]


def _does(place: NextPlace, formats: Formats) -> str:
    narrows, saves = formats.number(place.narrows_l, 1), formats.amount(place.saving.total)
    return f"narrows the range by {narrows} l and saves {saves} on average"


def worth(found: WorthReading | None, job: Job, *, in_grid: bool) -> Html:
    """Where to read next, or that it is enough."""
    if found is None or not found.places:
        return element("p", "On this wall no further reading is worth much: stop reading.")
    formats, first = job.formats, found.places[0]
    saves, price = formats.amount(found.saves), formats.amount(found.price)
    if found.is_enough:
        return element(
            "p",
            "The range is narrow enough for the price: a further reading saves "
            f"{saves} on average at most, and taking one costs {price}. Stop reading.",
        )
    where_next = formats.place(first.reading.x_m, first.reading.z_m)
    likely = f"{range_words.likely(first.reading, formats)} off the line"
    where = "" if in_grid else " It is none of the places above: the button adds it."
    return element(
        "p",
        f"Read {range_words.place_mark(1)} next, {where_next} ({likely}): it {_does(first, formats)}. "
        f"The next readings save {saves} each, and taking one costs {price}.{where}",
    )
