// All jobs: rows are made once and then only changed and moved, so that focus survives an update.
function add(parent, tag, role, className = "") {
  const made = document.createElement(tag);
  if (role) made.setAttribute("role", role);
  if (className) made.className = className;
  parent.append(made);
  return made;
}

function setText(box, text) {
  if (box.textContent !== text) box.textContent = text;
  box.hidden = !text;
}

function makeRow(body, heads) {
  const row = add(body, "tr", "row");
  const name = add(row, "th", "rowheader", "mt-name");
  name.scope = "row";
  const parts = { row, cells: {} };
  parts.title = add(name, "div", "", "mt-title");
  parts.link = add(parts.title, "a", "", "mt-to-workbook");
  parts.plain = add(parts.title, "span", "");
  parts.under = add(name, "div", "", "mt-under");
  parts.command = add(name, "code", "", "mt-command");
  parts.busy = add(name, "div", "", "mt-busy");
  for (const head of heads) {
    const cell = add(row, "td", "cell", `mt-of-${head.key}${head.number ? " mt-number" : ""}`);
    const over = add(cell, "span", "", "mt-over");
    over.setAttribute("aria-hidden", "true");
    over.textContent = head.text;
    parts.cells[head.key] = add(cell, "span", "", "mt-value");
  }
  return parts;
}

function fillRow(parts, line) {
  setText(parts.link, line.href ? line.title : "");
  if (line.href) parts.link.href = line.href;
  setText(parts.plain, line.href ? "" : line.title);
  setText(parts.under, line.under);
  setText(parts.command, line.command);
  setText(parts.busy, line.busy);
  parts.row.setAttribute("aria-busy", String(Boolean(line.busy)));
  parts.row.dataset.job = line.key;
  for (const [key, box] of Object.entries(parts.cells)) {
    setText(box, line.cells[key] || "");
    box.parentElement.classList.toggle("mt-empty", !line.cells[key]);
  }
}

function render({ model, el }) {
  el.classList.add("mt-jobs");
  el.dataset.lmSuppressShortcuts = "true";
  const table = add(el, "table", "table");
  const caption = table.createCaption();
  const top = table.createTHead();
  top.setAttribute("role", "rowgroup");
  const body = table.createTBody();
  body.setAttribute("role", "rowgroup");
  const heads = model.get("head");
  const sorting = add(top, "tr", "row");
  const cells = new Map(heads.map((head) => {
    const cell = add(sorting, "th", "columnheader", `mt-of-${head.key}${head.number ? " mt-number" : ""}`);
    cell.scope = "col";
    const button = add(cell, "button", "");
    button.type = "button";
    add(button, "span", "").textContent = head.text;
    const way = add(button, "span", "", "mt-way");
    way.setAttribute("aria-hidden", "true");
    button.addEventListener("click", () => model.send({ sort: head.key }));
    return [head.key, { cell, way }];
  }));
  let made = new Map();

  function paintOrder() {
    const { column, falling } = model.get("order");
    for (const [key, { cell, way }] of cells) {
      const here = key === column;
      cell.setAttribute("aria-sort", here ? (falling ? "descending" : "ascending") : "none");
      way.textContent = here ? (falling ? "▼" : "▲") : "↕";
    }
  }
  function paintRows() {
    const keep = new Map();
    let next = body.firstChild;
    for (const line of model.get("rows")) {
      const parts = made.get(line.key) || makeRow(body, heads.slice(1));
      keep.set(line.key, parts);
      fillRow(parts, line);
      if (parts.row === next) next = next.nextSibling;
      else body.insertBefore(parts.row, next);
    }
    for (const [key, parts] of made) if (!keep.has(key)) parts.row.remove();
    made = keep;
    el.dataset.updates = String(Number(el.dataset.updates || 0) + 1);
  }
  const paintCaption = () => { caption.textContent = model.get("caption"); };
  const watched = { "change:caption": paintCaption, "change:order": paintOrder, "change:rows": paintRows };
  for (const [name, then] of Object.entries(watched)) { model.on(name, then); then(); }
  return () => { for (const [name, then] of Object.entries(watched)) model.off(name, then); };
}

export default { render };
