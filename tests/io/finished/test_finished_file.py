"""``finished.toml``: opens as it was saved, keeps what a hand wrote, tells all that is wrong at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from demo import coarse_demo
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from places import CHECKOUT
from written_jobs import remarks

import mytakeoff as mt
from mytakeoff.account.check import check_finished
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain, SettledCoat
from mytakeoff.finished.hand_mark import HandMark
from mytakeoff.finished.numbered_snag import NumberedSnag
from mytakeoff.finished.record import AgreedVariation, Delivered, Finished, HoursSpent, ReturnTrip
from mytakeoff.finished.taped_width import TapedWidth
from mytakeoff.io.finished.finished_file import FINISHED_FILE, finished_in, open_finished, save_finished

WRITTEN = """\
# our own remark
format = 1

[[delivery]]
item = "light gypsum backing"   # two pallets
delivered = 18
brought_back = 2
day = 2027-03-04
price = 13.9

[[hours]]
task = "float backing"
hours = 26.5

[[variation]]
words = "a niche"
amount = 150

[[trip]]
why = "beads forgotten"
hours = 1.5

[[wall]]
name = "party wall"
mean_mm = 23.5
uncertainty_mm = 0.4
spots_found = 2

[[wall.settled]]
change_mm = -0.3
uncertainty_mm = 0.1

[[clear_width]]
room = "front room"
name = "run of wardrobes"   # at the plinth
mm = 3876
"""
SAID = Finished(
    (Delivered("light gypsum backing", 18, date(2027, 3, 4), 2, price=13.9),),
    (HoursSpent("float backing", 26.5),),
    (AgreedVariation("a niche", 150),),
    (ReturnTrip("beads forgotten", 1.5),),
    (FinishedWall("party wall", 23.5, 0.4, (SettledCoat(-0.3, 0.1),), 2),),
    (TapedWidth("front room", "run of wardrobes", 3876.0),),
)


@pytest.fixture
def job_folder(tmp_path: Path) -> Path:
    mt.save_job(replace(coarse_demo(), folder=""), tmp_path / "job")  # nothing was written down of it
    return tmp_path / "job"


def test_it_is_read_by_its_fields(job_folder):
    (job_folder / FINISHED_FILE).write_text(WRITTEN, encoding="utf-8")
    assert open_finished(job_folder) == SAID


def test_the_example_of_the_readme_is_true(job_folder):
    text = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    (example,) = (block for block in text.split("```toml\n")[1:] if "[[wall.round]]" in block)
    (job_folder / FINISHED_FILE).write_text(example.partition("```")[0], encoding="utf-8")
    (job_folder / "surveys" / "finished.csv").write_text("x_m,z_m,proud_mm\n", encoding="utf-8")
    finished = open_finished(job_folder)
    assert [row.item for row in finished.deliveries] == ["light gypsum backing"]
    (wall,) = finished.walls
    assert (wall.fixed_again[0].after_mm, wall.rounds[0].marks[0].mm) == (-251.0, 4.0)
    known = replace(wall, after="", fixed_again=(), rounds=())
    check_finished(mt.evaluate(coarse_demo()), replace(finished, walls=(known,)))


def test_no_file_is_nothing_written_down(job_folder):
    assert open_finished(job_folder) == Finished()


def test_only_what_differs_is_written(job_folder):
    path = job_folder / FINISHED_FILE
    path.write_text(WRITTEN, encoding="utf-8")
    save_finished(SAID, job_folder)
    assert path.read_text(encoding="utf-8") == WRITTEN
    more = replace(SAID, hours=(*SAID.hours, HoursSpent("rails", 7.0, date(2027, 3, 2))))
    save_finished(more, job_folder, SAID)
    text = path.read_text(encoding="utf-8")
    assert open_finished(job_folder) == more
    assert [line for line in WRITTEN.splitlines() if line not in text.splitlines()] == []
    assert "# our own remark" in text
    assert "# two pallets" in text


def test_hours_and_variations_keep_their_remarks(job_folder):
    path = job_folder / FINISHED_FILE
    hours = (
        '[[hours]]\ntask = "rails"   # both of us\nhours = 7\n[[hours]]\ntask = "float backing"\nhours = 20\n'
    )
    text = f'format = 1\n{hours}[[variation]]\nwords = "a niche"   # by telephone\namount = 150\n'
    path.write_text(text, encoding="utf-8")
    found = open_finished(job_folder)
    (rails, floating), (niche,) = found.hours, found.variations
    made = replace(
        found,
        hours=(HoursSpent("clean up", 2.0), replace(rails, hours=8.0), floating),
        variations=(AgreedVariation("a shelf", 20.0), replace(niche, amount=160.0)),
    )
    save_finished(made, job_folder, found)
    assert open_finished(job_folder) == made
    assert sorted(remarks(path.read_text(encoding="utf-8"))) == sorted(remarks(text))


def test_a_new_file_opens_as_what_was_saved(job_folder):
    save_finished(SAID, job_folder)
    assert open_finished(job_folder) == SAID
    save_finished(Finished(), job_folder)
    assert open_finished(job_folder) == Finished()
    assert mt.open_job(job_folder) == replace(coarse_demo(), folder=str(job_folder))


def test_what_somebody_else_wrote_is_not_lost(job_folder):
    save_finished(SAID, job_folder)
    others = replace(SAID, trips=())
    save_finished(others, job_folder)
    with pytest.raises(mt.TakeoffError, match="changed meanwhile"):
        save_finished(replace(SAID, hours=()), job_folder, SAID)
    assert open_finished(job_folder) == others


def test_it_stands_beside_a_job(tmp_path):
    with pytest.raises(mt.TakeoffError, match="beside the job"):
        save_finished(SAID, tmp_path)
    assert list(tmp_path.iterdir()) == []


WRONG = """\
format = 1
[[delivery]]
item = "mesh"
delivered = -1
[[delivery]]
itm = "mesh"
delivered = "two"
[[hours]]
task = "rails"
hours = 1e9
[[trip]]
day = "yesterday"
[[wall]]
name = "party wall"
after = "../elsewhere.csv"
later = "not-there.csv"
[[singing]]
"""


def test_all_that_is_wrong_is_told_at_once(job_folder):
    with pytest.raises(mt.TakeoffError) as error:
        finished_in(WRONG, job_folder)
    places = [mistake.place for mistake in error.value.mistakes]
    assert all(place.startswith(FINISHED_FILE) for place in places)
    said = str(error.value)
    for part in (
        "delivered -1",
        "'itm'",
        "no 'item'",
        "'two'",
        "hours 1000000000",
        "'yesterday'",
        "'singing'",
    ):
        assert part in said, part
    with pytest.raises(mt.TakeoffError) as error:
        finished_in('format = 1\n[[wall]]\nname = "a"\nafter = "../b.csv"\nlater = "c.csv"\n', job_folder)
    assert len(error.value.mistakes) == 2
    assert "no file 'c.csv'" in str(error.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no format"),
        ("format = 2", "format 2"),
        ("format = true", "format True"),
        ("format = ", "TOML"),
        ("format = 1\n[delivery]\nitem = 3", "a list of tables"),
        ("format = 1\n" + "a = " + "[" * 3000, "TOML"),
    ],
)
def test_what_is_no_such_file_is_told(text, told, job_folder):
    (job_folder / FINISHED_FILE).write_text(text, encoding="utf-8")
    with pytest.raises(mt.TakeoffError, match=told):
        open_finished(job_folder)
    with pytest.raises(mt.TakeoffError):
        save_finished(SAID, job_folder)
    assert (job_folder / FINISHED_FILE).read_text(encoding="utf-8") == text


words = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=12)
amounts = st.floats(0, 1e5)
days = st.none() | st.dates(date(2020, 1, 1), date(2040, 1, 1))
some = st.none() | amounts


def few(each):
    return st.lists(each, max_size=3).map(tuple)


off = st.none() | st.floats(-400, 400)
numbers = st.lists(st.integers(1, 99), max_size=3).map(tuple)
marks = st.builds(
    HandMark, st.floats(0, 5), st.floats(0, 3), st.sampled_from(["rocks", "light"]), st.floats(0, 9)
)
places = st.builds(
    NumberedSnag, st.integers(1, 99), st.sampled_from(["hollow", "high"]), st.floats(0, 5), st.floats(0, 3)
)
records = st.builds(
    Finished,
    few(st.builds(Delivered, words, amounts, days, amounts, some, some, some, some)),
    few(st.builds(HoursSpent, words, st.floats(0, 1e4), days, some)),
    few(st.builds(AgreedVariation, words.filter(str.strip), st.floats(-1e5, 1e5), days)),
    few(st.builds(ReturnTrip, words, st.floats(0, 1e4), amounts, days)),
    st.lists(
        st.builds(
            FinishedWall, words, st.none() | st.floats(0.1, 500), st.floats(0, 50),
            st.lists(st.builds(SettledCoat, st.floats(-9, 9), st.floats(0, 9), words), max_size=2).map(tuple),
            st.none() | st.integers(0, 99), some.filter(lambda m2: m2 is None or m2 <= 1e4),
            plumb=st.booleans(), fixed_again=few(st.builds(FixedAgain, words, off, off)),
            rounds=few(st.builds(CheckRound, st.dates(), st.just(""), few(marks), numbers)),
            snags=few(places),
        ),
        max_size=3,
    ).map(tuple),
    few(st.builds(TapedWidth, words, words, st.floats(100, 1e5), st.floats(0.1, 100))),
)  # fmt: skip


@given(records, records)
@examples(40)
def test_whatever_is_saved_opens(tmp_path_factory, first, second):
    folder = tmp_path_factory.mktemp("job")
    (folder / "job.toml").write_text("", encoding="utf-8")
    for finished in (first, second):
        save_finished(finished, folder)
        assert open_finished(folder) == finished
