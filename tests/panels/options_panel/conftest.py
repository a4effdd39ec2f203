"""Options panels over copies of the demo job; without a loop their steps are done at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo import copy_of_demo
from option_panels import DAY, small_job

from mytakeoff.panels import OptionsPanel, options


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_of_demo(tmp_path_factory.mktemp("options"))


@pytest.fixture(scope="module")
def panel(folder: Path) -> OptionsPanel:
    """A panel that no test changes for the next."""
    return options(small_job(folder), DAY)


@pytest.fixture
def own_panel(tmp_path: Path) -> OptionsPanel:
    """A panel over a folder of its own."""
    return options(small_job(copy_of_demo(tmp_path)), DAY)
