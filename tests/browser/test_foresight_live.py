"""The table under a fast hand: answered while the kernel sleeps, and never with half of one result."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import cache
from itertools import product
from random import Random

import pytest
from driving import WAIT_MS, JobServer, slider, slider_step, start_workbook
from playwright.sync_api import Page, expect

import mytakeoff as mt
from mytakeoff.job.edits import with_mix, with_price
from mytakeoff.panels.budget_panel.foresight import texts_of
from mytakeoff.resources import demo_folder

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
  const frame = () => {{ if (seen) {{ look(); requestAnimationFrame(frame); }} }};
  frame();
}}"""
_SEEN = """() => {
  const found = Array.from(window.seen);
  window.seen = null;  // the watch ends
  return found;
}"""
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


def looked_ahead(page: Page) -> Page:
    """The page, when its table and map are there and the next steps have been told."""
    page.locator(".mt-cost tbody tr").first.wait_for(timeout=WAIT_MS)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    return page


@pytest.fixture
def lab_page(shared_page: Page, shared_lab: JobServer) -> Page:
    """The panel in JupyterLab, run from a fresh job folder."""
    start_workbook(shared_page, shared_lab)
    return looked_ahead(shared_page)


@pytest.fixture(params=["shared_lab", "app"])
def place(request: pytest.FixtureRequest) -> tuple[Page, JobServer]:
    """The panel in JupyterLab, and as a page without code."""
    server: JobServer = request.getfixturevalue(request.param)
    if request.param == "shared_lab":
        return request.getfixturevalue("lab_page"), server
    page: Page = request.getfixturevalue("page")
    page.goto(server.address)
    return looked_ahead(page), server


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


def texts_by_the_chain(job: mt.Job) -> dict[str, str]:
    """The parts of the page for a job with its first wall on the map, and the total under the table."""
    result = mt.evaluate(job)
    foot = f"{result.cost.total:,}".replace(",", "\u202f")
    return {**texts_of(result, job.walls[0].name, client=False), "foot": foot}


def figures(page: Page, job: mt.Job) -> dict[str, str]:
    """What the page has to say of a job."""
    found: dict[str, str] = page.evaluate(_TEXT_OF, texts_by_the_chain(job))
    return found


@cache
def texts_of_the_demo(*steps: int) -> dict[str, str]:
    """The same for the demo job with its sliders so many steps away, reckoned once for both places."""
    return texts_by_the_chain(moved(mt.open_job(demo_folder()), *steps))


def soon(page: Page, wanted: dict[str, str]) -> dict[str, str]:
    """What stands on the page once that is what is wanted, or after two seconds: a busy page draws late."""
    for _ in range(20):
        if page.evaluate(_FIGURES) == wanted:
            break
        page.wait_for_timeout(100)
    found: dict[str, str] = page.evaluate(_FIGURES)
    return found


def test_a_key_is_answered_while_the_kernel_sleeps(place: tuple[Page, JobServer]) -> None:
    page, server = place
    job = mt.open_job(server.folder)
    for name, step in (("mt-max_coat_mm", {"depth": 2}), ("mt-mix_density_kg_per_l", {"density": 2})):
        before, job = page.evaluate(_FIGURES), moved(job, **step)
        wanted = figures(page, job)
        with server.kernels_asleep():
            slider_step(page, name, "ArrowRight", "ArrowRight")
            asleep = soon(page, wanted)
        assert before != asleep == wanted
        page.wait_for_timeout(LOOKED_AHEAD_MS)
        assert page.evaluate(_FIGURES) == asleep


@pytest.fixture
def dearer(lab_page: Page, shared_lab: JobServer) -> Callable[[], mt.Job]:
    """Types a new price on the panel in JupyterLab and gives the job that has it."""

    def typed() -> mt.Job:
        price = lab_page.get_by_label("Price of tipping, mixed rubble for one kg")
        price.fill("7,40")
        price.press("Enter")
        lab_page.wait_for_timeout(LOOKED_AHEAD_MS)
        return with_price(mt.open_job(shared_lab.folder), "tipping, mixed rubble", Decimal("7.40"))

    return typed


def test_a_new_price_is_in_what_a_sleeping_kernel_has_told(
    dearer: Callable[[], mt.Job], lab_page: Page, shared_lab: JobServer
) -> None:
    page, job = lab_page, dearer()
    with shared_lab.kernels_asleep():
        slider_step(page, "mt-waste_share", "ArrowRight")
        page.wait_for_timeout(100)
        assert page.evaluate(_FIGURES) == figures(page, moved(job, waste=1))


@pytest.fixture
def never_at_rest(lab_page: Page) -> Iterator[None]:
    """The kernel never finds the hand at rest, and so tells nothing ahead."""
    lab_page.evaluate(_RUN, "import mytakeoff.panels.budget_panel.foresight as late")
    lab_page.evaluate(_RUN, "rest_s, late.REST_S = late.REST_S, 1e6")
    yield
    lab_page.evaluate(_RUN, "late.REST_S = rest_s")


@pytest.mark.usefixtures("never_at_rest")
def test_nothing_of_the_old_price_is_shown_when_nothing_new_was_told_yet(
    dearer: Callable[[], mt.Job], lab_page: Page, shared_lab: JobServer
) -> None:
    page, job = lab_page, dearer()
    with shared_lab.kernels_asleep():
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
    unexplained = [json.loads(one) for one in page.evaluate(_SEEN)]
    assert len(unexplained) > 5
    for steps in (*reached, *product(*span)):
        if not unexplained:
            break
        allowed = page.evaluate(_TEXT_OF, texts_of_the_demo(*steps))
        unexplained = [one for one in unexplained if one != allowed]
    assert unexplained == []


_WATCH_WEIGHT = """() => {
  window.seen = [];
  const fact = () => document.querySelector('.mt-headline [data-fact=dry]').textContent;
  const look = () => seen.push(Number(fact().replace(/[^0-9]/g, '')));
  const frame = () => { if (seen) { look(); requestAnimationFrame(frame); } };
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
    seen = page.evaluate(_SEEN)
    assert len(set(seen)) > 3, "nothing moved under the hand"  # how often, a busy machine decides
    assert seen == sorted(seen)
    assert page.evaluate(_FIGURES) == figures(page, moved(mt.open_job(server.folder), waste=25))


def test_after_a_refusal_the_table_is_the_kernels(shared_lab: JobServer, lab_page: Page) -> None:
    page = lab_page
    slider_step(page, "mt-max_coat_mm", *["ArrowLeft"] * 11)
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    # one move is under way, the others go as one: of 9.0, 8.5, 8.0 and 7.5 mm the kernel meets the first
    # and the last, which is less than the mix's least coat
    with shared_lab.kernels_asleep():
        slider_step(page, "mt-max_coat_mm", *["ArrowLeft"] * 4)
    expect(page.locator(".mt-problem")).to_contain_text("least coat", timeout=WAIT_MS)
    page.wait_for_timeout(LOOKED_AHEAD_MS)
    page.get_by_role("button", name="Save to the job").click()
    expect(page.locator(".mt-controls .mt-said")).to_contain_text("Saved to", timeout=WAIT_MS)
    kept = mt.open_job(shared_lab.folder)
    assert kept.system.backing.max_coat_mm == 9.0
    assert page.evaluate(_FIGURES) == figures(page, kept)
