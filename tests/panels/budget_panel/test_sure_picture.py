"""How sure the figures are, as a picture on the budget panel: its words are the figures, no name is run."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import numpy as np
import pytest
from demo import demo
from hand import job_of
from option_jobs import PATCH_ONLY, STRAIGHT
from taken_apart import of_walls

import mytakeoff as mt
from mytakeoff.audience import CLIENT
from mytakeoff.formats.formats import HOUSE
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels import budget
from mytakeoff.panels.budget_panel.sure_picture import picture
from mytakeoff.panels.parts import range_words
from mytakeoff.ranges.held import FLOATED, STRAIGHTENED
from mytakeoff.ranges.job_ranges import JobRanges, job_ranges


@pytest.fixture(scope="module")
def sure() -> JobRanges:
    return job_ranges(mt.evaluate(demo()))


def words(html: str) -> list[str]:
    """What a screen reader comes to, drawings left out."""
    html = re.sub(r"<svg.*?</svg>", "", html, flags=re.DOTALL)
    return [unescape(each) for each in re.split(r"<[^>]*>", html) if each.strip()]


def test_each_wall_all_walls_and_the_price_have_their_range_and_what_is_priced_in_words(sure):
    said = words(picture(sure))
    for wall in sure.walls:
        at = said.index(wall.name)
        likely = range_words.band(wall.litres, "l")
        whole = sure.result.wall(wall.name)
        priced = whole.build_up.volume_l + whole.allowance_l
        assert said[at + 1] == f"likely {likely}, priced {priced:.0f}"
    assert said[said.index("all walls") + 1] == (
        f"likely {range_words.band(sure.litres, 'l')}, priced {sure.result.litres:.0f}"
    )
    total = HOUSE.number(sure.result.cost.total)
    assert said[said.index("whole job") + 1].endswith(f"priced {total} EUR")


def test_bags_are_told_as_chances_with_what_is_ordered_marked(sure):
    said = words(picture(sure))
    for mix in sure.mixes:
        enough = range_words.chance(mix.enough_share, word="of")
        lasts = range_words.chance(1.0 - mix.order.short_share, word="of")  # as the sentences say
        order = f"{range_words.order(mix)} ordered: enough in {enough}; mixed as priced, {lasts}"
        at = said.index(order)
        told = said[at + 1 : at + 1 + 2 * len(mix.chances)]
        ordered = [name for name in told[::2] if name.endswith(", ordered")]
        assert ordered == [f"{mix.order.bags}, ordered"]
        assert told[1::2] == [range_words.chance(each.share) for each in mix.chances]
        assert mix.enough_share == pytest.approx(
            sum(each.share for each in mix.chances if each.last <= mix.order.bags)
        )


def test_what_the_ranges_come_of_is_told_as_it_is_in_the_sentences(sure):
    said = words(picture(sure))
    for title, shares in (("litres", sure.litre_shares), ("price", sure.total_shares)):
        at = said.index(f"What the range of the {title} comes of")
        for name, share in range_words.told_shares(shares):
            at = said.index(name, at)
            assert said[at + 1] == f"{100 * share:.0f} %"


@pytest.mark.parametrize(("way", "held"), [(None, FLOATED), (STRAIGHT, STRAIGHTENED)])
def test_the_worst_that_was_measured_is_said_for_the_way_that_the_walls_are_treated(way, held):
    said = " ".join(words(picture(job_ranges(mt.evaluate(replace(demo(), treatment=way))))))
    assert f"were {held.way}" in said
    assert f"in {held.of_100} of 100 at worst" in said
    other = STRAIGHTENED if held is FLOATED else FLOATED
    assert f"were {other.way}" not in said


def test_a_job_that_leaves_nothing_open_says_so_without_a_claim_of_how_often_it_held():
    sure = job_ranges(mt.evaluate(replace(demo(), treatment=PATCH_ONLY)))
    assert "at worst" not in picture(sure)
    assert range_words.worth_reading(sure) == ""


def test_a_name_of_the_user_is_shown_as_it_is():
    job = demo()
    first = job.walls[0]
    named = replace(first.wall, name="<b>A</b>")
    walls = (replace(first, wall=named, survey=replace(first.survey, wall=named)), *job.walls[1:])
    other = picture(job_ranges(mt.evaluate(of_walls(job, walls, compare=replace(job.compare, beside=())))))
    assert "<b>" not in other
    assert "<b>A</b>" in words(other)


def test_sentences_fold_away_behind_the_picture_and_a_client_sees_neither(sure):
    panel = budget(demo())
    panel.sure.work_out()
    assert panel.sure.picture.value == picture(panel.sure.sure)
    assert words(panel.sure.text.value) == list(range_words.behind(panel.sure.sure))
    assert panel.sure.sentences.head.opened is False
    assert panel.sure.text in panel.sure.sentences.children
    panel.controls["view"].value = CLIENT
    assert panel.sure.widget.layout.display == "none"
    assert panel.sure.line not in panel.widget.children


def test_what_a_reading_saves_is_said_with_its_place_and_when_to_stop(sure):
    best, price = sure.best_readings, range_words.reading_price(sure.result.job)
    assert best.each.total < price  # the demo's walls were read closely
    assert range_words.worth_reading(sure) == (
        f"A further reading saves {best.each.total} EUR on average at most. That is no more than the 2 "
        f"minutes of a plasterer that one takes ({price} EUR, a marked default): stop reading."
    )
    table = words(range_words.places(sure.walls[0], HOUSE))
    assert "saves about" in table
    assert table[-1] == HOUSE.money(sure.walls[0].savings[-1].total)


def test_a_reading_that_is_worth_its_time_says_what_it_saves_and_in_what():
    """A large wall read every 1.4 m: nobody knows its litres."""
    wall, rng = mt.Wall("gable", 7.0, 2.8), np.random.default_rng(1)
    x, z = (each.ravel() for each in np.meshgrid(np.arange(0.1, 7, 1.4), np.arange(0.1, 2.8, 1.3)))
    survey = mt.Survey.from_readings(wall, x, z, np.round(rng.normal(0, 9, x.size)))
    sure = job_ranges(mt.evaluate(job_of(JobWall(wall, "room", survey, "brick"))))
    best = sure.best_readings
    said = range_words.worth_reading(sure)
    assert best.each.total > range_words.reading_price(sure.result.job)
    assert re.match(r"M1( to M\d)? on gable saves? about ", said)
    assert f"{best.each.priced} in work that is priced and not needed" in said
    assert "That is more than the 2 minutes" in said
