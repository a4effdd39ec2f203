"""Every workbook of the package can be opened by its name, and its panel is where the server looks for it."""

from __future__ import annotations

from importlib.util import find_spec

import pytest

from mytakeoff.launch.own_workbooks import own_workbooks
from mytakeoff.resources import FIRST_WORKBOOK, WORKBOOK_PANELS


def test_the_names_are_those_of_the_workbooks():
    assert {workbook.stem for workbook in own_workbooks()} == set(WORKBOOK_PANELS)
    assert FIRST_WORKBOOK in WORKBOOK_PANELS


@pytest.mark.parametrize("module", WORKBOOK_PANELS.values())
def test_its_panel_is_there(module):
    assert find_spec(module) is not None
