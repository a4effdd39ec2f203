// What the live wall map works out from its field: coat edges, coat numbers and where they are written. Loaded in
// front of map.js, as one module.
//
// The field holds 16 bit codes, row 0 at the floor: 0 where nothing is priced, else 1 + thickness / step.
const NOT_PRICED = 1;


// Codes beyond which coat 1, 2, 3 ... begins; the half keeps an exact greatest depth on the near side.
function edgeCodes(depths, step, deepest) {
  const { first, finish, further } = depths;
  if (!(first > 0)) return [];
  const edges = [finish / step + 1.5];
  for (let mm = finish + first; mm / step + 1 < deepest && edges.length < 40; mm += further) {
    edges.push(mm / step + 1.5);
  }
  return edges;
}

// How many coats of the backing a code takes.
function coatsOf(code, edges) {
  let number = 0;
  while (number < edges.length && code > edges[number]) number++;
  return number;
}

// Least and greatest code of each square of four neighbouring cells, 0 and 0 where one of them is not priced; and of
// each run of squares. An edge runs through those squares only between whose codes it lies: most are told by a look at
// their run.
const RUN = 16;
function squareRanges({ codes, rows, columns }) {
  const least = new Uint16Array(codes.length), most = new Uint16Array(codes.length);
  const runs = Math.ceil(codes.length / RUN);
  const runLeast = new Uint16Array(runs).fill(65535), runMost = new Uint16Array(runs);
  for (let row = 0; row + 1 < rows; row++) {
    for (let a = row * columns, end = a + columns - 1; a < end; a++) {
      const p = codes[a], q = codes[a + 1], r = codes[a + columns], s = codes[a + columns + 1];
      if (!(p && q && r && s)) continue;
      const run = Math.floor(a / RUN);
      least[a] = Math.min(p, q, r, s);
      most[a] = Math.max(p, q, r, s);
      runLeast[run] = Math.min(runLeast[run], least[a]);
      runMost[run] = Math.max(runMost[run], most[a]);
    }
  }
  return { least, most, runLeast, runMost };
}

// Lines between coats, straight inside each square. The pieces are joined to long lines, which a canvas strokes some
// five times faster.
function traceEdges(field, edges, toX, toY, context) {
  for (const level of edges) {
    const crossings = linkCrossings(field, level);
    for (const endsOnly of [true, false]) {
      for (const start of crossings) {
        if (!field.links[2 * start] || (endsOnly && field.links[2 * start + 1])) continue;
        strokeFrom(start, field, level, toX, toY, context);
      }
    }
  }
}

// Where the edge crosses the line from a cell to its neighbour, and which crossings one square joins. A crossing is
// known by its cell: twice its index to the right, one more upwards; `links` holds its up to two neighbours, plus one.
function linkCrossings(field, level) {
  const { least, most, runLeast, runMost, links } = field, seen = [];
  const join = (p, q) => {
    for (const [from, to] of [[p, q], [q, p]]) {
      if (!links[2 * from]) seen.push(from);
      links[2 * from + (links[2 * from] ? 1 : 0)] = to + 1;
    }
  };
  for (let run = 0; run < runLeast.length; run++) {
    if (runMost[run] <= level || runLeast[run] > level) continue;
    for (let a = run * RUN, end = Math.min(a + RUN, least.length); a < end; a++) {
      if (most[a] > level && least[a] <= level) crossSquare(field, a, level, join);
    }
  }
  return seen;
}

function crossSquare({ codes, columns }, a, level, join) {
  const d = a + columns, below = 2 * a, right = 2 * a + 3, above = 2 * d, left = 2 * a + 1;
  const high = (codes[a] > level) | (codes[a + 1] > level) << 1 | (codes[d + 1] > level) << 2 | (codes[d] > level) << 3;
  const kind = Math.min(high, 15 - high); // which side is high makes no difference to the line
  if (kind === 1) join(below, left);
  else if (kind === 2) join(below, right);
  else if (kind === 3) join(right, left);
  else if (kind === 4) join(right, above);
  else if (kind === 6) join(below, above);
  else if (kind === 7) join(above, left);
  else {
    join(below, right);
    join(above, left);
  }
}

// Strokes along the links from a crossing to the line's other end, and takes them away.
function strokeFrom(start, { codes, columns, links }, level, toX, toY, context) {
  const take = (id, other) => {
    const at = 2 * id, first = other < 0 || links[at] === other + 1, taken = links[first ? at : at + 1];
    if (first) links[at] = links[at + 1];
    links[at + 1] = 0;
    return taken - 1;
  };
  for (let id = start, pen = "moveTo"; id >= 0; pen = "lineTo") {
    const from = id >> 1, up = id & 1, u = codes[from] - level, v = codes[from + (up ? columns : 1)] - level;
    const share = u / (u - v), column = from % columns, row = (from - column) / columns;
    context[pen](toX(column + (up ? 0 : share)), toY(row + (up ? share : 0)));
    const next = take(id, -1);
    if (next >= 0) take(next, id);
    id = next;
  }
}

// Where the numbers of coats are written: in each region near the middle of its roomiest part, on a coarse grid.
// An earlier place is kept while it is nearly as good, so that the numbers do not dance.
function labelPlaces(field, edges, earlier) {
  const every = Math.max(1, Math.ceil(Math.max(field.rows, field.columns) / 96)), first = every >> 1;
  const width = Math.ceil((field.columns - first) / every), height = Math.ceil((field.rows - first) / every);
  const seen = new Int16Array(width * height);
  for (let i = 0; i < seen.length; i++) {
    const cell = (Math.floor(i / width) * every + first) * field.columns + (i % width) * every + first;
    seen[i] = field.codes[cell] ? coatsOf(field.codes[cell], edges) : -1;
  }
  const room = inward(seen, width, height), places = [];
  for (const { number, cells } of regions(seen, width, height)) {
    const most = cells.reduce((best, cell) => Math.max(best, room[cell]), 0);
    if (most < 3) continue;
    const was = earlier.find((one) => seen[one.at] === number && room[one.at] >= 0.7 * most && cells.includes(one.at));
    const at = was ? was.at : middleOf(cells.filter((cell) => room[cell] >= 0.85 * most), width);
    places.push({ number, at, column: (at % width) * every + first, row: Math.floor(at / width) * every + first });
  }
  return places;
}

// The place of a list nearest to the middle of them all.
function middleOf(cells, width) {
  const column = cells.reduce((sum, cell) => sum + cell % width, 0) / cells.length;
  const row = cells.reduce((sum, cell) => sum + Math.floor(cell / width), 0) / cells.length;
  const away = (cell) => (cell % width - column) ** 2 + (Math.floor(cell / width) - row) ** 2;
  return cells.reduce((best, cell) => (away(cell) < away(best) ? cell : best));
}

// Steps from each place to the nearest one with another number or to the border, in two passes.
function inward(seen, width, height) {
  const room = new Int16Array(seen.length);
  const near = (x, y, n) => (x < 0 || y < 0 || x >= width || y >= height || seen[y * width + x] !== n)
    ? 0 : room[y * width + x];
  for (let i = 0; i < seen.length; i++) {
    const x = i % width, y = (i - x) / width, n = seen[i];
    room[i] = n < 0 ? 0
      : 1 + Math.min(near(x - 1, y, n), near(x, y - 1, n), near(x - 1, y - 1, n), near(x + 1, y - 1, n));
  }
  for (let i = seen.length - 1; i >= 0; i--) {
    const x = i % width, y = (i - x) / width, n = seen[i];
    if (n >= 0) {
      room[i] = Math.min(room[i], 1 + Math.min(
        near(x + 1, y, n), near(x, y + 1, n), near(x + 1, y + 1, n), near(x - 1, y + 1, n)));
    }
  }
  return room;
}

// Connected places with the same number of coats, from one coat up.
function regions(seen, width, height) {
  const done = new Uint8Array(seen.length), found = [];
  for (let start = 0; start < seen.length; start++) {
    if (done[start] || seen[start] < 1) continue;
    const number = seen[start], cells = [start];
    done[start] = 1;
    for (let next = 0; next < cells.length; next++) {
      const x = cells[next] % width, y = (cells[next] - x) / width;
      for (const [u, v] of [[x - 1, y], [x + 1, y], [x, y - 1], [x, y + 1]]) {
        const at = v * width + u;
        if (u < 0 || v < 0 || u >= width || v >= height || done[at] || seen[at] !== number) continue;
        done[at] = 1;
        cells.push(at);
      }
    }
    found.push({ number, cells });
  }
  return found;
}

// Lines of a width in pixels, laid as lines of one pixel side by side: those are painted without working out an outline
// first, which for the rough edge of a rough wall takes some ten times as long.
function strokeFine(context, lines, colour, width) {
  context.strokeStyle = colour;
  context.lineWidth = 1;
  const most = Math.max(0, (width - 1) / 2), rings = Math.ceil(most);
  for (let ring = 0; ring <= rings; ring++) {
    const away = Math.min(ring, most), places = ring ? 4 * ring : 1;
    for (let place = 0; place < places; place++) {
      const turn = 2 * Math.PI * place / places;
      context.setTransform(1, 0, 0, 1, away * Math.cos(turn), away * Math.sin(turn));
      context.stroke(lines);
    }
  }
  context.resetTransform();
}

function hatch(context, dpr, ink) {
  const size = Math.round(8 * dpr), tile = new OffscreenCanvas(size, size), t = tile.getContext("2d");
  t.strokeStyle = ink;
  t.lineWidth = dpr;
  for (const shift of [-size, 0, size]) {
    t.moveTo(shift - 1, size + 1);
    t.lineTo(shift + size + 1, -1);
  }
  t.stroke();
  return context.createPattern(tile, "repeat");
}
