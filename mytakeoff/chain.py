"""The chain: from what the user entered to each stage's result.

Each stage is cached by what it depends on, so an edit recomputes only what follows from it: a price edit the
prices, a rule the plane and what comes after, a survey everything of its wall.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from mytakeoff.backgrounds import check_system, cut_limit_mm
from mytakeoff.buildup import BuildUp, full_coat
from mytakeoff.coats import Layer, layers
from mytakeoff.cost import Cost, price_lines
from mytakeoff.defaults import PLASTERER
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.job import Job, JobWall, Margins, PlaneChoice
from mytakeoff.lines import Takeoff, takeoff_lines
from mytakeoff.materials import MixNeed, mix_needs
from mytakeoff.mixes import System
from mytakeoff.notices import cut_less_notice, wall_notices
from mytakeoff.plane import PlaneRule, TargetPlane, target_plane
from mytakeoff.prices import PriceList
from mytakeoff.rails import rail_least_mm, rail_positions
from mytakeoff.surface import Surface, grid_surface
from mytakeoff.survey import Survey
from mytakeoff.units import say
from mytakeoff.wall import LooseArea
from mytakeoff.wallresult import WallResult

KEPT = 64  # results kept for each stage: a few positions of the sliders for each wall of a flat


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
        hours = sum(float(line.quantity) for line in self.cost.lines if line.priced_as == PLASTERER)
        return hours / (self.job.rates.day_h * self.job.rates.crew)

    @property
    def notices(self) -> tuple[str, ...]:
        """What the user should know, wall by wall."""
        return tuple(f"{wall.entry.name}: {notice}" for wall in self.walls for notice in wall.notices)


@lru_cache(maxsize=KEPT)
def surface_stage(
    survey: Survey, cell_m: float, reach_m: float, loose: tuple[LooseArea, ...], growth_share: float
) -> Surface:
    """Cached `grid_surface`."""
    return grid_surface(survey, cell_m, reach_m, loose, growth_share)


@lru_cache(maxsize=KEPT)
def plane_stage(surface: Surface, rule: PlaneRule) -> TargetPlane:
    """Cached `target_plane`."""
    return target_plane(surface, rule)


@lru_cache(maxsize=KEPT)
def build_up_stage(surface: Surface, plane: TargetPlane, rule: PlaneRule) -> BuildUp:
    """Cached `full_coat`."""
    return full_coat(surface, plane, rule)


@lru_cache(maxsize=KEPT)
def layers_stage(build_up: BuildUp, system: System) -> tuple[Layer, ...]:
    """Cached `layers`."""
    return layers(build_up, system)


def rule_for(job: Job, entry: JobWall) -> PlaneRule:
    """The rule that a wall's plane keeps: least thickness of its backing, finish and rails put together.

    Raises
    ------
    TakeoffError
        A rule that the survey cannot answer: plumb or square off a plane that was not plumb, square
        without a measured corner.
    """
    choice, system = job.plane, job.system_of(entry)
    _check_choice(choice, entry)
    least = system.backing.least_coat_mm if choice.least_mm is None else choice.least_mm
    plumb = choice.kind != "free"
    return PlaneRule(
        least_mm=least + system.finish_mm,
        rails_x_m=rail_positions(entry.wall.width_m, job.rails),
        rail_least_mm=rail_least_mm(job.rails) + system.finish_mm if job.rails.used else 0.0,
        cut_mm=min(choice.cut_mm, cut_limit_mm(entry.background, entry.old_plaster_mm)),
        plumb=plumb,
        turn_mm_per_m=entry.turn_mm_per_m if choice.kind == "square" else None,
        lean_limit_mm_per_m=None if plumb else choice.lean_limit_mm_per_m,
        turn_limit_mm_per_m=choice.turn_limit_mm_per_m,
    )


def _check_choice(choice: PlaneChoice, entry: JobWall) -> None:
    check = Check(f"wall {entry.name!r}")
    check.that(
        choice.kind == "free" or entry.survey.plumb,
        f"a {choice.kind} plane from readings off a plane that was not plumb",
        "plumb and lean mean something only when the plane measured off was plumb",
        "measure off a plumb plane, or choose the plane that is free to lean",
    )
    check.that(
        choice.kind != "square" or entry.turn_mm_per_m is not None,
        "a square plane without a measured corner",
        "square needs the turn of the corner",
        "measure the corner and enter turn_mm_per_m, or choose plumb",
    )
    check.done()


@lru_cache(maxsize=KEPT)
def wall_stage(
    entry: JobWall,
    system: System,
    rule: PlaneRule,
    surface: Surface,
    allowance_mm: float,
    asked_cut_mm: float,
    growth_share: float,
) -> WallResult:
    """One wall from its surface on; cached as a whole, so that an unchanged wall is the same object."""
    plane = plane_stage(surface, rule)
    build_up = build_up_stage(surface, plane, rule)
    wall = entry.wall
    made = WallResult(
        entry=entry,
        system=system,
        surface=surface,
        rule=rule,
        plane=plane,
        build_up=build_up,
        layers=layers_stage(build_up, system),
        allowance_mm=allowance_mm,
        rails_x_m=rule.rails_x_m,
        rail_length_m=wall.height_m - wall.skirting_m - wall.cornice_m,
    )
    less = (cut_less_notice(made, asked_cut_mm),) if rule.cut_mm < asked_cut_mm else ()
    return made.with_notices((*wall_notices(made, growth_share), *less))


def evaluate_wall(job: Job, entry: JobWall) -> WallResult:
    """Every stage of one wall up to its coats.

    Raises
    ------
    TakeoffError
        Whatever a stage finds wrong with what was entered.
    """
    system = job.system_of(entry)
    check_system(entry.background, system, f"wall {entry.name!r}")
    rule = rule_for(job, entry)
    surface = surface_stage(entry.survey, job.cell_m, job.reach_m, entry.loose, job.loose_growth_share)
    allowance, growth = _allowance_mm(job, entry), job.loose_growth_share
    return wall_stage(entry, system, rule, surface, allowance, job.plane.cut_mm, growth)


def _allowance_mm(job: Job, entry: JobWall) -> float:
    """For the high spot that the readings missed: the wall's own, none where it was swept, else the job's."""
    if entry.missed_high_spot_mm is not None:
        return entry.missed_high_spot_mm
    return 0.0 if entry.survey.swept or entry.survey.layout == "scan" else job.missed_high_spot_mm


def square_litres(job: Job, entry: JobWall) -> float | None:
    """What a wall would take plumb and square to its measured corner [l]; None where no corner was measured.

    A plane that is free to turn may swing for tenths of a millimetre: this says what squaring it costs.
    """
    if entry.turn_mm_per_m is None or not entry.survey.plumb:
        return None
    square = replace(job, plane=replace(job.plane, kind="square"))
    return evaluate_wall(square, entry).build_up.volume_l


NO_PRICES = PriceList()
NO_MARGINS = Margins()


@lru_cache(maxsize=KEPT)
def takeoff_stage(job: Job, walls: tuple[WallResult, ...]) -> Takeoff:
    """Cached `takeoff_lines`; the job comes without prices and margins, which it does not read."""
    return takeoff_lines(job, walls)


@lru_cache(maxsize=KEPT)
def needs_stage(job: Job, walls: tuple[WallResult, ...]) -> tuple[MixNeed, ...]:
    """Cached `mix_needs`; the job comes without prices and margins."""
    return mix_needs(job, walls)


def evaluate(job: Job) -> Result:
    """The whole chain.

    Parameters
    ----------
    job : Job

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
            walls.append(evaluate_wall(job, entry))
        except TakeoffError as error:
            check.add(error)
    check.done()
    done, unpriced = tuple(walls), replace(job, prices=NO_PRICES, margins=NO_MARGINS)
    cost = price_lines(takeoff_stage(unpriced, done), job.prices, job.margins, job.currency, job.money_places)
    return Result(job, done, needs_stage(unpriced, done), cost)
