"""The plan of a room on a sheet of its own, for the client as for the estimator: neither mixes nor litres."""

from __future__ import annotations

from matplotlib.figure import Figure

from mytakeoff.audience import Audience, first_line
from mytakeoff.charts.drawing.paper import A4, MARGIN_PX, Block, paged, paragraph, sheet
from mytakeoff.charts.plan import in_words, plan
from mytakeoff.charts.plan.room_drawing import RoomDrawing, drawings, height_px, scale_for
from mytakeoff.settingout.room_setting import RoomSetting

TEXT_PX, PLAN_SHARE = 14.0, 0.6
FOOT = "Angles between faces seen from above; widths between finished faces, where they are asked for."


def make_pages(room: RoomSetting, title: str, day: str, audience: Audience) -> tuple[Figure, ...]:
    """A room on as many sheets of A4 as it takes: each run of its walls drawn, then all of it in words.

    Parameters
    ----------
    room : RoomSetting
    title, day : str
        The job, and the day, as they stand on the sheet.
    audience : "estimator" or "client"
    """
    said = [paragraph(words, A4.inner_px, TEXT_PX) for words in in_words.described(room)]
    pages = paged([*(_block(each) for each in drawings(room)), *said], A4.room_px)
    subject = f"The room in plan: {room.name}"
    return tuple(
        sheet(A4, page, title, subject, day, f"page {nth} of {len(pages)}", FOOT, first_line(audience))
        for nth, page in enumerate(pages, start=1)
    )


def _block(drawing: RoomDrawing) -> Block:
    px = scale_for(drawing, (A4.inner_px - 2, A4.room_px * PLAN_SHARE))
    high, lines = height_px(drawing, px), plan.caption_lines(drawing, A4.inner_px)

    def draw(figure: Figure, top: float) -> None:
        plan.draw(figure, drawing, (MARGIN_PX, top), px)
        plan.draw_foot(figure, drawing, (MARGIN_PX, top + high + 10), px, lines)

    return Block(high + plan.foot_px(lines) + 14, draw)
