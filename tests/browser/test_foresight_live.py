"""The table under a fast hand: answered while the kernel sleeps, and never with half of one result."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from itertools import product
from random import Random

import pytest
from driving import WAIT_MS, JobServer, open_workbook, slider, slider_step, wait_until_run
from playwright.sync_api import Page, expect

import mytakeoff as mt
from mytakeoff.job.edits import with_mix, with_price
from mytakeoff.panels.budget_panel.foresight import texts_of

LOOKED_AHEAD_MS = 2000  # all of it is there long before
STEPS = {"mt-max_coat_mm": 0.5, "mt-mix_density_kg_per_l": 0.01, "mt-waste_share": 0.01}

_FIGURES = """() => ({
  total: document.querySelector('.mt-cost tfoot tr.mt-strong td').textContent,
  headline: document.querySelector('.mt-headline [data-fact=total]').textContent,
  facts: document.querySelector('.mt-headline .mt-facts').textContent,
  coats: document.querySelector('.mt-notes .mt-coats').textContent,
})"""
_WATCH = f"""() => {{
  window.seen = new Set();
  const look = () => seen.add(JSON.stringify(({_FIGURES})()));
  const frame = () => {{ look(); requestAnimationFrame(frame); }};
  frame();
}}"""
_RUN = """(code) =>
  window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.requestExecute({ code }).done"""
_TEXT_OF = """(html) => {
  const parts = {};
  for (const [name, text] of Object.entries(html)) {
    const made = document.createElement('div');
    made.innerHTML = text;
    parts[name] = made;
  }
  return { total: parts.foot.textContent,
    headline: parts.headline.querySelector('[data-fact=total]').textContent,
    facts: parts.headline.querySelector('.mt-facts').textContent, coats: parts.coats.textContent };
}"""


@pytest.fixture(params=["lab", "app"])
def place(request: pytest.FixtureRequest, page: Page) -> tuple[Page, JobServer]:
    """The panel in JupyterLab, and as a page without code."""
    server: JobServer = request.getfixturevalue(request.param)
    if request.param == "lab":
        open_workbook(page, server)
        wait_until_run(page)
    else:
        page.goto(server.address)
    page.locator(".mt-cost tbody tr").first.wait_for(timeout=WAIT_MS)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    return page, server


def moved(job: mt.Job, depth: float = 0, density: float = 0, waste: float = 0) -> mt.Job:
    """The job with its sliders so many steps from where they were."""
    mix = job.system.backing
    job = with_mix(
        job,
        mix.name,
        max_coat_mm=round(mix.max_coat_mm + depth * STEPS["mt-max_coat_mm"], 6),
        density_kg_per_l=round(mix.density_kg_per_l + density * STEPS["mt-mix_density_kg_per_l"], 6),
    )
    return mt.Job(**{**vars(job), "waste_share": round(job.waste_share + waste * STEPS["mt-waste_share"], 6)})


def figures(page: Page, job: mt.Job) -> dict[str, str]:
    """What the page has to say of a job with its first wall on the map, by the chain itself."""
    result = mt.evaluate(job)
    texts = texts_of(result, job.walls[0].name, client=False)
    foot = f"{result.cost.total:,}".replace(",", "\u202f")
    found: dict[str, str] = page.evaluate(_TEXT_OF, {**texts, "foot": foot})
    return found


def test_a_key_is_answered_while_the_kernel_sleeps(place: tuple[Page, JobServer]) -> None:
    page, server = place
    job = mt.open_job(server.folder)
    for name, step in (("mt-max_coat_mm", {"depth": 2}), ("mt-mix_density_kg_per_l", {"density": 2})):
        before = page.evaluate(_FIGURES)
        with server.kernels_asleep():
            slider_step(page, name, "ArrowRight", "ArrowRight")
            page.wait_for_timeout(100)
            asleep = page.evaluate(_FIGURES)
        job = moved(job, **step)
        assert before != asleep == figures(page, job)
        page.wait_for_timeout(LOOKED_AHEAD_MS)
        assert page.evaluate(_FIGURES) == asleep


@pytest.fixture
def dearer(page: Page, lab: JobServer) -> Callable[[], mt.Job]:
    """The panel in JupyterLab, looked ahead at; types a new price and gives the job that has it."""
    open_workbook(page, lab)
    wait_until_run(page)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    page.wait_for_timeout(LOOKED_AHEAD_MS)

    def typed() -> mt.Job:
        price = page.get_by_label("Price of angle bead for one m")
        price.fill("7,40")
        price.press("Enter")
        page.wait_for_timeout(LOOKED_AHEAD_MS)
        return with_price(mt.open_job(lab.folder), "angle bead", Decimal("7.40"))

    return typed


def test_a_new_price_is_in_what_a_sleeping_kernel_has_told(
    dearer: Callable[[], mt.Job], page: Page, lab: JobServer
) -> None:
    job = dearer()
    with lab.kernels_asleep():
        slider_step(page, "mt-waste_share", "ArrowRight")
        page.wait_for_timeout(100)
        assert page.evaluate(_FIGURES) == figures(page, moved(job, waste=1))


def test_nothing_of_the_old_price_is_shown_when_nothing_new_was_told_yet(
    dearer: Callable[[], mt.Job], page: Page, lab: JobServer
) -> None:
    page.evaluate(_RUN, "import mytakeoff.panels.budget_panel.foresight as late; late.REST_S = 1e6")
    job = dearer()
    with lab.kernels_asleep():
        slider_step(page, "mt-waste_share", "ArrowRight")
        page.wait_for_timeout(100)
        assert page.evaluate(_FIGURES) == figures(page, job)
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    assert page.evaluate(_FIGURES) == figures(page, moved(job, waste=1))


def test_no_frame_shows_parts_of_two_results(place: tuple[Page, JobServer]) -> None:
    page, server = place
    job, random = mt.open_job(server.folder), Random(5)
    at = dict.fromkeys(STEPS, 0)
    reached = {tuple(at.values())}
    page.evaluate(_WATCH)
    for _ in range(60):
        name = random.choice(list(STEPS))
        way = 1 if at[name] < 0 or (at[name] < 3 and random.random() < 0.5) else -1
        at[name] += way
        reached.add(tuple(at.values()))
        slider(page, name).focus()
        page.keyboard.press("ArrowRight" if way > 0 else "ArrowLeft")
        page.wait_for_timeout(random.choice([0, 0, 0, 20, 60, 200]))
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    assert page.evaluate(_FIGURES) == figures(page, moved(job, *at.values()))
    # of keys in quick succession the kernel may meet one slider's last place with another's first
    span = [range(min(way), max(way) + 1) for way in zip(*reached, strict=True)]
    allowed = [figures(page, moved(job, *steps)) for steps in product(*span)]
    seen = page.evaluate("() => Array.from(seen, JSON.parse)")
    assert len(seen) > 5
    assert [one for one in seen if one not in allowed] == []


_WATCH_WEIGHT = """() => {
  window.seen = [];
  const fact = () => document.querySelector('.mt-headline [data-fact=dry]').textContent;
  const frame = () => { seen.push(Number(fact().replace(/[^0-9]/g, ''))); requestAnimationFrame(frame); };
  frame();
}"""


def test_the_figures_never_go_back_under_a_hand_that_goes_on(place: tuple[Page, JobServer]) -> None:
    page, server = place
    for _ in range(6):
        slider_step(page, "mt-waste_share", "ArrowRight")
        page.wait_for_timeout(150)
    slider_step(page, "mt-waste_share", *["ArrowLeft"] * 6)
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    page.evaluate(_WATCH_WEIGHT)
    slider_step(page, "mt-waste_share", *["ArrowRight"] * 25)
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    seen = page.evaluate("() => seen")
    assert len(set(seen)) > 8
    assert seen == sorted(seen)
    assert page.evaluate(_FIGURES) == figures(page, moved(mt.open_job(server.folder), waste=25))


def test_after_a_refusal_the_table_is_the_kernels(lab: JobServer, page: Page) -> None:
    open_workbook(page, lab)
    wait_until_run(page)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    slider_step(page, "mt-max_coat_mm", *["ArrowLeft"] * 11)
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    # one move is under way, the others go as one: of 9.0, 8.5, 8.0 and 7.5 mm the kernel meets the first
    # and the last, which is less than the mix's least coat
    with lab.kernels_asleep():
        slider_step(page, "mt-max_coat_mm", *["ArrowLeft"] * 4)
    expect(page.locator(".mt-problem")).to_contain_text("least coat", timeout=WAIT_MS)
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    page.get_by_role("button", name="Save to the job").click()
    expect(page.locator(".mt-controls .mt-said")).to_contain_text("Saved to", timeout=WAIT_MS)
    kept = mt.open_job(lab.folder)
    assert kept.system.backing.max_coat_mm == 9.0
    assert page.evaluate(_FIGURES) == figures(page, kept)
