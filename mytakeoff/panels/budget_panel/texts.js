// Which texts the panel shows: those that the kernel told last, or those that it told for where the sliders stand now.
//
// The kernel tells texts for a job; the job differs from the last one by where a few sliders stand, or by something
// else ("rest"). Texts are kept by where the sliders stand as long as the rest stays, those told in advance as well,
// so that a slider that comes to such a place is answered in the same frame. Places on the page show "shown_…".
//
// A fast hand is ahead of the kernel: what it tells of a place that the sliders have left is not shown over texts of
// a later place, unless nothing newer comes.
const MOST_KEPT = 100;
const NOTHING_NEWER_MS = 500;
const DRAWN_MS = 1000; // a page that still draws itself has better to do than to take up what may come
const SAME = 1e-6;
const keyOf = (values) => values.map((value) => Number(value).toFixed(6)).join(" ");

// Whether a slider's handle stands for a number: that, or the step beside one that has no step of its own.
function standsFor(slider, number) {
  const off = Math.abs(slider.get("value") - number), step = slider.get("step");
  const steps = (number - slider.get("min")) / step;
  return off < SAME || (off <= step / 2 + SAME && Math.abs(steps - Math.round(steps)) > SAME);
}

function put(map, key, value) {
  map.delete(key);
  map.set(key, value);
  if (map.size > MOST_KEPT) map.delete(map.keys().next().value);
}

async function initialize({ model }) {
  const names = model.get("names"), known = new Map(), visits = new Map();
  let sliders = [], rest = null, told = {}, visit = 0, shownVisit = 0, waiting = 0;

  const here = () => keyOf(sliders.map((slider) => slider.get("value")));

  function show(texts, at) {
    shownVisit = at;
    model.set(Object.fromEntries(names.map((name) => [`shown_${name}`, texts[name]])));
  }

  function choose() {
    clearTimeout(waiting);
    const at = model.get("at"), isTold = sliders.every((slider, nth) => standsFor(slider, at[nth]));
    const now = isTold && sliders.length ? told : known.get(here()), toldVisit = visits.get(keyOf(at)) ?? visit;
    if (now) show(now, visit);
    else if (toldVisit >= shownVisit) show(told, toldVisit);
    else waiting = setTimeout(() => show(told, toldVisit), NOTHING_NEWER_MS);
  }

  function hear() {
    if (model.get("rest") !== rest) {
      known.clear();
      shownVisit = 0;
    }
    rest = model.get("rest");
    told = Object.fromEntries(names.map((name) => [name, model.get(name)]));
    put(known, keyOf(model.get("at")), told);
    choose();
  }

  function hearAhead(ahead) {
    const over = known.get(keyOf(ahead.over));
    if (ahead.rest !== rest || !over) return;
    put(known, keyOf(ahead.at), { ...over, ...ahead.texts });
    choose();
  }

  function moved() {
    put(visits, here(), ++visit);
    choose();
  }

  // a message may change several of them: all are there by the first of these events, and hearing twice is harmless
  for (const name of [...names, "at", "rest"]) model.on(`change:${name}`, hear);
  model.on("msg:custom", hearAhead);
  hear();
  sliders = await Promise.all(model.get("sliders").map((reference) =>
    model.widget_manager.get_model(reference.replace("IPY_MODEL_", ""))));
  for (const slider of sliders) slider.on("change:value", moved);
  choose();
  // what was told in advance before this page was there went to nobody
  setTimeout(() => model.send({ ahead: true }), DRAWN_MS);
}

export default { initialize };
