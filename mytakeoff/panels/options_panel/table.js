// The options side by side: rows are made once and then only changed, so that focus survives an update.
function put(parent, tag, className, text = "") {
  const made = document.createElement(tag);
  if (className) made.className = className;
  made.textContent = text;
  parent.append(made);
  return made;
}

function setLines(box, lines) {
  while (box.children.length > lines.length) box.lastChild.remove();
  lines.forEach((line, at) => setText(box.children[at] || put(box, "div", "mt-line"), line));
}

function makeRow(model, key) {
  const row = document.createElement("tr");
  row.setAttribute("role", "row");
  const parts = { row, cells: {}, pictures: {} };
  const name = put(row, "th", "mt-name");
  name.scope = "row";
  name.setAttribute("role", "rowheader");
  parts.name = put(name, "div", "mt-title");
  parts.letter = put(parts.name, "span", "mt-letter");
  parts.title = put(parts.name, "span", "");
  parts.mark = put(name, "div", "mt-mark");
  const verdict = put(name, "div", "mt-verdict");
  parts.sign = put(verdict, "span", "mt-sign");
  parts.sign.setAttribute("aria-hidden", "true");
  parts.verdict = put(verdict, "span", "");
  parts.button = put(name, "button", "mt-carry jupyter-button");
  parts.button.type = "button";
  parts.button.addEventListener("click", () => {
    model.set("chosen", { key, count: (model.get("chosen").count || 0) + 1 });
    model.save_changes();
  });
  parts.busy = put(name, "div", "mt-busy");
  return parts;
}

function makeCell(parts, head) {
  const cell = put(parts.row, "td", `mt-cell mt-of-${head.key}`);
  cell.setAttribute("role", "cell");
  put(cell, "div", "mt-over", head.text).setAttribute("aria-hidden", "true");
  if (head.pictured) parts.pictures[head.key] = put(cell, "div", "mt-picture");
  parts.cells[head.key] = put(cell, "div", "mt-lines");
  if (!head.pictured) parts.pictures[head.key] = put(cell, "div", "mt-picture");
}

function render({ model, el }) {
  el.classList.add("mt-options");
  el.dataset.lmSuppressShortcuts = "true";
  const table = put(el, "table", "");
  table.setAttribute("role", "table");
  const caption = table.createCaption();
  const head = table.createTHead();
  head.setAttribute("role", "rowgroup");
  const body = table.createTBody();
  body.setAttribute("role", "rowgroup");
  let made = new Map();
  let columns = "";
  const pictures = {};

  function paintHead() {
    caption.textContent = model.get("caption");
    const heads = model.get("head");
    const row = document.createElement("tr");
    row.setAttribute("role", "row");
    for (const each of heads) {
      const cell = put(row, "th", `mt-of-${each.key}`);
      cell.scope = "col";
      cell.setAttribute("role", "columnheader");
      put(cell, "div", "", each.text);
      if (each.note) put(cell, "div", "mt-note", each.note);
    }
    head.replaceChildren(row);
    const now = heads.map((each) => each.key).join();
    if (now !== columns) {
      body.replaceChildren();
      made = new Map();
      columns = now;
    }
  }
  function paintPicture(key, column) {
    const place = made.get(key)?.pictures[column];
    const svg = pictures[`${key}|${column}`] || "";
    if (!place || place.dataset.shown === svg) return;
    place.innerHTML = svg;
    place.dataset.shown = svg;
  }
  function fillRow(parts, line, heads) {
    parts.letter.textContent = line.letter;
    parts.title.textContent = line.name;
    parts.mark.textContent = line.mark;
    parts.mark.hidden = !line.mark;
    parts.sign.textContent = line.sign;
    parts.verdict.textContent = line.verdict;
    parts.button.textContent = line.carry;
    parts.button.hidden = !line.carry;
    parts.button.setAttribute("aria-label", `${line.carry}: ${line.name}`);
    parts.busy.textContent = line.busy;
    parts.row.classList.toggle("mt-best", line.best);
    parts.row.classList.toggle("mt-refused", line.refused);
    parts.row.setAttribute("aria-busy", line.busy ? "true" : "false");
    parts.row.dataset.option = line.name;
    for (const each of heads) {
      setLines(parts.cells[each.key], line.cells[each.key] || []);
      paintPicture(line.key, each.key);
    }
  }
  function paintBody() {
    const heads = model.get("head").slice(1);
    const keep = new Map();
    let next = body.firstChild;
    for (const line of model.get("rows")) {
      let parts = made.get(line.key);
      if (!parts) {
        parts = makeRow(model, line.key);
        for (const each of heads) makeCell(parts, each);
        made.set(line.key, parts);
      }
      keep.set(line.key, parts);
      fillRow(parts, line, heads);
      if (parts.row === next) next = next.nextSibling;
      else body.insertBefore(parts.row, next);
    }
    for (const [key, parts] of made) if (!keep.has(key)) parts.row.remove();
    made = keep;
    el.dataset.updates = String(Number(el.dataset.updates || 0) + 1);
  }
  function takePictures(content) {
    if (!content || !content.pictures) return;
    for (const [place, svg] of Object.entries(content.pictures)) {
      pictures[place] = svg;
      const cut = place.lastIndexOf("|");
      paintPicture(place.slice(0, cut), place.slice(cut + 1));
      el.dataset.pictures = String(Number(el.dataset.pictures || 0) + 1);
    }
  }
  const all = () => { paintHead(); paintBody(); };
  const watched = { "change:caption": paintHead, "change:head": all, "change:rows": paintBody,
    "msg:custom": takePictures };
  for (const [name, then] of Object.entries(watched)) model.on(name, then);
  all();
  model.send({ ask: "pictures" });
  return () => { for (const [name, then] of Object.entries(watched)) model.off(name, then); };
}

export default { render };
