"""The lines of a priced job by the names under which the user writes down what became of them."""

from __future__ import annotations

from collections import Counter

from mytakeoff.cost.cost import Cost, CostLine
from mytakeoff.job.catalogue import LABOURER, PLASTERER
from mytakeoff.measure.line import LABOUR


def product_lines(cost: Cost) -> dict[str, CostLine]:
    """Everything but labour by the name in the price list; where several lines share one, by their own."""
    lines = [line for line in cost.lines if line.group != LABOUR]
    count = Counter(line.priced_as for line in lines)
    return {line.priced_as if count[line.priced_as] == 1 and line.priced_as else line.item: line
            for line in lines}  # fmt: skip


def task_lines(cost: Cost) -> dict[str, CostLine]:
    """A plasterer's tasks by name, and the labourer's hours.

    Examples
    --------
    ``"float backing"``, ``"clean up"``, ``"labourer"``.
    """
    return {task_of(line): line for line in cost.lines if line.group == LABOUR}


def task_of(line: CostLine) -> str:
    """The name of the task that a line of labour is for."""
    return LABOURER if line.priced_as == LABOURER else line.item.removeprefix(f"{PLASTERER}: ")
