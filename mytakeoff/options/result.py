"""One way of treating the walls, priced and judged."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cached_property

from mytakeoff.cost.cost import Cost
from mytakeoff.errors import TakeoffError
from mytakeoff.figures.headline import Headline, headline
from mytakeoff.flatness.judging import Finding
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.treatments import Treatment
from mytakeoff.measure.materials import MixNeed
from mytakeoff.options.what_is_left import Remains
from mytakeoff.programme.programme import Programme, booked
from mytakeoff.result import Result
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import straightens

HOLLOWS_ONLY = "Straightening fills hollows only: a bulge stays. Take it down, or float the wall over it."


@dataclass(frozen=True, eq=False)
class OptionResult:
    """One way of treating the walls.

    Parameters
    ----------
    name : str
    result : Result
        The chain of the job that is treated so; its `job` is the one to carry to the budget.
    remains : tuple of Remains
        What is left, wall by wall in the order of `walls`.
    treatment : Treatment or None
        None where each wall has its own.
    """

    name: str
    result: Result
    remains: tuple[Remains, ...]
    treatment: Treatment | None = None

    @property
    def walls(self) -> tuple[WallResult, ...]:
        """The walls that are priced."""
        return self.result.walls

    @property
    def needs(self) -> tuple[MixNeed, ...]:
        """What each mix takes."""
        return self.result.needs

    @property
    def cost(self) -> Cost:
        """The priced lines."""
        return self.result.cost

    @property
    def total(self) -> Decimal:
        """With tax."""
        return self.cost.total

    @property
    def litres(self) -> float:
        """Plaster in the price, with that for what lies between the readings [l]."""
        return self.headline.litres

    @property
    def days(self) -> float:
        """Days' work [d]."""
        return self.headline.work_days

    @property
    def days_to_paint(self) -> int:
        """From the first day on site until every wall is dry enough to paint, as the programme has it [d]."""
        return self._programme.days_to_paint

    @cached_property
    def headline(self) -> Headline:
        """The figures that its job is known by."""
        return headline(self.result)

    def headline_from(self, start: date) -> Headline:
        """The same where work begins on or after `start`."""
        job = self.result.job
        begun = replace(job, calendar=replace(job.calendar, start=start))
        return headline(replace(self.result, job=begun))

    @cached_property
    def _programme(self) -> Programme:
        return booked(self.result)

    def paint_date(self, start: date) -> date:
        """The earliest day on which every wall can take paint, where work begins on or after `start`."""
        return booked(self.result, start).paint_date

    @property
    def dry_kg(self) -> float:
        """Weight that stays on the walls; what came off is not subtracted [kg]."""
        return sum(left.dry_kg for left in self.remains)

    @property
    def dry_kg_per_m2(self) -> float:
        """The same on the wall that gets most [kg/m²]."""
        return max((left.dry_kg_per_m2 for left in self.remains), default=0.0)

    @property
    def room_lost_mm(self) -> float:
        """How far the proudest place of a wall came forward, on the wall where that is most [mm]."""
        return max((left.narrower_mm for left in self.remains), default=0.0)

    @property
    def worst_gap_mm(self) -> float:
        """Greatest gap under the edge on any wall [mm]."""
        return max((left.worst_gap_mm for left in self.remains), default=0.0)

    @property
    def gap_95_mm(self) -> float:
        """The gap that 95 % of the area does not exceed, on the worst wall [mm]."""
        return max((left.gap_95_mm for left in self.remains), default=0.0)

    @property
    def belly_mm(self) -> float:
        """Greatest bulge on any wall [mm]."""
        return max((left.worst_belly_mm for left in self.remains), default=0.0)

    @property
    def over_tolerance_share(self) -> float:
        """Area over the tolerance on all walls, as a share of it [-]."""
        over = sum(left.over_tolerance_m2 for left in self.remains)
        return over / self.result.area_m2 if self.result.area_m2 else 0.0

    @property
    def lean_mm(self) -> float | None:
        """Lean over its height of the wall that leans most, into the room positive; None: not known [mm]."""
        leans = [left.lean_mm for left in self.remains if left.lean_mm is not None]
        return max(leans, key=abs) if leans else None

    @property
    def unfinished(self) -> tuple[str, ...]:
        """Walls that are left as bare masonry, or with plaster that is loose or has fallen."""
        return tuple(wall.entry.name for wall in self.walls if left_open(wall))

    @property
    def passes(self) -> bool:
        """Whether every wall is finished and passes the grade."""
        return not self.unfinished and all(left.passes for left in self.remains)

    @property
    def untold(self) -> bool:
        """Whether no wall fails, and some cannot be judged by their scan."""
        held = all(left.passes or left.untold for left in self.remains)
        return held and not self.passes and not self.unfinished

    @property
    def worst(self) -> tuple[str, Finding]:
        """The wall, and the finding on it, that is most over the grade or has least to spare.

        Of the walls that fail if any does, else of those that were not judged.
        """
        pairs = [(wall.entry.name, left) for wall, left in zip(self.walls, self.remains, strict=True)]
        fail = [pair for pair in pairs if not pair[1].passes and not pair[1].untold]
        among = fail or [pair for pair in pairs if pair[1].untold] or pairs
        found = [(name, left.verdict.worst) for name, left in among]
        return max(found, key=lambda each: each[1].over_by / max(each[1].allowed, 0.01))

    @property
    def verdict(self) -> str:
        """In words: passes or fails, where, and by how much."""
        wall, worst = self.worst
        by = self._sized(worst, abs(worst.over_by))
        found = self._sized(worst, worst.found, column=True)
        said = f"{worst.what} {found} of {self._sized(worst, worst.allowed, places=None)}"
        if self.unfinished and all(left.passes or left.untold for left in self.remains):
            flat = "flat enough, but " if all(left.passes for left in self.remains) else ""
            return f"{flat}not finished: {', '.join(self.unfinished)}"
        if self.untold:
            untold = self._sized(worst, worst.untold_mm)
            return f"not judged on {wall}: {said}, and {untold} may be the instrument's own bow"
        if self.passes:
            return f"passes; least to spare on {wall}: {said}"
        return f"fails on {wall} by {by}: {said}"

    def _sized(self, found: Finding, value: float, places: int | None = 1, *, column: bool = False) -> str:
        """What was found, or is allowed: a gap or a count."""
        formats = self.result.job.formats
        if found.unit:
            return formats.depth(value, places=places, grouped=False, column=column)
        return formats.short(value) if places is None else formats.fixed(value, places)

    @property
    def notices(self) -> tuple[str, ...]:
        """What the user should know, wall by wall; why plumb was not judged among it."""
        notes = (
            f"{wall.entry.name}: {left.verdict.note}"
            for wall, left in zip(self.walls, self.remains, strict=True)
            if left.verdict.note
        )
        straight = any(straightens(wall) for wall in self.walls)
        return (*self.result.notices, *notes, *((HOLLOWS_ONLY,) if straight else ()))

    @property
    def row(self) -> dict[str, object]:
        """Its row of the table, by column, without ranges."""
        return {
            "option": self.name,
            "price": self.total,
            "currency": self.cost.currency,
            "litres": _tidy(self.litres),
            "bags": self.headline.bags,
            "days": self.days,
            "days_to_paint": self.days_to_paint,
            "dry_kg": _tidy(self.dry_kg),
            "dry_kg_per_m2": _tidy(self.dry_kg_per_m2),
            "room_lost_mm": _tidy(self.room_lost_mm),
            "greatest_gap_mm": _tidy(self.worst_gap_mm),
            "gap_95_mm": _tidy(self.gap_95_mm),
            "over_tolerance_share": round(self.over_tolerance_share, 4),
            "belly_mm": _tidy(self.belly_mm),
            "lean_mm": _tidy(self.lean_mm),
            "passes": None if self.untold else self.passes,
            "verdict": self.verdict,
        }


@dataclass(frozen=True)
class Refused:
    """A way that cannot be taken on these walls, and why."""

    name: str
    why: TakeoffError
    treatment: Treatment | None = None

    @property
    def row(self) -> dict[str, object]:
        """Its row of the table: nothing but the reason."""
        return {"option": self.name, "passes": False, "verdict": str(self.why)}


def _tidy(value: float | None) -> float | None:
    """To a hundredth, which nobody reads finer, and never minus nothing."""
    return None if value is None else round(value, 2) + 0.0


def left_open(wall: WallResult) -> bool:
    """Whether nothing is done to a wall of bare masonry, or with plaster that is loose or has fallen."""
    plastered = background_of(wall.entry.background).old_plaster
    return not wall.worked and (bool(wall.entry.loose) or not plastered)


def best_of(options: Iterable[OptionResult | Refused]) -> OptionResult | None:
    """The cheapest option that passes the grade on every wall; of equal ones the first, None if none does."""
    passing = [option for option in options if isinstance(option, OptionResult) and option.passes]
    return min(passing, key=lambda option: option.total, default=None)
