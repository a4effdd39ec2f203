"""What the work can do to those who do it, shown where the work needs it, with figures and their sources."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.job import Job
from mytakeoff.treatment.wall_result import WallResult

DEFER = "Follow the local code, the product's sheet and licensed practice where they say otherwise."
SECONDARY = "seen on a secondary page"


@dataclass(frozen=True)
class Caution:
    """A caution: a title, what to heed, and where its figures come from."""

    title: str
    text: str
    source: str

    def __str__(self) -> str:
        return f"{self.title}. {self.text} {DEFER} ({self.source})"


@dataclass(frozen=True)
class WorkFacts:
    """What of a job decides which cautions it needs: heaviest bag [kg], highest wall [m], the rest [-]."""

    cuts: bool
    mixes: bool
    disturbs_old: bool
    drills: bool
    lime_or_cement: bool
    heaviest_kg: float
    highest_m: float
    built_year: int | None


def lifting_guideline_kg(lifts_per_min: float, best_kg: float = 25.0, twist_degrees: float = 0.0) -> float:
    """What one person may lift at waist height, by how often and how far they turn [kg].

    Parameters
    ----------
    lifts_per_min : float
        0 or more; up to 30 an hour the basic figure holds [1/min].
    best_kg : float
        Guideline in the best zone, 25 for a man, about two thirds for a woman [kg].
    twist_degrees : float
        Turn of the trunk [°].

    Notes
    -----
    HSE manual handling guideline: less 30 % at 1 to 2 lifts a minute, 50 % at 5 to 8, 80 % above 12; less
    10 % for a twist over 45°, 20 % from 90° (seen on a secondary page). Between the bands the next harder
    one holds.

    Examples
    --------
    >>> lifting_guideline_kg(6), lifting_guideline_kg(6, twist_degrees=90)
    (12.5, 10.0)
    """
    by_rate = ((0.5, 1.0), (2.0, 0.7), (8.0, 0.5))
    often = next((factor for most, factor in by_rate if lifts_per_min <= most), 0.2)
    twist = 0.8 if twist_degrees >= 90 else 0.9 if twist_degrees > 45 else 1.0
    return best_kg * often * twist


SILICA = Caution(
    "Silica dust",
    "Cutting back, chopping and mixing raise respirable silica: limit 50 µg/m³ over 8 hours, action from "
    "25 µg/m³. Grind with a shrouded tool on a dust extractor of at least 25 ft³/min (42 m³/h) for each "
    "inch of wheel and a filter of 99 % or better; wet or shrouded cutting first, a fitted mask on top.",
    f"29 CFR 1926.1153 and its Table 1; airflow {SECONDARY}; wet cutting and mask: common practice, "
    "no source",
)
LEAD = Caution(
    "Lead paint",
    "Paid renovation in housing built before 1978 falls under the US lead rule: have old coatings tested "
    "before they are scraped, cut or sanded, keep dust in, and leave it to a certified firm where lead "
    "is found.",
    "40 CFR 745 subpart E (73 FR 21692, 2008)",
)
ASBESTOS = Caution(
    "Asbestos in old coatings",
    "Textured coatings put up before 2000 are taken to hold asbestos (1 to 2 % chrysotile, up to "
    "4 or 5 %) until a sample says otherwise. Don't sand, scrape or cut them dry; have them sampled first.",
    f"HSE guidance and a surveyors' note, {SECONDARY}",
)
CABLES = Caution(
    "Cables and pipes",
    "Before any hole for a fixing, scan the wall and switch off. Cables less than 50 mm deep are to be "
    "expected within 150 mm of the top of the wall, within 150 mm of a corner, and straight up, down or "
    "across from each socket and switch; in a wall of 100 mm or less also from those on its back. Don't "
    "count on that in old houses: cables and pipes run anywhere, along the bottom of the wall too.",
    f"BS 7671:2018, 522.6.202, {SECONDARY}",
)
BURNS = Caution(
    "Wet plaster burns",
    "Wet cement and lime burn skin, worst where they are held against it: in gloves, in boots, under a "
    "knee. Wash at once, change soaked clothes, keep eyes covered overhead. 5 to 10 % of workers may "
    "become sensitised.",
    f"HSE CIS26 rev 2, {SECONDARY}",
)


def lifting(formats: Formats) -> Caution:
    """The caution about the weight of bags, its figures as a job writes them."""
    straight, turning = (formats.short(lifting_guideline_kg(6, twist_degrees=degrees)) for degrees in (0, 90))
    return Caution(
        "Weight of bags",
        "25 kg is the guideline for a man lifting at waist height close to the body; 15, 10 or 5 kg further "
        "out, higher or lower, about two thirds for a woman. At 5 to 8 lifts a minute only "
        f"{straight} kg, turning by a quarter {turning} kg. Share the load or buy smaller bags.",
        f"HSE INDG143 and its guideline figures, {SECONDARY}",
    )


LIFTING = lifting(HOUSE)
HEIGHT = Caution(
    "Working height",
    "Work off a boarded trestle or platform that reaches the whole wall, not off a ladder with a loaded "
    "hawk.",
    "common practice, no source",
)
DAMP = Caution(
    "Damp and cracks",
    "Damp, salts and cracks that move are no plaster problem: have their cause found and put right first. "
    "New plaster only hides them for a while.",
    "common practice, no source; background moisture at most 8 %: SNiP 3.04.01-87 table 9, " + SECONDARY,
)

NEEDED: tuple[tuple[Caution, Callable[[WorkFacts], bool]], ...] = (
    (SILICA, lambda work: work.cuts or work.mixes),
    (LEAD, lambda work: work.disturbs_old and (work.built_year is None or work.built_year < 1978)),
    (ASBESTOS, lambda work: work.disturbs_old and (work.built_year is None or work.built_year < 2000)),
    (CABLES, lambda work: work.drills),
    (BURNS, lambda work: work.lime_or_cement),
    (LIFTING, lambda work: work.heaviest_kg > 0),
    (HEIGHT, lambda work: work.highest_m > 2.0),
    (DAMP, lambda work: work.mixes),
)


def work_of(job: Job, walls: Sequence[WallResult]) -> WorkFacts:
    """What of the walls decides the cautions; a wall on which nothing is done needs none."""
    walls = [wall for wall in walls if wall.worked]
    mixes = [mix for wall in walls for mix in wall.system.mixes]
    cuts = any(wall.build_up.cut_area_m2 > 0 for wall in walls)
    hacks = any(not area.fallen for wall in walls for area in wall.entry.loose)
    old = any(background_of(wall.entry.background).old_plaster or wall.entry.strip for wall in walls)
    return WorkFacts(
        cuts=cuts or hacks,
        mixes=bool(mixes),
        disturbs_old=cuts or hacks or old,
        drills=job.rails.bedded == "fixings" and any(wall.rails_x_m for wall in walls),
        lime_or_cement=any(mix.family != "gypsum" for mix in mixes),
        heaviest_kg=max((mix.bag_kg for mix in mixes), default=0.0),
        highest_m=max((wall.entry.wall.height_m for wall in walls), default=0.0),
        built_year=job.built_year,
    )


def cautions_for(job: Job, walls: Sequence[WallResult]) -> tuple[Caution, ...]:
    """The cautions that this job's work needs.

    Parameters
    ----------
    job : Job
        For rails and the year in which the house was built; not known counts as old.
    walls : sequence of WallResult

    Returns
    -------
    tuple of Caution
        Each with its source, in the order of the work; empty without walls.
    """
    work = work_of(job, walls)
    needed = (caution for caution, needs in NEEDED if needs(work))
    return tuple(lifting(job.formats) if caution is LIFTING else caution for caution in needed)
