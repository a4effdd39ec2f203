// Boxes for numbers are boxes for text. Escape takes back what was typed; arrows step the slider beside a box; a phone
// shows its keys for digits; a reader hears what was refused; and what the kernel tells of a box does not fall into
// the hand's typing.
const TEXT = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, "value");
const eased = new WeakSet();
const marked = new MutationObserver((changes) => {
  for (const { target } of changes)
    target.querySelector("input")?.setAttribute("aria-invalid", String(target.classList.contains("mt-refused")));
});

function ease(box) {
  const input = box.querySelector("input");
  if (!input || eased.has(input)) return;
  eased.add(input);
  if (box.matches(".mt-number")) input.inputMode = "decimal";
  marked.observe(box, { attributeFilter: ["class"] });
  let typing = false, told = null, good = input.value;
  const refused = () => box.classList.contains("mt-refused");
  const put = (text) => {
    const all = document.activeElement === input && !input.selectionStart && input.selectionEnd === input.value.length;
    TEXT.set.call(input, text);
    if (all) input.select(); // what was to be typed over still is
  };
  const keep = () => { if (!typing && !refused()) good = input.value; };
  const rest = () => {
    if (told !== null) put(told);
    typing = false;
    told = null;
  };
  Object.defineProperty(input, "value", {
    configurable: true,
    get: () => TEXT.get.call(input),
    set: (text) => { if (typing) told = text; else put(text); },
  });
  for (const name of ["focus", "beforeinput"]) input.addEventListener(name, keep);
  input.addEventListener("input", () => { typing = true; });
  input.addEventListener("change", () => { typing = false; told = null; }, true);
  input.addEventListener("blur", rest);
  input.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && (typing || refused())) {
      put(good);
      rest();
      if (refused()) input.dispatchEvent(new Event("change", { bubbles: true }));
    } else if ((event.key === "ArrowUp" || event.key === "ArrowDown") && !typing) {
      const handle = box.closest(".mt-row")?.querySelector(".noUi-handle");
      if (!handle || input.disabled) return;
      event.preventDefault();
      handle.dispatchEvent(new KeyboardEvent("keydown", { key: event.key }));
    }
  });
}

function easeTyping() {
  document.querySelectorAll(".mt-typed").forEach(ease);
}

