// A changed number is marked for a moment by its weight; one timer takes all marks off again. Animations would do it
// without a timer, but each running one costs the browser time in every frame.
const MARKED_MS = 1200;
const marked = new Set();
let unmark = 0;

function setText(node, text) {
  if (node.textContent === text) return;
  const counted = /\d/.test(node.textContent) && /\d/.test(text);
  node.textContent = text;
  if (!counted) return;
  node.classList.add("mt-changed-number");
  marked.add(node);
  clearTimeout(unmark);
  unmark = setTimeout(() => {
    for (const each of marked) each.classList.remove("mt-changed-number");
    marked.clear();
  }, MARKED_MS);
}

