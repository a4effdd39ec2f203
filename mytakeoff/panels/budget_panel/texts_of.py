"""A result as the budget panel tells it: every text by name, the same however it came to be worked out."""

from __future__ import annotations

from mytakeoff.panels.budget_panel.price_table import table_of
from mytakeoff.panels.parts import words
from mytakeoff.result import Result


def texts_of(result: Result, wall: str, client: bool) -> dict[str, str]:
    """Every text of `BudgetTexts` for a result.

    Parameters
    ----------
    result : Result
    wall : str
        Name of the wall on the map.
    client : bool
        The table without rates and margins.
    """
    return {
        "table": table_of(result, client),
        "headline": words.headline(result),
        "coats": words.coats(result.wall(wall)),
        "notices": words.listed(result.notices),
        "excluded": words.listed(result.cost.excluded),
        "cautions": words.cautions(result),
        "own": words.paragraphs(result.job.notes),
    }
