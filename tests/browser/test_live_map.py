"""The live map in a real browser, without a server: its script, and a stand-in for the kernel's model."""

from __future__ import annotations

import base64
from itertools import pairwise
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import numpy as np
import pytest

from mytakeoff.charts.drawing.field import quantise
from mytakeoff.charts.drawing.palette import RAMP, ramp_index
from mytakeoff.charts.maps.coat_edges import CoatDepths
from mytakeoff.panels.wall_map import map as map_module
from mytakeoff.panels.wall_map.map import ThicknessMap
from mytakeoff.survey.wall import Opening, Wall

WALL = Wall("east", 4.0, 2.0, openings=(Opening("hatch", 1.0, 0.5, 0.5, 1.0),))
COLUMNS, ROWS = 400, 200
X_M, Z_M = (np.arange(COLUMNS) + 0.5) * 4.0 / COLUMNS, (np.arange(ROWS) + 0.5) * 2.0 / ROWS

MODEL = """
window.makeModel = (state, control) => {
  const handlers = new Map();
  const unpack = (text) => new DataView(Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer);
  const ready = (v) => (v?.binary === undefined ? v : unpack(v.binary));
  const values = Object.fromEntries(Object.entries(state).map(([k, v]) => [k, ready(v)]));
  return {
    handlers, saved: 0,
    get: (name) => values[name],
    set(name, value) { values[name] = ready(value);
      for (const handler of [...(handlers.get(`change:${name}`) ?? [])]) handler(); },
    on(name, handler) { handlers.set(name, [...(handlers.get(name) ?? []), handler]); },
    off(name, handler) { handlers.set(name, (handlers.get(name) ?? []).filter((one) => one !== handler)); },
    listening() { return [...handlers.values()].reduce((sum, one) => sum + one.length, 0); },
    save_changes() { this.saved += 1; },
    widget_manager: { get_model: async (id) => { window.asked = id; return control; } },
  };
};
window.start = async (script, style, state, value) => {
  document.head.insertAdjacentHTML("beforeend", `<style>${style}</style>`);
  const url = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
  window.widget = (await import(url)).default;
  window.control = makeModel({ value });
  window.model = makeModel(state, window.control);
  window.cleanup = widget.render({ model: window.model, el: document.getElementById("here") });
};
window.painted = (act) => new Promise((done) => {
  const count = () => Number(document.querySelector(".wallmap").dataset.paints ?? 0), before = count();
  const wait = () => (count() > before ? done(count()) : requestAnimationFrame(wait));
  act();
  requestAnimationFrame(wait);
});
window.pixel = (canvas, x, z) => {
  const c = document.querySelector(`.wallmap-${canvas}`);
  const at = [Math.floor(x / 4 * c.width), Math.floor((1 - z / 2) * c.height)];
  return [...c.getContext("2d").getImageData(...at, 1, 1).data];
};
window.edgeColumns = (z) => {
  const c = document.querySelector(".wallmap-edges"), row = Math.floor((1 - z / 2) * c.height), found = [];
  const data = c.getContext("2d").getImageData(0, row, c.width, 1).data;
  for (let i = 0; i < c.width; i++) {
    if (data[4 * i + 3] > 200 && data[4 * i] < 170) found.push((i + 0.5) / c.width * 4);
  }
  return found;
};
"""


def wedge(per_m: float = 10.0) -> np.ndarray:
    """Thickness growing evenly along the wall; the last 0.2 m at the top are beyond the survey."""
    thickness = np.tile(per_m * X_M, (ROWS, 1))
    thickness[np.ix_(Z_M > 1.8, X_M > 3.8)] = np.nan
    return thickness


def packed(view: ThicknessMap) -> dict[str, Any]:
    """The synced state as the page can take it."""
    state = {name: value for name, value in view.get_state().items() if not name.startswith("_")}
    return {
        name: {"binary": base64.b64encode(value).decode()} if isinstance(value, bytes | memoryview) else value
        for name, value in state.items()
        if name != "layout"
    }


@pytest.fixture
def sheet(page: Any) -> Any:
    """An empty page 800 pixels wide that can start the map."""
    page.set_viewport_size({"width": 800, "height": 700})
    page.set_content('<!doctype html><body style="margin:0"><div id="here"></div></body>')
    page.add_script_tag(content=MODEL)
    return page


@pytest.fixture
def workings(page: Any) -> Any:
    """An empty page that knows what the map works out from its field."""
    page.add_script_tag(path=Path(map_module.__file__).with_name("map_paint.js"))
    return page


def start(page: Any, value: float = 15.0, **more: Any) -> ThicknessMap:
    """Render the wedge with a coat depth control of `value`."""
    view = ThicknessMap(edge_control=widgets.FloatSlider(value=value))
    view.show(WALL, X_M, Z_M, wedge(), **more)
    script, style = ThicknessMap._esm, ThicknessMap._css
    page.evaluate("([a, b, c, d]) => start(a, b, c, d)", [str(script), str(style), packed(view), value])
    page.wait_for_function(
        "document.querySelector('.wallmap').dataset.paints > 0 && edgeColumns(0.2).length > 0"
    )
    return view


def readout(page: Any) -> str:
    return str(page.locator(".wallmap-readout").inner_text())


def test_cells_have_the_colours_of_their_millimetres(sheet):
    start(sheet)
    for x_m in (0.305, 2.005, 3.505):
        red, green, blue, opacity = sheet.evaluate(f"pixel('cells', {x_m}, 0.305)")
        place = int(ramp_index(10 * x_m, 40.0))
        assert [red, green, blue] in RAMP[place - 1 : place + 2].tolist()
        assert opacity == 255
    # Hatching: some of the unknown corner is inked, some clear, none coloured.
    corner = [tuple(sheet.evaluate(f"pixel('cells', {3.85 + i / 100}, 1.9)")) for i in range(12)]
    assert any(pixel[3] == 0 for pixel in corner)
    assert any(pixel[3] > 0 for pixel in corner)


def test_canvas_lies_in_the_box_of_the_printed_frame(sheet):
    view = start(sheet)
    around, area = (
        sheet.locator(".wallmap-sheet").bounding_box(),
        sheet.locator(".wallmap-area").first.bounding_box(),
    )
    left, bottom, width, _ = view.frames[0]["box"]
    assert (area["x"] - around["x"]) / around["width"] == pytest.approx(left, abs=2e-3)
    assert area["width"] / around["width"] == pytest.approx(width, abs=2e-3)
    assert (around["y"] + around["height"] - area["y"] - area["height"]) / around["height"] == pytest.approx(
        bottom, abs=2e-3
    )
    assert area["width"] / 4.0 == pytest.approx(area["height"] / 2.0, rel=5e-3)


def test_edges_follow_the_control_without_the_kernel(sheet):
    start(sheet, coats=CoatDepths(99.0, finish_mm=3.0))
    # 10 mm a metre: the finish ends at 0.3 m, then a coat every 1.5 m.

    def edges() -> list[float]:
        found = sheet.evaluate("edgeColumns(0.2)")
        return [found[0], *(b for a, b in pairwise(found) if b - a > 0.05)]

    assert edges() == pytest.approx([0.3, 1.8, 3.3], abs=0.03)
    sheet.evaluate("painted(() => control.set('value', 10))")
    assert edges() == pytest.approx([0.3, 1.3, 2.3, 3.3], abs=0.03)
    sheet.evaluate("painted(() => model.set('dub_mm', 20))")
    assert edges() == pytest.approx([0.3, 1.3, 3.3], abs=0.03)
    assert sheet.evaluate("model.saved") == 0
    sheet.evaluate("painted(() => model.set('edge_control', null))")
    assert sheet.evaluate("edgeColumns(0.2)") == pytest.approx(
        [0.3] * len(sheet.evaluate("edgeColumns(0.2)")), abs=0.03
    )


def test_many_moves_within_a_frame_are_painted_once(sheet):
    start(sheet)
    before = sheet.evaluate("Number(document.querySelector('.wallmap').dataset.paints)")
    after = sheet.evaluate(
        "painted(() => { for (let i = 0; i < 50; i++) control.set('value', 10 + i / 10); })"
    )
    assert after == before + 1


def test_a_new_field_is_painted_and_the_frame_stays(sheet):
    view = start(sheet)
    box = sheet.locator(".wallmap-area").first.bounding_box()
    view.show(WALL, X_M, Z_M, wedge() + 5)
    sheet.evaluate("(field) => painted(() => model.set('field', field))", packed(view)["field"])
    place = int(ramp_index(10 * 2.005 + 5, 40.0))
    assert sheet.evaluate("pixel('cells', 2.005, 0.305)")[:3] in RAMP[place - 1 : place + 2].tolist()
    assert sheet.locator(".wallmap-area").first.bounding_box() == box


def test_keyboard_reads_the_exact_thickness_and_picks(sheet):
    start(sheet)
    sheet.locator(".wallmap-focusable").focus()
    assert readout(sheet) == "x 2.00 m, z 1.00 m: 20.1 mm, 2 coats"
    for key in ("ArrowRight", "ArrowRight", "ArrowUp", "Shift+ArrowRight"):
        sheet.keyboard.press(key)
    assert readout(sheet).startswith("x 2.60 m, z 1.05 m: 26.")
    sheet.keyboard.press("Enter")
    x_m, z_m, millimetres = sheet.evaluate("model.get('picked')")
    assert (x_m, z_m) == (2.6, 1.05)
    assert millimetres == pytest.approx(10 * X_M[260], abs=0.005)
    assert sheet.evaluate("model.saved") == 1
    sheet.keyboard.press("End")
    for _ in range(2):
        sheet.keyboard.press("Shift+ArrowUp")
    assert readout(sheet) == "x 4.00 m, z 2.00 m: not priced here, the survey does not reach"
    assert sheet.locator(".wallmap-readout").get_attribute("aria-live") == "polite"


def test_pointer_reads_and_picks(sheet):
    start(sheet)
    box = sheet.locator(".wallmap-area").first.bounding_box()
    sheet.mouse.move(box["x"] + box["width"] * 1.25 / 4, box["y"] + box["height"] / 2)
    assert readout(sheet).endswith("hatch, not plastered")
    sheet.mouse.click(box["x"] + box["width"] * 3 / 4, box["y"] + box["height"] * 0.75)
    assert sheet.evaluate("model.get('picked')") == pytest.approx([3.0, 0.5, 30.0], abs=0.1)
    sheet.mouse.move(5, 695)
    assert readout(sheet).startswith("Point at the wall")


def test_reader_programs_get_name_and_text(sheet):
    view = start(sheet)
    picture = sheet.get_by_role("img", name="Thickness of plaster on wall east")
    assert picture.count() == 1
    focusable = sheet.locator(".wallmap-focusable")
    words = sheet.locator(f"#{focusable.get_attribute('aria-describedby')}")
    assert words.text_content() == view.description
    sheet.evaluate("model.set('updating', true)")
    assert sheet.locator(".wallmap").get_attribute("aria-busy") == "true"
    assert sheet.locator(".wallmap-updating").evaluate("(e) => getComputedStyle(e).visibility") == "visible"


def test_narrow_page_takes_the_narrow_frame_and_does_not_scroll_sideways(sheet):
    start(sheet)
    sheet.set_viewport_size({"width": 360, "height": 700})
    sheet.wait_for_function("document.querySelector('.wallmap-frame svg').viewBox.baseVal.width < 300")
    assert sheet.evaluate("document.documentElement.scrollWidth") == 360


def test_thickness_above_the_scale_is_said(sheet):
    start(sheet, ramp_top_mm=30.0)
    assert "Above 30 mm" in readout(sheet)
    assert "39.9 mm" in readout(sheet) or "40.0 mm" in readout(sheet)
    assert sheet.evaluate("pixel('cells', 3.2, 0.3)")[:3] == sheet.evaluate("pixel('cells', 3.9, 0.3)")[:3]


def test_two_views_of_one_map_and_nothing_left_after_closing(sheet):
    start(sheet)
    sheet.evaluate("""() => {
      const more = document.createElement('div');
      document.body.append(more);
      window.second = widget.render({ model, el: more });
    }""")
    sheet.wait_for_function(
        "[...document.querySelectorAll('.wallmap')].every((one) => one.dataset.paints > 0)"
    )
    sheet.wait_for_function("control.listening() === 2")
    sheet.evaluate("cleanup()")
    assert sheet.evaluate("control.listening()") == 1
    sheet.evaluate("second()")
    assert sheet.evaluate("[model.listening(), control.listening()]") == [0, 0]
    assert sheet.locator(".wallmap").count() == 0
    sheet.evaluate("control.set('value', 12)")
    for _ in range(20):
        sheet.evaluate(
            "() => { const end = widget.render({ model, el: document.getElementById('here') }); end(); }"
        )
    sheet.wait_for_timeout(50)
    assert sheet.evaluate("[model.listening(), control.listening()]") == [0, 0]


@pytest.mark.parametrize(("finish", "first", "dub"), [(0, 20, 0), (3, 15, 0), (2.5, 12.5, 25), (0, 7.3, 4.1)])
def test_numbers_of_coats_agree_with_laying_them_on(workings, finish, first, dub):
    thickness = np.round(np.arange(0, 80, 0.1), 1)
    depths = {"first": first, "finish": finish, "further": dub or first}
    codes = quantise(thickness).tolist()
    numbers = "codes.map((code) => coatsOf(code, edgeCodes(depths, 0.01, Math.max(...codes))))"
    found = workings.evaluate(f"([codes, depths]) => {numbers}", [codes, depths])
    assert found == [turns_to_lay(value, finish, first, dub or first) for value in thickness]


def turns_to_lay(thickness: float, finish: float, first: float, further: float) -> int:
    """How many turns it takes to lay a thickness, laid on one by one."""
    left, coats = round(thickness - finish, 6), 0
    while left > 1e-9:
        left = round(left - (first if coats == 0 else further), 6)
        coats += 1
    return coats


def test_no_depth_draws_no_edges_and_a_tiny_one_not_forever(workings):
    edges = "(first) => edgeCodes({ first, finish: 0, further: first }, 0.01, 60000).length"
    assert [workings.evaluate(edges, depth) for depth in (0, -3, 0.01)] == [0, 0, 40]


def test_every_region_with_room_gets_its_number_inside(workings):
    thickness = np.full((40, 80), 10.0)
    thickness[5:20, 50:75] = thickness[22:38, 5:25] = 30.0
    thickness[30:32, 60:62] = 30.0  # too small for a number
    places = workings.evaluate(
        "([codes, rows, columns]) => labelPlaces({ codes, rows, columns }, "
        "edgeCodes({ first: 20, finish: 0, further: 20 }, 0.01, Math.max(...codes)), [])",
        [quantise(thickness).ravel().tolist(), *thickness.shape],
    )
    assert sorted(place["number"] for place in places) == [1, 2, 2]
    for place in places:
        row, column = place["row"], place["column"]
        around = thickness[row - 2 : row + 3, column - 2 : column + 3]
        assert (around == (30.0 if place["number"] == 2 else 10.0)).all()
