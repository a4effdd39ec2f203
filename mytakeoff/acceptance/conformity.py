"""Whether a measured value conforms to its limit: the rule for deciding, and how sure the verdict is.

Everything follows JCGM 106:2012, "The role of measurement uncertainty in conformity assessment" (clauses and
figures from memory): what is known of a value once it is measured is the normal law about it, with its
standard uncertainty (clause 7.2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal

from scipy.special import ndtr

from mytakeoff.bounds import Within, check_numbers
from mytakeoff.errors import Check

Outcome = Literal["pass", "fail", "too close to call"]
Side = Literal["at most", "at least", "either way"]
PASS: Outcome = "pass"
FAIL: Outcome = "fail"
TOO_CLOSE: Outcome = "too close to call"
GUARDED, SIMPLE = "guarded acceptance", "simple acceptance"
RULES = (GUARDED, SIMPLE)
SIDES: tuple[Side, ...] = ("at most", "at least", "either way")
READ_FINER = 1e-9  # rounding decides nothing
MAY_CONFORM = 0.1  # as likely as this all of it conforms: then nothing is refused; common practice, no source
Limit = Annotated[float, Within(0.0, 100_000.0, above=True, usual="3 mm under 2 m is a usual grade")]
Uncertainty = Annotated[float, Within(0.0, 100_000.0, usual="0.6 mm is usual for a reading by hand")]
Value = Annotated[float, Within(-100_000.0, 100_000.0, usual="measure it again")]


@dataclass(frozen=True)
class AcceptanceRule:
    """How pass and fail are decided.

    Parameters
    ----------
    name : "guarded acceptance" or "simple acceptance"
        Guarded: a value passes only where it keeps a guard band away from its limit (JCGM 106:2012, 8.3.2),
        and fails only where it is as far beyond it (guarded rejection, 8.3.3); between the two it is too
        close to call. Simple: it passes up to its limit and fails beyond it; who accepts and who is accepted
        share the risk of its uncertainty (8.2).
    coverage_factor : float
        Expanded over standard uncertainty, ``U = k u`` (JCGM 100:2008, 6.2.1), 1 to 4 [-].
    guard_share : float
        Guard band over expanded uncertainty, ``w = r U`` (JCGM 106:2012, 8.3.2), more than 0, to 2 [-].

    Raises
    ------
    TakeoffError
        A rule that is not known, or a figure out of its range.

    Examples
    --------
    A gap of 1.5 mm, known to 0.6 mm, of 3 allowed, and one of 2.

    >>> rule = AcceptanceRule()
    >>> rule.outcome(3.0 - 1.5, 0.6), rule.outcome(3.0 - 2.0, 0.6), rule.outcome(3.0 - 4.5, 0.6)
    ('pass', 'too close to call', 'fail')
    >>> AcceptanceRule("simple acceptance").outcome(3.0 - 2.0, 0.6)
    'pass'
    """

    name: str = GUARDED
    coverage_factor: Annotated[float, Within(1.0, 4.0, usual="2 is usual")] = 2.0
    guard_share: Annotated[float, Within(0.0, 2.0, above=True, usual="1 is usual")] = 1.0

    def __post_init__(self) -> None:
        check = Check("rule for accepting")
        check_numbers(self, check)
        check.that(
            self.name in RULES,
            f"{self.name!r}",
            f"the rules are called {' and '.join(RULES)}",
            "write one of them",
        )
        check.done()

    def guard(self, uncertainty: float) -> float:
        """The guard band for a standard uncertainty [unit of the value]."""
        return self.guard_share * self.coverage_factor * uncertainty if self.name == GUARDED else 0.0

    @property
    def least_chance(self) -> float:
        """How likely it is to conform, at least, where it passes [-].

        Examples
        --------
        A guard band of ``w = U = 2 u`` leaves 2.3 % at most that what passes does not conform:

        >>> round(AcceptanceRule().least_chance, 4), AcceptanceRule("simple acceptance").least_chance
        (0.9772, 0.5)
        """
        return float(ndtr(self.guard(1.0)))

    def outcome(self, margin: float, uncertainty: float) -> Outcome:
        """The verdict on a value that has so much to spare, negative if it is beyond its limit [its unit].

        The standard uncertainty is in the same unit [its unit].
        """
        guard = self.guard(uncertainty)
        if margin >= guard - READ_FINER:
            return PASS
        return FAIL if margin < -guard - READ_FINER or not guard else TOO_CLOSE


def conformance_probability(value: float, uncertainty: float, low: float, high: float) -> float:
    """How likely a quantity lies between its limits, by the normal law about its measured value [-].

    Parameters
    ----------
    value, uncertainty : float
        Measured, and its standard uncertainty, 0 or more [any unit].
    low, high : float
        Limits, infinite where there is none [same unit].

    References
    ----------
    JCGM 106:2012, 7.3 and 7.4 (from memory): ``Φ((high - y) / u) - Φ((low - y) / u)``.

    Examples
    --------
    >>> round(conformance_probability(1.5, 0.75, -math.inf, 3.0), 4)
    0.9772
    """
    if uncertainty == 0:
        return float(low <= value <= high)
    below_high, below_low = ndtr([(high - value) / uncertainty, (low - value) / uncertainty])
    return float(below_high - below_low)


@dataclass(frozen=True)
class Judged:
    """One thing that was promised, measured on the finished work.

    Parameters
    ----------
    what : str
        As "hollow gap" or "lean".
    unit : str
        Of promised, limit, measured and uncertainty.
    promised : float
        The value that was promised [unit].
    limit : float
        How far from it the work may be, more than 0 [unit].
    measured, uncertainty : float
        On the finished work, and its standard uncertainty, 0 or more [unit].
    side : "at most", "at least" or "either way"
        How far above what was promised, how far below, or both ways.
    rule : AcceptanceRule
    x_m, z_m : float
        The place that decides, NaN where it is no single one [m].
    edge_m : float
        Length of the edge that it was found under, 0 without one [m].
    ends_m : tuple of (x, z)
        Where that edge rests; empty without one [m].
    unseen_m : float
        Across the widest place that nobody looked at, 0 where none is too wide to pass [m].
    chance_between : float or None
        How likely all of the wall conforms, what lies between the readings counted; None: nothing lies
        between them [-].

    Raises
    ------
    TakeoffError
        A limit that is not more than 0, or a value or an uncertainty that is no number.

    Examples
    --------
    A corner wanted square, finished 4 mm/m wide, known to 1 mm/m, of 5 allowed either way:

    >>> corner = Judged("corner", "mm/m", 0.0, 5.0, 4.0, 1.0, "either way")
    >>> corner.outcome, round(corner.chance, 2), corner.margin
    ('too close to call', 0.84, 1.0)
    """

    what: str
    unit: str
    promised: Value
    limit: Limit
    measured: Value
    uncertainty: Uncertainty
    side: Side = "at most"
    rule: AcceptanceRule = AcceptanceRule()
    x_m: float = math.nan
    z_m: float = math.nan
    edge_m: float = 0.0
    ends_m: tuple[tuple[float, float], ...] = ()
    unseen_m: float = 0.0
    chance_between: float | None = None

    def __post_init__(self) -> None:
        check = Check(self.what)
        check_numbers(self, check)
        check.that(
            self.side in SIDES, f"{self.side!r}", f"a limit holds {', '.join(SIDES)}", "write one of them"
        )
        check.done()

    @property
    def margin(self) -> float:
        """How much is to spare, negative where it is beyond its limit [unit]."""
        off = self.measured - self.promised
        return self.limit - {"at most": off, "at least": -off, "either way": abs(off)}[self.side]

    @property
    def chance(self) -> float:
        """How likely this value conforms, by its own uncertainty [-]."""
        low = -math.inf if self.side == "at most" else self.promised - self.limit
        high = math.inf if self.side == "at least" else self.promised + self.limit
        return conformance_probability(self.measured, self.uncertainty, low, high)

    @property
    def outcome(self) -> Outcome:
        """Pass, fail, or too close to call.

        Where something lies between the readings it passes only if all of the wall is as likely to conform as
        the rule asks, and if they are close enough: what nobody saw can only be worse. It fails by its own
        value, unless all of the wall may well conform: the worst of many is often one that was misread.
        """
        at_place = self.rule.outcome(self.margin, self.uncertainty)
        if at_place == PASS and self.unseen_m > 0:
            return TOO_CLOSE
        if self.chance_between is None:
            return at_place
        held = self.chance_between >= (self.rule.least_chance if at_place == PASS else MAY_CONFORM)
        return at_place if held == (at_place == PASS) else TOO_CLOSE

    @property
    def left_between(self) -> bool:
        """Whether it is what lies between the readings that keeps it from being told."""
        return self.outcome == TOO_CLOSE and self.rule.outcome(self.margin, self.uncertainty) != TOO_CLOSE

    @property
    def risk_of_passing(self) -> float:
        """That it does not conform, if it is let pass: the consumer's [-].

        The specific consumer's risk of JCGM 106:2012, 9.3.2; the surer of the two chances does not excuse the
        other, so it is of the lower one.
        """
        return 1.0 - min(self._chances)

    @property
    def risk_of_failing(self) -> float:
        """That it conforms, if it is refused: the producer's [-]; specific (JCGM 106:2012, 9.3.3)."""
        return max(self._chances)

    @property
    def _chances(self) -> tuple[float, ...]:
        return (self.chance,) if self.chance_between is None else (self.chance, self.chance_between)
