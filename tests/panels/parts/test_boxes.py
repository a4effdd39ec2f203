"""Boxes and sliders for numbers, told by the page as its stock widgets tell them."""

from __future__ import annotations

from threading import Thread
from typing import Any

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.errors import Check
from mytakeoff.formats.formats import Formats
from mytakeoff.panels.parts.bind import Quiet
from mytakeoff.panels.parts.boxes import NumberBox, Slider, numbers_in


def shown(box: NumberBox) -> Any:
    """What stands in the box on the page."""
    return box.get_state("value")["value"]


@pytest.mark.parametrize(
    ("typed", "value", "stands"),
    [("4,2", 4.2, "4.2"), ("420 cm", 4.2, "4.2"), (" 4.20 ", 4.2, "4.2"), ("1,200", 1.2, "1.2"), ("", "", ""),
     ("wide", "wide", "wide"), ("4,2 kg", "4,2 kg", "4,2 kg"), ("  ", "", "")],
)  # fmt: skip
def test_what_was_understood_is_shown_as_it_was_and_all_else_stays(
    typed: str, value: Any, stands: str
) -> None:
    box = NumberBox(unit="m", description="Width, m", value=3.0)
    box.set_state({"value": typed})
    assert box.value == value
    assert shown(box) == stands
    assert ("mt-refused" in box._dom_classes) == (isinstance(value, str) and value != "")


def test_a_box_shows_the_marks_of_the_job_and_takes_both() -> None:
    box = NumberBox(formats=Formats("de_AT"), value=0.95)
    assert shown(box) == "0,95"
    for typed in ("1.05", "1,05"):
        box.value = typed
        assert (box.value, shown(box)) == (1.05, "1,05")


def test_every_box_that_holds_no_number_is_told_and_marked() -> None:
    boxes = [
        NumberBox(description=name, value=value) for name, value in (("x", "1,200"), ("y", 3), ("z", None))
    ]
    with pytest.raises(mt.TakeoffError, match=r"x: '1,200'; it may be 1\.2 or 1200[^z]*z: nothing typed"):
        numbers_in(*boxes)
    assert ["mt-refused" in box._dom_classes for box in boxes] == [True, False, True]
    boxes[2].value = "4"
    assert "mt-refused" not in boxes[2]._dom_classes
    assert boxes[2].number(Check()) == 4.0


def test_a_number_that_is_not_touched_keeps_its_last_digit() -> None:
    box = NumberBox(value=1 / 3)
    assert (shown(box), box.value) == ("0.333333", 1 / 3)


@given(st.floats(0.0, 30.0), st.sampled_from([0.5, 0.01, 0.05, 1.0]))
@examples(200)
def test_the_page_putting_the_handle_on_a_step_moves_nothing(value: float, step: float) -> None:
    slider = Slider(min=0.0, max=30.0, step=step, value=value)
    per_cent = step * 100 / 30.0
    nearest = int(value * 100 / 30.0 / per_cent + 0.5) * per_cent * 30.0 / 100  # as noUiSlider puts it
    slider.set_state({"value": nearest})
    assert slider.value == pytest.approx(value, abs=1e-9)
    for moved in (nearest + step, nearest - step):
        if 0 <= moved <= 30:
            slider.set_state({"value": moved})
            assert slider.value == moved


def test_what_a_hand_types_while_another_thread_shows_something_is_not_overheard() -> None:
    """Kernels take the page's messages on a thread of their own, beside the loop that works things out."""
    one, heard = Quiet(), []
    with one.quietly():
        other = Thread(target=lambda: heard.append(one._busy))
        other.start()
        other.join()
        assert one._busy
        with one.quietly():
            pass
        assert one._busy
    assert heard == [False]
    assert not one._busy
