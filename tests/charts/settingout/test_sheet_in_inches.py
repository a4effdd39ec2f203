"""The setting-out sheet in feet and inches: every figure has room in its column, nothing is metric."""

from dataclasses import replace

import pytest
from demo import demo

from mytakeoff import evaluate, set_out
from mytakeoff.charts.drawing.lettering import width_of
from mytakeoff.charts.settingout import elevation, fixing_table, sheet
from mytakeoff.settingout.set_out import SettingOut, WallSetting

LEAST_APART_PX = 5.0  # no source: what the eye tells two numbers apart by


@pytest.fixture(scope="module")
def setting() -> SettingOut:
    return set_out(evaluate(replace(demo(), feet_and_inches=True)))


def cells(wall: WallSetting) -> list[tuple[str, ...]]:
    high = fixing_table.row_cells(wall, replace(wall.fixings[0], z_m=18.2865, projection_mm=45.3))
    return [high, *(fixing_table.row_cells(wall, fixing) for fixing in wall.fixings)]


def test_every_figure_has_room_in_its_column(setting: SettingOut):
    for wall in (wall for wall in setting.walls if wall.fixings):
        for row in cells(wall):
            widths = [width_of(words, fixing_table.TEXT_PX) for words in row]
            room = [width - LEAST_APART_PX for width in fixing_table.WIDE_PX[1:]]
            assert [words for words, wide, most in zip(row, widths, room, strict=True) if wide > most] == []


def test_neither_drawing_nor_table_nor_cut_list_is_metric(setting: SettingOut):
    wall = next(wall for wall in setting.walls if wall.fixings)
    said = [elevation.describe(wall), *fixing_table.heads(wall), sheet.cut_words(setting)]
    said += [*sheet.stock_words(setting), *sheet.screw_words(setting), *wall.checks, *wall.notices]
    words = " ".join(said).replace("\n", " ").split()
    assert not {"m", "m.", "m,", "m:", "mm", "mm.", "mm,", "mm:"} & set(words)
    assert any(word.endswith('"') for word in words)
