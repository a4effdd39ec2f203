"""The rooms in plan and what is packed out, folded away below a wall's fixings; made when they are opened."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.plan import in_words, plan
from mytakeoff.charts.plan.room_drawing import drawings
from mytakeoff.charts.settingout.room_sheet import (
    PACKED_HEAD,
    check_words,
    line_words,
    off_words,
    packed_cells,
)
from mytakeoff.panels.parts.fold import LazyFold
from mytakeoff.panels.parts.html import Html, element, grouped_table, joined, listed, scrolling
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.settingout.room_setting import RoomSetting
from mytakeoff.settingout.set_out import SettingOut

WIDTHS_PX = {"wide": 560.0, "narrow": 350.0}


class FollowingFold:
    """A fold that says something of what is set out, worked out while it is open.

    Parameters
    ----------
    title, name : str
    said : function of SettingOut
        What it says.
    """

    def __init__(self, title: str, name: str, said: Callable[[SettingOut], str]) -> None:
        self._said, self.html = said, make(widgets.HTML)
        self._setting: SettingOut | None = None
        self.widget = LazyFold(title, lambda: [self.html], name)
        self.widget.head.observe(lambda _: self._fill(), "opened")

    def show(self, setting: SettingOut | None, anything: bool) -> None:
        """Follow what is set out; hidden where there is nothing to say of it."""
        self._setting = setting
        set_shown(self.widget, setting is not None and anything)
        self._fill()

    def _fill(self) -> None:
        if self.widget.head.opened:
            self.html.value = "" if self._setting is None else self._said(self._setting)


class RoomFolds:
    """The rooms in plan, and what is packed out."""

    def __init__(self) -> None:
        self.plan = FollowingFold("The room in plan", "plan", rooms_html)
        self.packed = FollowingFold("Linings, boards and skirtings to pack out", "packed", packed_html)
        self.widgets = (self.plan.widget, self.packed.widget)

    def show(self, setting: SettingOut | None) -> None:
        """Follow what is set out."""
        job = None if setting is None else setting.job
        self.plan.show(setting, job is not None and any(room.corners for room in job.rooms))
        walls = [] if job is None else [wall.wall for wall in job.priced_walls]
        self.packed.show(setting, any(wall.openings or wall.skirting_m > 0 for wall in walls))


def rooms_html(setting: SettingOut) -> str:
    """Every room whose corners are listed: drawn, in words, and its lines to strike."""
    return joined(_room(nth, room) for nth, room in enumerate(setting.rooms))


def _room(nth: int, room: RoomSetting) -> Html:
    words = in_words.described(room)
    drawn = [
        element("div", Html(page_svg(plan.make(drawing, px), f"plan-{nth}-{part}-{css}", " ".join(words))),
                css=f"mt-elevation mt-elevation-{css}")
        for part, drawing in enumerate(drawings(room))
        for css, px in WIDTHS_PX.items()
    ]  # fmt: skip
    return joined([element("h3", room.name), *drawn, listed(words), _lines(room)])


def _lines(room: RoomSetting) -> Html:
    """The lines to strike, where the job brings the room to these planes."""
    said = [
        joined(
            [
                element("p", off_words(lines, room.formats)),
                listed(line_words(line, room.formats) for line in lines.lines),
                listed(check_words(lines, room.formats)),
            ]
        )
        for lines in room.lines
    ]
    title = element("h3", "Square lines to strike on the floor") if said else Html()
    return joined([title, *said, listed(() if room.planes is None else room.planes.notices)])


def packed_html(setting: SettingOut) -> str:
    """A row for each edge, wall by wall."""
    walls: dict[str, list[tuple[str, ...]]] = {}
    for wall, *cells in packed_cells(setting):
        walls.setdefault(wall, []).append(tuple(cells))
    return scrolling(grouped_table(PACKED_HEAD[1:], walls.items(), "mt-list", numbers=(2, 3, 4)))
