// The live wall map: the kernel sends the thickness field once; colours, coat edges, the readout and the cursor are
// made here, in the next frame of the browser.
const KEY_STEP_M = 0.05, BIG_STEP_M = 0.5;
const NEXT = /^M\d/;
const SVG = "http://www.w3.org/2000/svg";
const HINT = "Point at the wall, or focus it and use the arrow keys, to read the thickness at a place.";

const bytesOf = (view) => view.buffer.slice(view.byteOffset, view.byteOffset + view.byteLength);

function element(tag, className, parent, attributes = {}) {
  const made = document.createElement(tag);
  made.className = className;
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  parent.append(made);
  return made;
}

function render({ model, el }) {
  const root = element("div", "wallmap", el);
  const sheet = element("div", "wallmap-sheet", root);
  const area = element("div", "wallmap-area", sheet);
  const cellCanvas = element("canvas", "wallmap-cells", area, { "aria-hidden": "true" });
  const edgeCanvas = element("canvas", "wallmap-edges", area, { "aria-hidden": "true" });
  const frameBox = element("div", "wallmap-frame", sheet);
  const over = element("div", "wallmap-area", sheet);
  over.style.overflow = "visible";
  const marks = document.createElementNS(SVG, "svg");
  marks.setAttribute("class", "wallmap-marks");
  marks.setAttribute("aria-hidden", "true");
  over.append(marks);
  element("div", "wallmap-updating", over);
  const cursor = element("div", "wallmap-cursor", over, { hidden: "" });
  const focusable = element("div", "wallmap-focusable", over, { tabindex: "0", role: "application",
    "aria-roledescription": "wall map" });
  const picture = element("div", "", focusable, { role: "img" });
  const readout = element("div", "wallmap-readout", root, { "aria-live": "polite", role: "status" });
  const words = element("div", "wallmap-words", root);
  words.id = `wallmap-${Math.random().toString(36).slice(2)}`;
  focusable.setAttribute("aria-describedby", words.id);

  let field = null, frame = null, place = null, labels = [], areaPx = [0, 0], control = null, gone = false, queued = 0;
  let dirty = { frame: true, cells: true, edges: true, marks: true };
  let paints = 0;

  const depths = () => {
    const first = control ? Number(control.get("value")) : model.get("max_coat_mm");
    return { first, finish: model.get("finish_mm"), further: model.get("dub_mm") > 0 ? model.get("dub_mm") : first };
  };

  function readField() {
    const codes = new Uint16Array(bytesOf(model.get("field")));
    const rows = model.get("rows"), columns = model.get("columns");
    if (!codes.length || codes.length !== rows * columns) return null;
    let deepest = 0;
    for (const code of codes) if (code > deepest) deepest = code;
    return { codes, rows, columns, deepest, state: new Uint8Array(bytesOf(model.get("mask"))),
      step: model.get("step_mm"), extent: model.get("extent_m"),
      ...squareRanges({ codes, rows, columns }), links: new Int32Array(4 * codes.length) };
  }

  function layFrame() {
    const frames = model.get("frames");
    if (!frames.length) return;
    const room = root.clientWidth;
    const chosen = frames.find((one) => room >= one.from_px) ?? frames[frames.length - 1];
    if (frame === chosen) return;
    frame = chosen;
    const [left, bottom, width, height] = frame.box;
    sheet.style.aspectRatio = `${frame.width_px} / ${frame.height_px}`;
    for (const box of [area, over]) {
      box.style.left = `${left * 100}%`;
      box.style.top = `${(1 - bottom - height) * 100}%`;
      box.style.width = `${width * 100}%`;
      box.style.height = `${height * 100}%`;
    }
    frameBox.innerHTML = frame.svg;
  }

  function fit(canvas) {
    const dpr = window.devicePixelRatio || 1;
    const width = Math.max(1, Math.round(areaPx[0] * dpr)), height = Math.max(1, Math.round(areaPx[1] * dpr));
    if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
    const context = canvas.getContext("2d");
    context.clearRect(0, 0, width, height);
    const [x0, x1, z0, z1] = field.extent, w = model.get("width_m"), h = model.get("height_m");
    return { context, dpr, width, height,
      left: x0 / w * width, top: (h - z1) / h * height,
      across: (x1 - x0) / w * width, up: (z1 - z0) / h * height };
  }

  function colourTable() {
    const ramp = new Uint8Array(bytesOf(model.get("ramp"))), top = model.get("ramp_top_mm");
    const table = new Uint32Array(65536);
    for (let code = 1; code <= field.deepest; code++) {
      const share = Math.min(1, (code - 1) * field.step / top);
      const i = 3 * Math.floor(share * 255 + 0.5);
      table[code] = 0xff000000 | ramp[i + 2] << 16 | ramp[i + 1] << 8 | ramp[i];
    }
    return table;
  }

  function paintCells() {
    const { rows, columns, codes, state } = field, on = fit(cellCanvas);
    const image = new ImageData(columns, rows), pixels = new Uint32Array(image.data.buffer);
    const table = colourTable(), missing = new ImageData(columns, rows), missingPixels = new Uint32Array(missing.data.buffer);
    let anyMissing = false;
    for (let row = 0; row < rows; row++) {
      const from = row * columns, to = (rows - 1 - row) * columns;
      for (let i = 0; i < columns; i++) {
        pixels[to + i] = table[codes[from + i]];
        if (state[from + i] === NOT_PRICED) {
          missingPixels[to + i] = 0xff000000;
          anyMissing = true;
        }
      }
    }
    const small = new OffscreenCanvas(columns, rows), c = on.context;
    c.imageSmoothingEnabled = false;
    if (anyMissing) {
      small.getContext("2d").putImageData(missing, 0, 0);
      c.drawImage(small, on.left, on.top, on.across, on.up);
      c.globalCompositeOperation = "source-in";
      c.fillStyle = hatch(c, on.dpr, getComputedStyle(root).color);
      c.fillRect(0, 0, on.width, on.height);
      c.globalCompositeOperation = "source-over";
    }
    small.getContext("2d").putImageData(image, 0, 0);
    c.drawImage(small, on.left, on.top, on.across, on.up);
  }

  function paintEdges() {
    const { rows, columns } = field, on = fit(edgeCanvas), c = on.context;
    field.edges = edgeCodes(depths(), field.step, field.deepest);
    if (!field.edges.length) return;
    const toX = (column) => on.left + (column + 0.5) / columns * on.across;
    const toY = (row) => on.top + on.up - (row + 0.5) / rows * on.up;
    const lines = new Path2D();
    traceEdges(field, field.edges, toX, toY, lines);
    for (const [colour, width] of [["#fff", 3], ["#000", 1]]) strokeFine(c, lines, colour, width * on.dpr);
    labels = labelPlaces(field, field.edges, labels);
    c.font = `bold ${14 * on.dpr}px system-ui, sans-serif`;
    c.textAlign = "center";
    c.textBaseline = "middle";
    for (const at of labels) halo(c, String(at.number), toX(at.column), toY(at.row), on.dpr);
  }

  function halo(c, text, x, y, dpr) {
    c.lineJoin = "round";
    c.lineWidth = 3.5 * dpr;
    c.strokeStyle = "#fff";
    c.strokeText(text, x, y);
    c.fillStyle = "#000";
    c.fillText(text, x, y);
  }

  // High spots: an open triangle and its letter, the letter where it meets no earlier one; a place to measure
  // next is a cross.
  function paintMarks() {
    const box = area.getBoundingClientRect(), taken = [];
    marks.replaceChildren();
    const inside = (x, y) => x > 4 && x < box.width - 4 && y > 4 && y < box.height - 4;
    const free = (x, y) => inside(x, y)
      && taken.every(([u, v]) => Math.abs(u - x) > 12 || Math.abs(v - y) > 14);
    const spots = model.get("touches").map(([letter, x, z]) => [letter,
      x / model.get("width_m") * box.width, (1 - z / model.get("height_m")) * box.height]);
    for (const [, x, y] of spots) taken.push([x, y]);
    for (const [letter, x, y] of spots) {
      const tries = [[x + 13, y], [x - 13, y], [x, y - 15], [x, y + 15], [x + 13, y - 15], [x - 13, y - 15],
        [x + 13, y + 15], [x - 13, y + 15]];
      const [u, v] = tries.find((at) => free(...at)) ?? tries.find((at) => inside(...at)) ?? tries[0];
      taken.push([u, v]);
      const shape = NEXT.test(letter) ? `M${x - 6} ${y}h12m-6 -6v12` : `M${x - 5.5} ${y + 4.5}h11l-5.5 -10z`;
      draw("path", { d: shape, fill: "none", stroke: "#fff", "stroke-width": 4 });
      draw("path", { d: shape, fill: "none", stroke: "#000", "stroke-width": 1.4 });
      draw("text", { x: u, y: v, fill: "#000", stroke: "#fff", "stroke-width": 3, "text-anchor": "middle",
        "dominant-baseline": "central", "font-size": 13, "font-weight": "bold" }).textContent = letter;
    }
  }

  function draw(tag, attributes) {
    const made = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    marks.append(made);
    return made;
  }

  function paint() {
    queued = 0;
    if (gone) return;
    const began = performance.now();
    if (dirty.cells) {
      field = readField();
      frame = dirty.frame ? null : frame;
    }
    // asking for a size makes the browser lay out the page: only when it may have changed
    if (dirty.cells || !areaPx[0]) {
      layFrame();
      areaPx = [area.getBoundingClientRect()].flatMap(({ width, height }) => [width, height]);
    }
    if (!field || !frame || !areaPx[0]) return;
    const done = dirty;
    dirty = { frame: false, cells: false, edges: false, marks: false };
    if (done.cells) paintCells();
    root.dataset.cellsMs = done.cells ? (performance.now() - began).toFixed(2) : root.dataset.cellsMs ?? "";
    const edgesBegan = performance.now();
    if (done.cells || done.edges) paintEdges();
    root.dataset.edgesMs = (performance.now() - edgesBegan).toFixed(2);
    if (done.cells || done.marks) paintMarks();
    if (place || done.cells) showReadout();
    root.dataset.paints = ++paints;
    root.dispatchEvent(new CustomEvent("wallmap-paint", { bubbles: true, detail: { paints } }));
  }

  function ask(parts) {
    Object.assign(dirty, parts);
    if (!queued && !gone) queued = requestAnimationFrame(paint);
  }

  function cellAt([x, z]) {
    const [x0, x1, z0, z1] = field.extent;
    const clamp = (value, most) => Math.min(Math.max(Math.floor(value), 0), most - 1);
    return clamp((z - z0) / (z1 - z0) * field.rows, field.rows) * field.columns
      + clamp((x - x0) / (x1 - x0) * field.columns, field.columns);
  }

  function thicknessAt(at) {
    const opening = model.get("openings").find(([, x, z, w, h]) =>
      at[0] >= x && at[0] <= x + w && at[1] >= z && at[1] <= z + h);
    const cell = cellAt(at), code = field.codes[cell];
    if (opening) return { words: `${opening[0]}, not plastered`, mm: null };
    if (code) {
      const mm = (code - 1) * field.step, coats = field.edges?.length ? coatsOf(code, field.edges) : null;
      return { words: `${depthWords(model, mm, 1)}${coats === null ? "" : `, ${coatWords(coats, mm)}`}`, mm };
    }
    return { words: field.state[cell] === NOT_PRICED ? "not priced here, the survey does not reach" : "not plastered",
      mm: null };
  }

  function coatWords(coats, mm) {
    const finish = model.get("finish_mm") > 0 && mm > 0;
    if (!coats) return finish ? "finish only" : "no plaster";
    return `${coats} ${coats === 1 ? "coat" : "coats"}${finish ? " and the finish" : ""}`;
  }

  function restingWords() {
    if (!field) return "";
    const thickest = (field.deepest - 1) * field.step, top = model.get("ramp_top_mm");
    const above = thickest > top ? ` Above ${depthWords(model, top, Number.isInteger(top) ? 0 : 1)} all is the darkest colour; the thickest place has ${depthWords(model, thickest, 1)}.` : "";
    return HINT + above;
  }

  function showReadout() {
    let text = restingWords();
    if (cursor.hidden === Boolean(place)) cursor.hidden = !place;
    readout.toggleAttribute("data-quiet", !place);
    if (place && field) {
      cursor.style.left = `${place[0] / model.get("width_m") * 100}%`;
      cursor.style.top = `${(1 - place[1] / model.get("height_m")) * 100}%`;
      text = `x ${lengthWords(model, place[0], true)}, z ${lengthWords(model, place[1], true)}: ${thicknessAt(place).words}`;
    }
    if (readout.textContent !== text) readout.textContent = text;
  }

  function moveTo(x, z) {
    // Whole millimetres: steps of 0.05 must not add up to 2.2499999.
    const clamp = (value, most) => Math.min(Math.max(Math.round(value * 1000) / 1000, 0), most);
    place = [clamp(x, model.get("width_m")), clamp(z, model.get("height_m"))];
    showReadout();
  }

  function pick() {
    if (!place || !field) return;
    const { mm } = thicknessAt(place);
    model.set("picked", [place[0], place[1], mm]);
    model.save_changes();
  }

  function onPointer(event) {
    if (!field) return;
    const box = area.getBoundingClientRect();
    readout.setAttribute("aria-live", "off");
    moveTo((event.clientX - box.left) / box.width * model.get("width_m"),
      (1 - (event.clientY - box.top) / box.height) * model.get("height_m"));
    if (event.type === "pointerdown") pick();
  }

  function onLeave(event) {
    if (event.pointerType === "touch" || document.activeElement === focusable) return;
    place = null;
    showReadout();
  }

  const onFocus = () => {
    readout.setAttribute("aria-live", "polite");
    if (!place && field) moveTo(model.get("width_m") / 2, model.get("height_m") / 2);
  };
  const onBlur = () => { place = null; showReadout(); };

  function onKey(event) {
    if (!field || event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.shiftKey ? BIG_STEP_M : KEY_STEP_M;
    const moves = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
    const [x, z] = place ?? [model.get("width_m") / 2, model.get("height_m") / 2];
    if (moves[event.key]) moveTo(x + moves[event.key][0], z + moves[event.key][1]);
    else if (event.key === "Home") moveTo(0, z);
    else if (event.key === "End") moveTo(model.get("width_m"), z);
    else if (event.key === "Enter" && !event.shiftKey) pick();
    else return;
    readout.setAttribute("aria-live", "polite");
    event.preventDefault();
    event.stopPropagation();
  }

  function describe() {
    picture.setAttribute("aria-label", model.get("label"));
    focusable.setAttribute("aria-label", `${model.get("label")}. Arrow keys move over the wall, Enter picks a place.`);
    words.textContent = model.get("description");
    root.classList.toggle("wallmap-busy", model.get("updating"));
    root.setAttribute("aria-busy", String(model.get("updating")));
  }

  const onControl = () => ask({ edges: true });
  async function follow() {
    control?.off("change:value", onControl);
    control = null;
    const reference = model.get("edge_control");
    if (reference) {
      const found = await model.widget_manager.get_model(String(reference).replace("IPY_MODEL_", ""));
      if (gone || model.get("edge_control") !== reference) return;
      control = found;
      control.on("change:value", onControl);
    }
    onControl();
  }

  const onField = () => ask({ cells: true }), onFrame = () => ask({ frame: true, cells: true });
  const onEdges = () => ask({ edges: true }), onMarks = () => ask({ marks: true });
  const watched = [
    ["field mask rows columns step_mm extent_m ramp ramp_top_mm", onField],
    ["frames width_m height_m openings", onFrame],
    ["finish_mm dub_mm", onEdges],
    ["max_coat_mm", () => control || onEdges()],
    ["touches", onMarks],
    ["label description updating", describe],
    ["edge_control", follow],
  ].flatMap(([names, handler]) => names.split(" ").map((name) => [`change:${name}`, handler]));
  for (const [event, handler] of watched) model.on(event, handler);

  const stop = new AbortController(), until = { signal: stop.signal };
  for (const event of ["pointermove", "pointerdown"]) over.addEventListener(event, onPointer, until);
  over.addEventListener("pointerleave", onLeave, until);
  focusable.addEventListener("focus", onFocus, until);
  focusable.addEventListener("blur", onBlur, until);
  focusable.addEventListener("keydown", onKey, until);
  const size = new ResizeObserver(() => ask({ cells: true }));
  size.observe(root);
  const theme = new MutationObserver(() => ask({ cells: true }));
  theme.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light", "data-jp-theme-name", "class"] });

  describe();
  follow();
  ask({});
  return () => {
    gone = true;
    cancelAnimationFrame(queued);
    stop.abort();
    size.disconnect();
    theme.disconnect();
    control?.off("change:value", onControl);
    for (const [event, handler] of watched) model.off(event, handler);
    root.remove();
  };
}

export default { render };
