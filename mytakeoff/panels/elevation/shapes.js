// What stands on a wall, told apart by shape and letter. Lengths of the wall come in metres, of the drawing in pixels.
const SVG = "http://www.w3.org/2000/svg";
const HALF = 8; // of a fitting's shape

function draw(tag, attributes, parent, text) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  if (text !== undefined) made.textContent = text;
  parent?.append(made);
  return made;
}

// Round numbers are what a tape has, and keep the page's own arithmetic out of the job.
const tidy = (metres) => Math.round(metres * 1e6) / 1e6;
const isArea = (thing) => thing.w !== undefined;

// How far a thing reaches from its place: left, right, down and up.
function reachOf(thing) {
  if (isArea(thing)) return [0, thing.w, 0, thing.h];
  if (thing.shape !== "edge") return [0, 0, 0, 0];
  const across = thing.to[0] - thing.from[0], up = thing.to[1] - thing.from[1];
  return [0, across, Math.min(0, up), Math.max(0, up)];
}

function patterns(root, id) {
  const defs = draw("defs", {}, root);
  const loose = draw("pattern", { id: `${id}-loose`, width: 8, height: 8, patternUnits: "userSpaceOnUse" }, defs);
  draw("path", { d: "M-2 2l4 -4M0 8l8 -8M6 10l4 -4", class: "mt-elev-hatch" }, loose);
  const fallen = draw("pattern", { id: `${id}-fallen`, width: 9, height: 9, patternUnits: "userSpaceOnUse" }, defs);
  draw("circle", { cx: 2.5, cy: 2.5, r: 1.1, class: "mt-elev-dot" }, fallen);
  draw("circle", { cx: 7, cy: 7, r: 1.1, class: "mt-elev-dot" }, fallen);
}

// A fitting about the origin; on the other face of the wall in dashes.
const INNER = {
  socket: "M-3 0h.01M3 0h.01",
  switch: "M-4 5L3 -5",
  light: "M-5.6 -5.6L5.6 5.6M-5.6 5.6L5.6 -5.6",
  other: "M-8 -8L8 8M-8 8L8 -8",
  radiator: "M-6 -6v12M0 -6v12M6 -6v12",
};

function drawFitting(thing, parent) {
  const outline = { class: "mt-elev-shape", ...(thing.other_face ? { "stroke-dasharray": "3 2" } : {}) };
  if (thing.shape === "pipe" || thing.shape === "light") draw("circle", { r: HALF, ...outline }, parent);
  else if (thing.shape === "radiator") draw("rect", { x: -11, y: -6, width: 22, height: 12, ...outline }, parent);
  else draw("rect", { x: -HALF, y: -HALF, width: 2 * HALF, height: 2 * HALF, ...outline }, parent);
  if (thing.shape === "pipe") draw("circle", { r: 3, class: "mt-elev-shape" }, parent);
  else draw("path", { d: INNER[thing.shape], class: `mt-elev-line mt-elev-${thing.shape}` }, parent);
}

function drawArea(thing, at, id, parent) {
  const box = { x: 0, y: -thing.h * at.scale, width: thing.w * at.scale, height: thing.h * at.scale };
  const loose = thing.shape === "loose" || thing.shape === "fallen";
  if (loose) {
    draw("rect", { ...box, fill: `url(#${id}-${thing.shape})`, class: `mt-elev-area mt-elev-${thing.shape}` }, parent);
    return;
  }
  draw("rect", { ...box, class: "mt-elev-opening" }, parent);
  const inner = Math.min(3, box.width / 3, box.height / 3);
  draw("rect", { x: inner, y: box.y + inner, width: box.width - 2 * inner, height: box.height - 2 * inner,
    class: "mt-elev-line" }, parent);
  if (thing.shape === "fitted")
    draw("path", { d: `M${inner} ${box.y + inner}L${box.width - inner} ${-inner}`, class: "mt-elev-line" }, parent);
}

function drawEdge(thing, at, parent) {
  const [x, y] = [(thing.to[0] - thing.from[0]) * at.scale, -(thing.to[1] - thing.from[1]) * at.scale];
  const long = Math.hypot(x, y) || 1, [u, v] = [-y / long * 6, x / long * 6];
  draw("path", { d: `M0 0L${x} ${y}`, class: "mt-elev-edge" }, parent);
  draw("path", { d: `M${u} ${v}L${-u} ${-v}M${x + u} ${y + v}L${x - u} ${y - v}`, class: "mt-elev-line" }, parent);
  const along = ([px, pz]) => [(px - thing.from[0]) * at.scale, -(pz - thing.from[1]) * at.scale];
  for (const dot of thing.dots) {
    const [cx, cy] = along(dot);
    draw("circle", { cx, cy, r: 3, class: "mt-elev-dot" }, parent);
  }
  if (thing.gap) {
    const [gx, gy] = along(thing.gap);
    draw("path", { d: `M${gx - 4} ${gy - 4}l8 8m0 -8l-8 8`, class: "mt-elev-line" }, parent);
  }
}

// All of one thing about its place; what a finger needs to meet it lies over it unseen.
function drawThing(thing, at, id, parent) {
  parent.replaceChildren();
  const [left, right, low, high] = reachOf(thing).map((metres) => metres * at.scale);
  const room = isArea(thing) ? Math.max(0, (24 - Math.min(right, high)) / 2) : 16;
  const box = { x: left - room, y: -high - room, width: right - left + 2 * room, height: high - low + 2 * room };
  if (isArea(thing)) drawArea(thing, at, id, parent);
  else if (thing.shape === "edge") drawEdge(thing, at, parent);
  else if (thing.shape === "spot") draw("path", { d: "M0 -8L8 0L0 8L-8 0Z", class: "mt-elev-shape" }, parent);
  else if (thing.shape === "fixed") draw("path", { d: "M-8 7L0 -8L8 7Z", class: "mt-elev-shape" }, parent);
  else drawFitting(thing, parent);
  draw("rect", { ...box, class: "mt-elev-hit" }, parent);
  draw("rect", { ...box, class: "mt-elev-ring" }, parent);
}

// Where the letters of all things stand: on areas in their upper left corner, else where they meet no others.
function drawLetters(things, at, parent) {
  parent.replaceChildren();
  const taken = things.filter((thing) => !isArea(thing) && thing.shape !== "edge")
    .map((thing) => [at.across(thing.x), at.down(thing.z)]);
  const free = (x, y) => x > at.left - 4 && x < at.right + 4 && y > at.top && y < at.floor + 4
    && taken.every(([u, v]) => Math.abs(u - x) > 18 || Math.abs(v - y) > 13);
  for (const thing of things) {
    const x = at.across(thing.x), y = at.down(thing.z);
    const long = isArea(thing) ? thing.w * at.scale : 0;
    const named = isArea(thing) && thing.name && long > 7 * (thing.name.length + thing.mark.length + 2);
    const words = named ? `${thing.mark} ${thing.name}` : thing.mark;
    const half = words.length * 3.6;
    const top = isArea(thing) ? y - thing.h * at.scale : y;
    const tries = isArea(thing) ? [[x + half + 6, top + 12], [x + half + 6, top + 26], [x + half, top - 9]]
      : thing.shape === "edge" ? [[at.across((thing.from[0] + thing.to[0]) / 2),
        at.down((thing.from[1] + thing.to[1]) / 2) - 11], [x + 14, y + 13]]
        : [[x + 20, y], [x - 20, y], [x, y - 17], [x, y + 17], [x + 20, y - 14], [x - 20, y - 14]];
    const [u, v] = tries.find((one) => free(...one)) ?? tries[0];
    taken.push([u, v]);
    draw("text", { x: u, y: v, class: "mt-elev-letter" }, parent, words);
  }
}

// Places shown from outside: a cross with its letter.
function drawMarks(marks, at, parent) {
  parent.replaceChildren();
  for (const [x, z, letter] of marks) {
    const [u, v] = [at.across(x), at.down(z)];
    draw("path", { d: `M${u - 8} ${v}h16m-8 -8v16`, class: "mt-elev-mark-halo" }, parent);
    draw("path", { d: `M${u - 8} ${v}h16m-8 -8v16`, class: "mt-elev-mark" }, parent);
    draw("text", { x: u + 12, y: v - 10, class: "mt-elev-letter" }, parent, letter);
  }
}
