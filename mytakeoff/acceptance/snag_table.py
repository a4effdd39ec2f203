"""The snag list as a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from mytakeoff.acceptance.in_words import history_words, what_words
from mytakeoff.acceptance.snags import SnagList
from mytakeoff.audience import CLIENT, ESTIMATOR, SHOWN_TO, Audience, check_audience
from mytakeoff.formats.formats import HOUSE, Formats

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "wall", "number", "kind", "what", "from_left_m", "up_from_floor_m", "left_m", "low_m", "width_m",
    "height_m", "depth_mm", "seen_by", "state", "history", "litres", "minutes",
)  # fmt: skip
OWN = ("litres", "minutes")  # the estimator's


def snag_frame(
    lists: Sequence[SnagList], audience: Audience = ESTIMATOR, formats: Formats = HOUSE
) -> pd.DataFrame:
    """A row for each snag, wall by wall, by its place.

    Parameters
    ----------
    lists : sequence of SnagList
    audience : "estimator" or "client"
        A client reads no litres and no minutes.
    formats : Formats
        Of the words in it.

    Returns
    -------
    pandas.DataFrame
        Columns wall, number, kind, what, from_left_m and up_from_floor_m (its middle), left_m, low_m, width_m
        and height_m (the rectangle around it), depth_mm, seen_by, state, history, litres, minutes, shown_to.

    Raises
    ------
    TakeoffError
        An audience that there is not.
    """
    import pandas as pd

    check_audience(audience)
    frame = pd.DataFrame(list(_snag_rows(lists, formats)), columns=list(COLUMNS))
    shown = frame.drop(columns=list(OWN)) if audience == CLIENT else frame
    return shown.assign(**{SHOWN_TO: audience})


def _snag_rows(lists: Sequence[SnagList], formats: Formats) -> Iterator[tuple[object, ...]]:
    for each in lists:
        for snag in each.snags:
            box = snag.place
            yield (
                each.promised.wall.name, snag.number, snag.kind, what_words(snag, formats),
                *(round(at, 2) for at in (snag.x_m, snag.z_m, box.x_m, box.z_m, box.width_m, box.height_m)),
                round(snag.depth_mm, 1), " and ".join(snag.seen_by), snag.state, history_words(snag, formats),
                round(snag.litres, 3), round(snag.minutes, 1),
            )  # fmt: skip
