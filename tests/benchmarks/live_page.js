// Measures inside the page: from a key or pointer event to the frame that shows what it changed.
window.bench = (() => {
  const LIMIT_MS = 20000;
  const frames = {}, counts = {}; // by what is watched: time of the last frame that changed it, how many so far
  let happened = 0, waiting = null;

  for (const kind of ["keydown", "mousemove"]) {
    addEventListener(kind, (event) => { happened = event.timeStamp; }, { capture: true });
  }

  function shown(name) {
    frames[name] = performance.now();
    counts[name] = (counts[name] ?? 0) + 1;
    waiting?.();
  }
  const asked = new Set();
  function nextFrame(name) {
    if (asked.has(name)) return;
    asked.add(name);
    requestAnimationFrame(() => {
      asked.delete(name);
      shown(name);
    });
  }

  // Text only: marks that a page sets for its tests are not seen, and a frame asked for them would be paid by the page.
  function onChange(node, then) {
    new MutationObserver(then).observe(node, { subtree: true, childList: true, characterData: true });
    return true;
  }
  const find = (css) => document.querySelector(css) ?? (() => { throw new Error(`no ${css} on the page`); })();

  // The panel's canvas is painted in the frame itself and says so; text is seen in the frame after its change.
  function watchPanel() {
    find(".mt-panel").addEventListener("wallmap-paint", () => shown("map"));
    onChange(find(".mt-cost"), () => nextFrame("table"));
    return onChange(find(".mt-panel"), () => nextFrame("all"));
  }

  function watchPlain() {
    const box = find(".bench-out");
    let picture = box.querySelector("img")?.src, text = box.querySelector("pre")?.textContent;
    return onChange(box, () => {
      const image = box.querySelector("img"), now = box.querySelector("pre")?.textContent;
      if (image?.src && image.src !== picture) {
        picture = image.src;
        image.decode().then(() => nextFrame("map"), () => {});
      }
      if (now && now !== text) {
        text = now;
        nextFrame("table");
      }
      nextFrame("all");
    });
  }

  const watchFloor = () => onChange(find(".bench-label"), () => ["table", "map", "all"].forEach((name) => nextFrame(name)));

  // Resolves once `enough()` holds and nothing more has changed for a while.
  function settled(enough, quietMs) {
    return new Promise((resolve, reject) => {
      const limit = setTimeout(() => reject(new Error(`not shown: ${JSON.stringify(frames)}`)), LIMIT_MS);
      let quiet = 0;
      waiting = () => {
        clearTimeout(quiet);
        quiet = setTimeout(() => {
          if (!enough()) return;
          clearTimeout(limit);
          waiting = null;
          resolve();
        }, quietMs);
      };
      waiting();
    });
  }

  // A drag of one second, a step of the slider each frame: browsers align a mouse's own moves to frames too, and a
  // driver's moves each wait for an answer, so that it makes only some ten a second on a slow machine.
  async function drag(css) {
    const handle = find(`.${css} .noUi-handle`), box = handle.getBoundingClientRect();
    const width = find(`.${css} .noUi-base`).getBoundingClientRect().width;
    const clientX = box.x + box.width / 2, clientY = box.y + box.height / 2;
    const send = (kind, target, x) => target.dispatchEvent(new MouseEvent(kind,
      { bubbles: true, cancelable: true, button: 0, buttons: 1, clientX: x, clientY, view: window }));
    send("mousedown", handle.querySelector(".noUi-touch-area"), clientX);
    const before = counts.map ?? 0, began = performance.now();
    for (let move = 1; performance.now() - began < 1000; move++) {
      await new Promise(requestAnimationFrame);
      const there = move % 40;
      send("mousemove", document.body, clientX + Math.min(there, 40 - there) * width / 76);
    }
    const repaints = (counts.map ?? 0) - before;
    send("mousemove", document.body, clientX);
    send("mouseup", document.body, clientX);
    return repaints;
  }

  const since = () => Object.fromEntries(Object.entries(frames).map(([name, at]) => [name, at - happened]));

  return {
    watchPanel, watchPlain, watchFloor, drag,
    // Milliseconds from the last event to the frame of each, after all of them have been shown.
    async step(names, quietMs) {
      await settled(() => names.every((name) => (frames[name] ?? 0) > happened), quietMs);
      return since();
    },
    async quiet(quietMs) {
      await settled(() => true, quietMs);
      return since();
    },
  };
})();
