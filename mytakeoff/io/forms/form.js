"use strict";
// Keeps what was typed on this device and gives it out as the CSV that the survey reader takes.
(() => {
  const cells = [...document.querySelectorAll("input[data-row]")];
  const store = "mytakeoff form " + document.title;
  const said = document.getElementById("said");
  const keep = () => {
    try { localStorage.setItem(store, JSON.stringify(cells.map((cell) => cell.value))); } catch { /* private mode */ }
  };
  try {
    const kept = JSON.parse(localStorage.getItem(store) ?? "[]");
    if (kept.length === cells.length) cells.forEach((cell, n) => { cell.value = kept[n]; });
  } catch { /* nothing kept */ }
  const count = () => {
    const read = cells.filter((cell) => cell.value.trim()).length;
    said.textContent = `${read} of ${cells.length} places read.`;
  };
  const text = () => {
    const rows = JSON.parse(document.getElementById("blank").textContent);
    for (const cell of cells) {
      rows[cell.dataset.row][cell.dataset.column] = cell.value.trim().replace(",", ".");
    }
    return "sep=;\r\n" + rows.map((row) => row.join(";")).join("\r\n") + "\r\n";
  };
  document.addEventListener("input", () => { keep(); count(); });
  document.getElementById("save").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text()], { type: "text/csv" }));
    link.download = document.body.dataset.file;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  });
  document.getElementById("print").addEventListener("click", () => window.print());
  count();
})();
