// A click on a button or a link goes to the kernel at once, but the moves of a slider do not: while one of them is under way,
// ipywidgets keeps the later ones back in the page, and the button would overtake them. They are sent on before the
// click is handled, in the way and order in which ipywidgets sends them when the kernel has answered.
function flush(model, seen = new Set()) {
  if (seen.has(model)) return;
  seen.add(model);
  if (model._msg_buffer && model.comm) {
    model.rememberLastUpdateFor(model.send_sync_message(model._msg_buffer, model._msg_buffer_callbacks));
    model._msg_buffer = model._msg_buffer_callbacks = null;
  }
  for (const child of model.get("children") ?? []) flush(child, seen);
}

function flushBeforeClicks(model, el) {
  let panel = null;
  const find = async () => {
    const name = model.get("panel");
    if (name) panel = await model.widget_manager.get_model(name.replace("IPY_MODEL_", ""));
  };
  const before = (event) => {
    const own = el.closest(".mt-panel");
    if (panel && own && own.contains(event.target) && event.target.closest("button, .mt-links a")) flush(panel);
  };
  find();
  model.on("change:panel", find);
  document.addEventListener("click", before, true); // keys press a button by a click too
  return () => {
    document.removeEventListener("click", before, true);
    model.off("change:panel", find);
  };
}

