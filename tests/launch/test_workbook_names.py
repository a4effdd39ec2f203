"""Every workbook of the package can be opened by its name, and its panel is where the server looks for it."""

from __future__ import annotations

from importlib.util import find_spec

import pytest

from mytakeoff.launch.own_workbooks import own_workbooks
from mytakeoff.resources import FIRST_WORKBOOK, NEW_WORKBOOK, WORKBOOK_PANELS, WORKBOOK_WORDS


def test_the_names_are_those_of_the_workbooks():
    assert {workbook.stem for workbook in own_workbooks()} == set(WORKBOOK_PANELS)
    assert FIRST_WORKBOOK in WORKBOOK_PANELS


def test_each_has_a_title_and_words_for_what_it_is_for():
    assert set(WORKBOOK_PANELS) | {NEW_WORKBOOK} == set(WORKBOOK_WORDS)
    titles = [title for title, _ in WORKBOOK_WORDS.values()]
    assert len(set(titles)) == len(titles)


def test_they_stand_in_the_order_of_the_work():
    assert list(WORKBOOK_PANELS) == [name for name in WORKBOOK_WORDS if name in WORKBOOK_PANELS]


@pytest.mark.parametrize("module", WORKBOOK_PANELS.values())
def test_its_panel_is_there(module):
    assert find_spec(module) is not None
