// The costed table: rows are made once and then only changed, so that focus and typing survive an update. Sections
// fold under their buttons, and so do the small items of each; what is folded is the user's and stays.
function cell(row, kind, text, tag = "td", role = "cell") {
  const made = document.createElement(tag);
  made.className = "mt-" + kind;
  made.textContent = text;
  made.setAttribute("role", role); // a narrow page lays rows out as grids, which may cost them their meaning
  row.append(made);
  return made;
}

function newRow(css = "") {
  const row = document.createElement("tr");
  row.setAttribute("role", "row");
  row.className = css;
  return row;
}

function makeRow(model, line) {
  const row = newRow("mt-line"), under = newRow("mt-under"), parts = { row, under };
  parts.name = cell(row, "item", "", "th", "rowheader");
  parts.name.scope = "row";
  parts.basis = cell(under, "basis", "");
  parts.basis.colSpan = 5;
  parts.quantity = cell(row, "number mt-quantity", "");
  parts.unit = cell(row, "unit", "");
  parts.price = cell(row, "number mt-price", "");
  parts.amount = cell(row, "number mt-amount", "");
  if (line.editable) {
    const input = document.createElement("input");
    input.type = "text";
    input.inputMode = "decimal";
    input.autocomplete = "off";
    // the notebook's own shortcuts would take Enter and the arrows away from the box
    input.addEventListener("keydown", (event) => {
      event.stopPropagation();
      if (event.key === "Enter") input.dispatchEvent(new Event("change"));
    });
    input.addEventListener("change", () => {
      if (input.value === parts.sent) return;
      parts.sent = input.value;
      model.set("edit", { item: line.priced, text: input.value, count: (model.get("edit").count || 0) + 1 });
      model.save_changes();
    });
    parts.price.append(input);
    parts.input = input;
  }
  return parts;
}

function fillRow(parts, line, refused, hidden) {
  if (parts.name.textContent !== line.item) parts.name.textContent = line.item;
  if (parts.basis.textContent !== line.basis) parts.basis.textContent = line.basis;
  setText(parts.quantity, line.quantity);
  if (parts.unit.textContent !== line.unit) parts.unit.textContent = line.unit;
  setText(parts.amount, line.amount);
  const wrong = line.priced in refused;
  if (parts.input) {
    const label = `Price of ${line.item} for one ${line.unit}`;
    if (parts.label !== label) parts.input.setAttribute("aria-label", (parts.label = label));
    // what was typed and refused stays until it is put right, what is being typed until it is sent
    const typing = document.activeElement === parts.input && parts.input.value !== parts.sent;
    if (!wrong && !typing) {
      if (parts.input.value !== line.price) parts.input.value = line.price;
      parts.sent = line.price;
    }
    if (parts.wrong !== wrong) parts.input.setAttribute("aria-invalid", wrong ? "true" : "false");
    parts.wrong = wrong;
  } else {
    setText(parts.price, line.price);
  }
  parts.row.hidden = hidden;
  parts.under.hidden = hidden || !line.basis;
}

// A row with a button that folds what is under it.
function foldRow(css, toggle) {
  const row = newRow(css), head = cell(row, "item", "", "th", "rowheader"), amount = cell(row, "number mt-amount", "");
  head.scope = "row";
  const button = document.createElement("button");
  button.type = "button";
  button.addEventListener("click", toggle);
  head.append(button);
  return { row, head, button, amount };
}

function fillFold(fold, title, amount, folds, open, across) {
  const text = folds ? `${open ? "▾" : "▸"} ${title}` : title;
  const place = folds ? fold.button : fold.head;
  if (place.textContent !== text) place.textContent = text;
  if (folds && fold.button.getAttribute("aria-expanded") !== String(open)) fold.button.setAttribute("aria-expanded", open);
  if (fold.head.colSpan !== across) fold.head.colSpan = across;
  setText(fold.amount, amount);
}

function placeRows(body, rows) {
  let next = body.firstChild;
  for (const row of rows) {
    if (row === next) next = row.nextSibling;
    else body.insertBefore(row, next);
  }
  while (next) {
    const gone = next;
    next = next.nextSibling;
    gone.remove();
  }
}

async function render({ model, el }) {
  const source = await model.widget_manager.get_model(model.get("source").replace("IPY_MODEL_", ""));
  el.classList.add("mt-cost");
  el.dataset.lmSuppressShortcuts = "true";
  const box = document.createElement("div");
  box.className = "mt-cost-scroll";
  const table = document.createElement("table");
  table.setAttribute("role", "table");
  const caption = table.createCaption(), title = document.createElement("span");
  const all = document.createElement("button");
  all.type = "button";
  all.addEventListener("click", () => {
    const names = shown.sections.map((section) => section.title);
    const fold = names.some((name) => !folded.has(name));
    folded = new Set(fold ? names : []);
    paintBody();
  });
  caption.append(title, all);
  const head = newRow();
  table.createTHead().append(head);
  const foot = table.createTFoot();
  box.append(table);
  el.append(box);
  let made = new Map(), shown = { sections: [] }, folded = new Set();
  const bodies = new Map(), opened = new Set(); // sections by title; those whose small items are shown

  const across = () => Math.max(1, shown.head.length - 1);

  function paintHead() {
    const wanted = JSON.stringify([shown.caption, shown.head]);
    if (table.dataset.head === wanted) return;
    table.dataset.head = wanted;
    title.textContent = shown.caption;
    head.replaceChildren();
    for (const [kind, text] of shown.head) cell(head, kind, text, "th", "columnheader").scope = "col";
    table.classList.toggle("mt-client", shown.head.length < 5);
  }

  const flip = (set, name) => () => {
    if (!set().delete(name)) set().add(name);
    paintBody();
  };

  function bodyOf(section) {
    const key = `${section.title}|${section.folds}`;
    if (!bodies.has(key)) {
      const body = document.createElement("tbody");
      body.setAttribute("role", "rowgroup");
      const top = foldRow("mt-section", flip(() => folded, section.title));
      const small = foldRow("mt-small", flip(() => opened, section.title));
      if (!section.folds) top.button.remove();
      bodies.set(key, { body, top, small });
    }
    return bodies.get(key);
  }

  function paintBody() {
    const refused = model.get("refused"), keep = new Map(), places = [];
    for (const section of shown.sections) {
      const { body, top, small } = bodyOf(section), open = !folded.has(section.title);
      const smallOpen = opened.has(section.title);
      fillFold(top, section.title, section.amount, section.folds, open, across());
      const rows = section.title ? [top.row] : [];
      let gathered = !section.small.length;
      for (const line of section.rows) {
        if (line.small && !gathered) {
          gathered = true;
          fillFold(small, ...section.small, true, smallOpen, across());
          small.row.hidden = !open;
          rows.push(small.row);
        }
        const key = `${line.key}|${line.editable}`, parts = made.get(key) || makeRow(model, line);
        keep.set(key, parts);
        // a price that was refused, or is being typed, is never folded away with the small ones
        const held = line.priced in refused || (parts.input && document.activeElement === parts.input);
        fillRow(parts, line, refused, !open || (line.small && !smallOpen && !held));
        rows.push(parts.row, parts.under);
      }
      placeRows(body, rows);
      places.push(body);
    }
    for (const each of [...table.tBodies]) if (!places.includes(each)) each.remove();
    places.forEach((body, at) => {
      if (table.tBodies[at] !== body) table.insertBefore(body, table.tBodies[at] ?? foot);
    });
    made = keep;
    const names = shown.sections.filter((section) => section.folds).map((section) => section.title);
    all.hidden = !names.length;
    const words = names.every((name) => folded.has(name)) ? "Open all" : "Fold all";
    if (all.textContent !== words) all.textContent = words;
    el.dataset.updates = String(Number(el.dataset.updates || 0) + 1);
  }

  function paintFoot() {
    const lines = shown.foot;
    while (foot.rows.length > lines.length) foot.deleteRow(-1);
    lines.forEach(([label, amount, strong], at) => {
      let row = foot.rows[at];
      if (!row) {
        row = newRow();
        foot.append(row);
        cell(row, "item", "", "th", "rowheader").scope = "row";
        cell(row, "number mt-amount", "");
      }
      if (row.cells[0].colSpan !== across()) row.cells[0].colSpan = across();
      if (row.cells[0].textContent !== label) row.cells[0].textContent = label;
      setText(row.cells[1], amount);
      row.classList.toggle("mt-strong", Boolean(strong));
    });
  }

  function paint() {
    shown = JSON.parse(source.get("shown_table") ?? source.get("table"));
    paintHead();
    paintBody();
    paintFoot();
  }
  source.on("change:shown_table", paint);
  model.on("change:refused", paintBody);
  paint();
  return () => {
    source.off("change:shown_table", paint);
    model.off("change:refused", paintBody);
  };
}

export default { render };
