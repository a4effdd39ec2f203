"""Many mistakes of one kind share a line: how many, where the first are, what was found."""

from __future__ import annotations

import pytest
from survey_files import survey_in

from mytakeoff import TakeoffError, Wall, open_job
from mytakeoff.errors import Check, Mistake, told

RULE, REMEDY = "a number stands here", "type one"


def cells(*places: str, found: str = "'x'") -> list[Mistake]:
    """A mistake in each cell, named as a spreadsheet does: B3."""
    return [Mistake(found, RULE, REMEDY, f"a.csv, row {cell[1:]}, column {cell[0]}") for cell in places]


@pytest.mark.parametrize(
    ("places", "where"),
    [
        (("B3", "B4", "B5", "B6"), "4 cells, column B, rows 3 to 6"),
        (("B3", "B5", "B9", "B12"), "4 cells, column B, rows 3, 5, 9 …"),
        (("B3", "C3", "D3", "E3"), "4 cells, columns B to E, row 3"),
        (("C4", "B3", "B4", "C3"), "4 cells, columns B, C, rows 3, 4"),
        (("B3", "C5", "D7", "E9"), "4 cells, column B, row 3; column C, row 5; column D, row 7 …"),
    ],
)
def test_where_the_cells_are(places, where):
    assert told(cells(*places)) == [f"a.csv: {where}: 'x'; {RULE}; {REMEDY}"]


def test_three_of_a_kind_have_a_line_each():
    assert told(cells("B3", "B4", "B5")) == [str(one) for one in cells("B3", "B4", "B5")]


def test_the_first_values_are_named_and_each_once():
    kind = [one for nth in range(9) for one in cells(f"B{nth + 2}", found=f"'{nth // 2}'")]
    assert told(kind) == [f"a.csv: 9 cells, column B, rows 2 to 10: '0', '1', '2' …; {RULE}; {REMEDY}"]


def test_kinds_stand_where_their_first_mistake_does_and_files_stay_apart():
    other = Mistake("nothing in it", "a survey holds readings", "save it", "b.csv")
    lines = told([*cells("B3", "B4"), other, *cells("B5", "B6"), *cells("C1", found="'y'")])
    assert [line.split(":")[0] for line in lines] == ["a.csv", "b.csv"]
    assert lines[0].startswith("a.csv: 5 cells, column B, rows 3 to 6; column C, row 1: 'x', 'y';")


def test_different_values_at_many_places_are_each_told_and_the_rule_once():
    kind = [Mistake(f"'{nth}'", RULE, REMEDY, f"job.toml, wall {nth}, width_m") for nth in range(5)]
    said = "; ".join(f"wall {nth}, width_m: '{nth}'" for nth in range(5))
    assert told(kind) == [f"job.toml: {said}; {RULE}; {REMEDY}"]


def test_mistakes_without_a_place_are_counted():
    assert told([Mistake("'x'", RULE, REMEDY)] * 5) == [f"'x', 5 times; {RULE}; {REMEDY}"]


def test_one_wall_has_its_rule_once_from_the_second_on_where_that_is_asked_for():
    kind = [Mistake(f"{nth} of 9", RULE, REMEDY, f"wall 'A', rail {nth}") for nth in (1, 2)]
    assert told(kind, 1) == [f"wall 'A': rail 1: 1 of 9; rail 2: 2 of 9; {RULE}; {REMEDY}"]


def test_mistakes_stay_single_for_whoever_asks():
    check = Check()
    check.mistakes += cells("B3", "B4", "B5", "B6")
    with pytest.raises(TakeoffError) as caught:
        check.done()
    assert len(caught.value.mistakes) == 4
    assert str(caught.value).count("\n") == 0


def test_a_column_of_faulty_cells_is_one_message(tmp_path):
    rows = "".join(f"{2.0 - nth / 10:g},12,{nth} ?,13\n" for nth in range(12))
    with pytest.raises(TakeoffError) as caught:
        survey_in(tmp_path, f"off_line_mm,0.5,1.0,1.5\n{rows}", Wall("north", 2.0, 2.5))
    assert len(caught.value.mistakes) == 12
    (line,) = str(caught.value).splitlines()
    assert line.startswith("north.csv: 12 cells, column C, rows 2 to 13: '0 ?', '1 ?', '2 ?' …;")


def test_one_wrong_key_in_every_wall_is_one_message(tmp_path):
    walls = "".join(
        f'[[wall]]\nname = "{nth}"\nwidht_m = 4.0\nwidth_m = 4.0\nheight_m = 2.5\n' for nth in range(22)
    )
    (tmp_path / "job.toml").write_text(f'format = 1\ntitle = "t"\n{walls}', encoding="utf-8")
    with pytest.raises(TakeoffError) as caught:
        open_job(tmp_path)
    lines = [line for line in str(caught.value).splitlines() if "widht_m" in line]
    assert len(lines) == 1
    assert "key 'widht_m', 22 times: wall 1 (0), wall 2 (1), wall 3 (2) …; only keys" in lines[0]
