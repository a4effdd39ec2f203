"""The demo job all the way round: read, priced, finished, read again, touched up, settled, learnt from."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from demo import coarse_demo, demo, demo_result
from finished_demo import FIXED, MISSED, SANK, SURVEYS, fixed_again, sunk, survey_text, touched_up
from scipy.interpolate import RegularGridInterpolator

from mytakeoff.acceptance.judge_finished import LEAN, JudgedWall, judge_finished
from mytakeoff.acceptance.promised import Promised, promised_by
from mytakeoff.acceptance.rounds import snag_book
from mytakeoff.acceptance.snags import SnagList
from mytakeoff.account.account import Account
from mytakeoff.account.measured_again import measure_again, with_measured
from mytakeoff.account.settle import settle_up
from mytakeoff.account.words import account_words, cause_parts
from mytakeoff.change.change import Change
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Finished
from mytakeoff.flatness.judging import HOLLOW
from mytakeoff.io.finished.after_surveys import read_after
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished
from mytakeoff.io.finished.finished_jobs import learn_from
from mytakeoff.job.edits import mixes_of
from mytakeoff.labour.hours import HALF_DAYS
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.learning.learn import Lessons
from mytakeoff.learning.offers import learnt_offers, with_learnt
from mytakeoff.learning.words import offer_words
from mytakeoff.measure.line import LABOUR
from mytakeoff.quotation.fingerprint import fingerprint_of
from mytakeoff.resources import demo_folder
from mytakeoff.survey.survey import Survey

PARTY = "party wall"
BACKING = "light gypsum backing"
CENT = Decimal("0.01")
OFFERED = (f"mix density: {BACKING}", "waste")


@pytest.fixture(scope="module")
def finished() -> Finished:
    """What the demo's file says."""
    return open_finished(demo_folder())


@pytest.fixture(scope="module")
def party(finished) -> FinishedWall:
    return next(wall for wall in finished.walls if wall.name == PARTY)


@pytest.fixture(scope="module")
def surveys(finished) -> dict[str, Survey]:
    """Of the finished party wall, by their files."""
    return read_after(demo(), finished, demo_folder())[PARTY]


@pytest.fixture(scope="module")
def laid(finished, surveys) -> Change:
    """From the first survey to that of the finished face."""
    (again,) = measure_again(demo(), finished, {PARTY: surveys})
    assert again.laid is not None
    return again.laid


@pytest.fixture(scope="module")
def account(finished, surveys) -> Account:
    measured = with_measured(finished, measure_again(demo(), finished, {PARTY: surveys}))
    return settle_up(demo(), measured)


@pytest.fixture(scope="module")
def held() -> Promised:
    return promised_by(demo(), demo_result().wall(PARTY))


@pytest.fixture(scope="module")
def judged(held, party, surveys) -> list[JudgedWall]:
    """The wall as each round's survey shows it."""
    return [judge_finished(held, surveys[each.survey]) for each in party.rounds]


@pytest.fixture(scope="module")
def books(held, party, surveys) -> list[SnagList]:
    """The snags after the first round, and after both."""
    return [book(held, party.rounds[:last], surveys) for last in (1, 2)]


def book(held: Promised, rounds: Sequence[CheckRound], surveys: dict[str, Survey]) -> SnagList:
    """On cells of 10 cm: what is filled takes a while to work out on finer ones."""
    return snag_book(held, rounds, surveys, rates=demo().rates, cell_m=0.1)


@pytest.fixture(scope="module")
def lessons(tmp_path_factory) -> Lessons:
    """Of a folder in which the demo job lies, as it comes with the package."""
    place = tmp_path_factory.mktemp("jobs")
    shutil.copytree(demo_folder(), place / "hollow-quay")
    return learn_from(place)


@pytest.fixture(scope="module")
def written() -> dict[str, Any]:
    """The file as it is written, read by nobody of ours."""
    return tomllib.loads((demo_folder() / FINISHED_FILE).read_text("utf-8"), parse_float=Decimal)


# -- read and priced -----------------------------------------------------------------------------------


def test_the_surveys_are_those_of_the_invented_face(party):
    for name, how in SURVEYS.items():
        assert (demo_folder() / name).read_text("utf-8") == survey_text(*how), name
    places = {each.name: (each.x_m, each.z_m, each.proud_mm) for each in demo().wall(PARTY).fixed_places}
    assert places == FIXED
    assert {each.name: each.after_mm for each in party.fixed_again} == fixed_again()


def test_the_invented_face_is_on_the_plane_that_the_job_asks_for():
    plane = demo_result().wall(PARTY).plane
    x, z = np.meshgrid(np.linspace(0.0, 3.9, 40), np.linspace(0.0, 2.6, 27))
    off = sunk(x, z) - SANK(x, z) - MISSED(x, z) - plane.a_mm - plane.b_mm_per_m * x - plane.c_mm_per_m * z
    assert np.abs(off).max() < 1.0


def test_nothing_of_it_is_in_the_price():
    result = demo_result()
    assert result.cost.total == Decimal("6125.98")
    assert (result.bags, round(result.dry_kg), round(result.litres)) == (27, 655, 615)
    bare = replace(
        demo(), state="draft", walls=tuple(replace(wall, fixed_places=()) for wall in demo().walls)
    )
    assert fingerprint_of(bare) == fingerprint_of(demo())


# -- read again ----------------------------------------------------------------------------------------


def put_on_l() -> float:
    """What lies between the face and the wall, straight from reading to reading, loose plaster off [l]."""
    entry, step_m = demo().wall(PARTY), 0.02
    fallen = next(area for area in entry.loose if area.fallen)
    loose_m2 = max(area.width_m * area.height_m for area in entry.loose)
    fallen_m2 = fallen.width_m * fallen.height_m
    off_m2 = fallen_m2 + (loose_m2 - fallen_m2) * (1.0 + demo().loose_growth_share)
    x, z = (np.arange(step_m / 2, size, step_m) for size in (entry.wall.width_m, entry.wall.height_m))
    at = np.meshgrid(x, z)
    above = sunk(*at) - old_plaster(at[0], at[1])
    return float(above.sum() * step_m**2 + fallen.depth_mm * off_m2)


def old_plaster(x_m: np.ndarray, z_m: np.ndarray) -> np.ndarray:
    """The wall as it was before any of it fell, along its rows from one reading to the next [mm]."""
    lines = (demo_folder() / "surveys/party-wall.csv").read_text("utf-8").splitlines()
    across = np.array([float(cell) for cell in lines[0].split(",")[1:]])
    rows = [[float(cell or "nan") for cell in line.split(",")] for line in lines[1:]]
    up, off_line = np.array(rows)[:, 0], np.array(rows)[:, 1:]
    for nth, row in enumerate(off_line):
        known = np.isfinite(row) & (row < 69.0)  # beyond that it is where plaster has fallen
        off_line[nth] = np.interp(across, across[known], row[known])
    carried = RegularGridInterpolator(
        (up[::-1], across), -off_line[::-1], bounds_error=False, fill_value=None
    )
    return np.asarray(carried((z_m, x_m)))


def test_the_litres_put_on_are_found_within_their_uncertainty(laid):
    assert laid.volume_l is not None
    assert abs(laid.volume_l - put_on_l()) < laid.uncertainty_l
    assert laid.uncertainty_l < 0.05 * laid.volume_l
    priced = demo_result().wall(PARTY)
    assert abs(laid.volume_l - priced.build_up.volume_l) < laid.uncertainty_l
    assert laid.moved == ()


# -- judged and touched up -----------------------------------------------------------------------------


def test_the_first_round_fails_by_one_rule_and_passes_the_other(judged, surveys, party):
    first = judged[0]
    assert first.outcome == "fail"
    assert {each.what: each.outcome for each in first.judged} == {HOLLOW: "fail", LEAN: "pass"}
    gap, read = first.judged[0], surveys[party.rounds[0].survey]
    assert np.hypot(gap.x_m - SANK.x_m, gap.z_m - SANK.z_m) < 0.1
    row = read.z_m == 1.3
    x, proud = read.x_m[row], read.proud_mm[row]
    ends = [int(np.argmin(np.abs(x - at))) for at in (1.35, 2.55)]  # beside the hollow, 1.2 m apart
    under = np.interp(x, x[ends], proud[ends]) - proud
    assert gap.measured == pytest.approx(under[ends[0] : ends[1]].max(), abs=gap.uncertainty)
    assert gap.measured == pytest.approx(SANK.deep_mm, abs=2 * gap.uncertainty)
    lean = first.judged[1]
    assert lean.margin > 4 * lean.uncertainty


def test_its_snags_are_listed_by_the_readings_and_by_the_edge(books):
    sunken, hidden = books[0].snags
    assert (sunken.number, sunken.kind, sunken.seen_by) == (1, "hollow", ("readings", "edge"))
    assert (hidden.number, hidden.kind, hidden.seen_by) == (2, "hollow", ("edge",))
    for snag, dish in ((sunken, SANK), (hidden, MISSED)):
        assert np.hypot(snag.x_m - dish.x_m, snag.z_m - dish.z_m) < 0.1
        assert snag.away_m(dish.x_m, dish.z_m) == 0.0
        assert 0.5 * dish.deep_mm < snag.depth_mm < dish.deep_mm  # the gap that is left may be half the limit
        assert 0.4 * dish.litres < snag.litres < dish.litres
        assert snag.minutes > 60 * demo().rates.patch_h_each
    assert books[0].litres == pytest.approx(sunken.litres + hidden.litres)
    assert {snag.state for snag in books[0].snags} == {"open"}


def test_the_second_round_closes_both_and_the_wall_passes(judged, books, party):
    found, again = (each.on for each in party.rounds)
    for snag in books[1].snags:
        assert snag.state == "checked"
        assert [(event.on, event.what) for event in snag.history] == [
            (found, "found"), (again, "done"), (again, "checked"),
        ]  # fmt: skip
    assert books[1].to_do == ()
    last = judged[1]
    assert {each.what: each.outcome for each in last.judged} == {HOLLOW: "pass", LEAN: "pass"}
    assert last.outcome == "pass"


def test_without_the_second_edge_the_hidden_hollow_stays_open(held, party, surveys):
    first, second = party.rounds
    after = book(held, [first, replace(second, marks=())], surveys)
    assert [snag.state for snag in after.snags] == ["checked", "done"]


def test_the_touching_up_is_what_the_list_asks_for_at_least(books):
    step_m = 0.02
    x, z = np.meshgrid(np.arange(step_m / 2, 3.9, step_m), np.arange(step_m / 2, 2.6, step_m))
    filled_l = float((touched_up(x, z) - sunk(x, z)).sum() * step_m**2)
    assert filled_l > books[0].litres


# -- settled -------------------------------------------------------------------------------------------


def rounded(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)


def spent_by_hand(written: dict[str, Any]) -> Iterator[tuple[tuple[bool, str], Decimal]]:
    """What each line came to by the file and the prices alone, by whether it is labour and its name [EUR]."""
    lines = {line.priced_as: line for line in demo_result().cost.lines}
    kept = Decimal(str(demo().buying.restocking_share))
    paid: dict[str, Decimal] = {}
    for row in written["delivery"]:
        price = row.get("price", lines[row["item"]].price)
        back = row.get("brought_back", 0)
        paid[row["item"]] = paid.get(row["item"], Decimal(0)) + price * (row["delivered"] - back * (1 - kept))
    hours: dict[str, Decimal] = {}
    for row in written["hours"]:
        hand = lines["labourer" if row["task"] == "labourer" else "plasterer"]
        hours[row["task"]] = hours.get(row["task"], Decimal(0)) + row["hours"] * hand.price
    for labour, amounts in ((False, paid), (True, hours)):
        yield from (((labour, name), rounded(amount)) for name, amount in amounts.items())
    trips = sum(
        (row["hours"] * lines["plasterer"].price + row["amount"] for row in written["trip"]), Decimal(0)
    )
    yield (True, "trips that were not planned"), rounded(trips)


def test_every_line_is_what_a_hand_adds_up(account, written):
    lines = {(line.group == LABOUR, line.name): line for line in account.lines}
    assert len(lines) == len(account.lines)
    by_hand = dict(spent_by_hand(written))
    assert {name: lines[name].spent for name in by_hand} == by_hand
    others = [line for name, line in lines.items() if name not in by_hand]
    assert [line.name for line in others if line.spent != line.priced] == [HALF_DAYS]
    assert account.spent == sum(by_hand.values()) + sum(line.spent for line in others)
    variations = sum(row["amount"] for row in written["variation"])
    assert account.left == account.agreed_price + variations - account.spent


def test_each_cause_is_told_and_all_add_up_to_the_cent(account):
    parts = cause_parts(account)
    assert all(part.part != 0 for part in parts)
    for sums in ([part.part for part in parts], [part.told for part in parts]):
        assert sum(sums) == account.difference
        assert all(amount == rounded(amount) for amount in sums)
    (difference,) = [said for said in account_words(account) if said.startswith("What made the difference")]
    assert all(part.cause in difference for part in parts)
    assert f"{account.difference} EUR more" in (demo_folder() / "README.md").read_text("utf-8")


# -- learnt from ---------------------------------------------------------------------------------------


def test_two_defaults_move_for_the_next_job_and_no_others(lessons):
    assert lessons.jobs == ("hollow-quay",)
    assert lessons.left_out == ()
    job = replace(coarse_demo(), folder="", state="draft", title="the next one")
    offers = {offer.name: offer for offer in learnt_offers(job, lessons)}
    assert tuple(offers) == OFFERED
    for name in OFFERED:
        offer = offers[name]
        assert offer.becomes > 1.02 * offer.was
        assert offer.name in offer_words(offer, job.formats)
        assert "over 1 job" in offer_words(offer, job.formats)
    stays = [each for each in lessons.learnt if each.name not in OFFERED]
    assert len(stays) > 10
    assert not any(each.is_offered for each in stays)


def test_what_it_says_is_what_a_hand_reckons(lessons, laid, written):
    """Bags that stayed on the walls over the litres there, and what was wasted of them."""
    rows = [row for row in written["delivery"] if row["item"] == BACKING]
    wasted = float(sum(row.get("wasted", 0) for row in rows))
    stayed = float(sum(row["delivered"] - row.get("brought_back", 0) for row in rows)) - wasted
    (waste,) = lessons.named("waste").evidence
    assert waste.value == pytest.approx(wasted / stayed)
    (density,) = lessons.named(OFFERED[0]).evidence
    means = {wall["name"]: float(wall["mean_mm"]) for wall in written["wall"] if "mean_mm" in wall}
    means[PARTY] = laid.mean_mm
    litres = 0.0
    for name, mean_mm in means.items():  # the skim is as thick as it was priced, the dubbing takes its share
        wall = demo_result().wall(name)
        litres += mean_mm * wall.build_up.area_m2
        litres -= sum(each.volume_l for each in wall.layers if each.mix.name != BACKING)
        litres -= sum(each.litres for each in wall.allowance if each.mix.name != BACKING)
    assert density.value == pytest.approx(25.0 * stayed / litres, rel=0.05)


def test_what_is_accepted_moves_just_that(lessons):
    job = replace(coarse_demo(), folder="", state="draft", title="the next one")
    after = with_learnt(job, lessons, OFFERED)
    density = next(mix.density_kg_per_l for mix in mixes_of(after) if mix.name == BACKING)
    assert density == pytest.approx(lessons.named(OFFERED[0]).value, abs=1e-4)
    assert after.waste_share == pytest.approx(lessons.named("waste").value, abs=1e-4)
    moved = {name for name in vars(job) if getattr(job, name) != getattr(after, name)}
    assert moved <= {"mixes", "system", "walls", "waste_share", "ranges"}
    assert learnt_offers(after, lessons) == ()
    assert with_learnt(job, lessons, ()) == job


def test_a_new_demo_job_brings_all_of_it(finished, surveys, tmp_path):
    folder = new_job_folder(tmp_path / "flat", demo=True)
    assert open_finished(folder) == finished
    assert read_after(demo(), finished, folder)[PARTY] == surveys


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    return Path(shutil.copytree(demo_folder(), tmp_path / "flat"))


def test_without_its_fixed_places_the_survey_says_nothing_of_litres(copied):
    path = copied / FINISHED_FILE
    text = path.read_text("utf-8")
    start, end = text.index("[[wall.fixed_again]]"), text.index("[[wall.round]]")
    path.write_text(text[:start] + text[end:], "utf-8")
    finished = open_finished(copied)
    (again,) = measure_again(demo(), finished, read_after(demo(), finished, copied))
    assert again.laid is not None
    assert again.laid.volume_l is None
