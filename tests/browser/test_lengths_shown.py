"""The page writes lengths as `Formats` does: a map says of a place what the sentence under it says."""

from __future__ import annotations

from pathlib import Path
from random import Random
from typing import Any

import pytest

from mytakeoff.formats.formats import Formats
from mytakeoff.panels.parts import stock

SCRIPT = Path(stock.__file__).with_name("lengths.js")
WAYS = (Formats(), Formats(decimal_comma=True), Formats(feet_and_inches=True))


def said(page: Any, function: str, formats: Formats, values: list[float], more: Any) -> list[str]:
    """What the page writes for each value."""
    traits = {"feet_and_inches": formats.feet_and_inches, "point": formats.point}
    model = "{ get: (name) => traits[name] }"
    ask = f"([traits, values, more]) => values.map((each) => {function}({model}, each, more))"
    found: list[str] = page.evaluate(ask, [traits, values, more])
    return found


@pytest.mark.parametrize("formats", WAYS)
def test_the_page_writes_lengths_as_the_sentences_do(page, formats: Formats):
    page.add_script_tag(path=SCRIPT)
    random = Random(7)
    tape = [eighths * 0.0254 / 8 for eighths in (0, 1, 7, 8, 95, 96, 97, 1000)]
    # a tenth of a millimetre beside what two decimals leave open, which page and kernel may round either way
    places = [*tape, *(random.randint(0, 6000) / 1000 + 0.0001 for _ in range(200))]
    depths = [0.0, 0.01, 0.1, 0.5, 0.79375, 12.7, *(random.randint(0, 2000) / 10 for _ in range(200))]
    assert said(page, "lengthWords", formats, places, True) == [
        formats.length(each, places=2) for each in places
    ]
    assert said(page, "depthWords", formats, depths, 1) == [formats.depth(each, places=1) for each in depths]
