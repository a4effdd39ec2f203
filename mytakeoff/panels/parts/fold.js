// The head of a fold: a real button, so that keyboard and mouse open it alike and a reader hears whether it is open.
function render({ model, el }) {
  const button = document.createElement("button"), caret = document.createElement("i");
  const title = document.createElement("span");
  button.type = "button";
  caret.setAttribute("aria-hidden", "true");
  button.append(caret, title);
  el.append(button);
  const show = () => {
    const opened = model.get("opened");
    title.textContent = model.get("title");
    caret.className = `fa fa-fw fa-caret-${opened ? "down" : "right"}`;
    button.setAttribute("aria-expanded", String(opened));
    el.classList.toggle("mt-shut", !opened); // hides what follows it
  };
  button.addEventListener("click", () => {
    model.set("opened", !model.get("opened"));
    model.save_changes();
  });
  // what is folded may still be on its way to the page
  const enter = (tries = 200) => {
    const first = el.parentElement?.querySelector(":scope > .mt-folded :is(select, input, textarea, button)");
    if (first?.offsetParent) first.focus();
    else if (tries > 0) setTimeout(enter, 50, tries - 1);
  };
  const entered = () => enter();
  model.on("change:title change:opened", show);
  model.on("change:entered", entered);
  show();
  return () => {
    model.off("change:title change:opened", show);
    model.off("change:entered", entered);
  };
}

export default { render };
