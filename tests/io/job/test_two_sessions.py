"""Two sessions on one folder: what both did is merged, or refused in words; never doubled, and it opens."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from demo import copy_of_demo

import mytakeoff as mt
from mytakeoff.job.edits import with_rail_places, with_reading, with_wall_name
from mytakeoff.job.treatments import PlumbThing

Edit = Callable[[mt.Job], mt.Job]


def with_wall(name: str, **changes) -> Edit:
    """An edit of one wall; of its size and openings too."""

    def edit(job: mt.Job) -> mt.Job:
        own = {key: changes[key] for key in changes if key in mt.Wall.__dataclass_fields__}
        rest = {key: changes[key] for key in changes if key not in own}
        entry = job.wall(name)
        wall = replace(entry.wall, **own)
        after = replace(entry, wall=wall, survey=replace(entry.survey, wall=wall), **rest)
        return replace(job, walls=tuple(after if each is entry else each for each in job.walls))

    return edit


def without(name: str) -> Edit:
    return lambda job: replace(job, walls=tuple(wall for wall in job.walls if wall.name != name))


def called(name: str, new: str) -> Edit:
    return lambda job: with_wall_name(job, name, new)


def with_spots(name: str, *spots: tuple[float, float, float]) -> Edit:
    def edit(job: mt.Job) -> mt.Job:
        entry = job.wall(name)
        after = replace(entry, survey=entry.survey.with_high_spots(spots))
        return replace(job, walls=tuple(after if each is entry else each for each in job.walls))

    return edit


@pytest.fixture
def two(folder):
    """Saves two edits of one opened job, one after the other; gives what the second save came to."""

    def save(first: Edit, second: Edit):
        opened = mt.open_job(folder)
        mt.save_job(first(opened), folder, opened)
        saved = mt.save_job(second(opened), folder, opened)
        assert mt.open_job(folder) == saved.job
        tomllib.loads((folder / "job.toml").read_text())
        return saved

    return save


def refused(folder: Path, files, first: Edit, second: Edit) -> str:
    """Why the second save is refused; nothing in the folder has changed then."""
    opened = mt.open_job(folder)
    mt.save_job(first(opened), folder, opened)
    before = files(folder)
    with pytest.raises(mt.TakeoffError) as caught:
        mt.save_job(second(opened), folder, opened)
    assert files(folder) == before
    mt.open_job(folder)
    return str(caught.value)


RENAMED, EDITED = called("north", "street side"), with_wall("north", sockets=4)


@pytest.mark.parametrize("turned", [False, True])
def test_a_wall_renamed_here_and_edited_there_is_one_wall(two, turned):
    saved = two(EDITED, RENAMED) if turned else two(RENAMED, EDITED)
    assert [wall.name for wall in saved.job.walls] == ["street side", "south"]
    assert saved.job.wall("street side").sockets == 4
    assert saved.clashes == ()


def test_the_price_of_a_wall_renamed_and_edited_is_that_of_one_wall(tmp_path):
    """The demo job; as one person would have done both."""
    folder = copy_of_demo(tmp_path)
    opened = mt.open_job(folder)
    both = with_wall("door wall", sockets=5)(opened)
    mt.save_job(called("door wall", "hall side")(opened), folder, opened)
    saved = mt.save_job(both, folder, opened).job
    wanted = mt.evaluate(called("door wall", "hall side")(both))
    assert mt.evaluate(saved).cost.total == wanted.cost.total
    assert mt.evaluate(mt.open_job(folder)).cost.total == wanted.cost.total


@pytest.mark.parametrize("turned", [False, True])
def test_a_new_name_goes_with_all_that_names_the_wall(two, folder, change, turned):
    change("job.toml", "[system]", 'only = ["north", "south"]\n\n[system]')
    text = (folder / "job.toml").read_text()
    only = 'only = ["north", "south"]\n\n'
    text = text.replace(only, "").replace('currency = "EUR"\n', f'currency = "EUR"\n{only}')
    text += '[[compare.beside]]\nname = "door frame"\nwall = "north"\nx_m = 0.2\n'
    (folder / "job.toml").write_text(text)

    def another(job: mt.Job) -> mt.Job:
        beside = (*job.compare.beside, PlumbThing("shelf", "north", 1.2))
        job = replace(job, only=("north",), compare=replace(job.compare, beside=beside))
        return with_rail_places(job, "north", (0.5, 1.5))

    saved = two(another, RENAMED) if turned else two(RENAMED, another)
    assert saved.job.only == ("street side",)
    assert [thing.wall for thing in saved.job.compare.beside] == ["street side"] * 2
    assert saved.job.wall("street side").rails_x_m == (0.5, 1.5)
    assert saved.clashes == ()


def test_two_names_for_one_wall_are_told(two):
    saved = two(RENAMED, called("north", "gable"))
    assert [wall.name for wall in saved.job.walls] == ["gable", "south"]
    assert saved.told == (
        "wall 'north', name: gable here, street side in the file by then; saved as it is here",
    )


def test_walls_that_swapped_their_names_keep_their_edits(two):
    def swapped(job: mt.Job) -> mt.Job:
        job = with_wall_name(with_wall_name(job, "north", "?"), "south", "north")
        return with_wall_name(job, "?", "south")

    saved = two(EDITED, swapped)
    assert [(wall.name, wall.sockets) for wall in saved.job.walls] == [("south", 4), ("north", 0)]
    assert [wall.survey.source for wall in saved.job.walls] == ["surveys/north.csv", "surveys/south.csv"]


def test_a_wall_that_one_took_out_and_the_other_left_alone_is_out(two):
    saved = two(without("south"), EDITED)
    assert [(wall.name, wall.sockets) for wall in saved.job.walls] == [("north", 4)]
    assert saved.clashes == ()


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        (without("north"), EDITED,
         "wall 'north': changed here, and taken out of job.toml by now; a wall is in the job or it is not; "
         "go back to the saved job to go on without it, or save into a new folder to keep yours"),
        (EDITED, without("north"),
         "wall 'north': changed in job.toml by now, and taken out here; a wall is in the job or it is not; "
         "go back to the saved job to keep it, or take it out of the file too and save again"),
        (without("north"), RENAMED, "wall 'north': called 'street side' here, and taken out of job.toml"),
        (RENAMED, without("north"), "wall 'north': called 'street side' in job.toml by now, and taken out"),
        (called("north", "gable"), called("south", "gable"), "two walls called 'gable'"),
    ],
)  # fmt: skip
def test_what_would_be_nonsense_is_refused_in_words(folder, files, first, second, words):
    assert words in refused(folder, files, first, second)


def added(name: str, sockets: int = 0) -> Edit:
    def edit(job: mt.Job) -> mt.Job:
        entry = job.wall("south")
        wall = replace(entry.wall, name=name)
        survey = mt.Survey.none(wall)  # a sheet is one wall's
        return replace(job, walls=(*job.walls, replace(entry, wall=wall, survey=survey, sockets=sockets)))

    return edit


def test_walls_that_both_added_under_one_name_are_refused_unless_they_are_the_same(two, folder, files):
    assert [wall.name for wall in two(added("gable"), added("gable")).job.walls] == [
        "north",
        "south",
        "gable",
    ]
    assert "two walls called 'attic'" in refused(folder, files, added("attic"), added("attic", 2))
    assert "two walls called 'loft'" in refused(folder, files, added("loft"), called("north", "loft"))


def test_walls_that_both_added_both_come(two):
    saved = two(added("gable"), added("attic"))
    assert [wall.name for wall in saved.job.walls] == ["north", "south", "gable", "attic"]


def test_a_high_spot_corrected_here_and_another_taken_out_there(two):
    spots = (0.4, 1.2, -9.0), (1.6, 0.3, -7.0)
    two(lambda job: job, with_spots("north", *spots))
    saved = two(with_spots("north", spots[1]), with_spots("north", spots[0], (1.6, 0.3, -6.0)))
    survey = saved.job.wall("north").survey
    assert (survey.high_x_m.tolist(), survey.high_mm.tolist()) == ([1.6], [-6.0])
    assert saved.clashes == ()


def test_never_two_high_spots_at_one_place(two):
    saved = two(with_spots("north", (0.4, 1.2, -9.0), (1.0, 1.0, -5.0)),
                with_spots("north", (0.4, 1.2, -9.0), (1.0, 1.0, -4.0)))  # fmt: skip
    survey = saved.job.wall("north").survey
    assert (survey.high_x_m.tolist(), survey.high_mm.tolist()) == ([0.4, 1.0], [-9.0, -4.0])
    assert saved.told == (
        "wall 'north', high spot at x 1, z 1 m: x_m 1, z_m 1, off_line_mm 4 here, "
        "x_m 1, z_m 1, off_line_mm 5 in the file by then; saved as it is here",
    )


def test_what_was_read_off_the_old_plane_does_not_come_to_a_new_survey(folder, files):
    words = refused(folder, files, with_spots("north", (1.0, 1.0, -5.0)),
                    lambda job: with_reading(job, "north", 1.0, 2.0, -11.0))  # fmt: skip
    assert "another survey here, and another high_spot in job.toml by now" in words
    words = refused(folder, files, lambda job: with_reading(job, "south", 1.0, 2.0, -11.0),
                    with_spots("south", (1.0, 1.0, -5.0)))  # fmt: skip
    assert "another survey in job.toml by now, and another high_spot here" in words


def test_the_last_of_two_readings_added_is_saved_and_the_other_told(two):
    saved = two(lambda job: with_reading(job, "north", 1.0, 2.0, -11.0),
                lambda job: with_reading(job, "north", 1.5, 2.0, -12.0))  # fmt: skip
    assert saved.job.wall("north").survey.x_m.tolist().count(1.5) == 1
    assert len(saved.told) == 1
    assert "wall 'north', survey" in saved.told[0]


def test_a_renamed_room_whose_walls_went_with_it(folder, change):
    opened = mt.open_job(folder)
    text = (folder / "job.toml").read_text()
    (folder / "job.toml").write_text(text.replace('"kitchen"', '"scullery"'))
    saved = mt.save_job(EDITED(opened), folder, opened)
    assert [room.name for room in saved.job.rooms] == ["scullery"]
    assert {wall.room for wall in saved.job.walls} == {"scullery"}
    assert saved.job.wall("north").sockets == 4


def test_edits_that_no_job_can_hold_together_are_refused(folder, files):
    """A room taken out there is where a new wall stands here."""
    attic = mt.Room("attic")
    opened = mt.open_job(folder)
    mt.save_job(replace(opened, rooms=(*opened.rooms, attic)), folder, opened)

    def moved(job: mt.Job) -> mt.Job:
        return with_wall("north", room="attic")(job)

    words = refused(folder, files, lambda job: replace(job, rooms=job.rooms[:1]), moved)
    assert "what was changed here does not go with what was changed in the folder by now" in words
    assert "room 'attic'; a wall stands in a room of the job" in words


def test_a_price_taken_out_there_that_is_needed_here_is_refused(tmp_path, files):
    """The demo job; which can be priced with either edit alone."""
    folder = copy_of_demo(tmp_path)
    opened = mt.open_job(folder)

    def unskimmed(job: mt.Job) -> mt.Job:
        rows = tuple(row for row in job.prices.rows if row.item != "plasterer")
        return replace(job, prices=mt.PriceList(rows))

    words = refused(folder, files, unskimmed, lambda job: replace(job, waste_share=0.12))
    assert "does not go with" in words
    assert "'plasterer' has no price" in words
    assert mt.open_job(folder).waste_share == opened.waste_share


def test_a_wall_renamed_by_hand_in_one_place_only(folder, change):
    """The file alone is refused with the names to choose from; a save puts the other place right."""
    with (folder / "job.toml").open("a") as file:
        file.write('[[compare.beside]]\nname = "door frame"\nwall = "north"\nx_m = 0.2\n')
    opened = mt.open_job(folder)
    change("job.toml", 'name = "north"', 'name = "street side"  # renamed by hand')
    with pytest.raises(mt.TakeoffError, match="a wall that has a new name has it here too"):
        mt.open_job(folder)
    saved = mt.save_job(EDITED(opened), folder, opened)
    assert saved.job.compare.beside[0].wall == "street side"
    assert saved.job.wall("street side").sockets == 4
    assert "# renamed by hand" in (folder / "job.toml").read_text()
    assert mt.open_job(folder) == saved.job


def test_a_file_of_packs_that_was_taken_out_stays_out(tmp_path):
    folder = copy_of_demo(tmp_path)
    opened = mt.open_job(folder)
    (folder / "packs.csv").unlink()
    text = (folder / "job.toml").read_text()
    assert "[[buying.chosen]]" not in text  # nothing in the job needs a pack of the list
    saved = mt.save_job(replace(opened, waste_share=0.12), folder, opened)
    assert saved.job.packs.rows == ()
    assert not (folder / "packs.csv").exists()


def test_a_price_and_its_unit_changed_on_two_sides(two, folder, change):
    def dearer(job: mt.Job) -> mt.Job:
        return replace(job, prices=job.prices.with_price("rail", Decimal("1.00")))

    def by_the_length(job: mt.Job) -> mt.Job:
        rows = (replace(row, unit="piece", price=Decimal("2.70")) if row.item == "rail" else row
                for row in job.prices.rows)  # fmt: skip
        return replace(job, prices=mt.PriceList(tuple(rows)))

    saved = two(by_the_length, dearer)
    row = saved.job.prices.of("rail")
    assert (row.unit, row.price) == ("m", Decimal("1.00"))
    assert saved.told == (
        "prices.csv 'rail': unit m, price 1.00 here, unit piece, price 2.70 in the file by then; "
        "saved as it is here",
    )


@pytest.mark.parametrize("known", [True, False])
def test_readings_that_the_survey_file_does_not_have_get_a_file_of_their_own(folder, known):
    opened = mt.open_job(folder)
    entry = opened.walls[0]
    deeper = replace(entry.survey, proud_mm=entry.survey.proud_mm - 1.0)
    job = replace(opened, walls=(replace(entry, survey=deeper), opened.walls[1]))
    saved = mt.save_job(job, folder, opened if known else None)
    assert saved.job.wall("north").survey.source == "surveys/north-2.csv"
    assert saved.job.wall("north").survey.proud_mm.max() == deeper.proud_mm.max()
    assert mt.open_job(folder) == saved.job


def test_walls_whose_names_make_one_file_name_get_two_files(tmp_path, folder):
    entry = mt.open_job(folder).walls[0]
    walls = []
    for name, higher in (("A b", 0.0), ("a-b", 3.0)):
        wall = replace(entry.wall, name=name)
        survey = replace(entry.survey, wall=wall, source="", proud_mm=entry.survey.proud_mm + higher)
        walls.append(replace(entry, wall=wall, survey=survey))
    saved = mt.save_job(replace(mt.open_job(folder), walls=tuple(walls)), tmp_path / "new").job
    assert [wall.survey.source for wall in saved.walls] == ["surveys/a-b.csv", "surveys/a-b-2.csv"]
    assert saved.walls[1].survey.proud_mm.max() - saved.walls[0].survey.proud_mm.max() == 3.0


def test_a_job_that_says_nothing_of_packs_leaves_the_list(tmp_path, files):
    folder = copy_of_demo(tmp_path)
    before = files(folder)["packs.csv"]
    job = mt.open_job(folder)
    saved = mt.save_job(replace(job, packs=mt.PackList(), waste_share=0.12), folder)
    assert files(folder)["packs.csv"] == before
    assert saved.job.packs == job.packs
    mt.save_job(replace(job, packs=mt.PackList(), waste_share=0.12), folder, job)
    assert mt.open_job(folder).packs.rows == ()
