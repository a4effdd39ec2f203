"""What `evaluate` gives: every stage of a job, frozen, and the figures that are read off them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from mytakeoff.cost.cost import Cost
from mytakeoff.formats.formats import Formats, counted, in_a_row
from mytakeoff.job.catalogue import PLASTERER
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.prices import INVENTED
from mytakeoff.measure.materials import MixNeed
from mytakeoff.survey.as_taken import FEWEST, in_a_line
from mytakeoff.treatment.guesses import Guess, guess_of
from mytakeoff.treatment.left_open import Together, with_allowances
from mytakeoff.treatment.notices import PassedLimit, overload
from mytakeoff.treatment.squaring import squaring_notices
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import evaluate_wall
from mytakeoff.units import decimal_of, round_money

# Notes of the demo and of new jobs, older ones too: they speak of surveys and prices that the user replaces.
EXAMPLE_NOTES = (
    "Invented for demonstration: place, readings, prices and rates are nobody's.",
    "All prices are invented: put your own in before you use a figure.",
    "The example survey and all prices are invented: put your own in before you use a figure.",
)
# Readings of the demo job and of the wall that new jobs used to begin with, by digest; a test holds them to
# their files.
EXAMPLE_READINGS = frozenset(
    (
        "408361fe9515ca25",  # party wall
        "dac9c99ed9d8e261",  # window wall
        "317d7545688f916a",  # breast front
        "9a68b18133ac3c66",  # breast left cheek
        "40ff07864004f3a9",  # breast right cheek
        "95862836a03363f6",  # door wall
        "3ecaab4ad115c1cd",  # long wall
    )
)
MOST_NAMED = 5

LEAST_UNPRICED_M2 = 0.05  # shown to a tenth of a square metre


def _is_example(entry: JobWall) -> bool:
    """Whether its readings are those that the package brings along."""
    return entry.survey.readings_digest in EXAMPLE_READINGS


def more_litres(measured_l: float, allowance_l: float, formats: Formats) -> str:
    """What lies between the readings, as it is said beside the litres measured: both add up to the whole.

    Parameters
    ----------
    measured_l, allowance_l : float
        Through the readings, and on top for what lies between them [l].
    formats : Formats

    Returns
    -------
    str
        Whole litres; "less" after them where the readings take more than is likely; "" for none.

    Examples
    --------
    98 l are priced: 92 were measured, so 6 were not.

    >>> from mytakeoff.formats.formats import HOUSE
    >>> more_litres(92.4, 5.3, HOUSE), more_litres(92.4, -2.5, HOUSE), more_litres(92.4, 0.05, HOUSE)
    ('6', '2 less', '')
    """
    whole, measured = (round_money(decimal_of(each), 0) for each in (measured_l + allowance_l, measured_l))
    if whole == measured:
        return ""
    return formats.number(abs(whole - measured)) + (" less" if whole < measured else "")


def why_unread(entry: JobWall) -> str:
    """What is missing of a wall that is not read yet, in words; "" for one that is read."""
    if entry.is_read:
        return ""
    read, count = entry.survey.x_m.size, counted(entry.survey.x_m.size, "reading")
    if read < FEWEST:
        return f"{count if read else 'no readings'} yet" + (f", and a plane takes {FEWEST}" if read else "")
    if in_a_line(entry.survey.x_m, entry.survey.z_m):
        return f"{count} yet, all on one straight line"
    return f"{count} yet, too few that count for a plane"


def _few_of(names: Sequence[str]) -> str:
    """Names in a row, the first few of many."""
    more = len(names) - MOST_NAMED
    return in_a_row([*names[:MOST_NAMED], *([counted(more, "more wall")] if more > 0 else [])])


@dataclass(frozen=True, eq=False)
class Result:
    """Every stage of a job.

    Parameters
    ----------
    job : Job
        What it was computed from.
    walls : tuple of WallResult
        The walls that are priced, in the job's order.
    needs : tuple of MixNeed
        What each mix takes over all of them.
    cost : Cost
        The table: `cost.total`, `cost.to_frame()`.
    """

    job: Job
    walls: tuple[WallResult, ...]
    needs: tuple[MixNeed, ...]
    cost: Cost

    def __str__(self) -> str:
        formats, number = self.job.formats, self.job.formats.number
        total = formats.amount(self.cost.total)
        more = f" ({said})" if (said := self.allowance_words) else ""
        return (
            f"{self.job.title}: {total} with tax, {self.bags} bags, {number(self.dry_kg)} kg dry, "
            f"{number(self.litres)} l{more} over {number(self.area_m2, 1)} m², mean "
            f"{formats.depth(self.mean_mm, places=1)}, thickest {formats.depth(self.max_mm, places=0)}"
            + "".join(f". {said.removesuffix('.')}" for said in (*self.not_read, *self.guessed))
        )

    def wall(self, name: str) -> WallResult:
        """The result of one wall; it need not be among the priced ones.

        Raises
        ------
        TakeoffError
            The job has no such wall.
        """
        for wall in self.walls:
            if wall.entry.name == name:
                return wall
        return with_allowances(self.job, [evaluate_wall(self.job, self.job.wall(name))])[0]

    @property
    def volume_l(self) -> float:
        """Plaster in place on the priced walls, finish included [l]."""
        return sum(wall.build_up.volume_l for wall in self.walls)

    @property
    def allowance_l(self) -> float:
        """Plaster for what lies between the readings, on top of that [l]."""
        return sum(wall.allowance_l for wall in self.walls)

    @property
    def allowance_words(self) -> str:
        """How many of the litres were measured, and how many lie between the readings; "" where all were."""
        more = more_litres(self.volume_l, self.allowance_l, self.job.formats)
        measured = self.job.formats.number(self.volume_l)
        return f"{measured} measured, {more} for what lies between the readings" if more else ""

    @property
    def litres(self) -> float:
        """What is priced, bought, weighed, carried and gauged [l]."""
        return self.volume_l + self.allowance_l

    @property
    def left_open(self) -> Together | None:
        """What lies between the readings of the priced walls; None where it was not worked out."""
        opens = [wall.left_open for wall in self.walls if wall.left_open is not None]
        return Together.of(opens) if len(opens) == len(self.walls) > 0 and not self.held else None

    @property
    def held(self) -> tuple[str, ...]:
        """Walls whose allowance stands for what is still to be worked out, by name."""
        return tuple(wall.entry.name for wall in self.walls if wall.held)

    @property
    def area_m2(self) -> float:
        """Area priced [m²]."""
        return sum(wall.build_up.area_m2 for wall in self.walls)

    @property
    def unpriced_m2(self) -> float:
        """Area that no survey reaches: not priced [m²]."""
        return sum(wall.surface.unknown_area_m2 for wall in self.walls)

    @property
    def guesses(self) -> tuple[Guess, ...]:
        """What is guessed of each wall on ground that no reading reached."""
        found = (guess_of(wall) for wall in self.walls)
        return tuple(guess for guess in found if guess is not None)

    @property
    def guessed(self) -> tuple[str, ...]:
        """A sentence for each wall of which so much is guessed that it has to be said."""
        said = (guess.said(self.job.formats) for guess in self.guesses)
        return tuple(filter(None, said))

    @property
    def not_measured(self) -> tuple[str, ...]:
        """What is guessed, in a sentence for a client; none where it goes without saying."""
        area = sum(guess.area_m2 for guess in self.guesses if guess.said())
        if area == 0:
            return ()
        return (
            f"{self.job.formats.number(area, 1)} m² could not be measured; the price assumes that the wall "
            "goes on there as beside it.",
        )

    @property
    def not_reached(self) -> tuple[str, ...]:
        """What is not priced, since no survey reaches it, in a sentence; none where that is hardly any."""
        if self.unpriced_m2 < LEAST_UNPRICED_M2:
            return ()
        area = self.job.formats.number(self.unpriced_m2, 1)
        return (f"Not priced: {area} m² that the survey does not reach.",)

    @property
    def not_read(self) -> tuple[str, ...]:
        """Which walls are not priced since not enough is read of them yet, a sentence for each reason."""
        why: dict[str, list[str]] = {}
        for entry in self.job.unread_walls:
            why.setdefault(why_unread(entry), []).append(entry.name)
        return tuple(
            f"{_few_of(names)} {'is' if len(names) == 1 else 'are'} not priced: {reason}."
            for reason, names in why.items()
        )

    @property
    def not_priced(self) -> tuple[str, ...]:
        """All that is not priced since nobody measured it: walls, and ground on those that are read."""
        return (*self.not_read, *self.not_reached)

    @property
    def mean_mm(self) -> float:
        """Mean thickness over the priced area [mm]."""
        return self.volume_l / self.area_m2 if self.area_m2 else 0.0

    @property
    def max_mm(self) -> float:
        """Thickest place [mm]."""
        return max((wall.build_up.max_mm for wall in self.walls), default=0.0)

    @property
    def dry_kg(self) -> float:
        """Dry weight of all mixes, waste included [kg]."""
        return sum(need.dry_kg for need in self.needs)

    @property
    def bags(self) -> int:
        """Bags of all mixes, as they are bought [-]."""
        return sum(need.bags for need in self.needs)

    @property
    def coats(self) -> int:
        """Greatest number of coats on any of the walls, finish included [-]."""
        return max((sum(len(layer.coats) for layer in wall.layers) for wall in self.walls), default=0)

    @property
    def days(self) -> float:
        """Days on site for the crew, waits not counted [d]."""
        hours = sum((line.quantity for line in self.cost.lines if line.priced_as == PLASTERER), Decimal(0))
        return float(hours) / (self.job.rates.day_h * self.job.rates.crew)

    @property
    def overloaded_walls(self) -> tuple[PassedLimit, ...]:
        """Walls that cannot be plastered as they are priced: over a tenth is thicker than is carried."""
        found = (overload(wall, self.job.loose_growth_share) for wall in self.walls)
        return tuple(passed for passed in found if passed is not None)

    @property
    def notes(self) -> tuple[str, ...]:
        """The job's notes; one that says what is invented says it only of what still is."""
        said = (self._invented(note) if note in EXAMPLE_NOTES else note for note in self.job.notes)
        return tuple(filter(None, said))

    def _invented(self, note: str) -> str:
        """What of the example is still in the price: nothing once surveys and prices are the user's own."""
        surveys = [wall.entry.name for wall in self.walls if _is_example(wall.entry)]
        used = {line.priced_as for line in self.cost.lines}
        packs = {pack.item for pack in self.job.packs.rows if pack.note.startswith(INVENTED)}
        rows = [row for row in self.job.prices.rows if row.item in used]
        invented = [row.item for row in rows if row.invented or row.item in packs]
        if len(surveys) == len(self.walls) and len(invented) == len(rows):
            return note
        said = []
        if surveys:
            said.append(f"the {'survey' if len(surveys) == 1 else 'surveys'} of {', '.join(surveys)}")
        if invented:
            count = "all prices" if len(invented) == len(rows) else counted(len(invented), "price")
            few = f" ({', '.join(invented)})" if len(invented) <= MOST_NAMED else ""
            said.append(f"{count}{few}")
        return f"Invented, to be replaced before a figure is used: {' and '.join(said)}." if said else ""

    @property
    def notices(self) -> tuple[str, ...]:
        """What the user should know: which walls are missing, then of rooms that come square and of walls."""
        by_wall = (f"{wall.entry.name}: {notice}" for wall in self.walls for notice in wall.notices)
        return (*self.not_read, *squaring_notices(self.job), *by_wall)
