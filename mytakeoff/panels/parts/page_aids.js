// What stock widgets leave out: names for slider handles, a way back to the saved value, and the panel's width as a class (a container query would make the browser lay out the whole panel again at every
// step of a slider).
const WIDTHS = ["mt-narrow", "mt-middle", "mt-wide", "mt-widest"];
const TRY_MS = 100;
const MOST_TRIES = 100;
const isIn = (selector) => (node) =>
  node.nodeType === 1 && (node.matches(selector) || node.querySelector(selector) !== null);

function render({ model, el }) {
  el.style.display = "none";
  const named = new WeakSet();
  const back = (name) => {
    model.set("back", { name, count: (model.get("back").count || 0) + 1 });
    model.save_changes();
  };
  // a handle says its value as the box beside it has it: a share of 0.05 is 5 per cent
  const said = new WeakMap();
  const sayValue = (key, handle) => {
    const text = handle.getAttribute("aria-valuetext");
    if (text === null || text === said.get(handle)) return;
    const value = Number(text) * (model.get("per_unit")[key] ?? 1);
    said.set(handle, String(Number(value.toFixed(6))));
    if (text !== said.get(handle)) handle.setAttribute("aria-valuetext", said.get(handle));
  };
  const speak = new MutationObserver((changes) => {
    for (const { target } of changes) sayValue(keys.get(target), target);
  });
  const keys = new WeakMap();
  function nameHandles() {
    for (const [key, label] of Object.entries(model.get("names"))) {
      for (const handle of document.querySelectorAll(`.mt-${key} .noUi-handle`)) {
        if (handle.getAttribute("aria-label") !== label) handle.setAttribute("aria-label", label);
        if (named.has(handle)) continue;
        named.add(handle);
        keys.set(handle, key);
        sayValue(key, handle);
        speak.observe(handle, { attributeFilter: ["aria-valuetext"] });
        handle.addEventListener("dblclick", () => back(key));
        handle.addEventListener("keydown", (event) => {
          if (event.key === "Backspace" || event.key === "Delete") back(key);
        });
      }
    }
  }
  // a slider or panel may get the class that says which it is only after it is on the page
  let tries = 0;
  function nameAll() {
    nameHandles();
    sizePanels();
    if (!document.querySelector(".noUi-handle:not([aria-label])") || ++tries > MOST_TRIES) return;
    setTimeout(nameAll, TRY_MS);
  }
  const sized = new ResizeObserver((entries) => {
    for (const { target, contentRect } of entries) {
      if (!contentRect.width) continue;
      const step = model.get("widths_px").filter((px) => contentRect.width >= px).length;
      WIDTHS.forEach((name, at) => target.classList.toggle(name, at === step));
    }
  });
  const known = new WeakSet();
  const keepKeys = (event) => {
    // the notebook's own shortcuts would take the arrows and Enter away from lists, boxes and buttons
    if (event.ctrlKey || event.metaKey || !event.target.closest("select, input, button, a, [role=slider]")) return;
    event.stopPropagation();
  };
  const sizePanels = () => {
    for (const panel of document.querySelectorAll(".mt-panel")) {
      sized.observe(panel);
      if (!known.has(panel)) panel.addEventListener("keydown", keepKeys);
      known.add(panel);
    }
  };
  // most changes of a page are text: only a new handle or panel is a reason to look through it
  const watch = new MutationObserver((changes) => {
    const added = changes.flatMap((change) => [...change.addedNodes]);
    if (added.some(isIn(".noUi-handle"))) { tries = 0; nameAll(); }
    if (added.some(isIn(".mt-panel"))) sizePanels();
    if (added.some(isIn("input"))) setTimeout(easeTyping, TRY_MS); // its class comes after it
  });
  watch.observe(document.body, { childList: true, subtree: true });
  model.on("change:names", nameHandles);
  nameAll();
  easeTyping();
  const stopFlushing = flushBeforeClicks(model, el);
  const stopAsking = askBeforeLeaving(model, el);
  return () => {
    stopFlushing();
    stopAsking();
    watch.disconnect();
    speak.disconnect();
    sized.disconnect();
    model.off("change:names", nameHandles);
  };
}

export default { render };
