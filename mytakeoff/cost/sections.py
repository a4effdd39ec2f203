"""The estimator's table at a glance: lines in sections with what each comes to, small items gathered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from mytakeoff.cost.cost import MARGIN, Cost, CostLine
from mytakeoff.job import catalogue
from mytakeoff.measure.line import LABOUR, MATERIALS, PREPARATION, SUNDRIES

GROUND = (catalogue.PRIMER, catalogue.GRIT_PRIMER, catalogue.BONDING_AGENT, catalogue.SPATTERDASH)
FIXED = (catalogue.ANGLE_BEAD, catalogue.STOP_BEAD, catalogue.RAIL, catalogue.RAIL_FIXING, catalogue.RAIL_DAB)
IN_THE_WAY = (catalogue.SOCKET, catalogue.RADIATOR, catalogue.SKIRTING)

CARRIED = ("", catalogue.DELIVERY)  # a supplier's own charges are no item of the price list

# in the order of the table; a line belongs to the first that takes it
SECTIONS: tuple[tuple[str, Callable[[CostLine], bool]], ...] = (
    ("preparation", lambda line: line.group == PREPARATION or line.priced_as in GROUND),
    ("plaster", lambda line: line.group == MATERIALS and line.priced_as not in FIXED),
    ("fixing", lambda line: line.group == MATERIALS),
    ("things in the way", lambda line: line.priced_as in IN_THE_WAY),
    ("labour", lambda line: line.group == LABOUR),
    ("carriage", lambda line: line.priced_as in CARRIED and line.group == SUNDRIES),
    ("margins", lambda line: line.group == MARGIN),
    ("extras", lambda line: True),
)
SHOWN = ("preparation", "plaster", "fixing", "things in the way", "labour", "carriage", "extras", "margins")


@dataclass(frozen=True)
class Section:
    """Lines of one kind, in the table's order.

    Parameters
    ----------
    name : str
    lines : tuple of CostLine
        Those that stand by themselves.
    small : tuple of CostLine
        Those that are gathered: each under the marked amount.
    """

    name: str
    lines: tuple[CostLine, ...]
    small: tuple[CostLine, ...] = ()

    @property
    def amount(self) -> Decimal:
        """What it comes to."""
        return sum((line.amount for line in (*self.lines, *self.small)), Decimal(0))

    @property
    def small_amount(self) -> Decimal:
        """What the small items come to."""
        return sum((line.amount for line in self.small), Decimal(0))


def section_of(line: CostLine) -> str:
    """Name of the section that a line stands in; tax stands in none and is not asked for."""
    return next(name for name, takes in SECTIONS if takes(line))


def sections(cost: Cost, small_under: Decimal) -> tuple[Section, ...]:
    """The sections that have lines, margins last; tax is left to the foot of the table.

    Parameters
    ----------
    cost : Cost
    small_under : Decimal
        Lines under this amount are gathered, where a section has two or more of them; 0: none are.

    Returns
    -------
    tuple of Section
        Their amounts add up to `cost.before_tax`.
    """
    found: dict[str, list[CostLine]] = {name: [] for name in SHOWN}
    for line in (*cost.lines, *(markup for markup in cost.markups if markup.group == MARGIN)):
        found[section_of(line)].append(line)
    return tuple(_section(name, lines, small_under) for name, lines in found.items() if lines)


def _section(name: str, lines: list[CostLine], small_under: Decimal) -> Section:
    small = tuple(line for line in lines if line.amount < small_under and line.group != MARGIN)
    if len(small) < 2:
        return Section(name, tuple(lines))
    return Section(name, tuple(line for line in lines if line not in small), small)
