"""Verdicts on finished walls as a table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from mytakeoff.acceptance.checked_wall import CheckedWall
from mytakeoff.acceptance.conformity import Judged
from mytakeoff.acceptance.in_words import judged_words
from mytakeoff.audience import ESTIMATOR, SHOWN_TO, Audience, check_audience
from mytakeoff.formats.formats import HOUSE, Formats

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "wall", "what", "promised", "limit", "side", "measured", "standard_uncertainty", "unit", "verdict",
    "decided_by", "chance_that_it_conforms", "risk_if_passed", "risk_if_refused", "from_left_m",
    "up_from_floor_m", "edge_m", "survey", "in_words",
)  # fmt: skip


def verdict_frame(
    walls: Sequence[CheckedWall], audience: Audience = ESTIMATOR, formats: Formats = HOUSE
) -> pd.DataFrame:
    """A row for each thing that was judged, wall by wall.

    Parameters
    ----------
    walls : sequence of CheckedWall
    audience : "estimator" or "client"
        Both read the same: what was promised to the one is what the other holds to.
    formats : Formats
        Of the words in it.

    Returns
    -------
    pandas.DataFrame
        Columns wall, what, promised, limit, side, measured, standard_uncertainty, unit (of those), verdict,
        decided_by, chance_that_it_conforms, risk_if_passed (that it does not conform), risk_if_refused (that
        it conforms), from_left_m, up_from_floor_m, edge_m (empty where there is none), survey, in_words,
        shown_to.

    Raises
    ------
    TakeoffError
        An audience that there is not.
    """
    import pandas as pd

    check_audience(audience)
    rows = [_row(wall, each, formats) for wall in walls for each in wall.judged]
    return pd.DataFrame(rows, columns=list(COLUMNS)).assign(**{SHOWN_TO: audience})


def _row(wall: CheckedWall, judged: Judged, formats: Formats) -> tuple[object, ...]:
    by_survey = wall.by_survey is not None and judged in wall.by_survey.judged
    return (
        wall.name, judged.what, *(round(each, 2) for each in (judged.promised, judged.limit)), judged.side,
        *(round(each, 2) for each in (judged.measured, judged.uncertainty)), judged.unit, judged.outcome,
        judged.rule.name,
        *(round(each, 3) for each in (judged.chance, judged.risk_of_passing, judged.risk_of_failing)),
        *(round(each, 2) for each in (judged.x_m, judged.z_m)), round(judged.edge_m, 2) or None,
        wall.survey if by_survey else "", judged_words(judged, formats),
    )  # fmt: skip
