"""The pictures of a quotation: each wall's thickness to one scale, the gap beside what is plumb, the key."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape

import numpy as np

from mytakeoff.charts.drawing.palette import ramp_top
from mytakeoff.charts.maps.paper_map import on_paper, paper_map, paper_scale
from mytakeoff.charts.maps.small_maps import SmallMap
from mytakeoff.charts.maps.wall_strip import key_svg
from mytakeoff.charts.options.row_drawings import row_exaggeration, row_taper
from mytakeoff.charts.options.wedge import WedgeDrawing, exaggeration_words
from mytakeoff.quotation.content import Quotation, WallPart
from mytakeoff.quotation.said import LEAST_MM

SIZE = re.compile(r'<svg[^>]*? width="([\d.]+)" height="([\d.]+)"[^>]*? aria-label="([^"]*)"')


@dataclass(frozen=True)
class Picture:
    """A drawing as SVG, its width [px], what it says for who does not see it, and words under it."""

    svg: str
    width_px: float
    alt: str
    caption: str = ""

    @classmethod
    def of(cls, svg: str, caption: str = "") -> Picture:
        """From a drawing of `charts`, which says all of it at its head."""
        found = SIZE.search(svg)
        assert found is not None, "a drawing says its size and what it shows"
        return cls(on_paper(svg), float(found[1]), unescape(found[3]), caption)


@dataclass(frozen=True)
class Pictures:
    """By the wall's name, and the key to all of them."""

    walls: dict[str, tuple[Picture, ...]]
    key: Picture


NO_PICTURES = Pictures({}, Picture("", 0.0, ""))


def pictures_of(quotation: Quotation) -> Pictures:
    """All pictures of a quotation."""
    formats, walls = quotation.formats, quotation.result.walls
    top, scale = ramp_top(quotation.result.max_mm), paper_scale([wall.entry.wall for wall in walls])
    tapers = {part.name: list(_tapers(part, quotation)) for part in quotation.walls}
    times = row_exaggeration([each for several in tapers.values() for each in several])
    found = {}
    for at, part in enumerate(quotation.walls):
        wall = part.wall
        surface, plaster = wall.surface, wall.build_up.thickness_mm
        small = SmallMap("as quoted", surface.x_m, surface.z_m, plaster, formats)
        maps = [Picture.of(paper_map(wall.entry.wall, small, top, scale))]
        for nth, taper in enumerate(tapers[part.name]):
            caption = f"Beside the {taper.name}: {exaggeration_words(times)}"
            maps.append(Picture.of(row_taper(taper, times, f"{at}-{nth}"), caption))
        found[part.name] = tuple(maps)
    return Pictures(found, Picture.of(key_svg(top, formats), formats.head("Thickness of plaster", "mm")))


def _tapers(part: WallPart, quotation: Quotation) -> Iterator[WedgeDrawing]:
    """The gap beside each plumb thing against a wall, where there is one to see."""
    things = [thing for thing in quotation.result.job.compare.beside if thing.wall == part.name]
    for thing, wedge in zip(things, part.left.wedges, strict=False):
        if wedge.z_m and wedge.widest_mm >= LEAST_MM:
            z_m, gap_mm = np.array(wedge.z_m), np.array(wedge.gap_mm)
            yield WedgeDrawing(thing.name, max(wedge.z_m), z_m, gap_mm, quotation.formats)
