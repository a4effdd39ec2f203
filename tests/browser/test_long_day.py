"""A page and its kernel under a hand that goes on all day: no widget is added, and nothing complains.

What a page complains of, on its console or of its server, fails these tests as it does every other.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from random import Random

import pytest
from driving import WAIT_MS, JobServer, open_workbook, wait_for_kernel_idle, wait_until_run
from many_walls import write_many_walls
from playwright.sync_api import Page, expect

SLIDERS = ("max_coat_mm", "mix_density_kg_per_l", "waste_share", "least_mm")
PRICES = 12  # of the table's, from its top
AMOUNTS = ("9.50", "18.00", "31.25")
KEYS = {1: "ArrowRight", -1: "ArrowLeft"}
STEPS = 3  # either way: what is remembered of so few places is soon all there
KERNEL_MB = 1300  # with all worked out: drawn faces of thirty walls are 400 MB, more while new ones are drawn
KERNEL_SHARE = 0.2  # of the kernel's memory, which the sets of faces that are drawn at a time make uneven
GROWTH_SHARE = 0.03  # of the page's own memory and of what stands on it

ASK_KERNEL = """async (code) => {
  const kernel = window.jupyterapp.shell.currentWidget.sessionContext.session.kernel;
  const asked = kernel.requestExecute({ code, store_history: false });
  let said = "";
  asked.onIOPub = (message) => { if (message.header.msg_type === "stream") said += message.content.text; };
  await asked.done;
  return said;
}"""
COUNT = """
import gc as _gc, json as _json, psutil as _psutil
from ipywidgets.widgets.widget import _instances
_gc.collect()
print(_json.dumps([len(_instances), _psutil.Process().memory_info().rss / 2**20]))
"""


@dataclass(frozen=True)
class Alive:
    """What there is: widgets and memory of the kernel, memory and nodes of the page [-, MB, MB, -]."""

    widgets: int
    kernel_mb: float
    page_mb: float
    nodes: int


def alive(page: Page) -> Alive:
    """Count what is left once the page and the kernel have thrown away what they can."""
    wait_for_kernel_idle(page)
    expect(page.get_by_text("is being worked out")).to_have_count(0, timeout=WAIT_MS)
    widgets, kernel_mb = json.loads(page.evaluate(ASK_KERNEL, COUNT))
    tools = page.context.new_cdp_session(page)
    tools.send("HeapProfiler.collectGarbage")
    page_mb = tools.send("Runtime.getHeapUsage")["usedSize"] / 2**20
    nodes = tools.send("Memory.getDOMCounters")["nodes"]
    tools.detach()
    return Alive(widgets, kernel_mb, page_mb, nodes)


def work(page: Page, random: Random, moves: int, prices: int) -> None:
    """Move sliders a few steps to and fro by keyboard and write prices, one at a time, as they come."""
    at = dict.fromkeys(SLIDERS, 0)
    edits = ["move"] * moves + ["price"] * prices
    random.shuffle(edits)
    for edit in edits:
        if edit == "move":
            name = random.choice(SLIDERS)
            step = random.choice((-1, 1)) if abs(at[name]) < STEPS else -at[name] // STEPS
            at[name] += step
            page.locator(f".mt-{name} .noUi-handle").first.press(KEYS[step])
        else:
            box = page.locator(".mt-cost .mt-line input:visible").nth(random.randrange(PRICES))
            box.fill(random.choice(AMOUNTS))
            box.press("Enter")
    wait_for_kernel_idle(page)


def opened(page: Page, server: JobServer) -> None:
    open_workbook(page, server)
    wait_until_run(page)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)


def test_a_few_moves_and_prices_make_no_widget_and_leave_no_node(page: Page, lab: JobServer) -> None:
    opened(page, lab)
    random = Random(1)
    work(page, random, 20, 4)
    before = alive(page)
    work(page, random, 20, 4)
    after = alive(page)
    assert before.widgets == after.widgets > 50
    assert after.nodes < before.nodes * (1 + GROWTH_SHARE)


@pytest.mark.long
def test_a_day_on_thirty_walls_leaves_nothing_behind(page: Page, lab: JobServer) -> None:
    assert write_many_walls(lab.folder) == 30
    opened(page, lab)
    random = Random(2)
    work(page, random, 250, 25)  # caches fill
    before = alive(page)
    work(page, random, 250, 25)
    after = alive(page)
    assert before.widgets == after.widgets > 50
    assert after.nodes < before.nodes * (1 + GROWTH_SHARE)
    assert after.page_mb < before.page_mb * (1 + GROWTH_SHARE)
    assert after.kernel_mb < min(KERNEL_MB, before.kernel_mb * (1 + KERNEL_SHARE))
    expect(page.locator(".mt-total").first).to_contain_text("EUR")
