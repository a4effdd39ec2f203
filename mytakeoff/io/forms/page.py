"""The survey form as a page that stands alone: to print on A4 or Letter, or to fill on a phone."""

from __future__ import annotations

import json
from collections.abc import Sequence
from hashlib import blake2b
from html import escape
from importlib.resources import files
from pathlib import Path

from mytakeoff.io.survey.cells import MOST_MM
from mytakeoff.io.survey.found_rows import (
    CHOICES,
    COLUMNS,
    CORNER,
    EDGE,
    FITTING,
    FIXED,
    LOOSE,
    PLUMB,
    SPOT,
    SWEPT,
    YES,
)
from mytakeoff.survey.reading_grid import FormGrid, TypedGrid
from mytakeoff.survey.wall import Wall

BLOCK = 12  # columns of readings side by side on paper
MARGIN = 46.0
WIDE = 900.0
TALLEST = 420.0
POLICY = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'"

HOW = (
    "Stand in the room and face the wall: x runs from its left end, z up from the floor. Set up one fixed "
    "plane in front of the wall, a laser plane or lines stretched tight, and don't move it until the wall is "
    "done. Read from it back to the wall in whole millimetres: a bigger number is a hollower place. Leave "
    "empty what cannot be read."
)
HEADINGS = {
    "x_cm": "x [cm]", "z_cm": "z [cm]", "off_line_mm": "off the line [mm]", "lies": "level / upright",
    "length_cm": "length [cm]", "gap_mm": "worst gap [mm]", "touches_cm": "touches at [cm]",
    "width_cm": "width [cm]", "height_cm": "height [cm]", "depth_mm": "depth [mm]", "state": "loose / fallen",
    "what": "what", "off_square_mm": "off the square line [mm]",
}  # fmt: skip
NOTES = {  # by the kind of `found_rows`: title, and how it is measured
    SPOT: ("High spots found with a straightedge", "Read off the same plane as above."),
    EDGE: (
        "Straightedge laid on the wall",
        "Its left end, or its lower end where upright; the worst gap anywhere under it; where it touches, "
        "from that end, with a blank between two places.",
    ),
    LOOSE: (
        "Sounds hollow, or has fallen",
        "Tap all over. Lower left corner and size; how thick the old plaster is.",
    ),
    FITTING: ("On the wall", "Sockets, switches, lights, pipes, radiators: their middle."),
    CORNER: (
        "Corner",
        "Two places, far apart, read off a line that is square to the next wall, both at one height.",
    ),
    FIXED: (
        "Places that the plaster will not move",
        "Two or three, far apart: a door frame's edge, a socket box, a screw head, a mark on the floor. Read "
        "off the same plane as above; a second survey of the finished wall is tied to this one by them.",
    ),
}
HALF = (FITTING, CORNER)  # side by side on paper, so that it stays two sheets
BLANK_ROWS = {SPOT: 4, EDGE: 4, LOOSE: 4, FITTING: 4, CORNER: 2, FIXED: 3}


def entries_key(job: str, folder: Path, wall: str) -> str:
    """What a device keeps the entries of a form under, so that two jobs with a wall of one name stay apart.

    Parameters
    ----------
    job : str
        The job's title.
    folder : Path
        The job folder that the form was written into.
    wall : str
    """
    said = json.dumps([job, str(folder.resolve()), wall])
    return blake2b(said.encode("utf-8", "surrogatepass"), digest_size=12).hexdigest()


def form_html(
    wall: Wall, grid: FormGrid, rows: Sequence[Sequence[str]], file: str, job: str, folder: Path
) -> str:
    """The page.

    Parameters
    ----------
    wall : Wall
    grid : FormGrid
    rows : sequence of rows of text
        The blank CSV, which the page fills and gives out.
    file : str
        What that CSV is called.
    job : str
        The job's title.
    folder : Path
        Where the form goes.
    """
    here = files("mytakeoff.io.forms")
    style, script = ((here / name).read_text(encoding="utf-8") for name in ("form.css", "form.js"))
    title, key = f"Survey of {wall.name}", entries_key(job, folder, wall.name)
    called = " · ".join(filter(None, (wall.name, job)))
    blank = json.dumps(rows).replace("<", "\\u003c")
    return (
        f'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        f"<title>{escape(title)}</title>\n<style>\n{style}{_foot(called)}</style>\n</head>\n"
        f'<body data-file="{escape(file)}" data-form="{key}" data-called="{escape(wall.name)}" '
        f'data-most="{MOST_MM:g}">\n<main>\n'
        f"<h1>{escape(title)}, {wall.width_m:g}\u00a0×\u00a0{wall.height_m:g}\u00a0m</h1>\n"
        f"<p>{escape(job)}</p>\n<p>{HOW}</p>\n{_heads(rows)}"
        f"<figure style='margin:0'>{_elevation(wall, grid)}</figure>\n"
        f"<h2>Readings off the line [mm]</h2>\n{_tables(grid)}"
        f'<p id="doubt" class="screen doubt" role="alert"></p>'
        f'<p class="screen"><button id="save" type="button">Save it as CSV</button> '
        f'<button id="print" type="button">Print</button> '
        f'<button id="clear" type="button">Clear the form</button> '
        f'<span id="said" role="status"></span></p>\n'
        f'<p class="paper">{escape(called)}</p>\n'
        f"{''.join(_notes(kind, rows) for kind in NOTES)}</main>\n"
        f'<script id="blank" type="application/json">{blank}</script>\n<script>\n{script}</script>\n'
        "</body>\n</html>\n"
    )


def _foot(called: str) -> str:
    """What stands at the foot of each printed page: wall, job and page; signs by their numbers."""
    text = "".join(f"\\{ord(each):x} " for each in called)
    page = 'content: "page " counter(page) " of " counter(pages)'
    return f'@page {{ @bottom-left {{ content: "{text}" }} @bottom-right {{ {page} }} }}\n'


def _heads(rows: Sequence[Sequence[str]]) -> str:
    plumb, swept = (next(n for n, row in enumerate(rows) if row[0] == each) for each in (PLUMB, SWEPT))
    tick = f'<label><input type="checkbox" value="{YES}" data-row="{{}}" data-column="1"> {{}}</label>'
    return (
        '<div class="heads">'
        '<label>Read by <input type="text"></label><label>On <input type="date"></label>'
        f"{tick.format(plumb, 'The plane was plumb')}"
        f"{tick.format(swept, 'Swept all over with a straightedge')}</div>\n"
    )


def _tables(grid: FormGrid) -> str:
    """The boxes to fill, in blocks that fit on paper."""
    blocks = [range(start, min(start + BLOCK, len(grid.x_m))) for start in range(0, len(grid.x_m), BLOCK)]
    return "".join(f'<div class="wide block">{_table(grid, block)}</div>\n' for block in blocks)


def _table(grid: FormGrid, columns: range) -> str:
    head = "".join(f'<th scope="col">x {grid.x_m[column]:g}</th>' for column in columns)
    body = "".join(
        f'<tr><th scope="row">z {z:g}</th>{"".join(_box(grid, row, column) for column in columns)}</tr>\n'
        for row, z in enumerate(grid.z_m)
    )
    return f"<table><thead><tr><td style='border:0'></td>{head}</tr></thead>\n<tbody>{body}</tbody></table>"


def _box(grid: FormGrid, row: int, column: int) -> str:
    if not grid.clear[row][column]:
        return '<td class="none" title="nothing to read here">–</td>'
    walk = TypedGrid.empty(grid.x_m, grid.z_m).spots.index((row, column))
    label = f"off the line at x {grid.x_m[column]:g} m, z {grid.z_m[row]:g} m, in mm"
    return (
        f'<td><input inputmode="decimal" enterkeyhint="next" autocomplete="off" aria-label="{label}" '
        f'data-walk="{walk}" data-row="{row + 1}" data-column="{column + 1}"></td>'
    )


def _notes(kind: str, rows: Sequence[Sequence[str]]) -> str:
    """What is found of one kind: its boxes go where the sheet has a blank row for each."""
    title, how = NOTES[kind]
    columns = COLUMNS[kind]
    first = next(n for n, row in enumerate(rows) if row[0] == kind) + 1
    head = "".join(f'<th scope="col">{escape(HEADINGS[column])}</th>' for column in columns)
    lines = (
        "".join(
            _note_box(f"{title}, row {nth + 1}, {HEADINGS[column]}", column, first + nth, at)
            for at, column in enumerate(columns, start=1)
        )
        for nth in range(BLANK_ROWS[kind])
    )
    body = "".join(f"<tr>{line}</tr>" for line in lines)
    css = "block half" if kind in HALF else "block"
    return (
        f'<section class="{css}"><h2>{title}</h2><p>{how}</p>\n<div class="wide">'
        f'<table class="notes"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div></section>\n'
    )


def _note_box(label: str, column: str, row: int, at: int) -> str:
    place = f'aria-label="{escape(label)}" data-row="{row}" data-column="{at}"'
    if column in CHOICES:
        options = "".join(f"<option>{each}</option>" for each in ("", *CHOICES[column]))
        return f"<td><select {place}>{options}</select></td>"
    mode = "text" if column in ("what", "touches_cm") else "decimal"
    return f'<td><input inputmode="{mode}" enterkeyhint="next" autocomplete="off" {place}></td>'


def _elevation(wall: Wall, grid: FormGrid) -> str:
    """The wall seen from the room, with what is not plastered and a cross at each place to read."""
    scale = min((WIDE - 2 * MARGIN) / wall.width_m, TALLEST / wall.height_m)
    wide, tall = wall.width_m * scale, wall.height_m * scale

    def at(x_m: float, z_m: float) -> tuple[float, float]:
        return MARGIN + x_m * scale, 24 + (wall.height_m - z_m) * scale

    left, top = at(0.0, wall.height_m)
    parts = [f'<rect x="{left:.1f}" y="{top:.1f}" width="{wide:.1f}" height="{tall:.1f}" fill="#fff" '
             'stroke="#111" stroke-width="2"/>']  # fmt: skip
    for r in wall.not_plastered:
        x, y = at(r.x_m, r.z_m + r.height_m)
        parts.append(f'<rect x="{x:.1f}" y="{y:.1f}" width="{r.width_m * scale:.1f}" '
                     f'height="{r.height_m * scale:.1f}" fill="#ddd" stroke="#555"/>')  # fmt: skip
    for opening in (*wall.openings, *wall.fitted):
        x, y = at(opening.x_m + opening.width_m / 2, opening.z_m + opening.height_m / 2)
        parts.append(_words(x, y, opening.name, "middle"))
    for row, z_m in enumerate(grid.z_m):
        parts.append(_words(MARGIN - 6, at(0, z_m)[1] + 5, f"{z_m:g}", "end"))
        parts += [
            _cross(*at(x_m, z_m)) for x_m, clear in zip(grid.x_m, grid.clear[row], strict=True) if clear
        ]
    parts += [_words(at(x_m, 0)[0], 24 + tall + 20, f"{x_m:g}", "middle") for x_m in grid.x_m]
    parts.append(_words(MARGIN + wide / 2, 15, "ceiling", "middle"))
    parts.append(
        _words(MARGIN + wide / 2, 24 + tall + 40, "x from the left end, z up from the floor [m]", "middle")
    )
    label = f"Elevation of {wall.name}: {grid.count} places to read, openings shaded."
    return (
        f'<svg viewBox="0 0 {wide + 2 * MARGIN:.0f} {tall + 72:.0f}" role="img" aria-label="{escape(label)}" '
        f'font-family="system-ui, sans-serif" font-size="14">{"".join(parts)}</svg>'
    )


def _cross(x: float, y: float) -> str:
    return f'<path d="M{x - 5:.1f} {y:.1f}h10M{x:.1f} {y - 5:.1f}v10" stroke="#111" stroke-width="1.6"/>'


def _words(x: float, y: float, text: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(text)}</text>'
