// Boxes for things of one kind: a form for one thing, a table for several. Rows are made once and then only changed,
// so that focus and typing survive an update. What was typed goes to the kernel once it is finished (Enter, or on
// leaving the box), each by a message of its own; what was refused stays in its box until it is put right.
const LONG = new Set(["lines"]);
let count = 0, edits = 0;
const own = Math.random().toString(36).slice(2, 8); // each widget has a script of its own, and all ids are on one page

function made(tag, css = "", text = "") {
  const element = document.createElement(tag);
  if (css) element.className = css;
  if (text) element.textContent = text;
  return element;
}

function setText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

function boxOf(column) {
  const box = made(column.kind === "choice" ? "select" : LONG.has(column.kind) ? "textarea" : "input");
  if (column.kind === "tick") box.type = "checkbox";
  else if (column.kind === "day") box.type = "date";
  else if (box.tagName === "INPUT") {
    box.type = "text";
    box.autocomplete = "off";
    if (column.digits) box.inputMode = "decimal";
  } else if (box.tagName === "TEXTAREA") box.rows = 3;
  return box;
}

// a year that is typed goes through those of its first figures
const unfinished = (day) => day !== "" && Number(day.slice(0, 4)) < 1000;
const valueOf = (box) => (box.type === "checkbox" ? box.checked : box.value);

function put(box, value) {
  if (box.type === "checkbox") box.checked = Boolean(value);
  else if (box.value !== value) box.value = value;
}

function fillChoices(box, options, value) {
  const known = JSON.stringify(options);
  if (box.dataset.known !== known) {
    box.dataset.known = known;
    box.replaceChildren(...options.map(([key, words]) => new Option(words, key)));
  }
  // what a file says and the list has not stays to be seen
  if (!options.some(([key]) => key === value) && ![...box.options].some((option) => option.value === value))
    box.append(new Option(value, value));
}

function render({ model, el }) {
  el.classList.add("mt-entries");
  el.dataset.lmSuppressShortcuts = "true";
  const head = model.get("head"), columns = head.columns, lists = new Map();
  const note = made("p", "mt-note"), place = head.form ? made("div") : made("tbody"), foot = made("div", "mt-foot");
  note.setAttribute("role", "status");
  let rows = new Map(), titles = null;
  el.classList.toggle("mt-cards", head.cards);
  const send = (message) => model.send(message);

  function cellOf(column, row, key) {
    const id = `mt-${own}-${++count}`, field = made(head.form ? "div" : "td"), box = boxOf(column), label = made("label");
    const wrong = made("span", "mt-wrong"), hint = made("span", "mt-hint", head.form ? column.hint : "");
    field.className = ["mt-field", column.digits ? "mt-number" : "", column.kind === "tick" ? "mt-yes" : "",
      LONG.has(column.kind) ? "mt-wide-field" : ""].join(" ").trim();
    box.id = label.htmlFor = id;
    box.dataset.name = column.name;
    hint.id = `${id}h`;
    wrong.id = `${id}w`;
    wrong.setAttribute("role", "alert");
    box.setAttribute("aria-describedby", `${id}h ${id}w`);
    const words = made("span", "", column.label);
    if (!head.form) label.className = "mt-cell-label";
    if (column.kind === "tick" && head.form) label.append(box, words);
    else label.append(words);
    field.append(label);
    if (!box.parentNode) field.append(box);
    field.append(wrong, hint);
    if (column.suggest) {
      box.setAttribute("list", listOf(column.name));
    }
    const cell = { field, box, wrong, hint, column, sent: undefined, edit: 0 };
    const finish = () => {
      const value = valueOf(box);
      if (value === cell.sent || (column.kind === "day" && unfinished(value))) return;
      cell.sent = value;
      cell.edit = ++edits;
      send({ do: "edit", key, name: column.name, value, by: own, nth: edits });
    };
    box.addEventListener("change", finish);
    box.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey) return;
      event.stopPropagation(); // the notebook's own shortcuts would take Enter and the arrows away
      if (event.key === "Escape" && cell.good !== undefined) {
        put(box, cell.good);
        finish();
      }
      if (event.key !== "Enter" || LONG.has(column.kind)) return;
      event.preventDefault();
      finish();
      next(box);
    });
    return cell;
  }

  // Enter goes on: to the next box, and from the last one to what adds another
  function next(box) {
    const boxes = [...el.querySelectorAll("input, select, textarea, button.mt-add-one")].filter((each) => each.offsetParent);
    (boxes[boxes.indexOf(box) + 1] ?? box).focus();
  }

  function listOf(name) {
    if (!lists.has(name)) {
      const list = made("datalist");
      list.id = `mt-${own}-${++count}`;
      lists.set(name, list);
      el.append(list);
    }
    return lists.get(name).id;
  }

  function rowOf(row) {
    const line = made(head.form ? "div" : "tr", head.form ? "mt-form" : "mt-one"), cells = {};
    const told = made(head.form ? "div" : "tr", "mt-told"), say = made(head.form ? "div" : "td");
    const wrong = made("span", "mt-wrong"), wait = made("span", "mt-wait");
    wrong.setAttribute("role", "alert");
    say.append(wrong, wait);
    told.append(say);
    for (const column of columns) {
      cells[column.name] = cellOf(column, row, row.key);
      cells[column.name].box.addEventListener("change", () => showAsked(cells));
      line.append(cells[column.name].field);
    }
    const facts = made("td", "mt-facts"), doing = made("td", "mt-doing"), buttons = {};
    if (!head.form) {
      say.colSpan = columns.length + 2;
      if (head.facts) line.append(facts);
      for (const [name, words] of head.actions) {
        const button = (buttons[name] = made("button", `mt-do-${name}`, words));
        button.type = "button";
        button.addEventListener("click", () => send({ do: name, key: row.key }));
        doing.append(button);
      }
      line.append(doing);
    }
    return { line, told, say, wrong, wait, cells, facts, buttons };
  }

  // some boxes are asked for only where another one has a certain word in it
  function showAsked(cells) {
    for (const { field, column } of Object.values(cells))
      if (column.when) field.hidden = valueOf(cells[column.when[0]].box) !== column.when[1];
  }

  function fillRow(parts, row, options) {
    for (const column of columns) {
      const cell = parts.cells[column.name], value = row.cells[column.name], wrong = row.said[column.name] ?? "";
      if (column.kind === "choice") fillChoices(cell.box, options[column.name] ?? [], value);
      const typing = document.activeElement === cell.box && cell.sent !== undefined && valueOf(cell.box) !== cell.sent;
      const unanswered = cell.edit > (model.get("answered")[own] ?? 0); // what comes is of an edit before
      if (!typing && !unanswered) {
        put(cell.box, value);
        cell.sent = valueOf(cell.box);
      }
      if (!wrong) cell.good = value;
      setText(cell.wrong, wrong);
      setText(cell.hint, [row.beside[column.name], head.form && column.hint].filter(Boolean).join("; "));
      cell.box.setAttribute("aria-invalid", String(Boolean(wrong)));
      if (!head.form) cell.box.setAttribute("aria-label", `${column.label}, ${row.name}`);
    }
    showAsked(parts.cells);
    setText(parts.wrong, row.told);
    setText(parts.wait, row.wait);
    parts.told.hidden = !row.told && !row.wait;
    setText(parts.facts, row.facts);
    for (const [name, words] of head.form ? [] : head.actions) {
      parts.buttons[name].setAttribute("aria-label", `${words} ${row.name}`);
      parts.buttons[name].disabled = row.off.includes(name);
      if (name === "show") parts.buttons[name].setAttribute("aria-pressed", String(row.chosen));
    }
  }

  function paint() {
    const keep = new Map(), wanted = [], options = model.get("options");
    for (const [name, words] of Object.entries(model.get("suggest"))) {
      listOf(name);
      const list = lists.get(name), known = JSON.stringify(words);
      if (list.dataset.known === known) continue;
      list.dataset.known = known;
      list.replaceChildren(...words.map((each) => new Option(each)));
    }
    for (const row of model.get("rows")) {
      const parts = rows.get(row.key) ?? rowOf(row);
      fillRow(parts, row, options);
      keep.set(row.key, parts);
      wanted.push(parts.line, parts.told);
    }
    const held = document.activeElement;
    wanted.forEach((each, at) => {
      if (place.children[at] !== each) place.insertBefore(each, place.children[at] ?? null);
    });
    while (place.children.length > wanted.length) place.lastChild.remove();
    if (held && el.contains(held) && document.activeElement !== held) held.focus();
    rows = keep;
    setText(note, model.get("note"));
    if (titles) titles.hidden = !keep.size;
    foot.hidden = head.most !== null && keep.size >= head.most;
    el.dataset.updates = String(Number(el.dataset.updates || 0) + 1);
  }

  function focus() {
    const { key, name } = model.get("focus");
    const box = rows.get(key)?.cells[name]?.box ?? foot.querySelector("button");
    box?.focus();
  }

  function explained() {
    const details = made("details"), said = columns.filter((column) => column.hint);
    if (!said.length) return [];
    details.append(made("summary", "", "What the columns mean"));
    for (const column of said) {
      const line = made("p");
      line.append(made("strong", "", column.label), `: ${column.hint}`);
      details.append(line);
    }
    return [details];
  }

  if (head.form) el.append(note, place);
  else {
    const table = made("table"), line = made("tr");
    table.setAttribute("aria-label", head.caption);
    for (const column of columns) {
      const head = made("th", column.digits ? "mt-number" : "", column.label);
      head.scope = "col";
      line.append(head);
    }
    for (let more = (head.facts ? 1 : 0) + 1; more; more--) line.append(made("td"));
    const title = table.createTHead();
    title.append(line);
    titles = title;
    table.append(place);
    el.append(...explained(), note, table, foot);
    if (head.add) {
      const button = made("button", "mt-add-one", head.add);
      button.type = "button";
      button.addEventListener("click", () => send({ do: "add" }));
      foot.append(button);
    }
  }
  paint();
  model.on("change:rows change:options change:note change:answered", paint);
  model.on("change:focus", focus);
  return () => {
    model.off("change:rows change:options change:note change:answered", paint);
    model.off("change:focus", focus);
  };
}

export default { render };
