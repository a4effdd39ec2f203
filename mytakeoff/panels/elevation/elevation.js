// The elevation: drawn from what the kernel knows, and by what a hand has under way before the kernel has heard of it.
const MARGIN = { left: 40, right: 14, top: 22, bottom: 34 };
const MOST_PX_PER_M = 260, REST_MS = 600, STILL_PX = 4;
const HINT = "Drag a thing to move it, its sides and corners to size it; on a touch screen tap it first. "
  + "Keys: Tab goes from thing to thing, arrows move it by 1 cm, with Shift by 10 cm; with Alt they make it wider, "
  + "narrower, higher and lower; Enter goes to its numbers, Delete takes it out, Escape puts back what is under way.";
let drawings = 0;

function html(tag, className, parent, attributes = {}, text = "") {
  const made = document.createElement(tag);
  made.className = className;
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.textContent = text;
  parent.append(made);
  return made;
}

function build(el, id) {
  const root = html("div", "mt-elev", el);
  const bar = html("div", "mt-elev-bar", root);
  const label = html("label", "", bar, {}, "Add ");
  const what = html("select", "", label);
  const put = html("button", "jupyter-button", bar, { type: "button", "aria-pressed": "false" }, "Put it on the wall");
  const about = html("span", "mt-elev-about", bar);
  const sheet = draw("svg", { class: "mt-elev-sheet", role: "application", "aria-roledescription": "elevation",
    "aria-describedby": `${id}-hint`, tabindex: -1 }, root);
  patterns(sheet, id);
  const layers = Object.fromEntries(["ground", "things", "letters", "marks", "over"].map((name) =>
    [name, draw("g", { class: `mt-elev-${name}`, ...(name === "things" ? {} : { "aria-hidden": "true" }) }, sheet)]));
  const told = html("div", "mt-problem mt-elev-told", root, { role: "alert", hidden: "" });
  const readout = html("div", "mt-elev-readout", root, { role: "status", "aria-live": "polite" });
  const help = html("details", "mt-elev-help", root);
  html("summary", "", help, {}, "By hand, by touch and by keys");
  html("p", "", help, { id: `${id}-hint` }, HINT);
  const list = html("details", "mt-elev-list", root);
  html("summary", "", list, {}, "What stands on it, in words");
  const items = html("ul", "", list);
  return { root, what, put, about, sheet, layers, told, readout, items };
}

function render({ model, el }) {
  const id = `mt-elev-${++drawings}`, page = `${id}-${Math.random().toString(36).slice(2)}`;
  const on = build(el, id), nodes = new Map(), pending = new Map();
  let at = null, under = null, armed = false, sent = 0, queued = 0, resting = 0, chosen = model.get("chosen"), gone = false;
  const say = (metres, named = false) => lengthWords(model, metres, named);
  const wall = () => model.get("wall");

  // ---- what is drawn

  const own = (key) => model.get("things").find((thing) => thing.key === key);
  const shownAs = (thing) => {
    const place = under?.key === thing.key ? under.place : pending.get(thing.key)?.place;
    return place ? placed(thing, place) : thing;
  };

  function layOut() {
    const { width, height } = wall(), room = on.root.clientWidth;
    const most = Math.max(240, Math.min(620, window.innerHeight * 0.62));
    const scale = Math.min((room - MARGIN.left - MARGIN.right) / width, most / height, MOST_PX_PER_M);
    const left = MARGIN.left, top = MARGIN.top, right = left + width * scale, floor = top + height * scale;
    at = { scale, left, top, right, floor, across: (x) => left + x * scale, down: (z) => floor - z * scale };
    const size = { width: Math.ceil(right + MARGIN.right), height: Math.ceil(floor + MARGIN.bottom) };
    for (const [name, value] of Object.entries(size)) on.sheet.setAttribute(name, value);
    on.sheet.setAttribute("viewBox", `0 0 ${size.width} ${size.height}`);
  }

  function drawGround() {
    const { width, height, skirting, cornice } = wall(), { left, top, right, floor, scale } = at;
    const ground = on.layers.ground;
    ground.replaceChildren();
    draw("rect", { x: left, y: top, width: right - left, height: floor - top, class: "mt-elev-wall" }, ground);
    for (const [z, high] of [[0, skirting], [height - cornice, cornice]]) if (high) draw("rect", { x: left,
      y: at.down(z + high), width: right - left, height: high * scale, class: "mt-elev-opening" }, ground);
    const below = floor + 14, beside = left - 12;
    draw("path", { class: "mt-elev-measure", d: `M${left} ${below}H${right}M${left} ${below - 4}v8M${right} ${below - 4}v8`
      + `M${beside} ${top}V${floor}M${beside - 4} ${top}h8M${beside - 4} ${floor}h8` }, ground);
    draw("text", { x: (left + right) / 2, y: below + 11, class: "mt-elev-figure" }, ground, say(width, true));
    const turned = `rotate(-90 ${beside - 12} ${(top + floor) / 2})`;
    draw("text", { x: beside - 12, y: (top + floor) / 2, transform: turned, class: "mt-elev-figure" }, ground,
      say(height, true));
    const crosses = { read: "", out: "" };
    for (const [x, z, out] of model.get("readings")) {
      const [u, v] = [at.across(x), at.down(z)];
      crosses[out ? "out" : "read"] += out ? `M${u - 3} ${v - 3}l6 6m0 -6l-6 6` : `M${u - 3} ${v}h6m-3 -3v6`;
    }
    for (const [name, d] of Object.entries(crosses)) if (d) draw("path", { d, class: `mt-elev-${name}` }, ground);
  }

  // Each thing keeps its element while it is there: the keyboard stays where it is.
  function drawThings(things) {
    const before = [...nodes.keys()], held = before.find((key) => nodes.get(key).contains(document.activeElement));
    things.forEach((thing, nth) => {
      let node = nodes.get(thing.key);
      if (!node) {
        node = draw("g", { tabindex: 0, role: "button", "data-key": thing.key }, null);
        nodes.set(thing.key, node);
      }
      if (on.layers.things.children[nth] !== node) on.layers.things.insertBefore(node, on.layers.things.children[nth]);
      node.setAttribute("class", `mt-elev-thing${thing.draft ? " mt-elev-draft" : ""}`
        + `${thing.key === chosen ? " mt-elev-chosen" : ""}`);
      node.setAttribute("transform", `translate(${at.across(thing.x)} ${at.down(thing.z)})`);
      node.setAttribute("aria-label", own(thing.key).words);
      node.setAttribute("aria-roledescription", thing.kind);
      node.setAttribute("aria-current", String(thing.key === chosen));
      const looks = JSON.stringify([{ ...thing, x: 0, z: 0, words: "" }, at.scale]);
      if (node.dataset.looks !== looks) drawThing(thing, at, id, node);
      node.dataset.looks = looks;
    });
    for (const key of before) if (!things.some((thing) => thing.key === key)) {
      nodes.get(key).remove();
      nodes.delete(key);
    }
    if (held && !nodes.has(held)) ([...nodes.values()][Math.min(before.indexOf(held), nodes.size - 1)] ?? on.put).focus();
  }

  function drawOver(things) {
    const over = on.layers.over, thing = things.find((each) => each.key === chosen);
    over.replaceChildren();
    if (under && thing) drawMeasures(measuresOf(thing, things, wall(), say), at, over);
    if (!thing || !isArea(thing)) return;
    const [w, h] = [thing.w * at.scale, thing.h * at.scale], out = Math.min(w, h) < 76 ? 13 : 0;
    const rows = { t: at.down(thing.z + thing.h) - out, "": at.down(thing.z + thing.h / 2), b: at.down(thing.z) + out };
    const columns = { l: at.across(thing.x) - out, "": at.across(thing.x + thing.w / 2), r: at.across(thing.x + thing.w) + out };
    for (const [row, y] of Object.entries(rows)) for (const [column, x] of Object.entries(columns)) {
      if (!row && !column) continue;
      const handle = draw("g", { class: `mt-elev-handle mt-elev-grip-${row}${column}`, "data-grip": row + column }, over);
      draw("rect", { x: x - 14, y: y - 14, width: 28, height: 28, class: "mt-elev-hit" }, handle);
      draw("rect", { x: x - 4.5, y: y - 4.5, width: 9, height: 9, class: "mt-elev-knob" }, handle);
    }
  }

  function paint() {
    queued = 0;
    if (gone) return;
    const there = wall().width > 0 && on.root.clientWidth > 0;
    on.sheet.style.display = there ? "" : "none";
    on.what.disabled = on.put.disabled = !(wall().width > 0);
    if (there) {
      const things = model.get("things").map(shownAs);
      layOut();
      drawGround();
      drawThings(things);
      drawLetters(things, at, on.layers.letters);
      drawMarks(model.get("marks"), at, on.layers.marks);
      drawOver(things);
    }
    saySomething();
    on.root.dataset.paints = Number(on.root.dataset.paints ?? 0) + 1;
  }

  const ask = () => { if (!queued && !gone) queued = requestAnimationFrame(paint); };

  // ---- what is said

  function saySomething() {
    const thing = own(chosen), moving = under && own(under.key);
    const text = armed ? `Press on the wall where it is to be, or Escape. ${hintOf()}`
      : moving ? placeWords(shownAs(moving), model.get("things"), wall(), say)
        : thing ? thing.words : model.get("description");
    on.readout.setAttribute("aria-live", under?.grip !== undefined ? "off" : "polite");
    if (on.readout.textContent !== text) on.readout.textContent = text;
    const told = model.get("told") ? `Not taken. ${model.get("told")}` : "";
    if (on.told.textContent !== told) on.told.textContent = told;
    on.told.hidden = !told;
    on.sheet.setAttribute("aria-label", model.get("description"));
    on.sheet.classList.toggle("mt-elev-armed", armed);
    on.put.setAttribute("aria-pressed", String(armed));
    if (on.about.textContent !== hintOf()) on.about.textContent = hintOf();
  }

  const hintOf = () => model.get("choices").find(([value]) => value === on.what.value)?.[2] ?? "";

  function listWords() {
    const said = [...model.get("things").map((thing) => thing.words),
      ...model.get("marks").map(([x, z, letter, words]) => `${letter}, ${say(x, true)} from the left end, `
        + `${say(z, true)} from the floor: ${words}`)];
    on.items.replaceChildren();
    for (const words of said) html("li", "", on.items, {}, words);
    on.items.parentElement.hidden = !said.length;
  }

  function offer() {
    const before = on.what.value;
    on.what.replaceChildren();
    for (const [value, words] of model.get("choices")) html("option", "", on.what, { value }, words);
    if (model.get("choices").some(([value]) => value === before)) on.what.value = before;
  }

  // ---- what is asked of the kernel

  function choose(key) {
    if (chosen === key) return;
    chosen = key;
    model.send({ do: "choose", key });
    ask();
  }

  // What was under way is one edit; it is drawn so until the kernel has dealt with it.
  function commit() {
    clearTimeout(resting);
    const done = under, thing = done && own(done.key);
    under = null;
    ask();
    if (!thing) return;
    const place = changes(thing, done.place);
    if (!Object.keys(place).length) return;
    pending.set(done.key, { edit: ++sent, place: done.place });
    model.send({ do: "place", key: done.key, place, edit: [page, sent] });
  }

  function putBack() {
    clearTimeout(resting);
    under = null;
    armed = false;
    ask();
  }

  function add(place) {
    armed = false;
    model.send({ do: "add", what: on.what.value, at: place });
    focusNext = true;
    ask();
  }

  // ---- what a hand does

  let focusNext = false, drag = null, dragged = false, taken = false;
  const keyOf = (target) => target.closest?.("[data-key]")?.dataset.key ?? "";
  const toWall = (event) => {
    const box = on.sheet.getBoundingClientRect();
    return [(event.clientX - box.left - at.left) / at.scale, (at.floor - (event.clientY - box.top)) / at.scale];
  };

  function onDown(event) {
    dragged = taken = false;
    if (armed || event.button) return;
    const grip = event.target.closest("[data-grip]")?.dataset.grip ?? "";
    const key = grip ? chosen : keyOf(event.target);
    if (!key) return;
    if (event.pointerType === "touch" && key !== chosen) return; // a finger that scrolls the page moves nothing
    if (under) commit();
    choose(key);
    if (!grip) nodes.get(key)?.focus({ preventScroll: true });
    event.preventDefault();
    on.sheet.setPointerCapture(event.pointerId);
    taken = true; // the click that follows is told of the sheet, which has the pointer, and not of the thing
    drag = { key, grip, from: toWall(event), start: shownAs(own(key)), pointer: event.pointerId };
  }

  function onMove(event) {
    if (!drag || event.pointerId !== drag.pointer) return;
    const [x, z] = toWall(event), by = [x - drag.from[0], z - drag.from[1]];
    if (!dragged && Math.hypot(...by) * at.scale < STILL_PX) return;
    dragged = true;
    const place = drag.grip ? sizedBy(drag.start, drag.grip, by, wall()) : movedBy(drag.start, by, wall());
    under = { key: drag.key, place, grip: drag.grip };
    ask();
  }

  function onUp(event) {
    if (!drag || event.pointerId !== drag.pointer) return;
    drag = null;
    if (event.type === "pointerup") commit();
    else putBack();
  }

  function onClick(event) {
    if (taken && event.detail) return;
    if (armed) {
      const [x, z] = toWall(event);
      add([within(x, 0, wall().width), within(z, 0, wall().height)]);
      return;
    }
    choose(keyOf(event.target));
    if (chosen) nodes.get(chosen)?.focus({ preventScroll: true });
  }

  // ---- what keys do

  function step(event, key) {
    const by = ARROWS[event.key].map((sign) => sign * (event.shiftKey ? 10 : 1) * CM), thing = shownAs(own(key));
    if (event.altKey && !isArea(thing)) return;
    if (under && under.key !== key) commit();
    choose(key);
    const place = event.altKey ? sizedBy(thing, "rt", by, wall(), false) : movedBy(thing, by, wall(), false);
    under = { key, place };
    clearTimeout(resting);
    resting = setTimeout(commit, REST_MS);
    ask();
  }

  function onKey(event) {
    const key = keyOf(event.target);
    if (event.ctrlKey || event.metaKey || !key || !own(key)) return;
    if (event.key in ARROWS && !drag) step(event, key);
    else if (event.key === "Delete" || event.key === "Backspace") {
      if (under) putBack();
      drag = null;
      model.send({ do: "out", key, edit: [page, ++sent] });
    } else if ((event.key === "Enter" || event.key === " ") && !event.shiftKey) {
      if (under) commit();
      chosen = key;
      model.send({ do: "boxes", key });
      ask();
    } else return;
    event.preventDefault();
    event.stopPropagation();
  }

  function onEscape(event) {
    if (event.key !== "Escape" || !(under || armed || drag)) return;
    drag = null;
    putBack();
    event.preventDefault();
    event.stopPropagation();
  }

  // ---- what follows the kernel

  function onThings() {
    const keys = new Set(model.get("things").map((thing) => thing.key));
    if (under && !keys.has(under.key)) { drag = null; under = null; }
    for (const key of pending.keys()) if (!keys.has(key)) pending.delete(key);
    listWords();
    ask();
  }

  function onAnswered() {
    const [who, number] = model.get("answered");
    if (who === page) for (const [key, { edit }] of pending) if (edit <= number) pending.delete(key);
    ask();
  }

  function onChosen() {
    chosen = model.get("chosen");
    paint();
    if (focusNext && nodes.has(chosen)) {
      focusNext = false;
      nodes.get(chosen).focus({ preventScroll: true });
    }
  }

  const watched = [["things", onThings], ["marks", () => { listWords(); ask(); }], ["wall readings told description", ask],
    ["point feet_and_inches", () => { listWords(); ask(); }],
    ["answered", onAnswered], ["chosen", onChosen],
    ["choices", () => { offer(); ask(); }]]
    .flatMap(([names, handler]) => names.split(" ").map((name) => [`change:${name}`, handler]));
  for (const [event, handler] of watched) model.on(event, handler);

  const stop = new AbortController(), until = { signal: stop.signal };
  on.sheet.addEventListener("pointerdown", onDown, until);
  on.sheet.addEventListener("pointermove", onMove, until);
  for (const event of ["pointerup", "pointercancel"]) on.sheet.addEventListener(event, onUp, until);
  on.sheet.addEventListener("click", onClick, until);
  on.sheet.addEventListener("keydown", onKey, until);
  on.sheet.addEventListener("focusout", () => { if (under && !drag) commit(); }, until);
  document.addEventListener("keydown", onEscape, { ...until, capture: true });
  on.what.addEventListener("change", ask, until);
  on.put.addEventListener("click", (event) => {
    if (event.detail === 0) add(null); // keys press it: it goes to the middle, and arrows take it on
    else { armed = !armed; ask(); }
  }, until);
  const size = new ResizeObserver(ask);
  size.observe(on.root);

  offer();
  listWords();
  ask();
  return () => {
    gone = true;
    cancelAnimationFrame(queued);
    clearTimeout(resting);
    stop.abort();
    size.disconnect();
    for (const [event, handler] of watched) model.off(event, handler);
    on.root.remove();
  };
}

export default { render };
