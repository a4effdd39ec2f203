"use strict";
// Keeps what was typed on this device and gives it out as the CSV that the survey reader takes.
(() => {
  const boxes = [...document.querySelectorAll("main input")];
  const cells = boxes.filter((box) => box.dataset.row);
  const { file, form, called } = document.body.dataset;
  const store = "mytakeoff form " + form; // of this job, this folder and this wall
  const said = document.getElementById("said");
  const name = (box) => box.getAttribute("aria-label") ?? box.closest("label").textContent.trim();
  const read = () => cells.filter((cell) => cell.value.trim()).length;
  const show = (kept) => {
    for (const box of boxes) {
      const value = kept[name(box)];
      if (box.type === "checkbox") box.checked = value === true;
      else box.value = typeof value === "string" ? value : "";
    }
  };
  const keep = () => {
    const now = boxes.map((box) => [name(box), box.type === "checkbox" ? box.checked : box.value]);
    const typed = Object.fromEntries(now.filter(([, value]) => value));
    try { localStorage.setItem(store, JSON.stringify(typed)); } catch { /* private mode */ }
  };
  const count = (more = "") => { said.textContent = `${read()} of ${cells.length} places read.${more}`; };
  const text = () => {
    const rows = JSON.parse(document.getElementById("blank").textContent);
    const typed = cells.map((cell) => cell.value.trim());
    // a file has one decimal mark: the comma, where one was typed
    const mark = typed.some((value) => /^[-+−]?\d*,\d*$/.test(value)) ? "," : ".";
    cells.forEach((cell, n) => {
      const plain = /^[-+−]?\d*[.,]\d*$/.test(typed[n]);
      rows[cell.dataset.row][cell.dataset.column] = plain ? typed[n].replace(/[.,]/, mark) : typed[n];
    });
    return "sep=;\r\n" + rows.map((row) => row.join(";")).join("\r\n") + "\r\n";
  };
  document.addEventListener("input", () => { keep(); count(); });
  document.getElementById("save").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text()], { type: "text/csv" }));
    link.download = file;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  });
  document.getElementById("print").addEventListener("click", () => window.print());
  document.getElementById("clear").addEventListener("click", () => {
    const typed = `all that was typed for ${called}, ${read()} of its places read`;
    if (!confirm(`Clear ${typed}? What was not saved as CSV is gone then.`)) return;
    show({});
    try { localStorage.removeItem(store); } catch { /* private mode */ }
    count(" Cleared.");
  });
  let kept = {};
  try { kept = JSON.parse(localStorage.getItem(store) ?? "{}"); } catch { /* nothing kept */ }
  show(kept);
  count(Object.keys(kept).length ? " Kept on this device since it was last open." : "");
})();
