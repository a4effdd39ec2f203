"""What is asked of the whole job, fold by fold: each part of it as a form, each list of it as a table."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from mytakeoff.flatness.grades import GRADE_NAMES
from mytakeoff.formats.locales import countries
from mytakeoff.io.job.shape import SystemEntry
from mytakeoff.job.calendar import WEEKDAYS, Calendar
from mytakeoff.job.catalogue import DEFAULT_MIXES
from mytakeoff.job.choices import Extra, Margins, PlaneChoice, QuotationTerms, RailChoice, Site
from mytakeoff.job.confidence import Confidence
from mytakeoff.job.edits import mixes_of
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix, System
from mytakeoff.job.packs import Buying
from mytakeoff.job.ranges import UNCHANGED, Range
from mytakeoff.job.rates import LabourRates
from mytakeoff.job.treatments import Compare, PlumbThing, Treatment
from mytakeoff.panels.job_sheet_panel.asked import MUST, Options, Question, asked_of, value_in, with_values
from mytakeoff.panels.job_sheet_panel.entry_kind import EntryKind, but, form, only
from mytakeoff.panels.job_sheet_panel.labels import JOB_WORDS
from mytakeoff.panels.parts.controls import PLANES, with_part
from mytakeoff.treatment.ways import WAYS

OWN = "own"
NO_COUNTRY = ("no country: thin spaces between thousands, English months", "")
JOB_BOXES = asked_of(
    Job,
    JOB_WORDS,
    without=frozenset(
        {
            "system",
            "plane",
            "rails",
            "margins",
            "rates",
            "compare",
            "calendar",
            "buying",
            "sureness",
            "site",
            "treatment",
            "worked_out",
            "prices",
            "packs",
            "folder",
            "only",
            "quotation",
        }
    ),
)
TITLE = (
    "title",
    "place",
    "client",
    "state",
    "currency",
    "money_places",
    "locale",
    "decimal_comma",
    "feet_and_inches",
    "calendar.start",
    "built_year",
    "notes",
)
START = asked_of(Calendar, JOB_WORDS, "calendar", "calendar")
AMOUNTS = (
    "waste_share",
    "patch_waste_share",
    "bag_slack_share",
    "small_item_amount",
    "reveal_thickness_mm",
    "loose_growth_share",
    "missed_high_spot_mm",
    "opening_rule",
    "cell_m",
    "reach_m",
)


def listed(names: Sequence[str]) -> Options:
    """Names to choose from."""
    return [(name, name) for name in names]


def rooms_in(job: Job) -> Options:
    """The job's rooms."""
    return listed([room.name for room in job.rooms])


def walls_in(job: Job) -> Options:
    """The job's walls."""
    return listed([wall.name for wall in job.walls])


def known_mixes(job: Job) -> dict[str, Mix]:
    """All mixes that may be chosen, the job's own figures of each first."""
    return {mix.name: mix for mix in (*DEFAULT_MIXES, *job.mixes, *mixes_of(job))}


def mixes_or_none(job: Job) -> Options:
    """The mixes, and none of them."""
    return [("none", None), *((name, name) for name in known_mixes(job))]


def _job_form(path: str, *names: str, **more: Any) -> EntryKind:
    """Single figures and words of the job; they are written to the job as it is then."""
    asked = only((*JOB_BOXES, *START), *names)
    return form(
        path,
        Job,
        asked,
        lambda job: {name: value_in(job, name) for name in names},
        lambda job, new: with_values(Job, job, new),
        values=lambda found: found,
        make=lambda found, values: {**found, **values},
        **more,
    )


def part(name: str, cls: Any, **more: Any) -> EntryKind:
    """A part of the job as a form."""
    asked = more.pop("asked", None) or asked_of(cls, JOB_WORDS, name)
    return form(
        name, cls, asked, lambda job: getattr(job, name), lambda job, new: replace(job, **{name: new}), **more
    )


def table(
    path: str,
    cls: Any,
    called: str,
    several: str,
    read: Callable[[Job], Any],
    name: str,
    inside: str = "",
    **more: Any,
) -> EntryKind:
    """Things of the job as a table, which stand in a field of it or of one of its parts."""

    def write(job: Job, pairs: Sequence[Any]) -> Job:
        now: dict[str, Any] = {name: tuple(after for _, after in pairs)}
        return with_part(job, inside, **now) if inside else replace(job, **now)

    asked = more.pop("asked", None) or asked_of(cls, JOB_WORDS, path)
    return EntryKind(path, cls, asked, read, write, called, several, **more)


# -- the job --------------------------------------------------------------------------------------


THE_JOB = _job_form("job", *TITLE, options={"locale": lambda _: [NO_COUNTRY, *countries()]})

# -- how it is worked out -------------------------------------------------------------------------

DAYS = tuple(
    Question(
        "calendar.weekdays",
        day,
        f"{day.capitalize()}s are worked on",
        "tick",
        empty=day in Calendar().weekdays,
    )
    for day in WEEKDAYS
)
HOURS = but(asked_of(Calendar, JOB_WORDS, "calendar"), "start", "weekdays", "holidays")


def _calendar_values(calendar: Calendar) -> Mapping[str, Any]:
    worked = {day: day in calendar.weekdays for day in WEEKDAYS}
    return {**worked, **{each.name: getattr(calendar, each.name) for each in HOURS}}


def _calendar(calendar: Calendar, values: Mapping[str, Any]) -> Calendar:
    worked = tuple(day for day in WEEKDAYS if values.get(day, day in calendar.weekdays))
    others = {name: value for name, value in values.items() if name not in WEEKDAYS}
    days: dict[str, Any] = {"weekdays": worked} if set(worked) != set(calendar.weekdays) else {}
    return replace(calendar, **days, **others)


def _system(job: Job, names: SystemEntry) -> System:
    known = known_mixes(job)
    finish, dubbing = (known[name] if name else None for name in (names.finish, names.dubbing))
    return System(known[names.backing], finish, names.finish_mm, dubbing)


def names_of(system: System) -> SystemEntry:
    """A system by the names of its mixes."""
    finish, dubbing = (mix.name if mix else None for mix in (system.finish, system.dubbing))
    return SystemEntry(system.backing.name, finish, system.finish_mm, dubbing)


def system_made(names: SystemEntry, values: Mapping[str, Any]) -> SystemEntry:
    """Names of mixes with others among them: without a finish mix there is no depth of one."""
    bare = "finish" in values and values["finish"] is None and "finish_mm" not in values
    return replace(names, **{**values, **({"finish_mm": 0.0} if bare else {})})


MIXES_USED = form(
    "system",
    SystemEntry,
    asked_of(SystemEntry, JOB_WORDS, "system"),
    lambda job: names_of(job.system),
    lambda job, new: replace(job, system=_system(job, new)),
    options={
        "backing": lambda job: listed(list(known_mixes(job))),
        "finish": mixes_or_none,
        "dubbing": mixes_or_none,
    },
    make=system_made,
)


@dataclass(frozen=True)
class AsTreated:
    """How walls are treated, or "" where they are floated to the plane that is chosen."""

    name: str = ""
    kind: str = ""
    skim: bool = True
    square: bool = False
    take_down: bool = False
    in_room: bool = False

    @property
    def treatment(self) -> Treatment | None:
        """As the job has it."""
        if not self.kind:
            return None
        chosen = self.kind, self.skim, self.square, self.take_down, self.in_room
        return Treatment(self.name or self.kind, *chosen)


def as_treated(treatment: Treatment | None) -> AsTreated:
    """A treatment with a word for none."""
    if treatment is None:
        return AsTreated()
    return AsTreated(**vars(treatment))


def ways(floated: str) -> Options:
    """Ways of treating a wall, and what none of them means."""
    return [(floated, ""), *listed(list(WAYS))]


def treated_boxes(words: Mapping[str, str], path: str) -> tuple[Question, ...]:
    """The boxes of a treatment that need not be there, the way first."""
    asked = asked_of(AsTreated, words, path)
    return only(asked, "kind", "name", "skim", "square", "in_room", "take_down")


TREATED = form(
    "treatment",
    AsTreated,
    treated_boxes(JOB_WORDS, "treatment"),
    lambda job: as_treated(job.treatment),
    lambda job, new: replace(job, treatment=new.treatment),
    options={"kind": lambda _: ways("floated to the finished plane")},
)
WAY_OPTIONS = table(
    "option", Treatment, "a way of your own", "Ways of your own", lambda job: job.treatments, "treatments"
)


def _day_table() -> EntryKind:
    asked = (Question("calendar.holidays", "day", "Not worked on", "day", empty=MUST),)
    return EntryKind(
        "calendar.holidays",
        date,
        asked,
        lambda job: job.calendar.holidays,
        lambda job, pairs: with_part(job, "calendar", holidays=tuple(after for _, after in pairs)),
        "a day off",
        "Days not worked on",
        values=lambda day: {"day": day},
        make=lambda _, values: values["day"],
    )


def items_of(job: Job) -> list[str]:
    """All that the job has a price for."""
    return [*(row.item for row in job.prices.rows), *(row.item for row in job.packs.rows)]


RANGES = table(
    "range",
    Range,
    "a range",
    "How far an input may be off",
    lambda job: job.ranges,
    "ranges",
    options={"name": lambda _: listed(list(UNCHANGED))},
)
EXTRAS = table(
    "extra",
    Extra,
    "an extra",
    "Extras",
    lambda job: job.extras,
    "extras",
    options={"room": lambda job: [("none", ""), *rooms_in(job)]},
    suggest={"item": items_of},
)
BESIDE = table(
    "compare.beside",
    PlumbThing,
    "a plumb thing",
    "Plumb things",
    lambda job: job.compare.beside,
    "beside",
    "compare",
    options={"wall": walls_in},
)

WORKED_OUT: Mapping[str, tuple[EntryKind, ...]] = {
    "The finished plane": (part("plane", PlaneChoice, options={"kind": lambda _: PLANES}),),
    "Rails": (part("rails", RailChoice),),
    "Overhead, profit, contingency and tax": (part("margins", Margins),),
    "Waste, small items, openings": (_job_form("job.amounts", *AMOUNTS),),
    "Hours of work": (part("rates", LabourRates),),
    "Days, breaks and waits": (
        part("calendar", Calendar, asked=(*DAYS, *HOURS), values=_calendar_values, make=_calendar),
        _day_table(),
    ),
    "Mixes on the walls": (MIXES_USED,),
    "How the walls are treated": (TREATED, WAY_OPTIONS),
    "What the ways are judged by": (
        part("compare", Compare, options={"grade": lambda _: listed([OWN, *GRADE_NAMES])}),
        BESIDE,
    ),
    "Travel, parking, platform": (part("site", Site),),
    "Extras": (EXTRAS,),
    "How sure the figures are to be": (part("sureness", Confidence), RANGES),
    "The quotation": (part("quotation", QuotationTerms),),
    "Carrying and bringing back": (
        part("buying", Buying, asked=but(asked_of(Buying, JOB_WORDS, "buying"), "in_stock")),
    ),
}
