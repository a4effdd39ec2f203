"""All that the user entered, as one frozen value. It knows no file and no figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Annotated, Literal

from mytakeoff.audience import Audience, headed
from mytakeoff.bounds import Money, Within, check_numbers
from mytakeoff.corners.round_room import check_on_walls
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.formats.formats import Formats
from mytakeoff.formats.locales import is_locale
from mytakeoff.job import catalogue, choices
from mytakeoff.job.calendar import Calendar
from mytakeoff.job.choices import Extra, Margins, PlaneChoice, QuotationTerms, RailChoice, Room, Site
from mytakeoff.job.confidence import Confidence, WorkedOut
from mytakeoff.job.job_wall import JobWall, MissedSpot
from mytakeoff.job.mixes import Mix, System
from mytakeoff.job.packs import Buying, PackList, Tiers, bought_as
from mytakeoff.job.prices import PriceList
from mytakeoff.job.ranges import LearntFigure, Range
from mytakeoff.job.rates import LabourRates
from mytakeoff.job.treatments import Compare, Scenario, Treatment
from mytakeoff.survey.cells import CELL, GROWTH, REACH, check_cells

OpeningRule = Literal["net", "is1200"]
State = Literal["draft", "quoted", "signed", "done"]
MOST_SCENARIOS = 100  # what anybody compares is a handful; a list without end is no list
EACH_BAG = "0.02 is usual, 0 buys a bag for every gram"


def _one_of(names: Sequence[str], more: str = "") -> str:
    """What to do about a name that is none of these."""
    return f"choose from {', '.join(map(repr, names))}{more}" if names else "add it, or take its name out"


@dataclass(frozen=True)
class Job:
    """Everything the user entered.

    Parameters
    ----------
    title : str
    place, client : str
        Where it is, and the client's name, as papers have them; "": left out there.
    rooms : tuple of Room
    walls : tuple of JobWall
        Names are unique; there may be none yet, as there may be no rooms.
    system : System
        Mixes of every wall that has none of its own.
    prices : PriceList
    plane, rails, margins, rates
        See their classes.
    site : Site
        What goes with the work and is priced by the day.
    extras : tuple of Extra
    waste_share : float
        Extra mixed, as a share of what stays on the wall, 0 <= share <= 0.8 (common practice, no source). The
        20 % on 12 mm of the Delhi schedule of rates (engineeringdiscoveries.com 2019/07/06, secondary) are
        over area × thickness and hold the unevenness that the survey measures: no waste [-].
    currency : str
        Written beside money, as the user writes it.
    money_places : int
        Decimal places of the currency [-].
    cell_m : float
        Size of the cells of the height field (common practice, no source) [m].
    reach_m : float
        How far the survey is trusted beyond its readings (common practice, no source) [m].
    loose_growth_share : float
        Growth of loose areas as they come off, as a share of their area (common practice, no source) [-].
    missed_high_spot_mm : float or None
        Priced on a floated wall that was not swept, for what the readings missed [mm]; None: what they leave
        open is worked out, and priced at the confidence of `sureness`.
    opening_rule : "net" or "is1200"
        How openings are deducted from the area that labour is paid by: exactly, or by IS 1200 part 12.
        Materials always follow the exact area.
    reveal_thickness_mm : float
        Backing on the reveals (common practice, no source) [mm].
    built_year : int or None
        Year in which the house was built, for lead paint and asbestos; None: not known.
    only : tuple of str
        Names of the walls that are priced; empty: all.
    notes : tuple of str
        Shown as they are (for the demo: that it is invented).
    mixes : tuple of Mix
        The user's own mixes, to choose from beside the defaults; no stage uses it.
    patch_waste_share : float
        Waste of patches and filled hollows, 0 <= share <= 0.8 (common practice, no source: 20 to 25 %) [-].
    treatment : Treatment or None
        How the walls are treated; None: floated to the plane.
    treatments : tuple of Treatment
        Options that the user adds to the standard ones.
    compare : Compare
        What options are judged by.
    ranges : tuple of Range
        How far inputs may be off, where the user knows better than the marked defaults.
    calendar : Calendar
        When work is done, and how long plaster takes.
    buying : Buying
        Who each product is bought from, suppliers' charges, what is brought back, carrying.
    packs : PackList
        What things are sold in: what is priced is what is bought.
    sureness : Confidence
        How sure the figures are to be, and what being wrong costs.
    worked_out : WorkedOut
        What the readings leave open, as far as it is known: makes `evaluate` quick and changes no result, so
        jobs are compared without it.
    small_item_amount : float
        Lines under this are gathered in the table, 0 or more; common practice, no source [currency].
    decimal_comma : bool
        A comma before the decimals: in exported tables and, without a locale, wherever numbers are read.
    locale : str
        How numbers, money and days are written, as de_AT; "": the house's own way.
    folder : str
        Where it was opened from, for saving; no stage uses it.
    bag_slack_share : float
        What a need may go over whole bags, as a share of one bag, to be taken out of the waste instead of
        another bag, 0 <= share < 1 (common practice, no source) [-].
    feet_and_inches : bool
        Lengths are shown in feet and inches, else metric; what is entered is kept as it is.
    scenarios : tuple of Scenario
        What-ifs that are kept with the job; none of them is in its figures. 100 at most, each with its name.
    quotation : QuotationTerms
        What the page that is handed over says beside the figures.
    learnt : tuple of LearntFigure
        What finished jobs offered, taken or left, each figure once: why figures are what they are; in none.
    state : "draft", "quoted", "signed" or "done"
        How far it is, for the table of all jobs; in no figure.
    """

    title: str
    rooms: tuple[Room, ...]
    walls: tuple[JobWall, ...]
    system: System
    prices: PriceList
    plane: PlaneChoice = field(default_factory=PlaneChoice)
    rails: RailChoice = field(default_factory=RailChoice)
    margins: Margins = field(default_factory=Margins)
    rates: LabourRates = field(default_factory=LabourRates)
    extras: tuple[Extra, ...] = ()
    waste_share: Annotated[float, Within(0.0, 0.8, usual="10 to 12 % is usual")] = 0.1
    currency: str = "EUR"
    money_places: Annotated[int, Within(0, 6, usual="2 places are usual")] = 2
    cell_m: Annotated[float, replace(CELL, high=1.0)] = 0.025
    reach_m: Annotated[float, REACH] = 0.5
    loose_growth_share: Annotated[float, GROWTH] = 0.25
    missed_high_spot_mm: MissedSpot | None = None
    opening_rule: OpeningRule = "net"
    reveal_thickness_mm: Annotated[float, Within(0.0, 200.0, usual="12 mm is usual")] = 12.0
    built_year: Annotated[int, Within(800, 2200, usual="write all figures of the year")] | None = None
    only: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    mixes: tuple[Mix, ...] = ()
    patch_waste_share: Annotated[float, Within(0.0, 0.8, usual="20 to 25 % is usual")] = 0.2
    treatment: Treatment | None = None
    treatments: tuple[Treatment, ...] = ()
    compare: Compare = field(default_factory=Compare)
    ranges: tuple[Range, ...] = ()
    calendar: Calendar = field(default_factory=Calendar)
    buying: Buying = field(default_factory=Buying)
    packs: PackList = field(default_factory=PackList)
    sureness: Confidence = field(default_factory=Confidence)
    site: Site = field(default_factory=Site)
    worked_out: WorkedOut = field(default_factory=WorkedOut, compare=False, repr=False)
    small_item_amount: Money = 10.0
    decimal_comma: bool = False
    locale: str = ""
    folder: str = ""
    bag_slack_share: Annotated[float, Within(0.0, 1.0, under=True, usual=EACH_BAG)] = 0.02
    scenarios: tuple[Scenario, ...] = ()
    state: State = "draft"
    place: str = ""
    client: str = ""
    feet_and_inches: bool = False
    quotation: QuotationTerms = field(default_factory=QuotationTerms)
    learnt: tuple[LearntFigure, ...] = ()

    @cached_property
    def formats(self) -> Formats:
        """How its numbers, amounts and days are written."""
        marks = self.locale, self.currency, self.money_places, self.decimal_comma
        return Formats(*marks, self.feet_and_inches)

    def __post_init__(self) -> None:
        check = Check(f"job {self.title!r}")
        self._check_figures(check)
        self._check_names(check)
        choices.check_buying(self.buying, self.packs, self.prices, check)
        check.done()

    def _check_figures(self, check: Check) -> None:
        if check_numbers(self, check):
            for wall in self.walls:
                check_cells(wall.wall, self.cell_m, check)
        check.that(bool(self.title.strip()), "no title", "a job has a title", "write what it is known by")
        check.that(
            bool(self.currency.strip()),
            "no currency",
            "money is written with its currency",
            "write it as it is to stand beside amounts: EUR",
        )
        check.that(
            not self.locale or is_locale(self.locale),
            f"locale {self.locale!r}",
            "a locale is a language and a country that are known together",
            'as de_AT, en_GB, fr_FR; "" for none',
        )

    def _check_names(self, check: Check) -> None:
        names = [wall.name for wall in self.walls]
        for name in sorted({name for name in names if names.count(name) > 1}):
            check.that(False, f"two walls called {name!r}", "each wall has its own name", "rename one")
        for name in self.only:
            check.that(
                name in names,
                f"no wall called {name!r}",
                "only walls of the job are priced",
                _one_of(names, ": a wall that has a new name has it here too"),
            )
        for thing in self.compare.beside:
            check.that(
                thing.wall in names,
                f"{thing.name!r} beside a wall called {thing.wall!r}",
                "it stands against a wall of the job",
                _one_of(names, ": a wall that has a new name has it here too"),
            )
        named = {"options": self.treatments, "scenarios": self.scenarios, "learnt figures": self.learnt}
        for kind, several in named.items():
            called = [each.name for each in several]  # type: ignore[attr-defined]
            for name in sorted({name for name in called if called.count(name) > 1}):
                check.that(False, f"two {kind} called {name!r}", "each has its own name", "rename one")
        check.that(
            len(self.scenarios) <= MOST_SCENARIOS,
            f"{len(self.scenarios)} scenarios",
            f"a job keeps {MOST_SCENARIOS} at most",
            "drop those that nobody talks of any more",
        )
        rooms = [room.name for room in self.rooms]
        for extra in self.extras:
            check.that(
                not extra.room or extra.room in rooms,
                f"{extra.item!r} in a room {extra.room!r}",
                "what is finished in a room is in one of the job's",
                _one_of(rooms, " or leave room out"),
                "extras",
            )
        for room in self.rooms:
            joined = room.corners, room.clear_widths, room.parallel, room.diagonals
            if any(joined):
                inside = {wall.name: wall.wall for wall in self.walls if wall.room == room.name}
                check_on_walls(inside, *joined, Check(f"room {room.name!r}", check.mistakes))
        for wall in self.walls:
            check.that(
                wall.room in rooms,
                f"room {wall.room!r}",
                "a wall stands in a room of the job",
                _one_of(rooms, " or add the room"),
                f"wall {wall.name!r}",
            )

    def titled(self, audience: Audience) -> str:
        """The first line over its price: whom it is for, the job, and what of it is priced."""
        what = ", ".join(wall.name for wall in self.priced_walls) if self.only else "whole job"
        return headed(audience, f"{self.title}: {what}, tax included")

    @property
    def priced_walls(self) -> tuple[JobWall, ...]:
        """The walls that count: the chosen ones, as far as they are read."""
        return tuple(wall for wall in self.chosen_walls if wall.is_read)

    @property
    def read_walls(self) -> tuple[JobWall, ...]:
        """All walls of which enough is read to work them out."""
        return tuple(wall for wall in self.walls if wall.is_read)

    @property
    def unread_walls(self) -> tuple[JobWall, ...]:
        """Walls that would count, and of which not enough is read yet."""
        return tuple(wall for wall in self.chosen_walls if not wall.is_read)

    @property
    def chosen_walls(self) -> tuple[JobWall, ...]:
        """The walls that the user wants priced."""
        return tuple(wall for wall in self.walls if not self.only or wall.name in self.only)

    def wall(self, name: str) -> JobWall:
        """The wall of that name.

        Raises
        ------
        TakeoffError
            No wall is called so.
        """
        for wall in self.walls:
            if wall.name == name:
                return wall
        names = _one_of([wall.name for wall in self.walls])
        raise TakeoffError(Mistake(f"no wall called {name!r}", "the job has to know it", names))

    def tiers_of(self, item: str) -> Tiers:
        """The pack that a product is bought in, at its prices; rails in the length that they are cut from."""
        length_m = self.rails.stock_m if item == catalogue.RAIL else None
        return bought_as(self.packs, self.buying, item, length_m)

    def system_of(self, wall: JobWall) -> System:
        """The wall's own mixes, else the job's."""
        return wall.system or self.system
