// Runs a workbook when it opens, if it is byte for byte one of the package's own. Any other notebook is
// left alone. No build step: JupyterLab loads this file as it stands.
(() => {
  "use strict";

  let shared; // the modules that JupyterLab shares with its extensions
  let roomMade = false;

  async function notebookActions() {
    const [version] = Object.values(shared["@jupyterlab/notebook"]);
    const load = await version.get();
    return load().NotebookActions;
  }

  function ownHashes() {
    const page = JSON.parse(document.getElementById("jupyter-config-data").textContent);
    return page.mytakeoffOwnWorkbooks ?? [];
  }

  async function bytesOnDisk(app, path) {
    const file = await app.serviceManager.contents.get(path, { type: "file", format: "base64", content: true });
    return Uint8Array.from(atob(file.content), (letter) => letter.charCodeAt(0));
  }

  async function sha256(bytes) {
    const digest = await crypto.subtle.digest("SHA-256", bytes);
    return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  const cellsOf = (notebook) =>
    JSON.stringify(notebook.cells.map((cell) => [cell.cell_type, [cell.source].flat().join("")]));

  // What was hashed must also be what would run: the file may have changed since it was opened.
  async function isOwn(app, context) {
    const bytes = await bytesOnDisk(app, context.path);
    if (!ownHashes().includes(await sha256(bytes))) return false;
    const own = JSON.parse(new TextDecoder().decode(bytes));
    return cellsOf(own) === cellsOf(context.model.toJSON());
  }

  // The file list is one click away; the wall needs the width. Only as the page opens, not ever again.
  function makeRoom(app) {
    if (!roomMade) app.shell.collapseLeft();
    roomMade = true;
  }

  // Each time the kernel's state changes, the toolbar's progress circle makes the whole toolbar lay itself out anew,
  // once for every message of a slider. The status bar says the same.
  function quietToolbar(panel) {
    const circles = Array.from(panel.toolbar.children())
      .filter((item) => item.node.querySelector(".jp-Notebook-ExecutionIndicator"));
    for (const circle of circles) circle.dispose();
  }

  // A link of a panel opens its workbook in a tab of this window, or goes to the tab that is open.
  function followLinks(app) {
    document.addEventListener("click", (event) => {
      const link = event.target.closest?.(".mt-panel .mt-links a, .mt-panel a.mt-to-workbook");
      if (!link || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
      event.preventDefault();
      const from = app.shell.currentWidget?.context?.path ?? "";
      const here = `http://here/${from.split("/").map(encodeURIComponent).join("/")}`;
      const path = decodeURIComponent(new URL(link.getAttribute("href"), here).pathname.slice(1));
      void app.commands.execute("docmanager:open", { path });
    }, true);
  }

  // Code that is folded away stays out of sight, and until the panel is there it is said that it will be.
  function addStyle() {
    const style = document.createElement("style");
    style.textContent = `
      .jp-NotebookPanel:not([data-mytakeoff-own=false]) .jp-InputPlaceholder { display: none; }
      .jp-Notebook[data-mytakeoff-says]::before { content: attr(data-mytakeoff-says); position: absolute; z-index: 3;
        inset: 0 0 auto 0; padding: 24px 75px; font-size: 20px; background: var(--jp-layout-color0);
        color: var(--jp-content-font-color1); }`;
    document.head.append(style);
  }

  async function runIfOwn(app, panel, context) {
    const says = panel.content.node.dataset;
    says.mytakeoffSays = `Opening ${context.path.split("/").pop().replace(/\.ipynb$/, "").replaceAll("-", " ")}…`;
    try {
      await Promise.all([context.ready, panel.revealed]);
      const own = await isOwn(app, context);
      panel.node.dataset.mytakeoffOwn = String(own);
      if (own) await run(app, panel, context);
    } finally {
      delete says.mytakeoffSays;
    }
  }

  async function run(app, panel, context) {
    makeRoom(app);
    quietToolbar(panel);
    await panel.sessionContext.ready;
    const actions = await notebookActions();
    await actions.runAll(panel.content, panel.sessionContext);
    panel.content.activeCellIndex = 0;
    panel.content.node.scrollTop = 0;
    // A save would write the same bytes again: there is nothing to ask about when the page is closed.
    context.model.dirty = false;
  }

  const plugin = {
    id: "mytakeoff-autorun:plugin",
    autoStart: true,
    activate: (app) => {
      followLinks(app);
      addStyle();
      app.docRegistry.addWidgetExtension("Notebook", {
        createNew: (panel, context) => {
          void runIfOwn(app, panel, context);
        },
      });
    },
  };

  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB["mytakeoff-autorun"] = {
    init: (scope) => {
      shared = scope;
    },
    get: async () => () => ({ __esModule: true, default: plugin }),
  };
})();
