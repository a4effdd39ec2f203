"""Numbers typed into boxes in a real browser: either mark, units, what is refused, and the keys."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from driving import WAIT_MS, JobServer, slider_step, start_workbook
from playwright.sync_api import Locator, Page, expect

import mytakeoff as mt


@pytest.fixture
def panel(shared_page: Page, shared_lab: JobServer) -> Locator:
    """The budget in JupyterLab, run from a fresh job folder."""
    start_workbook(shared_page, shared_lab)
    found = shared_page.locator(".mt-panel")
    found.locator(".mt-least_mm .noUi-handle").wait_for(timeout=WAIT_MS)
    return found


def box(panel: Locator, name: str) -> Locator:
    return panel.locator(f".mt-{name}-box input")


def enter(typed_into: Locator, text: str) -> None:
    typed_into.fill(text)
    typed_into.press("Enter")


def saved(panel: Locator, folder: Path) -> mt.Job:
    """The job as it is saved from the panel now."""
    panel.get_by_role("button", name="Save to the job").click()
    expect(panel.locator(".mt-controls .mt-said")).to_contain_text("Saved to", timeout=WAIT_MS)
    return mt.open_job(folder)


def test_a_comma_is_a_decimal_comma_and_units_are_understood(panel: Locator, shared_lab: JobServer) -> None:
    density, least, waste = (box(panel, name) for name in ("mix_density_kg_per_l", "least_mm", "waste_share"))
    for each, typed, shown in (
        (density, "0,95", "0.95"), (density, "1,05 kg/l", "1.05"), (least, "1,2 cm", "12"),
        (least, '3/8"', "9.525"), (waste, "12 %", "12"), (waste, "12,50", "12.5"), (waste, "12,5", "12.5"),
    ):  # fmt: skip
        enter(each, typed)
        expect(each).to_have_value(shown, timeout=WAIT_MS)
    assert density.get_attribute("inputmode") == "decimal"
    job = saved(panel, shared_lab.folder)
    assert (job.system.backing.density_kg_per_l, job.waste_share) == (1.05, 0.125)
    assert job.plane.least_mm == 9.525


def test_what_is_shown_is_of_the_number_typed_not_of_the_step_beside_it(
    panel: Locator, shared_page: Page, shared_lab: JobServer
) -> None:
    """The page's handle goes to 13 %, whose texts it was told in advance; the total tells the two apart."""
    shared_page.wait_for_timeout(2000)  # by then the steps beside are told
    enter(box(panel, "waste_share"), "12,5")
    job = replace(mt.open_job(shared_lab.folder), waste_share=0.125)
    total, beside = (mt.evaluate(each).cost.total for each in (job, replace(job, waste_share=0.13)))
    assert total != beside
    expect(panel.locator(".mt-cost tfoot tr.mt-strong td")).to_have_text(
        job.formats.number(total, 2), timeout=WAIT_MS
    )


def test_a_number_between_two_steps_is_not_rounded_by_the_page(
    shared_page: Page, shared_lab: JobServer
) -> None:
    """The page's slider has no place for it, and used to send the nearest step for the job's own number."""
    job_file = shared_lab.folder / "job.toml"
    written = job_file.read_text("utf-8")
    assert "waste_share = 0.1 " in written
    job_file.write_text(written.replace("waste_share = 0.1 ", "waste_share = 0.125 "), "utf-8")
    start_workbook(shared_page, shared_lab)
    panel = shared_page.locator(".mt-panel")
    least, waste = box(panel, "least_mm"), box(panel, "waste_share")
    expect(waste).to_have_value("12.5", timeout=WAIT_MS)
    enter(least, '3/8"')
    expect(least).to_have_value("9.525", timeout=WAIT_MS)
    shared_page.wait_for_timeout(1000)  # what the page makes of it would come now
    job = saved(panel, shared_lab.folder)
    assert (job.plane.least_mm, job.waste_share) == (9.525, 0.125)
    slider_step(shared_page, "mt-waste_share", "ArrowRight")  # a hand still moves it
    expect(waste).to_have_value("14", timeout=WAIT_MS)


def test_what_is_refused_stays_marked_and_escape_takes_it_back(panel: Locator) -> None:
    density, problem = box(panel, "mix_density_kg_per_l"), panel.locator(".mt-problem")
    before = density.input_value()
    for typed, told in (("heavy", "a number stands here"), ("0,95 mm", "kg/l or nothing behind them")):
        enter(density, typed)
        expect(problem).to_contain_text(told, timeout=WAIT_MS)
        assert density.input_value() == typed
        expect(density).to_have_attribute("aria-invalid", "true")
        assert "dashed" in density.evaluate("box => getComputedStyle(box).borderStyle")
    density.press("Escape")
    expect(problem).to_have_count(0, timeout=WAIT_MS)
    expect(density).to_have_value(before)
    expect(density).to_have_attribute("aria-invalid", "false")
    density.fill("0,7")  # not entered yet
    density.press("Escape")
    assert density.input_value() == before
    density.press("Tab")
    expect(problem).to_have_count(0)


def test_what_may_be_thousands_is_asked(panel: Locator, shared_page: Page) -> None:
    price = panel.get_by_label("Price of tipping, mixed rubble for one kg")
    enter(price, "1,200")
    expect(panel.locator(".mt-problem")).to_contain_text("write 1.2 or 1200", timeout=WAIT_MS)
    assert price.input_value() == "1,200"
    enter(price, "1,20 EUR")
    expect(price).to_have_value("1.20", timeout=WAIT_MS)
    expect(panel.locator(".mt-problem")).to_have_count(0)


def test_arrows_step_a_number_in_its_box(panel: Locator) -> None:
    least = box(panel, "least_mm")
    before = float(least.input_value())
    least.focus()
    least.press("ArrowUp")
    expect(least).to_have_value(f"{before + 0.5:g}", timeout=WAIT_MS)
    least.press("ArrowDown")
    expect(least).to_have_value(f"{before:g}", timeout=WAIT_MS)


def test_what_comes_back_does_not_fall_into_the_typing(panel: Locator, shared_page: Page) -> None:
    """The kernel writes 1,10 back as 1.1 while the hand types on."""
    density = box(panel, "mix_density_kg_per_l")
    shared_page.evaluate(
        """() => { window.jupyterapp.shell.currentWidget.sessionContext.session.kernel
             .requestExecute({ code: "import time; time.sleep(1)", silent: true }); }"""
    )
    enter(density, "1,10")
    density.fill("1,2")
    shared_page.wait_for_timeout(2500)  # the answer to the first is there by now
    assert density.input_value() == "1,2"
    density.press("Enter")
    expect(density).to_have_value("1.2", timeout=WAIT_MS)


def test_what_was_marked_to_be_typed_over_still_is_once_the_kernel_wrote_there(
    panel: Locator, shared_page: Page
) -> None:
    """2.30 came into a box that was entered and empty, and 2,05 typed there made 2.302,05 of it."""
    density = box(panel, "mix_density_kg_per_l")
    enter = """(box, [all, written]) => {
      box.focus();
      box.setSelectionRange(0, all ? box.value.length : 0);
      box.value = written;
    }"""
    for *told, left in ((True, "1.4", "9"), (False, "1.5", "1.59")):  # marked as by Tab; a caret alone
        density.evaluate(enter, told)
        shared_page.keyboard.type("9")
        assert density.input_value() == left
        density.press("Escape")


def test_a_guess_is_a_hint_and_an_untouched_click_adds_nothing(panel: Locator, shared_lab: JobServer) -> None:
    panel.locator(".mt-headline", has_text="8 in 10").wait_for(timeout=WAIT_MS)
    panel.get_by_role("button", name="How sure, and where to measure next").press("Enter")
    off, add = panel.locator(".mt-off input"), panel.get_by_role("button", name="Add this reading")
    panel.locator(".mt-next-place select").select_option(index=1)
    expect(off).to_have_attribute("placeholder", re.compile("^likely "), timeout=WAIT_MS)
    assert off.input_value() == ""
    total = panel.locator(".mt-headline [data-fact=total]").inner_text()
    add.click()
    expect(panel.locator(".mt-problem")).to_contain_text("type its millimetres", timeout=WAIT_MS)
    assert panel.locator(".mt-headline [data-fact=total]").inner_text() == total
    enter(off, "34,5")
    expect(off).to_have_value("34.5", timeout=WAIT_MS)
    add.click()
    expect(off).to_have_value("", timeout=WAIT_MS)
    expect(panel.locator(".mt-problem")).to_have_count(0)
    before = mt.open_job(shared_lab.folder)
    job = saved(panel, shared_lab.folder)
    name = panel.locator(".mt-wall select").input_value()
    assert job.wall(name).survey.proud_mm[-1] == -34.5
    assert job.wall(name).survey.x_m.size == before.wall(name).survey.x_m.size + 1
