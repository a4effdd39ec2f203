"""The chain: from what the user entered to each stage's result.

Each stage is cached by what it depends on, so an edit recomputes only what follows from it: a price edit the
prices, a rule the plane and what comes after, a survey everything of its wall.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from mytakeoff.cost.cost import Cost, price_lines
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.job.catalogue import PLASTERER
from mytakeoff.job.choices import Margins
from mytakeoff.job.job import Job, JobWall
from mytakeoff.job.packs import Buying, PackList
from mytakeoff.job.prices import PriceList
from mytakeoff.measure.materials import MixNeed, mix_needs
from mytakeoff.takeoff.takeoff import Takeoff, takeoff_lines
from mytakeoff.treatment.floated import floated_wall
from mytakeoff.treatment.treat import treated_wall
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.units import say

KEPT = 64  # takeoffs kept


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
        total = f"{say(self.cost.total, self.cost.money_places)} {self.cost.currency}"
        return (
            f"{self.job.title}: {total} with tax, {self.bags} bags, {say(self.dry_kg)} kg dry, "
            f"{say(self.volume_l)} l over {say(self.area_m2, 1)} m², mean {say(self.mean_mm, 1)} mm, "
            f"thickest {say(self.max_mm)} mm"
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
        return evaluate_wall(self.job, self.job.wall(name))

    @property
    def volume_l(self) -> float:
        """Plaster in place on the priced walls, finish included [l]."""
        return sum(wall.build_up.volume_l for wall in self.walls)

    @property
    def allowance_l(self) -> float:
        """Plaster for the high spots that the readings missed, on top of that [l]."""
        return sum(wall.allowance_l for wall in self.walls)

    @property
    def area_m2(self) -> float:
        """Area priced [m²]."""
        return sum(wall.build_up.area_m2 for wall in self.walls)

    @property
    def unpriced_m2(self) -> float:
        """Area that no survey reaches: not priced [m²]."""
        return sum(wall.surface.unknown_area_m2 for wall in self.walls)

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
        """Bags of all mixes, with those of the allowance [-]."""
        return sum(need.bags + need.allowance_bags for need in self.needs)

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
    def notices(self) -> tuple[str, ...]:
        """What the user should know, wall by wall."""
        return tuple(f"{wall.entry.name}: {notice}" for wall in self.walls for notice in wall.notices)


def evaluate_wall(job: Job, entry: JobWall, decided_by: Job | None = None) -> WallResult:
    """Every stage of one wall up to its coats, treated as the wall or the job has it.

    `decided_by` is as in `evaluate`.

    Raises
    ------
    TakeoffError
        Whatever a stage finds wrong with what was entered.
    """
    treatment = entry.treatment or job.treatment
    if treatment is None:
        return floated_wall(job, entry)
    return treated_wall(job, entry, treatment, decided_by)


def square_litres(job: Job, entry: JobWall) -> float | None:
    """What a wall would take plumb and square to its measured corner [l]; None where no corner was measured.

    A plane that is free to turn may swing for tenths of a millimetre: this says what squaring it costs.
    """
    if entry.square_turn_mm_per_m is None or not entry.survey.plumb:
        return None
    square = replace(job, plane=replace(job.plane, kind="square"))
    return floated_wall(square, entry).build_up.volume_l


NO_PRICES = PriceList()
NO_MARGINS = Margins()
NO_PACKS, NO_BUYING = PackList(), Buying()


@lru_cache(maxsize=KEPT)
def takeoff_stage(job: Job, walls: tuple[WallResult, ...]) -> Takeoff:
    """Cached `takeoff_lines`; the job comes without prices and margins, which it does not read."""
    return takeoff_lines(job, walls)


@lru_cache(maxsize=KEPT)
def needs_stage(job: Job, walls: tuple[WallResult, ...]) -> tuple[MixNeed, ...]:
    """Cached `mix_needs`; the job comes without prices and margins."""
    return mix_needs(job, walls)


def _unpriced(job: Job) -> Job:
    """The job without what only its price and its order read, so that editing that recomputes no takeoff."""
    return replace(job, prices=NO_PRICES, margins=NO_MARGINS, packs=NO_PACKS, buying=NO_BUYING)


def evaluate(job: Job, decided_by: Job | None = None) -> Result:
    """The whole chain.

    Parameters
    ----------
    job : Job
    decided_by : Job or None
        The job, of the same walls, whose prices and rules decide how much of the high spots is taken down;
        None: this one. With another, what was decided once is priced as things turn out.

    Returns
    -------
    Result
        Pure: the same job gives the same result, and nothing else is touched.

    Raises
    ------
    TakeoffError
        Every mistake found in what the user entered, over all walls at once.
    """
    check = Check()
    walls: list[WallResult] = []
    for entry in job.priced_walls:
        try:
            walls.append(evaluate_wall(job, entry, decided_by))
        except TakeoffError as error:
            check.add(error)
    check.done()
    done, unpriced = tuple(walls), _unpriced(job)
    cost = price_lines(takeoff_stage(unpriced, done), job.prices, job.margins, job.currency, job.money_places)
    return Result(job, done, needs_stage(unpriced, done), cost)
