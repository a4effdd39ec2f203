"use strict";
// Keeps what was typed on this device and gives it out as the CSV that the survey reader takes.
(() => {
  const boxes = [...document.querySelectorAll("main input, main select")];
  const placed = boxes.filter((box) => box.dataset.row); // these have a cell of the CSV
  const places = placed.filter((box) => box.dataset.walk); // and these are readings
  const walk = [...places].sort((one, other) => one.dataset.walk - other.dataset.walk);
  const { file, form, called, most } = document.body.dataset;
  const store = "mytakeoff form " + form; // of this job, this folder and this wall
  const FAR_MM = 150, ENOUGH = 5; // so far from what most of them read, once there are so many
  const said = document.getElementById("said");
  const doubt = document.getElementById("doubt");
  const name = (box) => box.getAttribute("aria-label") ?? box.closest("label").textContent.trim();
  const NUMBER = /^[-+−]?(\d+[.,]?\d*|[.,]\d+)$/;
  const DASH = /^[-–—−]$/;
  const mm = (text) => Number(text.replace("−", "-").replace(",", "."));
  const typed = (box) => box.type === "checkbox" ? (box.checked ? box.value : "") : box.value.trim();
  const median = (numbers) => numbers.sort((one, other) => one - other)[Math.floor(numbers.length / 2)];
  // why a reading has to be looked at again; "" where nothing is odd about it
  const odd = (text, usual) => {
    if (!text || DASH.test(text)) return "";
    if (!NUMBER.test(text)) return "is no number";
    if (Math.abs(mm(text)) > most) return `is more than ${most} mm: are these two readings in one box?`;
    return usual !== null && Math.abs(mm(text) - usual) > FAR_MM ? "is far from all the others" : "";
  };
  const look = () => {
    const read = places.map(typed).filter((text) => NUMBER.test(text)).map(mm);
    const usual = read.length >= ENOUGH ? median(read) : null;
    const found = [];
    for (const box of walk) {
      const why = odd(typed(box), usual);
      if (why) box.setAttribute("aria-invalid", "true");
      else box.removeAttribute("aria-invalid");
      if (why) found.push(`${name(box)}: ${typed(box)} ${why}${why.endsWith("?") ? "" : "."}`);
    }
    const words = found.length ? `Look again. ${found.join(" ")}` : "";
    if (doubt.textContent !== words) doubt.textContent = words;
    return found.length;
  };
  const counts = (box) => typed(box) && !DASH.test(typed(box)) && !box.hasAttribute("aria-invalid");
  const read = () => places.filter(counts).length;
  const show = (kept) => {
    for (const box of boxes) {
      const value = kept[name(box)];
      if (box.type === "checkbox") box.checked = value === true;
      else box.value = typeof value === "string" ? value : "";
    }
  };
  const keep = () => {
    const now = boxes.map((box) => [name(box), box.type === "checkbox" ? box.checked : box.value]);
    const kept = Object.fromEntries(now.filter(([, value]) => value));
    try { localStorage.setItem(store, JSON.stringify(kept)); } catch { /* private mode */ }
  };
  const count = (more = "") => {
    const again = look();
    const odds = again ? ` ${again} to look at again.` : "";
    said.textContent = `${read()} of ${places.length} places read.${odds}${more}`;
  };
  const cell = (text) => {
    const harmless = /^[=+@\t-]/.test(text) && !NUMBER.test(text) && !DASH.test(text) ? `'${text}` : text;
    return /[";\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
  };
  const text = () => {
    const rows = JSON.parse(document.getElementById("blank").textContent);
    const now = placed.map(typed);
    // a file has one decimal mark: the comma, where one was typed
    const mark = now.some((value) => /^[-+−]?\d*,\d*$/.test(value)) ? "," : ".";
    placed.forEach((box, n) => {
      const plain = /^[-+−]?\d*[.,]\d*$/.test(now[n]);
      rows[box.dataset.row][box.dataset.column] = plain ? now[n].replace(/[.,]/, mark) : cell(now[n]);
    });
    return "sep=;\r\n" + rows.map((row) => row.join(";")).join("\r\n") + "\r\n";
  };
  // Enter goes on as one walks the wall, down a column and up the next; elsewhere to the next box
  const next = (box) => {
    const others = box.dataset.walk ? walk : boxes;
    const after = box.dataset.walk ? placed.find((each) => each.closest(".notes")) : null;
    return others[others.indexOf(box) + 1] ?? after;
  };
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.isComposing || !boxes.includes(event.target)) return;
    event.preventDefault();
    const to = next(event.target);
    to?.focus();
    to?.select?.();
  });
  const changed = () => { keep(); count(); };
  document.addEventListener("input", changed);
  document.addEventListener("change", changed);
  document.getElementById("save").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob(["\ufeff" + text()], { type: "text/csv" }));
    link.download = file;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  });
  document.getElementById("print").addEventListener("click", () => window.print());
  document.getElementById("clear").addEventListener("click", () => {
    const all = `all that was typed for ${called}, ${read()} of its places read`;
    if (!confirm(`Clear ${all}? What was not saved as CSV is gone then.`)) return;
    show({});
    try { localStorage.removeItem(store); } catch { /* private mode */ }
    count(" Cleared.");
  });
  let kept = {};
  const bring = () => {
    try { kept = JSON.parse(localStorage.getItem(store) ?? "{}"); } catch { /* nothing kept */ }
    show(kept);
    count(Object.keys(kept).length ? " Kept on this device since it was last open." : "");
  };
  bring();
  // a browser fills boxes in once more after a reload, with less than was kept
  window.addEventListener("pageshow", bring);
})();
