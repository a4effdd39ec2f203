// Readings typed where they are read. Enter goes on as the wall is walked: at once after a plain number, which the
// kernel takes for certain, else when it has answered. What it has not answered yet is sent again with all that
// follows, and after a while nothing more is taken: at most the reading in hand is lost.
const LATE_MS = 4000;
const PLAIN = /^[-−]?\d{1,4}(?:[.,]\d{0,2})?$/;
const DASH = /^[-–—−]$/;

function make(tag, css, parent, text = "", attributes = {}) {
  const made = document.createElement(tag);
  if (css) made.className = css;
  if (text) made.textContent = text;
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  parent?.append(made);
  return made;
}

function setText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

function render({ model, el }) {
  const id = `mt-keys-${Math.random().toString(36).slice(2)}`;
  el.classList.add("mt-readings");
  el.dataset.lmSuppressShortcuts = "true";
  const walk = make("p", "mt-walk", el);
  const chooser = make("div", "mt-columns", el, "", { role: "group", "aria-label": "Column" });
  const box = make("div", "mt-read-scroll", el);
  const table = make("table", "", box);
  const why = make("div", "mt-why", el, "", { role: "alert", id: `${id}-why` });
  const said = make("div", "mt-read-said", el, "", { role: "status" });
  const pad = make("div", "mt-pad", el, "", { role: "group", "aria-label": "Keys for readings" });

  const cells = new Map(), places = new Map(); // by key: the box; its row and column
  let active = null, shownColumn = 0, shownWall = "", tabs = [], late = 0;
  let pending = model.get("typed").filter(([number]) => number > model.get("done"));
  let count = Math.max(model.get("done"), 0, ...pending.map(([number]) => number));
  let goOn = null; // the key that is left once its reading is taken

  const shape = () => model.get("shape");
  const isNarrow = () => el.closest(".mt-narrow") !== null;
  const told = (key) => model.get("reads")[key] ?? "";
  const waits = (key) => pending.some((each) => each[1] === key);

  function paintShape() {
    const { columns = [], rows = [], keys = [], order = [], caption = "", unit = "" } = shape();
    const held = active && document.activeElement === active ? active : null;
    cells.clear();
    places.clear();
    table.replaceChildren();
    make("caption", "", table, caption);
    const head = make("tr", "", make("thead", "", table));
    make("th", "mt-corner", head, unit, { scope: "col" });
    columns.forEach(([short], column) => make("th", "", head, short, { scope: "col", "data-column": column }));
    const body = make("tbody", "", table);
    rows.forEach(([short], row) => {
      const line = make("tr", "", body);
      make("th", "", line, short, { scope: "row" });
      columns.forEach((_, column) => makeCell(line, keys[row][column], row, column));
    });
    chooser.replaceChildren();
    tabs = columns.length < 2 ? [] : columns.map(([short, spoken], column) => {
      const tab = make("button", "", chooser, short, { type: "button", "aria-label": spoken });
      tab.addEventListener("click", () => {
        showColumn(column);
        const first = shape().order.find((key) => places.get(key)?.column === column);
        cells.get(first)?.focus();
      });
      return tab;
    });
    setText(walk, shape().walk ?? "");
    const sameWall = caption === shownWall;
    if (!sameWall) { // of another wall it is where the hand goes on
      const next = order.find((key) => !told(key)) ?? order[0];
      [shownWall, shownColumn] = [caption, places.get(next)?.column ?? 0];
    }
    showColumn(Math.min(shownColumn, Math.max(0, columns.length - 1)));
    paintReads();
    if (held) holdOn(held, sameWall);
  }

  // The hand goes on in the box of the same place; on the same wall with what it had begun to type.
  function holdOn(before, sameWall) {
    const input = cells.get(before.dataset.key);
    if (!input) return;
    input.focus();
    if (!sameWall || before.value === (before.dataset.told ?? "")) return;
    input.value = before.value;
    input.setSelectionRange(before.selectionStart, before.selectionEnd);
  }

  function makeCell(line, key, row, column) {
    const cell = make("td", key ? "" : "mt-bare", line, "", { "data-column": column });
    if (!key) {
      make("span", "mt-unseen", cell, "no wall to read");
      return;
    }
    const [, where] = shape().rows[row], [, across] = shape().columns[column];
    const input = make("input", "", cell, "", { type: "text", autocomplete: "off", enterkeyhint: "next",
      "data-key": key, "aria-describedby": `${id}-why`, spellcheck: "false" });
    input.dataset.place = [across, where].filter(Boolean).join(", ");
    const sign = make("span", "mt-sign", cell, "", { "aria-hidden": "true" });
    cells.set(key, input);
    places.set(key, { row, column, sign });
    input.addEventListener("focus", () => {
      active = input;
      input.inputMode = isNarrow() ? "none" : "decimal";
      showColumn(column);
      input.select();
    });
    input.addEventListener("blur", () => commit(input));
    input.addEventListener("keydown", (event) => press(event, input));
  }

  function showColumn(column) {
    shownColumn = column;
    for (const each of table.querySelectorAll("[data-column]"))
      each.classList.toggle("mt-off", Number(each.dataset.column) !== column);
    tabs.forEach((tab, at) => tab.setAttribute("aria-pressed", String(at === column)));
  }

  function paintReads() {
    const refused = model.get("refused"), marks = model.get("marks");
    for (const [key, input] of cells) {
      const wrong = refused[key], mark = marks[key], read = told(key);
      const held = document.activeElement === input && input.value !== (input.dataset.told ?? "");
      if (wrong && !held) input.value = wrong[0];
      else if (!held && !waits(key)) input.value = read;
      input.dataset.told = wrong ? wrong[0] : read;
      input.setAttribute("aria-invalid", String(Boolean(wrong)));
      const state = waits(key) ? ", not saved yet" : read === "–" ? ", could not be read" : "";
      const label = `${input.dataset.place}${state}${mark ? `, ${mark[1]}` : ""}`;
      if (input.getAttribute("aria-label") !== label) input.setAttribute("aria-label", label);
      const cell = input.parentElement;
      cell.classList.toggle("mt-waits", waits(key));
      cell.classList.toggle("mt-next-place", Boolean(mark));
      setText(places.get(key).sign, mark ? `◆ ${mark[0]}` : "");
    }
    tabs.forEach((tab, column) => {
      const own = [...places].filter(([, place]) => place.column === column).map(([key]) => key);
      tab.classList.toggle("mt-full", own.every((key) => told(key)));
      tab.classList.toggle("mt-wanted", own.some((key) => marks[key]));
    });
    sayWhy();
    setText(said, model.get("said"));
    el.dataset.updates = String(Number(el.dataset.updates || 0) + 1);
  }

  function sayWhy() {
    const wrong = active ? model.get("refused")[active.dataset.key] : null;
    const slow = late ? "The last reading is not saved: the workbook does not answer. It stands in its place until it "
      + "does; write what follows on paper." : "";
    setText(why, slow || (wrong ? wrong[1] : ""));
  }

  // another view of the same wall may have sent what is not answered yet
  const others = () => model.get("typed").filter(([number]) =>
    number > model.get("done") && !pending.some((each) => each[0] === number));

  function send() {
    model.set("typed", [...others(), ...pending].map((each) => [...each]));
    model.save_changes();
    watchLate();
  }

  let timer = 0;
  function watchLate() {
    clearTimeout(timer);
    late = 0;
    if (pending.length) timer = setTimeout(() => {
      late = 1;
      sayWhy();
    }, LATE_MS);
  }

  // Whether there is anything that the kernel has to be told.
  function commit(input) {
    const key = input.dataset.key, text = input.value.trim();
    const last = pending.findLast((each) => each[1] === key);
    const known = last ? last[2] : input.dataset.told ?? "";
    if (text === known || !cells.has(key)) return false;
    count = 1 + Math.max(count, model.get("done"), ...others().map(([number]) => number));
    pending.push([count, key, text]);
    send();
    paintReads();
    return true;
  }

  const certain = (text) => {
    if (text === "" || DASH.test(text)) return true;
    const [low, high] = model.get("limits"), size = Number(text.replace(",", ".").replace("−", "-"));
    return PLAIN.test(text) && size >= low && size <= high;
  };

  function step(input, by) {
    if (late) return sayWhy();
    const order = shape().order, at = order.indexOf(input.dataset.key) + by;
    const wrong = model.get("refused")[input.dataset.key];
    const sent = commit(input);
    if (wrong && !sent) return sayWhy();
    if (sent && !certain(input.value.trim())) {
      goOn = { key: input.dataset.key, to: order[at] };
      return undefined;
    }
    return goTo(order[at], input);
  }

  function goTo(key, from = null) {
    const next = cells.get(key);
    if (!next) return from?.select();
    showColumn(places.get(key).column); // what is not shown takes no focus
    return next.focus();
  }

  function beside(input, down, across) {
    const { row, column } = places.get(input.dataset.key), { keys } = shape();
    for (let r = row + down, c = column + across; keys[r]?.[c] !== undefined; r += down, c += across)
      if (keys[r][c]) return goTo(keys[r][c]);
    return undefined;
  }

  function press(event, input) {
    const edge = input.selectionStart === 0 && input.selectionEnd === input.value.length;
    const moves = {
      Enter: () => step(input, event.shiftKey ? -1 : 1),
      ArrowUp: () => beside(input, -1, 0),
      ArrowDown: () => beside(input, 1, 0),
      ArrowLeft: edge || input.selectionEnd === 0 ? () => beside(input, 0, -1) : null,
      ArrowRight: edge || input.selectionStart === input.value.length ? () => beside(input, 0, 1) : null,
      Escape: () => {
        input.value = told(input.dataset.key);
        commit(input);
        input.select();
      },
    };
    if (event.ctrlKey || event.metaKey || event.altKey || !moves[event.key]) return;
    event.preventDefault();
    moves[event.key]();
  }

  function takeAnswer() {
    const done = model.get("done"), refused = model.get("refused");
    const answered = pending.filter(([number]) => number <= done).map((each) => each[1]);
    pending = pending.filter(([number]) => number > done);
    watchLate();
    paintReads();
    const wrong = answered.find((key) => refused[key]);
    if (wrong && cells.has(wrong)) {
      goOn = null;
      goTo(wrong);
      sayWhy();
    } else if (goOn && answered.includes(goOn.key)) {
      const { key, to } = goOn;
      goOn = null;
      if (active?.dataset.key === key) goTo(to, active);
    }
  }

  function type(text) {
    if (!active) return;
    active.focus();
    active.setRangeText(text, active.selectionStart, active.selectionEnd, "end");
  }

  function erase() {
    if (!active) return;
    active.focus();
    const from = active.selectionStart === active.selectionEnd ? Math.max(0, active.selectionStart - 1) : active.selectionStart;
    active.setRangeText("", from, active.selectionEnd, "end");
  }

  function turnSign() {
    if (!active) return;
    active.focus();
    const bare = active.value.replace(/^[-−]/, "");
    active.value = bare === active.value ? `-${bare}` : bare;
  }

  function dash() {
    if (!active) return;
    active.value = "–";
    step(active, 1);
  }

  function paintPad() {
    pad.replaceChildren();
    const point = model.get("point");
    const keys = [
      ...["1", "2", "3", "4", "5", "6", "7", "8", "9", "0", point].map((each) =>
        [each, each === point ? "Decimal mark" : each, "mt-digit", () => type(each)]),
      ["⌫", "Rub out", "mt-digit", erase], ["±", "Other sign", "mt-digit", turnSign],
      ["Could not read", "", "mt-word", dash], ["Back", "Place before", "mt-back", () => active && step(active, -1)],
      ["Next", "Next place", "mt-word mt-onwards", () => active && step(active, 1)],
    ];
    for (const [text, spoken, css, act] of keys) {
      const key = make("button", css, pad, text, { type: "button", ...(spoken ? { "aria-label": spoken } : {}) });
      key.addEventListener("pointerdown", (event) => event.preventDefault()); // the box keeps the hand
      key.addEventListener("click", () => {
        active ??= cells.get(shape().order?.[0]) ?? null;
        act();
      });
    }
  }

  const go = () => {
    const [key] = model.get("go");
    if (key) goTo(key);
  };
  const events = {
    "change:shape": paintShape, "change:reads change:marks change:said": paintReads,
    "change:done change:refused": takeAnswer, "change:point": paintPad, "change:go": go,
  };
  for (const [name, act] of Object.entries(events)) model.on(name, act);
  paintPad();
  paintShape();
  return () => {
    clearTimeout(timer);
    for (const [name, act] of Object.entries(events)) model.off(name, act);
  };
}

export default { render };
