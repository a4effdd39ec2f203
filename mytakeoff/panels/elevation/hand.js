// Where a thing comes to lie under a hand or by keys: in whole centimetres, and never off the wall.
const CM = 0.01;
const toCm = (metres) => Math.round(metres / CM) * CM;
// The far end is not rounded beyond the wall; 2.1 from 3.0 leaves 0.9 all the same.
const within = (value, low, high) => tidy(Math.max(low, Math.min(value, Math.floor(high * 1e6 + 1e-4) / 1e6)));

// A length that was moved: one that the hand has left alone keeps what was typed, to the millimetre.
const shifted = (base, by) => (Math.abs(by) < CM / 2 ? base : toCm(base + by));

// The place of a thing moved by so much from where it stood.
function movedBy(thing, [across, up], wall, snap = true) {
  const [left, right, low, high] = reachOf(thing);
  const [x, z] = snap ? [shifted(thing.x, across), shifted(thing.z, up)] : [thing.x + across, thing.z + up];
  return { x: within(x, -left, wall.width - right), z: within(z, -low, wall.height - high) };
}

// The place and size of an area drawn out by its sides: grip has some of l, r, b, t.
function sizedBy(thing, grip, [across, up], wall, snap = true) {
  const size = (base, by, most) => within(snap ? shifted(base, by) : base + by, CM, most);
  const place = { x: thing.x, z: thing.z, w: thing.w, h: thing.h };
  if (grip.includes("r")) place.w = size(thing.w, across, wall.width - thing.x);
  if (grip.includes("t")) place.h = size(thing.h, up, wall.height - thing.z);
  if (grip.includes("l")) {
    place.w = size(thing.w, -across, thing.x + thing.w);
    place.x = within(thing.x + thing.w - place.w, 0, thing.x + thing.w);
  }
  if (grip.includes("b")) {
    place.h = size(thing.h, -up, thing.z + thing.h);
    place.z = within(thing.z + thing.h - place.h, 0, thing.z + thing.h);
  }
  return place;
}

// The thing as it is at another place.
function placed(thing, place) {
  const put = { ...thing, ...place };
  if (thing.shape === "edge") {
    const by = [put.x - thing.x, put.z - thing.z], shift = ([x, z]) => [x + by[0], z + by[1]];
    Object.assign(put, { from: shift(thing.from), to: shift(thing.to), dots: thing.dots.map(shift),
      gap: thing.gap && shift(thing.gap) });
  }
  return put;
}

// What is another than it was, under the names that the kernel has for it.
const NAMES = { x: "x_m", z: "z_m", w: "width_m", h: "height_m" };
function changes(thing, place) {
  const found = Object.entries(place).filter(([name, value]) => Math.abs(value - thing[name]) > 1e-7);
  return Object.fromEntries(found.map(([name, value]) => [NAMES[name], value]));
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
