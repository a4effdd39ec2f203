"""What holds for every test: how much it tries, the same random numbers each time, no figure left behind."""

from __future__ import annotations

import os
import random
import sys
import zlib
from collections.abc import Iterator

import numpy as np
import pytest
from effort import register_profiles
from hypothesis import settings

register_profiles()
settings.load_profile(os.environ.get("MYTAKEOFF_TESTS", "short"))  # `--hypothesis-profile` goes before it


@pytest.fixture(autouse=True)
def _same_numbers_each_time(request: pytest.FixtureRequest) -> None:
    """Seed the generators from the test's name, so that a failure comes back when it is run alone."""
    seed = zlib.crc32(request.node.nodeid.encode())
    random.seed(seed)
    np.random.seed(seed)  # noqa: NPY002 - libraries that draw from the old generator


@pytest.fixture(autouse=True)
def _no_figure_left() -> Iterator[None]:
    """Figures made with pyplot stay in memory for good: none may be left after a test."""
    yield
    pyplot = sys.modules.get("matplotlib.pyplot")
    left = pyplot.get_fignums() if pyplot else []
    if left:
        pyplot.close("all")
    assert not left, "pyplot keeps the figures of this test: make them with matplotlib.figure.Figure"
