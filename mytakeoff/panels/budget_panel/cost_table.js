// The costed table: rows are made once and then only changed, so that focus and typing survive an update.
function cell(row, kind, text, tag = "td") {
  const made = document.createElement(tag);
  made.className = "mt-" + kind;
  made.textContent = text;
  row.append(made);
  return made;
}

function makeRow(model, line) {
  const row = document.createElement("tr");
  const under = document.createElement("tr");
  const parts = { row, under };
  parts.name = cell(row, "item", "", "th");
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
    input.setAttribute("aria-label", `Price of ${line.item} for one ${line.unit}`);
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

function fillRow(parts, line, refused) {
  if (parts.name.textContent !== line.item) parts.name.textContent = line.item;
  if (parts.basis.textContent !== line.basis) parts.basis.textContent = line.basis;
  setText(parts.quantity, line.quantity);
  if (parts.unit.textContent !== line.unit) parts.unit.textContent = line.unit;
  setText(parts.amount, line.amount);
  const wrong = line.priced in refused;
  if (parts.input) {
    // what was typed and refused stays until it is put right
    const typing = document.activeElement === parts.input && parts.shown === line.price;
    if (!wrong && !typing && parts.input.value !== line.price) parts.input.value = line.price;
    if (parts.wrong !== wrong) parts.input.setAttribute("aria-invalid", wrong ? "true" : "false");
    parts.wrong = wrong;
    if (!wrong) parts.sent = parts.input.value;
    parts.shown = line.price;
  } else {
    setText(parts.price, line.price);
  }
  parts.row.classList.toggle("mt-group-start", Boolean(line.starts));
  parts.under.hidden = !line.basis;
}

async function render({ model, el }) {
  const source = await model.widget_manager.get_model(model.get("source").replace("IPY_MODEL_", ""));
  el.classList.add("mt-cost");
  el.dataset.lmSuppressShortcuts = "true";
  const box = document.createElement("div");
  box.className = "mt-cost-scroll";
  const table = document.createElement("table");
  const caption = table.createCaption();
  const head = table.createTHead().insertRow();
  const body = table.createTBody();
  const foot = table.createTFoot();
  box.append(table);
  el.append(box);
  let made = new Map(), shown = {};

  function paintHead() {
    const wanted = JSON.stringify([shown.caption, shown.head]);
    if (table.dataset.head === wanted) return;
    table.dataset.head = wanted;
    caption.textContent = shown.caption;
    head.replaceChildren();
    for (const [kind, text] of shown.head) {
      const th = cell(head, kind, text, "th");
      th.scope = "col";
    }
    table.classList.toggle("mt-client", shown.head.length < 5);
  }
  function paintBody() {
    const lines = shown.rows;
    const refused = model.get("refused");
    const keep = new Map();
    let next = body.firstChild;
    for (const line of lines) {
      const key = `${line.key}|${line.editable}`;
      const parts = made.get(key) || makeRow(model, line);
      keep.set(key, parts);
      fillRow(parts, line, refused);
      for (const row of [parts.row, parts.under]) {
        if (row === next) next = row.nextSibling;
        else body.insertBefore(row, next);
      }
    }
    for (const [key, parts] of made) {
      if (keep.has(key)) continue;
      parts.row.remove();
      parts.under.remove();
    }
    made = keep;
    el.dataset.updates = String(Number(el.dataset.updates || 0) + 1);
  }
  function paintFoot() {
    const lines = shown.foot;
    while (foot.rows.length > lines.length) foot.deleteRow(-1);
    lines.forEach(([label, amount, strong], at) => {
      const row = foot.rows[at] || foot.insertRow();
      if (!row.cells.length) {
        const th = cell(row, "item", "", "th");
        th.scope = "row";
        cell(row, "number mt-amount", "");
      }
      const across = Math.max(1, shown.head.length - 1);
      if (row.cells[0].colSpan !== across) row.cells[0].colSpan = across;
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
