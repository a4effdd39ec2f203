// What stands between a thing and what is beside it: measured while it moves.
const boxOf = (thing) => {
  const [left, right, low, high] = reachOf(thing);
  return { left: thing.x + left, right: thing.x + right, low: thing.z + low, high: thing.z + high };
};

// The nearest openings, fitted units and fittings to the left, right and below that stand level with it.
function neighbours(thing, things) {
  const own = boxOf(thing), found = {};
  const nearer = (side, gap, other) => {
    if (gap >= -1e-6 && (!found[side] || gap < found[side].gap)) found[side] = { gap: Math.max(0, gap), other };
  };
  for (const other of things) {
    if (other.key === thing.key || ["loose", "fallen", "edge", "spot", "fixed"].includes(other.shape)) continue;
    const box = boxOf(other), slack = isArea(other) && isArea(thing) ? -1e-6 : 0.15;
    if (box.low < own.high + slack && own.low < box.high + slack) {
      nearer("left", own.left - box.right, other);
      nearer("right", box.left - own.right, other);
    }
    if (box.left < own.right + slack && own.left < box.right + slack) nearer("below", own.low - box.high, other);
  }
  return found;
}

// Each measure as a line with its figure: from, to, words.
function measuresOf(thing, things, wall, say) {
  const own = boxOf(thing), near = neighbours(thing, things);
  const middle = (own.low + own.high) / 2, centre = (own.left + own.right) / 2;
  const level = (left, right, z) => ({ from: [left, z], to: [right, z], words: say(right - left) });
  const upright = (low, high, x) => ({ from: [x, low], to: [x, high], words: say(high - low) });
  const lines = [level(0, own.left, isArea(thing) ? own.low + (own.high - own.low) / 4 : own.low)];
  if (near.left?.gap > 0) lines.push(level(own.left - near.left.gap, own.left, middle));
  if (near.right) lines.push(level(own.right, own.right + near.right.gap, middle));
  else lines.push(level(own.right, wall.width, middle));
  lines.push(upright(0, own.low, centre));
  if (near.below?.gap > 0 && near.below.gap < own.low) lines.push(upright(own.low - near.below.gap, own.low, own.left));
  return lines.filter(({ from, to }) => to[0] - from[0] > 5e-3 || to[1] - from[1] > 5e-3);
}

function drawMeasures(lines, at, parent) {
  for (const { from, to, words } of lines) {
    const [x, y, u, v] = [at.across(from[0]), at.down(from[1]), at.across(to[0]), at.down(to[1])];
    const tick = y === v ? "m0 -4v8" : "m-4 0h8";
    draw("path", { d: `M${x} ${y}L${u} ${v}M${x} ${y}${tick}M${u} ${v}${tick}`, class: "mt-elev-measure" }, parent);
    const place = y === v ? { x: (x + u) / 2, y: y - 8 } : { x: x + 20, y: (y + v) / 2 };
    draw("text", { ...place, class: "mt-elev-figure" }, parent, words);
  }
}

// The same in words, for who does not see the lines.
function placeWords(thing, things, wall, say) {
  const near = neighbours(thing, things), own = boxOf(thing);
  const of = (other) => `${other.name || other.kind} ${other.mark}`;
  const said = [`${thing.mark} ${thing.name || thing.kind}: ${say(own.left, true)} from the left end`,
    own.low > 0 ? `${say(own.low, true)} from the floor` : "on the floor"];
  if (isArea(thing)) said.push(`${say(thing.w, true)} wide, ${say(thing.h, true)} high`);
  if (near.left) said.push(`${say(near.left.gap, true)} to ${of(near.left.other)} on the left`);
  said.push(near.right ? `${say(near.right.gap, true)} to ${of(near.right.other)} on the right`
    : `${say(wall.width - own.right, true)} to the right end`);
  if (near.below) said.push(`${say(near.below.gap, true)} above ${of(near.below.other)}`);
  return `${said.join(", ")}.`;
}
