"""One figure, one meaning: every place that shows a figure of a job shows that of its headline."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from decimal import Decimal

import pytest
from demo import demo
from effort import examples
from example_job import example_folder
from hand import job_of
from hypothesis import given
from hypothesis import strategies as st
from rough_walls import rough_wall

import mytakeoff as mt
from mytakeoff.audience import CLIENT, ESTIMATOR, Audience
from mytakeoff.cost.cost import TAX
from mytakeoff.figures.in_words import dated
from mytakeoff.job import catalogue
from mytakeoff.job.choices import Extra
from mytakeoff.job.treatments import FLOAT_LEANING, FLOAT_PLUMB
from mytakeoff.options.table import options_frame
from mytakeoff.panels.days_panel import words as days_words
from mytakeoff.panels.options_panel import words as options_words
from mytakeoff.panels.parts import range_words, words
from mytakeoff.panels.setting_panel import words as setting_words
from mytakeoff.ranges.range_table import range_frame

FLOATED = {
    "plumb": mt.Treatment("as priced", FLOAT_PLUMB),
    "free": mt.Treatment("as priced", FLOAT_LEANING),
    "room": mt.Treatment("as priced", FLOAT_PLUMB, in_room=True),
}


def check_every_place(job: mt.Job) -> None:
    """Compare each place with the headline, itself recomputed where that takes a few lines."""
    result = mt.evaluate(job)
    head = mt.headline(result)
    check_the_table(result, head)
    check_the_order(result, head)
    check_the_days(result, head)
    check_the_words(result, head)
    check_an_option(job, head)
    assert head.litres == pytest.approx(sum(w.build_up.volume_l + w.allowance_l for w in result.walls))
    assert head.measured_l == pytest.approx(sum(w.build_up.volume_l for w in result.walls))


def check_the_table(result: mt.Result, head: mt.Headline) -> None:
    for audience in (ESTIMATOR, CLIENT):
        text = result.cost.to_frame(audience).to_csv(index=False)
        rows = list(csv.DictReader(io.StringIO(text)))
        assert sum(Decimal(row["amount"]) for row in rows) == head.total
        assert {row["shown_to"] for row in rows} == {audience}
    mixes = {need.mix.name for need in result.needs if need.recipe is None}
    bags = [line.quantity for line in result.cost.lines if line.priced_as in mixes]
    assert sum(bags, Decimal(0)) == head.bags
    hours = sum((x.quantity for x in result.cost.lines if x.priced_as == catalogue.PLASTERER), Decimal(0))
    rates = result.job.rates
    assert float(hours) / (rates.day_h * rates.crew) == pytest.approx(head.work_days)


def check_the_order(result: mt.Result, head: mt.Headline) -> None:
    order = mt.order_as_priced(result)
    mixes = {need.mix.name for need in result.needs if need.recipe is None}
    rows = [row for row in order.to_frame().to_dict("records") if row["item"] in mixes]
    assert sum(row["packs"] for row in rows) == head.bags
    needed = sum(float(row["needed"]) for row in rows if row["needed_unit"] == "kg")
    assert needed <= head.dry_kg + 0.01  # bag slack comes out of the waste


def check_the_days(result: mt.Result, head: mt.Headline) -> None:
    programme = mt.work_programme(result)
    assert len({stint.day for stint in programme.stints}) == head.site_days == programme.days_on_site
    assert programme.visits == head.visits
    assert programme.paint_from == head.paint_from
    assert programme.in_words().startswith(result.job.formats.days(head.work_days))
    clean_up = [line for line in result.cost.lines if "clean up" in line.item]
    assert all(line.basis.startswith(f"{head.site_days} day") for line in clean_up)


def check_the_words(result: mt.Result, head: mt.Headline) -> None:
    formats = result.job.formats
    number = formats.number
    told = str(result), range_words.line(mt.job_ranges(result)), " · ".join(words.facts(result).values())
    assert formats.amount(head.total) in told[0]
    assert all(f"{number(head.litres)} l" in text for text in told)
    assert all(f"{head.bags} bags" in text for text in (told[0], told[2]))
    assert all(f"{number(head.dry_kg)} kg" in text for text in (told[0], told[2]))
    assert all(f"mean {number(head.mean_mm, 1)} mm" in text for text in (told[0], told[2]))
    assert mt.work_programme(result).in_words() in told[2]
    whole = formats.amount(head.total, 0)
    assert words.facts(result)["total"] == words.facts(result, CLIENT)["total"] == whole
    order = mt.order_as_priced(result)
    said = days_words.headline(mt.work_programme(result), order, "", ESTIMATOR)
    assert mt.work_programme(result).in_words().replace("'", "&#x27;") in said
    assert whole in setting_words.headline(mt.set_out(result), result.cost.total)
    rows = {row["figure"]: row for row in range_frame(mt.job_ranges(result)).to_dict("records")}
    band = rows["plaster, all walls"]
    assert float(band["low_10"]) == pytest.approx(head.litres_10, abs=0.06)
    assert float(band["high_90"]) == pytest.approx(head.litres_90, abs=0.06)


def check_an_option(job: mt.Job, head: mt.Headline) -> None:
    """The way that the job is treated in is an option with the figures of the job."""
    option = mt.option_result(job, job.treatment or FLOATED[job.plane.kind])
    [row] = options_frame([option]).to_dict("records")
    assert (row["price"], row["bags"], row["days"]) == (head.total, head.bags, head.work_days)
    assert row["litres"] == pytest.approx(head.litres, abs=0.01)
    said = " ".join(options_words.days_lines(option, option.headline, ESTIMATOR))
    assert f"on {head.site_days} day" in said
    assert f"in {head.visits} visit" in said
    told = words.facts(option.result, CLIENT)
    assert options_words.days_lines(option, dated(option.result), CLIENT) == [*told.values()][1:]


@pytest.mark.parametrize("audience", [ESTIMATOR, CLIENT])
def test_of_a_job_that_does_not_say_when_it_begins_no_year_is_told(audience: Audience) -> None:
    unsaid = mt.evaluate(replace(demo(), calendar=replace(demo().calendar, start=None)))
    assert re.findall(r"\b20\d\d\b", " ".join(words.facts(unsaid, audience).values())) == []


def test_the_demo() -> None:
    check_every_place(demo())


def test_the_demo_in_every_way() -> None:
    for way in mt.options_of(demo())[1:]:
        check_every_place(mt.carry(demo(), replace(way, take_down=False)))


def test_the_starting_job() -> None:
    check_every_place(mt.open_job(example_folder()))


@given(
    st.integers(0, 10_000),
    st.sampled_from([6.0, 8.0, 12.0]),
    st.sampled_from([0.0, 0.05, 0.1375, 0.2]),
    st.sampled_from([0.6, 0.8, 0.95]),
)
@examples(50)
def test_random_jobs(seed: int, least_mm: float, waste_share: float, confidence: float) -> None:
    job = job_of(
        rough_wall("A", 1.2, seed),
        plane=mt.PlaneChoice(least_mm=least_mm),
        waste_share=waste_share,
        sureness=mt.Confidence(confidence),
        cell_m=0.05,
        extras=(Extra(catalogue.SACKS, 3.0),) if seed % 2 else (),
    )
    check_every_place(job)


def test_tax_is_the_only_thing_that_a_client_sees_added() -> None:
    cost = mt.evaluate(demo()).cost
    client = cost.to_frame(CLIENT)
    taxed = [amount for item, amount in zip(client["item"], client["amount"], strict=True) if TAX in item]
    assert taxed == [cost.total - cost.before_tax]


def test_no_sentence_of_the_demo_ends_in_the_middle_of_a_number() -> None:
    """A figure that was formatted twice or not at all shows as many decimals."""
    result = mt.evaluate(demo())
    said = [str(result), *words.facts(result).values(), range_words.line(mt.job_ranges(result))]
    assert not [text for text in said if re.search(r"\d\.\d{4,}", text)]
