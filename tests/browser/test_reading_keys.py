"""Readings typed in a real browser, without a server: the page's script over the desk itself."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from demo import copy_of_demo
from driving import assert_accessible
from playwright.sync_api import Page, expect
from reading_desks import SavedDesk, desk_over

import mytakeoff as mt
from mytakeoff.panels.parts.frame import STYLE
from mytakeoff.panels.readings.keys import ReadingKeys

TRAITS = ("shape", "reads", "marks", "limits", "point", "typed", "done", "refused", "said", "go")
WALL = "party wall"
MODEL = """
window.start = async (script, style, state) => {
  document.documentElement.lang = "en";
  document.title = "Readings";
  document.body.innerHTML = `<style>${style}</style><main class="mt-panel"><div id="here"></div></main>`;
  const handlers = new Map(), values = { ...state };
  const on = (names, act) => names.split(" ").forEach((name) =>
    handlers.set(name, [...(handlers.get(name) ?? []), act]));
  const take = (told) => {
    Object.assign(values, told);
    for (const name of Object.keys(told)) for (const act of handlers.get(`change:${name}`) ?? []) act();
  };
  window.model = {
    get: (name) => values[name], set: (name, value) => { values[name] = value; }, on, off() {},
    async save_changes() { if (!window.asleep) take(await window.tell(values.typed)); },
  };
  window.take = take;
  const url = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
  (await import(url)).default.render({ model: window.model, el: document.getElementById("here") });
};
"""


def state(keys: ReadingKeys) -> dict[str, Any]:
    return {name: getattr(keys, name) for name in TRAITS}


class Desk:
    """A desk and its page."""

    def __init__(self, page: Page, desk: SavedDesk) -> None:
        self.page, self.desk = page, desk
        page.expose_function("tell", self._told)
        page.set_content("<!doctype html>")
        page.add_script_tag(content=MODEL)
        style = STYLE + str(desk.keys._css)
        page.evaluate("([a, b, c]) => start(a, b, c)", [str(desk.keys._esm), style, state(desk.keys)])
        self.fit()

    def fit(self) -> None:
        """The class that a narrow panel has."""
        size = self.page.viewport_size
        assert size is not None
        narrow = "true" if size["width"] < 600 else "false"
        self.page.evaluate(f"document.querySelector('.mt-panel').classList.toggle('mt-narrow', {narrow})")

    def _told(self, typed: list[Any]) -> dict[str, Any]:
        before = state(self.desk.keys)
        self.desk.keys.typed = typed
        after = state(self.desk.keys)
        return {name: value for name, value in after.items() if value != before[name] and name != "typed"}

    @property
    def active(self) -> str:
        """The place that the hand is at."""
        return str(self.page.evaluate("document.activeElement.dataset?.key ?? ''"))

    def box(self, row: int, column: int) -> Any:
        key = self.desk.keys.shape["keys"][row][column]
        return self.page.locator(f'input[data-key="{key}"]')


@pytest.fixture(params=[1440, 390])
def desk(request: pytest.FixtureRequest, page: Page, tmp_path: Path) -> Iterator[Desk]:
    page.set_viewport_size({"width": request.param, "height": 844})
    return Desk(page, desk_over(copy_of_demo(tmp_path), WALL, nothing_read=True))


def type_on(desk: Desk, *texts: str) -> None:
    for text in texts:
        desk.page.keyboard.type(text)
        desk.page.keyboard.press("Enter")


def test_enter_walks_the_wall_and_every_reading_is_in_the_sheet(desk: Desk) -> None:
    order = desk.desk.keys.shape["order"]
    desk.box(0, 0).focus()
    type_on(desk, *(f"{20 + n},5" for n in range(5)), "-", "12")  # round the foot of the first column
    expect(desk.page.locator(".mt-waits")).to_have_count(0)
    assert desk.active == order[7]
    reads = desk.desk.keys.reads
    assert [reads[key] for key in order[:7]] == ["20.5", "21.5", "22.5", "23.5", "24.5", "–", "12"]
    survey = mt.open_job(desk.desk.store.job.folder).wall(WALL).survey
    assert sorted(survey.proud_mm.tolist()) == [-24.5, -23.5, -22.5, -21.5, -20.5, -12.0]
    expect(desk.page.locator(".mt-read-said")).to_contain_text("6 of 54 places are read, 1 could not be")


def test_what_is_half_typed_stays_where_the_wall_is_laid_out_anew(desk: Desk) -> None:
    """As when an opening that was typed just before reaches the sheet while the first readings are typed."""
    lay_out = "(told) => window.take({ shape: { ...window.model.get('shape'), ...told } })"
    order = desk.desk.keys.shape["order"]
    desk.box(0, 0).focus()
    type_on(desk, "31")
    desk.page.keyboard.type("4")
    desk.page.evaluate(lay_out, {"walk": "another way round"})
    desk.page.keyboard.type("2")
    desk.page.keyboard.press("Enter")
    expect(desk.page.locator(".mt-waits")).to_have_count(0)
    assert [desk.desk.keys.reads.get(key) for key in order[:2]] == ["31", "42"]
    assert desk.active == order[2]
    desk.page.keyboard.type("5")
    desk.page.evaluate(lay_out, {"caption": "another wall"})
    assert desk.page.evaluate("document.activeElement.value") == "", "it was typed for the wall before"


def test_what_cannot_be_is_refused_at_its_place_and_the_hand_stays(desk: Desk) -> None:
    box = desk.box(0, 0)
    box.focus()
    type_on(desk, "3735")
    why = desk.page.get_by_role("alert").filter(has_text="within 500 mm")
    expect(why).to_be_visible()
    expect(box).to_be_focused()
    expect(box).to_have_attribute("aria-invalid", "true")
    expect(box).to_have_value("3735")
    desk.page.keyboard.press("Enter")  # unchanged: it stays
    expect(box).to_be_focused()
    box.press("Control+a")
    type_on(desk, "37.35")
    expect(desk.box(1, 0)).to_be_focused()
    expect(box).to_have_attribute("aria-invalid", "false")
    assert desk.desk.wall.proud_mm.tolist() == [-37.35]


def test_words_for_a_place_say_what_it_is(desk: Desk) -> None:
    box = desk.box(0, 0)
    expect(box).to_have_attribute("aria-label", re.compile(r"x 0\.10 m, z 2\.50 m"))
    desk.page.evaluate(
        "(key) => take({ marks: { [key]: ['M1', 'read next, narrows the range by 3 l'] } })",
        desk.desk.keys.shape["keys"][0][0],
    )
    expect(box).to_have_attribute("aria-label", re.compile("read next, narrows the range"))
    expect(desk.page.locator(".mt-sign", has_text="M1")).to_be_visible()


def test_arrows_and_escape_go_where_one_expects(desk: Desk) -> None:
    desk.box(0, 0).focus()
    for key, at in (
        ("ArrowDown", (1, 0)),
        ("ArrowRight", (1, 1)),
        ("ArrowUp", (0, 1)),
        ("ArrowLeft", (0, 0)),
    ):
        desk.page.keyboard.press(key)
        expect(desk.box(*at)).to_be_focused()
    desk.page.keyboard.type("17")
    desk.page.keyboard.press("Escape")
    expect(desk.box(0, 0)).to_have_value("")
    desk.page.keyboard.press("Shift+Enter")
    expect(desk.box(0, 0)).to_be_focused()
    assert desk.desk.wall.x_m.size == 0


@pytest.mark.parametrize("desk", [390], indirect=True)
def test_a_phone_types_with_the_keys_of_the_page(desk: Desk) -> None:
    keys = desk.page.get_by_role("group", name="Keys for readings").get_by_role("button")
    desk.box(0, 0).click()
    for name in (
        "2",
        "1",
        "Decimal mark",
        "5",
        "Next place",
        "9",
        "Rub out",
        "8",
        "Other sign",
        "Next place",
    ):
        keys.get_by_text(name, exact=True).or_(keys.and_(desk.page.get_by_label(name, exact=True))).click()
    keys.get_by_text("Could not read").click()
    expect(desk.page.locator(".mt-waits")).to_have_count(0)
    order = desk.desk.keys.shape["order"]
    assert [desk.desk.keys.reads[key] for key in order[:3]] == ["21.5", "-8", "–"]
    assert desk.box(0, 0).evaluate("(box) => box.inputMode") == "none"
    small = desk.page.evaluate(
        """() => [...document.querySelectorAll("button, input")].filter((each) => each.offsetParent)
          .map((each) => each.getBoundingClientRect())
          .filter((box) => box.height < 44 || box.width < 44).length"""
    )
    assert small == 0
    assert desk.page.evaluate("document.documentElement.scrollWidth") <= 390


def test_a_workbook_that_does_not_answer_takes_no_second_reading(desk: Desk) -> None:
    desk.box(0, 0).focus()
    desk.page.evaluate("window.asleep = true")
    type_on(desk, "21")
    expect(desk.box(0, 0)).to_have_attribute("aria-label", re.compile("not saved yet"))
    expect(desk.page.get_by_role("alert").filter(has_text="not saved")).to_be_visible(timeout=15_000)
    at = desk.active
    type_on(desk, "22")
    assert desk.active == at
    desk.page.evaluate("window.asleep = false")
    desk.page.evaluate("model.save_changes()")
    expect(desk.page.get_by_role("alert").filter(has_text="not saved")).to_have_count(0)
    assert -21.0 in desk.desk.wall.proud_mm


def test_axe_finds_nothing(desk: Desk) -> None:
    desk.box(0, 0).focus()
    type_on(desk, "3735")
    expect(desk.page.get_by_role("alert").filter(has_text="within 500 mm")).to_be_visible()
    assert_accessible(desk.page, ".mt-panel")
