"""Opening a job folder: what it holds, and every slip in it told with its place; the disk stays as it is."""

from __future__ import annotations

import os
from dataclasses import replace
from decimal import Decimal

import pytest
from effort import examples
from hypothesis import HealthCheck, given, reject
from hypothesis import strategies as st
from told import check_told, read_or_told

from mytakeoff import TakeoffError, open_job, save_job


def mistakes_in(folder):
    with pytest.raises(TakeoffError) as caught:
        open_job(folder)
    check_told(caught.value)
    return caught.value.mistakes


def test_a_job_is_read_with_its_walls_mixes_and_prices(folder):
    job = open_job(folder)
    assert (job.title, job.currency, job.waste_share, job.folder) == ("Test flat", "EUR", 0.1, str(folder))
    assert [wall.name for wall in job.walls] == ["north", "south"]
    north = job.wall("north")
    assert (north.wall.width_m, north.wall.openings[0].name, north.survey.plumb) == (2.0, "hatch", True)
    assert (north.survey.layout, north.survey.source) == ("grid", "surveys/north.csv")
    assert north.survey.high_mm.tolist() == [-9.0]
    assert job.wall("south").survey.proud_mm.tolist() == [-10.0, -12.5, -9.0]
    assert (job.system.backing.density_kg_per_l, job.system.finish.name) == (0.95, "gypsum skim")
    assert job.mixes == (job.system.backing,)
    assert job.prices.of("plasterer").price == Decimal("34.00")
    assert str(job.prices.of("our plaster").price) == "12.50"
    assert job.prices.of("plasterer").note == "with tools, van"


def test_a_known_mix_takes_only_the_figures_that_differ(folder, change):
    change("job.toml", 'name = "our plaster"\ndensity_kg_per_l = 0.95\nbag_kg = 25\nleast_coat_mm = 8\n'
           "max_coat_mm = 15\nmax_total_mm = 35\n", 'name = "lime-sand"\nbag_kg = 30\n')  # fmt: skip
    change("job.toml", '"our plaster"', '"lime-sand"')
    backing = open_job(folder).system.backing
    # 1.55 kg/l, 6 to 10 mm a coat: the package's own marked default, common practice, no source
    assert (backing.bag_kg, backing.density_kg_per_l, backing.max_coat_mm) == (30, 1.55, 10)


def test_an_older_format_still_opens(folder, change):
    change("job.toml", "format = 1", "format = 0")
    change("job.toml", "waste_share = 0.10", "waste_percent = 12")
    assert open_job(folder).waste_share == 0.12


def test_a_job_says_its_locale_and_keeps_it(folder, change):
    assert open_job(folder).formats.number(1234.5, 1) == "1\u202f234.5"
    change("job.toml", "format = 1", 'format = 1\nlocale = "de_DE"')
    job = open_job(folder)
    assert (job.locale, job.formats.number(1234.5, 1)) == ("de_DE", "1.234,5")
    save_job(replace(job, locale="fr_FR"), folder)
    assert 'locale = "fr_FR"' in (folder / "job.toml").read_text(encoding="utf-8")


SLIPS = [
    # file, old, new; value, rule, remedy, place
    ("job.toml", "format = 1", "format = 2", "format 2", "up to format 1", "newer mytakeoff", "job.toml"),
    ("job.toml", "format = 1", "", "no format", "up to format 1", "format = 1", "job.toml"),
    ("job.toml", "format = 1", 'format = "1"', "format '1'", "up to", "format = 1", "job.toml"),
    ("job.toml", '"Test flat"', '"Test flat', "", "TOML", "quotes", "job.toml, row 3"),
    ("job.toml", "waste_share", "waste_shar", "'waste_shar'", "known", "'waste_share'", "job.toml"),
    ("job.toml", "format = 1", 'format = 1\nlocale = "de_XX"', "'de_XX'", "known together", "de_AT", "job"),
    ("job.toml", "width_m = 2 ", "width_cm = 200 ", "'width_cm'", "known", "'width_m'", "wall 1 (north)"),
    ("job.toml", "width_m = 2 ", 'width_m = "2" ', "'2'", "a number", "quotes", "wall 1 (north), width_m"),
    ("job.toml", "width_m = 2 ", "width_m = nan ", "nan", "a number", "decimal point", "width_m"),
    ("job.toml", "width_m = 2 ", "width_m = -2 ", "-2 m", "0.001 to 100 m", "measure it", "wall 1 (north)"),
    ("job.toml", "width_m = 0.5", "width_m = 1.5", "to 2.5 m", "lies on its wall", "measure x", "'hatch'"),
    ("job.toml", ", plumb = true", "", "'plumb'", "leans", "true or false", "wall 1 (north), survey"),
    ("job.toml", ", plumb = true", ", plumb = 1", "1", "true or false", "write true", "survey, plumb"),
    ("job.toml", 'room = "kitchen"', 'room = "hall"', "'hall'", "a room of the job", "'kitchen'", "'north'"),
    ("job.toml", 'kind = "plumb"', 'kind = "plum"', "'plum'", '"square"', '"plumb"', "plane, kind"),
    ("job.toml", "0.10", "12", "waste share 12", "0 to 0.8", "write 0.12 if", "job.toml, waste_share"),
    ("job.toml", "0.10", "0.9", "waste share 0.9", "0 to 0.8", "10 to 12 %", "job.toml, waste_share"),
    ("job.toml", 'finish = "gypsum skim"', 'finish = "gypsum skin"', "'gypsum skin'", "known one",
     "'gypsum skim'", "system"),
    ("job.toml", "max_coat_mm = 15", "max_coat_mm = 5", "greatest coat 5", "least coat ≤", "sheet", "mix 1"),
    ("job.toml", "max_coat_mm = 15", "max_coat_mm = 0", "coat 0 mm", "0.2 to 300 mm", "sheet", "mix 1"),
    ("job.toml", '[system]\n', "[systen]\n", "'systen'", "known", "'system'", "job.toml"),
    ("job.toml", "off_line_mm = 9", "off_line_mm = 9\nproud_mm = 9", "9", "one reading", "not both",
     "high_spot 1"),
    ("job.toml", "off_line_mm = 9", "", "None", "one reading", "not both", "high_spot 1"),
    ("job.toml", "x_m = 0.4", "x_m = 4", "x 4 m", "on the wall", "left end", "high spots of wall 'north'"),
    ("job.toml", 'background = "brick"', 'background = "brik"', "'brik'", "one of a list", "'brick'",
     "job.toml, wall 1 (north): wall 'north'"),
    ("job.toml", 'background = "brick"', 'background = "brick"\nloose = 3', "3", "list of tables",
     "double brackets", "wall 1 (north), loose"),
    ("job.toml", "surveys/north.csv", "surveys/none.csv", "cannot be read", "has to be there", "spelled",
     "surveys/none.csv"),
    ("job.toml", "surveys/north.csv", "/etc/hostname", "/etc/hostname", "own folder", "copy", "survey"),
    ("job.toml", "surveys/north.csv", "../north.csv", "../north.csv", "own folder", "copy", "survey"),
    ("job.toml", "surveys/north.csv", "surveys/../../n.csv", "n.csv", "own folder", "copy", "survey"),
    ("job.toml", "'surveys/south.csv'", "'C:\\south.csv'", "south.csv", "own folder", "copy", "2 (south)"),
    ("job.toml", "surveys/north.csv", "a\\u0000.csv", "a", "own folder", "copy", "wall 1 (north), survey"),
    ("surveys/south.csv", "-12,5", "-x", "'-x'", "a number", "digits", "surveys/south.csv, row 3, column C"),
    ("prices.csv", "34.00", "-34.00", "price -34", "it is 0 or more", "0 if it is free",
     "prices.csv, row 3, column C"),
    ("prices.csv", "34.00", "", "no price for 'plasterer'", "has one", "0 if", "prices.csv, row 3, column C"),
    ("prices.csv", "34.00", "dear", "'dear'", "a number", "digits", "prices.csv, row 3, column C"),
    ("prices.csv", "rail", "plasterer", "'plasterer' stands 2", "one price", "keep one", "rows 3, 4"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "old", "new", "found", "rule", "remedy", "place"), SLIPS)
def test_each_slip_says_value_rule_remedy_and_place(
    folder, files, change, name, old, new, found, rule, remedy, place
):
    change(name, old, new)
    before = files(folder)
    said = mistakes_in(folder)
    fitting = [one for one in said if found in one.found and rule in one.rule and place in one.place]
    assert len(fitting) == 1, [str(one) for one in said]
    assert remedy in fitting[0].remedy
    assert files(folder) == before


def test_slips_in_every_file_are_told_together(folder, change):
    change("job.toml", "waste_share = 0.10", "waste_share = 1.5")
    change("job.toml", 'background = "brick"', 'backgound = "brick"')
    change("surveys/south.csv", "-12,5", "x")
    change("prices.csv", "0.90", "-1")
    places = " / ".join(one.place for one in mistakes_in(folder))
    for part in ("wall 1 (north)", "surveys/south.csv, row 3", "prices.csv, row 4"):
        assert part in places


def test_waste_and_a_wall_that_cannot_be_read_are_told_together(folder, change):
    change("job.toml", "waste_share = 0.10", 'waste_share = 1.5\nonly = ["south"]')
    change("surveys/south.csv", "-12,5", "x")
    said = mistakes_in(folder)
    assert len(said) == 2
    assert "waste share 1.5" in " ".join(one.found for one in said)


@pytest.mark.parametrize(
    "table",
    ["[buying]\ncarry_kg = 0", '[[buying.chosen]]\nitm = "primer"', '[compare]\ntolerance_mm = -1',
     "[rates]\ncrew = 0", "[sureness]\nconfidence_share = 1.0", "[site]\nreach_m = 0"],
)  # fmt: skip
def test_a_table_that_cannot_be_read_is_told_with_the_rest(folder, change, table):
    change("job.toml", "waste_share = 0.10", "waste_share = 1.5")
    with (folder / "job.toml").open("a", encoding="utf-8") as file:
        file.write(f"\n{table}\n")
    found = mistakes_in(folder)
    assert any("waste share 1.5" in one.found for one in found)
    assert any(f"job.toml, {table[1:].lstrip('[').split(']')[0].split('.')[0]}" in one.place for one in found)


def test_nothing_is_said_of_what_stands_beside_a_wall_that_cannot_be_read(folder, change):
    change("job.toml", "width_m = 2 ", "width_m = -2 ")
    with (folder / "job.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[compare.beside]]\nname = "door"\nwall = "north"\nx_m = 1.0\nwidth_m = 0.5\n')
    assert all("wall" in one.place for one in mistakes_in(folder))


def test_an_empty_folder_says_what_to_do_first(tmp_path):
    for place in (tmp_path, tmp_path / "none"):
        (said,) = mistakes_in(place)
        assert "mytakeoff new" in said.remedy
        assert said.place == str(place)
    assert list(tmp_path.iterdir()) == []


def test_a_job_without_prices_says_so(folder):
    (folder / "prices.csv").unlink()
    (said,) = mistakes_in(folder)
    assert said.place == "prices.csv"


@pytest.mark.parametrize("name", ["surveys/north.csv", "prices.csv", "job.toml"])
def test_a_link_that_leaves_the_folder_is_refused(folder, tmp_path, name):
    outside = tmp_path / "outside.txt"
    outside.write_bytes((folder / name).read_bytes())
    (folder / name).unlink()
    os.symlink(outside, folder / name)
    (said,) = mistakes_in(folder)
    assert "own folder" in said.rule


def test_a_job_file_that_is_not_text(folder):
    (folder / "job.toml").write_bytes(b"\x00\x01\x02")
    (said,) = mistakes_in(folder)
    assert "not text" in said.found


VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=5), st.dates()),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text("ab_m"), inner, max_size=2),
    max_leaves=4,
)
LINES = (
    "format = 1", "[plane]", "[[wall]]", "[wall.survey]", "width_m = 2", "[[mix]]", "[[wall.opening]]", "= ",
    "[[", "plumb = true", 'title = "', "[system]", "\u0000", "waste_share = 1e400", "x = 2020-01-01",
)  # fmt: skip


@examples(80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    content=st.one_of(
        st.binary(max_size=80),
        st.lists(st.sampled_from(LINES), max_size=8).map(lambda lines: "\n".join(lines).encode()),
    )
)
def test_any_bytes_for_a_job_give_a_message(folder, content):
    (folder / "job.toml").write_bytes(content)
    assert mistakes_in(folder)


@examples(150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data(), value=VALUES)
def test_any_value_in_any_key_gives_a_job_or_a_message(folder, data, value):
    import tomlkit

    document = tomlkit.parse((folder / "job.toml").read_text()).unwrap()
    saved = (folder / "job.toml").read_bytes()
    table = document
    while True:
        key = data.draw(st.sampled_from(sorted(table)))
        inner = table[key][0] if isinstance(table[key], list) and table[key] else table[key]
        if not isinstance(inner, dict) or not inner or data.draw(st.booleans()):
            break
        table = inner
    if value is None:
        del table[key]
    else:
        table[key] = value
    try:
        text = tomlkit.dumps(document)
    except Exception:  # the writer itself refuses some values; the reader never sees them
        reject()
    (folder / "job.toml").write_bytes(text.encode())
    try:
        with read_or_told():
            assert open_job(folder).walls
    finally:
        (folder / "job.toml").write_bytes(saved)
