"""Where each figure starts, how strong that stands, and what a finished job says of it.

The defaults are those of `job`; how strong they stand and how far jobs differ is common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import Literal

from mytakeoff.learning.belief import RateBelief, RatioBelief

Kind = Literal["mix density", "waste", "hours", "high spots", "strayed"]
WASTED, HOURS_OF, SPOTS = "waste", "hours", "high spots"
ALL_TASKS = "all tasks"
COMMON_PRACTICE = "common practice, no source"
TYPICAL_JOB_M2 = 20.0  # what a job counts for where things are counted by area (common practice, no source)


@dataclass(frozen=True)
class Strength:
    """How a default stands before anything was seen.

    Parameters
    ----------
    jobs : float
        How many jobs it is worth [-].
    spread_share : float
        How far one job's figure lies from the user's own usual one, as a standard deviation [-].
    spread_jobs : float
        How many jobs that spread is worth [-].
    """

    jobs: float
    spread_share: float
    spread_jobs: float


# Common practice, no source, each of them. Density, waste and all hours spread so far that before any job
# they are about as wide as the marked ranges of the price; a test holds them to those. Single tasks differ
# more.
STRENGTHS: dict[Kind, Strength] = {
    "mix density": Strength(2.0, 0.025, 4.0),
    "waste": Strength(2.0, 0.02, 4.0),
    "hours": Strength(2.0, 0.15, 4.0),
    "high spots": Strength(2.0, 0.0, 0.0),
    "strayed": Strength(3.0, 0.25, 4.0),
}
ALL_HOURS = Strength(2.0, 0.05, 4.0)
UNIT_OF: dict[Kind, str] = {
    "mix density": "kg/l", "waste": "", "hours": "times the default", "high spots": "a m²",
    "strayed": "times what was said",
}  # fmt: skip


@dataclass(frozen=True)
class Prior:
    """A figure and its marked default.

    Parameters
    ----------
    kind : "mix density", "waste", "hours", "high spots" or "strayed"
    of : str
        Which mix, task or background; "" where there is one for the job.
    default : float
        Where it starts, more than 0: kg/l, a share, a factor on the default rates, a rate on a square metre,
        a ratio of spreads [the unit of its kind].
    source : str
        Where the default is from.
    """

    kind: Kind
    of: str
    default: float
    source: str = COMMON_PRACTICE

    @property
    def name(self) -> str:
        """What it is accepted by.

        Examples
        --------
        >>> Prior("hours", "rails", 1.0).name, Prior("waste", "", 0.1).name
        ('hours: rails', 'waste')
        """
        return f"{self.kind}: {self.of}" if self.of else self.kind

    @property
    def unit(self) -> str:
        """What it is counted in; "" for a share."""
        return UNIT_OF[self.kind]

    @property
    def strength(self) -> Strength:
        """How strong the default stands."""
        return ALL_HOURS if self.kind == HOURS_OF and self.of == ALL_TASKS else STRENGTHS[self.kind]

    @property
    def stated(self) -> str:
        """How strong it stands, in words.

        Examples
        --------
        >>> Prior("mix density", "skim", 1.25).stated
        'stands as strong as 2 jobs that differ by 2.5 % (common practice, no source)'
        >>> Prior("high spots", "brick", 0.7).stated
        'stands as strong as 2 jobs of 20 m² (common practice, no source)'
        """
        each = self.strength
        apart = f"that differ by {100 * each.spread_share:g} %"
        what = f"of {TYPICAL_JOB_M2:g} m²" if self.kind == SPOTS else apart
        return f"stands as strong as {each.jobs:g} jobs {what} ({COMMON_PRACTICE})"

    def belief(self) -> RatioBelief | RateBelief:
        """What is believed before anything was seen: its middle, of a rate its mean, is the default."""
        each = self.strength
        if self.kind == SPOTS:
            area_m2 = each.jobs * TYPICAL_JOB_M2
            return RateBelief(self.default * area_m2, area_m2)
        plus = 1.0 if self.kind == WASTED else 0.0
        log = math.log(self.default + plus)
        return RatioBelief(log, each.jobs, each.spread_jobs, each.spread_share, plus)


@dataclass(frozen=True)
class Evidence:
    """What one finished job says of a figure.

    Parameters
    ----------
    job : str
        Its title or folder.
    value : float
        In the figure's unit; of high spots how many were found [-].
    uncertainty_share : float
        How far that may be off, as a share of it and a standard deviation [-].
    area_m2 : float
        Of high spots: where they were counted [m²].
    day : date or None
        When the job began.
    """

    job: str
    value: float
    uncertainty_share: float = 0.0
    area_m2: float = 0.0
    day: date | None = None

    def weight(self, spread_share: float) -> float:
        """How much it counts beside a job that is known as well as any; `spread_share` between jobs [-].

        Examples
        --------
        >>> Evidence("a", 0.8).weight(0.05), Evidence("b", 0.8, uncertainty_share=0.05).weight(0.05)
        (1.0, 0.5)
        """
        between = spread_share**2
        return between / (between + self.uncertainty_share**2)

    @property
    def point(self) -> float:
        """Where it stands in a picture: of high spots on a square metre [the figure's unit]."""
        return self.value / self.area_m2 if self.area_m2 else self.value
