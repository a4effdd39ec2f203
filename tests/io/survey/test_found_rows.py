"""What was found on a wall, as rows under the readings of its sheet."""

from __future__ import annotations

import pytest

import mytakeoff as mt
from mytakeoff.io.files.sheet import split
from mytakeoff.io.files.text import FileText
from mytakeoff.io.survey.found_rows import found_in, found_typed, readings_part
from mytakeoff.io.survey.reading_sheet import reading_sheet
from mytakeoff.job.job_wall import Fitting, FixedPlace
from mytakeoff.survey.corner import Corner
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.wall import LooseArea

READINGS = "off_line_mm x_cm z_cm;10;160;310\n240;31;36;40\n10;29,5;33;39\n"
FOUND = """;
found on the wall
the plane was plumb;yes
swept all over;
high spot;x_cm;z_cm;off_line_mm
;120;155,5;14
;;;
laid straightedge;x_cm;z_cm;lies;length_cm;gap_mm;touches_cm
;40;120;level;200;6;35 190
;50;0;Upright;100;2;
loose plaster;x_cm;z_cm;width_cm;height_cm;depth_mm;state
;30;20;80;60;18;loose
;230;20;50;40;20;fallen
fitting;what;x_cm;z_cm
;double socket;120;45
;meter cupboard;20;150
corner;x_cm;off_square_mm;z_cm
;20;40;130
;300;44;130
fixed place;what;x_cm;z_cm;off_line_mm
;edge of the door frame;310;100;212
;screw head;20;240;198,5
"""
WALL = mt.Wall("stair wall", 3.2, 2.5)


def sheet(text: str):
    return split(FileText(text, "utf-8"), "stair.csv")


def test_everything_that_was_found_is_read():
    found = found_in(sheet(READINGS + FOUND))
    assert (found.plumb, found.swept) == (True, None)
    assert found.findings == type(found.findings)(
        high_spots=((1.2, 1.555, -14.0),),
        sweeps=(LaidEdge(0.4, 1.2, 2.0, 6.0, "level", (0.35, 1.9)), LaidEdge(0.5, 0.0, 1.0, 2.0, "upright")),
        loose=(LooseArea(0.3, 0.2, 0.8, 0.6, 18.0), LooseArea(2.3, 0.2, 0.5, 0.4, 20.0, True)),
        corner=Corner((0.2, 3.0), (40.0, 44.0), 1.3),
        fittings=(
            Fitting("double socket", "socket", 1.2, 0.45), Fitting("meter cupboard", "other", 0.2, 1.5)
        ),
        fixed_places=(
            FixedPlace("edge of the door frame", 3.1, 1.0, -212.0), FixedPlace("screw head", 0.2, 2.4, -198.5)
        ),
    )  # fmt: skip


def test_the_readings_are_those_of_the_sheet_without_it(tmp_path):
    for name, text in (("bare.csv", READINGS), ("found.csv", READINGS + FOUND)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    bare, both = (mt.read_survey(tmp_path / name, WALL) for name in ("bare.csv", "found.csv"))
    assert (both.x_m.tolist(), both.proud_mm.tolist()) == (bare.x_m.tolist(), bare.proud_mm.tolist())


def test_a_reading_typed_into_such_a_sheet_leaves_what_was_found():
    own = reading_sheet(sheet(READINGS + FOUND), WALL)
    text = own.text_with(own.typed.with_read((0, 0), 55.0).with_row(1.2))
    assert text.endswith(FOUND)
    assert "240;55;" in text
    assert len(readings_part(sheet(text)).filled) == 4


@pytest.mark.parametrize(("before", "after", "words"), [
    (";120;155,5;14", ";120;;14", r"row 9, column C.*nothing under z_cm of a high spot"),
    ("level;200", "slanted;200", r"row 12, column D: 'slanted'; here stands level, upright"),
    ("80;60;18;loose", "80;60;18;", r"nothing under state of a loose plaster"),
    (";300;44;130", ";300;44;150", r"2 places of a corner; two are read, both at one height"),
    (";300;44;130\n", "", r"1 places of a corner"),
    ("fitting;what", "fittings;what", r"'fittings'; under 'found on the wall' stand high spot"),
    (";310;100;212", ";310;100;", r"nothing under off_line_mm of a fixed place"),
    (";310;100;212", ";310;100;99999", r"fixed place 'edge of the door frame'|row 24, column A: proud"),
    ("double socket;120", "double socket;12o", r"row 18, column C: '12o'; a number stands here"),
    (";50;0;Upright;100;2", ";50;0;Upright;9900;2", r"row 13, column A: length 99 m"),
])  # fmt: skip
def test_what_cannot_be_is_told_with_its_place(before, after, words):
    text = READINGS + FOUND
    assert before in text
    with pytest.raises(mt.TakeoffError, match=words):
        found_in(sheet(text.replace(before, after)))


def test_all_mistakes_are_told_together():
    text = (READINGS + FOUND).replace("level;200", "slanted;200").replace(";300;44;130", ";300;44;150")
    with pytest.raises(mt.TakeoffError) as told:
        found_in(sheet(text))
    assert len(told.value.mistakes) == 2


def test_headings_alone_are_nothing_typed():
    blank = "\n".join(line for line in FOUND.splitlines() if not line.startswith(";") or line == ";;;")
    assert found_typed(sheet(READINGS + blank.replace(";yes", ";"))) == 0
    assert found_typed(sheet(READINGS + FOUND)) > 20
    assert found_in(sheet(READINGS)).plumb is None
