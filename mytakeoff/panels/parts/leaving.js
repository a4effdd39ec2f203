// A page of its own ends when a link of its row is followed: the kernel says first whether anything is not saved.
// JupyterLab opens workbooks side by side, and other windows are nobody's loss: there a link is a link.
const SILENT_MS = 3000;
const SILENT = "This page does not answer. What was changed on it and not saved is lost if you leave it. Leave it?";

function askBeforeLeaving(model, el) {
  let waiting = 0;
  const leave = (event) => {
    const link = event.target.closest(".mt-links a");
    const own = el.closest(".mt-panel");
    if (!link || !own || !own.contains(link) || !document.body.dataset.voila) return;
    if (event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    event.preventDefault();
    if (link.hasAttribute("aria-current")) return;
    clearTimeout(waiting);
    waiting = setTimeout(() => { if (confirm(SILENT)) location.assign(link.href); }, SILENT_MS);
    model.send({ leave_for: link.dataset.workbook });
  };
  const told = (said) => {
    clearTimeout(waiting);
    const link = (name) => el.closest(".mt-panel").querySelector(`.mt-links a[data-workbook="${name}"]`);
    if (said.go) location.assign(link(said.go).href);
    if (said.stay) link(said.stay).focus();
    // its buttons come after it
    if (said.asked) setTimeout(() => el.closest(".mt-panel").querySelector(".mt-leave button")?.focus(), 200);
  };
  document.addEventListener("click", leave); // after what the page still keeps back was sent
  model.on("msg:custom", told);
  return () => {
    clearTimeout(waiting);
    document.removeEventListener("click", leave);
    model.off("msg:custom", told);
  };
}
