// Stock sliders give their handle no name and no way back: this names each one and brings it home.
function render({ model, el }) {
  el.style.display = "none";
  const named = new WeakSet();
  const back = (name) => {
    model.set("back", { name, count: (model.get("back").count || 0) + 1 });
    model.save_changes();
  };
  function name() {
    for (const [key, label] of Object.entries(model.get("names"))) {
      for (const handle of document.querySelectorAll(`.mt-${key} .noUi-handle`)) {
        if (handle.getAttribute("aria-label") !== label) handle.setAttribute("aria-label", label);
        if (named.has(handle)) continue;
        named.add(handle);
        handle.addEventListener("dblclick", () => back(key));
        handle.addEventListener("keydown", (event) => {
          if (event.key === "Backspace" || event.key === "Delete") back(key);
        });
      }
    }
  }
  // most changes of a page are text: only a new handle is a reason to look through it
  const isHandle = (node) => node.nodeType === 1 && (node.matches(".noUi-handle") || node.querySelector(".noUi-handle"));
  const watch = new MutationObserver((changes) => {
    if (changes.some((change) => [...change.addedNodes].some(isHandle))) name();
  });
  watch.observe(document.body, { childList: true, subtree: true });
  model.on("change:names", name);
  name();
  return () => {
    watch.disconnect();
    model.off("change:names", name);
  };
}

export default { render };
