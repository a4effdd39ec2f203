"""A slider moves within what its number may be: no position of it is refused for being beyond bounds."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator

import pytest
from demo import demo

from mytakeoff import panels
from mytakeoff.errors import Check
from mytakeoff.panels.parts.bind import Number


def numbers() -> Iterator[Number]:
    """Every slider that a module of the panels names."""
    found = {}
    for module in pkgutil.walk_packages(panels.__path__, "mytakeoff.panels."):
        for value in vars(importlib.import_module(module.name)).values():
            for one in value if isinstance(value, tuple) else (value,):
                if isinstance(one, Number):
                    found[one.name] = one
    yield from found.values()


NUMBERS = list(numbers())


def test_the_sliders_are_found():
    assert len(NUMBERS) >= 20


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: number.name)
@pytest.mark.parametrize("end", ["low", "high"])
def test_both_ends_of_a_slider_lie_within_the_bounds_of_its_number(number, end):
    check = Check()
    check.made(lambda: number.write(demo(), getattr(number, end)))
    # two figures that do not go together are told; none is beyond its bounds
    assert not [str(one) for one in check.mistakes if one.rule.startswith("it is")]
