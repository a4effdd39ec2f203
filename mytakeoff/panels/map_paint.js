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

function coatNumbers(codes, edges) {
  const table = new Uint8Array(65536);
  let number = 0;
  for (let code = 1; code < 65536; code++) {
    while (number < edges.length && code > edges[number]) number++;
    table[code] = number;
  }
  const numbers = new Uint8Array(codes.length);
  for (let i = 0; i < codes.length; i++) numbers[i] = table[codes[i]];
  return numbers;
}

// Lines between coats, straight inside each square of four neighbouring cells. The pieces are joined to long lines,
// which a canvas strokes some five times faster.
function traceEdges(field, numbers, edges, toX, toY, context) {
  for (const { places, links } of edgePieces(field, numbers, edges)) {
    for (const line of joined(links)) {
      line.forEach((id, at) => {
        const [x, z] = places.get(id);
        context[at ? "lineTo" : "moveTo"](toX(x), toY(z));
      });
    }
  }
}

// For each edge of a coat: where it crosses the line from a cell to its neighbour, and which crossings one square
// joins. A crossing is known by its cell: twice its index to the right, one more upwards.
function edgePieces(field, numbers, edges) {
  const { codes, rows, columns } = field;
  const pieces = edges.map(() => ({ places: new Map(), links: new Map() }));
  for (let row = 0; row + 1 < rows; row++) {
    for (let column = 0; column + 1 < columns; column++) {
      const a = row * columns + column, b = a + 1, d = a + columns, c = d + 1;
      if (numbers[a] === numbers[b] && numbers[a] === numbers[c] && numbers[a] === numbers[d]) continue;
      if (!(codes[a] && codes[b] && codes[c] && codes[d])) continue;
      const least = Math.min(numbers[a], numbers[b], numbers[c], numbers[d]);
      const most = Math.max(numbers[a], numbers[b], numbers[c], numbers[d]);
      for (let k = least; k < most; k++) {
        const level = edges[k], { places, links } = pieces[k], found = [];
        const cross = (from, to, x, z, dx, dz) => {
          const u = codes[from] - level, v = codes[to] - level, share = u / (u - v);
          if (u > 0 === v > 0) return;
          places.set(2 * from + dz, [x + dx * share, z + dz * share]);
          found.push(2 * from + dz);
        };
        cross(a, b, column, row, 1, 0);
        cross(b, c, column + 1, row, 0, 1);
        cross(d, c, column, row + 1, 1, 0);
        cross(a, d, column, row, 0, 1);
        for (let p = 0; p < found.length; p += 2) {
          link(links, found[p], found[p + 1]);
          link(links, found[p + 1], found[p]);
        }
      }
    }
  }
  return pieces;
}

function link(links, from, to) {
  const others = links.get(from);
  if (others) others.push(to);
  else links.set(from, [to]);
}

// Lines from links between at most two neighbours each; open ones from an end, closed ones from anywhere.
function* joined(links) {
  const ends = [...links.keys()].filter((id) => links.get(id).length === 1);
  for (const start of [...ends, ...links.keys()]) {
    const line = [start];
    for (let next; (next = links.get(line[line.length - 1]).pop()) !== undefined;) {
      const back = links.get(next);
      back.splice(back.indexOf(line[line.length - 1]), 1);
      line.push(next);
    }
    if (line.length > 1) yield line;
  }
}

// Where the numbers of coats are written: in each region near the middle of its roomiest part, on a coarse grid.
// An earlier place is kept while it is nearly as good, so that the numbers do not dance.
function labelPlaces(field, numbers, earlier) {
  const every = Math.max(1, Math.ceil(Math.max(field.rows, field.columns) / 96)), first = every >> 1;
  const width = Math.ceil((field.columns - first) / every), height = Math.ceil((field.rows - first) / every);
  const seen = new Int16Array(width * height);
  for (let i = 0; i < seen.length; i++) {
    const cell = (Math.floor(i / width) * every + first) * field.columns + (i % width) * every + first;
    seen[i] = field.codes[cell] ? numbers[cell] : -1;
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
