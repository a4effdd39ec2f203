"""How much of a wall's price is guessed: what lies on ground that was carried on from beside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.surface.guessed_ground import not_read
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import straightens

TENTHS = (0.1, 0.9)


@dataclass(frozen=True)
class Guess:
    """What is guessed of a wall's plaster.

    Parameters
    ----------
    wall : str
        Its name.
    area_m2, of_m2 : float
        What was not read, and all that is priced [m²].
    litres, of_l : float
        Measured on the face through the readings: there, and on all of the wall [l].
    likely_l : (float, float) or None
        What one such wall in ten and nine in ten stay within; None where that was not worked out [l].
    """

    wall: str
    area_m2: float
    of_m2: float
    litres: float
    of_l: float
    likely_l: tuple[float, float] | None

    def said(self, formats: Formats = HOUSE) -> str:
        """In a sentence, for the estimator; "" where so little is guessed that it goes without saying.

        Examples
        --------
        >>> print(Guess("A", 1.4, 5.6, 21.0, 80.0, (62.0, 98.0)).said())
        A: about 1.4 of 5.6 m² (25 %) were not read: carried on from what is beside them. 21 of its 80 l
        lie there; it takes likely 62 to 98 l.
        """
        words = not_read(self.area_m2, self.of_m2, formats)
        if not words:
            return ""
        there, whole = formats.number(self.litres), formats.number(self.of_l)
        likely = ""
        if self.likely_l is not None:
            low, high = (formats.number(each) for each in self.likely_l)
            likely = f"; it takes likely {low} to {high} l"
        return f"{self.wall}: about {words}. {there} of its {whole} l lie there{likely}."


def guess_of(wall: WallResult) -> Guess | None:
    """What is guessed of a treated wall; None where nothing is, or where its way does not go by the face.

    Notes
    -----
    Of a wall that is patched or left, what lies on ground that was not read moves nothing that is priced.
    """
    surface, build_up = wall.surface, wall.build_up
    if surface.guessed_area_m2 <= 0 or not (wall.floated or straightens(wall)):
        return None
    there = np.nan_to_num(build_up.thickness_mm)[surface.guessed] @ surface.cell_area_m2[surface.guessed]
    likely = None
    if wall.left_open is not None:
        low, high = wall.left_open.at(TENTHS) + build_up.volume_l
        likely = float(low), float(high)
    return Guess(
        wall.entry.name,
        surface.guessed_area_m2,
        surface.net_area_m2,
        float(there),
        build_up.volume_l,
        likely,
    )
