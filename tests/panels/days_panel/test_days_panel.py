"""The panel for buying and days, driven as the front end drives it; every figure shown is the core's own."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import icalendar
import pytest
from csv_back import read_back
from demo import demo_in
from example_job import example_folder

import mytakeoff as mt
from mytakeoff.buying.order import cheapest_order, order_as_priced
from mytakeoff.formats.formats import HOUSE, counted, say
from mytakeoff.panels import DaysPanel, buying_and_days
from mytakeoff.programme.programme import work_programme

WALLS = ("breast front", "breast left cheek")


@pytest.fixture
def panel(folder: Path) -> DaysPanel:
    """Two small walls of the demo job: the whole of it is tested in the core and in the browser."""
    return buying_and_days(replace(demo_in(folder), only=WALLS))


def shows_its_result(panel: DaysPanel) -> None:
    """Every figure on the panel is that of the store's own result."""
    made, bought = work_programme(panel.store.result), order_as_priced(panel.store.result)
    assert f"Paint from {HOUSE.day(made.paint_date)}" in panel.headline.value
    assert str(made).replace("'", "&#x27;") in panel.headline.value
    assert f"{say(bought.total, 2)} EUR before tax" in panel.headline.value
    for wall in made.walls:
        assert f"<td>{HOUSE.day(wall.paint)}</td>" in panel.walls.value
    for day in made.days:
        assert f"{day.on:%a} {HOUSE.day(day.on)}" in panel.days.value
    for each in bought.basket.bought:
        assert f"{each.packs} × " in panel.order_list.value
        assert say(each.amount, 2) in panel.order_list.value
    for charge in bought.basket.charges:
        assert f"<strong>{say(charge.total, 2)}</strong>" in panel.order_list.value
    assert f"{say(bought.weight_kg)} kg" in panel.carrying.value
    assert panel.bars.value.count("<svg") == panel.narrow_bars.value.count("<svg") == 1


def test_it_opens_with_the_figures_of_its_result(panel):
    assert panel.problem.value == ""
    shows_its_result(panel)


def test_a_job_that_says_no_start_begins_on_the_next_working_day_and_is_bought_without_packs():
    job = replace(mt.open_job(example_folder()), packs=mt.PackList())
    assert job.calendar.start is None
    panel = buying_and_days(job, date(2027, 2, 6))  # a Saturday
    assert panel.controls["start"].value == panel.programme.first_day == date(2027, 2, 8)
    assert "by the price list" in panel.order_list.value
    shows_its_result(panel)


def test_the_first_day_stands_beside_the_picker_as_the_job_writes_days():
    job = replace(mt.open_job(example_folder()), locale="de_AT")
    control = buying_and_days(job, date(2027, 1, 2)).controls["start"]
    assert control.description == "First day on site: Mo. 4 Jän. 2027"


def test_a_day_that_nobody_works_is_put_off_and_said(panel):
    panel.controls["start"].value = date(2027, 3, 27)  # a Saturday, and the Monday is a holiday of the job
    assert panel.controls["start"].value == panel.programme.first_day == date(2027, 3, 30)
    assert "Nobody works on 27 Mar 2027: the work begins on 30 Mar 2027." in panel.said.value


SECRETS = ("gauging", "flue lime", "litre", " kg", " l of water", "dry_kg", "plasterer_h")


def test_the_client_sees_days_and_paint_and_no_hours_mixes_or_orders(panel, tmp_path):
    panel.controls["view"].value = "client"
    made = panel.programme
    assert "For the client: " in panel.headline.value
    assert f">{made.in_words('client')}<" in panel.headline.value
    assert f">{counted(made.days_on_site, 'day')} on site, in " in panel.headline.value
    assert "order" not in panel.headline.value
    assert "work" not in panel.headline.value  # days' work is hours in other words
    hidden = (panel.order_list, panel.over, panel.carrying, panel.buttons["order"])
    assert all(part.layout.display == "none" for part in hidden)
    path = panel.write_programme(tmp_path)
    ics = panel.write_calendar(tmp_path)
    png, svg = panel.write_chart(tmp_path)
    assert [each.name for each in (path, ics, png, svg)] == [
        "programme-client.csv", "programme-client.ics", "programme-client.png", "programme-client.svg"
    ]  # fmt: skip
    rows = read_back(path)
    assert rows.columns.tolist() == ["day", "room", "wall", "what", "waits_until", "waits_for", "shown_to"]
    assert set(rows["shown_to"]) == {"client"}
    assert {day for day, what in zip(rows["day"], rows["what"], strict=True) if "paint" not in what} == {
        day.on.isoformat() for day in made.days
    }
    for wall in made.walls:
        [paint] = rows["day"][(rows["wall"] == wall.wall) & (rows["what"] == "paint from this day")]
        assert paint == wall.paint.isoformat()
    events = icalendar.Calendar.from_ical(ics.read_bytes()).walk("VEVENT")
    assert all(str(event["description"]).startswith("For the client\n") for event in events)
    shown = [path.read_text(encoding="utf-8-sig"), *(str(event["description"]) for event in events)]
    for text in (*shown, panel.headline.value, panel.days.value, panel.walls.value):
        assert not any(secret in text for secret in SECRETS)
    chart = svg.read_text(encoding="utf-8")
    assert "For the client: " in chart
    assert "work on" not in chart
    panel.controls["view"].value = "estimator"
    assert all(part.layout.display != "none" for part in hidden)
    assert set(read_back(panel.write_programme(tmp_path))["shown_to"]) == {"estimator"}
    shows_its_result(panel)


def test_it_follows_crew_hours_slow_down_and_start(panel):
    before = panel.programme.paint_date
    for name, value in (("crew", 2.0), ("day_h", 6.0), ("slow_down", 2.0), ("start", date(2027, 6, 7))):
        panel.controls[name].value = value
        shows_its_result(panel)
    assert panel.store.job.rates.crew == 2
    assert panel.store.job.calendar.start == date(2027, 6, 7)
    assert panel.programme.paint_date > before


def test_saturdays_bring_the_days_forward_or_leave_them(panel):
    panel.controls["saturdays"].value = True
    shows_its_result(panel)
    assert panel.store.job.calendar.weekdays[-1] == "saturday"
    panel.controls["saturdays"].value = False
    assert "saturday" not in panel.store.job.calendar.weekdays


def test_another_way_of_treating_the_walls_changes_days_and_order_and_can_be_left_again(panel):
    first = panel.headline.value
    panel.way.value = "patch and skim"
    shows_its_result(panel)
    assert panel.store.job.treatment is not None
    assert panel.headline.value != first
    panel.way.value = panel.way.options[0]
    assert panel.headline.value == first


def test_a_crew_of_nobody_is_refused_and_the_last_days_stay(panel):
    shown = panel.headline.value
    panel.numbers["crew"].box.value = 0.0
    assert "crew 0" in panel.problem.value
    assert panel.headline.value == shown


def with_quick_mix(job: mt.Job, names: tuple[str, ...]) -> mt.Job:
    """The job with a backing that sets within a minute on these walls."""

    def quick(system: mt.System) -> mt.System:
        return replace(system, backing=replace(system.backing, pot_life_min=1.0))

    walls = (
        replace(wall, system=quick(wall.system or job.system)) if wall.name in names else wall
        for wall in job.walls
    )
    return replace(job, walls=tuple(walls))


def test_a_wall_whose_mix_sets_too_soon_is_named_and_the_others_are_planned(panel, tmp_path):
    missing, planned = WALLS
    panel.store.apply(lambda job: with_quick_mix(job, (missing,)))
    assert f"not in it yet: {missing}" in panel.headline.value
    assert "one gauging" in panel.problem.value
    assert f"as backing on {missing}" in panel.problem.value
    assert "Not taken" not in panel.problem.value
    assert [wall.wall for wall in panel.programme.walls] == [planned]
    alone = work_programme(mt.evaluate(replace(panel.store.job, only=(planned,))))
    assert panel.programme.stints == alone.stints
    written = read_back(panel.write_programme(tmp_path))
    assert list(written[written.task == "not planned yet"].wall) == [missing]
    assert written.task.iloc[-1] == "not planned yet"
    client = panel.programme.to_frame("client")
    assert list(client[client.what == "not planned yet"].wall) == [missing]
    assert panel.order.total == order_as_priced(panel.store.result).total  # all that is priced is bought


def test_where_no_wall_can_be_planned_the_last_days_stay_and_no_programme_is_written(panel, tmp_path):
    shown = panel.headline.value

    panel.store.apply(lambda job: with_quick_mix(job, WALLS))
    assert "one gauging" in panel.problem.value
    assert panel.headline.value == shown
    panel.buttons["programme"].click()
    assert "Nothing was written" in panel.said.value
    with pytest.raises(mt.TakeoffError, match="put this right first"):
        panel.write_chart(tmp_path)
    assert not list(tmp_path.glob("programme*"))
    assert panel.write_order(tmp_path).is_file()


def test_the_cheaper_order_is_shown_beside_and_moves_the_price_only_when_it_is_taken(folder):
    panel = buying_and_days(demo_in(folder))
    before, cheaper = panel.store.result.cost.total, cheapest_order(panel.store.result)
    saves = cheaper.saves_over(panel.order)
    assert saves > 0
    assert f"{say(cheaper.total, 2)} EUR instead, {say(saves, 2)} less" in panel.proposal.value
    for now, then in cheaper.bought_otherwise(panel.order):
        assert now.need.item in panel.proposal.value
        assert f"of {then.pack.holds:g}" in panel.proposal.value
    assert panel.store.result.cost.total == before
    panel.buttons["take"].click()
    assert panel.order.total == cheaper.total
    assert panel.store.result.cost.total < before
    assert "cannot be had for less" in panel.proposal.value
    assert panel.buttons["take"].disabled
    panel.save()
    assert panel.problem.value == ""
    again = mt.open_job(folder)
    assert again.buying.chosen == panel.store.job.buying.chosen
    assert again.rails.stock_m == 2.7
    assert order_as_priced(mt.evaluate(again)).total == panel.order.total


def test_the_files_say_what_the_panel_shows(panel, tmp_path):
    listed = read_back(panel.write_order(tmp_path))
    assert sum(Decimal(amount) for amount in listed["amount"]) == panel.order.total
    assert listed["supplier"].tolist() == sorted(listed["supplier"])
    text = (tmp_path / "order.txt").read_text(encoding="utf-8-sig")
    assert f"{panel.order.total:,} EUR before tax".replace(",", "\u202f") in text
    assert "Weight of bags" in text
    days = read_back(panel.write_programme(tmp_path))
    assert days["day"].tolist() == [stint.day.isoformat() for stint in panel.programme.stints]
    png, svg = panel.write_chart(tmp_path)
    assert set(days["shown_to"]) == {"estimator"}
    assert [f"{day} {time}" for day, time in zip(days["day"], days["from"], strict=True)] == [
        f"{stint.begins:%Y-%m-%d %H:%M}" for stint in panel.programme.stints
    ]
    assert png.read_bytes().startswith(b"\x89PNG")
    assert svg.read_text(encoding="utf-8").count("<svg") == 1


def test_a_job_with_decimal_commas_gets_them_in_both_lists(panel, tmp_path):
    panel.store.apply(lambda job: replace(job, decimal_comma=True))
    order_csv, days_csv = panel.write_order(tmp_path), panel.write_programme(tmp_path)
    assert order_csv.read_text(encoding="utf-8-sig").startswith("supplier;item;")
    assert sum(Decimal(amount) for amount in read_back(order_csv)["amount"]) == panel.order.total
    assert days_csv.read_text(encoding="utf-8-sig").startswith("day;from;")


def test_the_calendar_file_reads_back_with_the_same_days(panel, tmp_path):
    content = panel.write_calendar(tmp_path).read_bytes()
    read = [(str(event["summary"]), event) for event in icalendar.Calendar.from_ical(content).walk("VEVENT")]
    on_site = [event for said, event in read if said.startswith("On site")]
    assert [event["dtstart"].dt.date() for event in on_site] == [day.on for day in panel.programme.days]
    assert on_site[0]["dtstart"].dt == panel.programme.stints[0].begins
    for wall in panel.programme.walls:
        paint = next(event for said, event in read if said.startswith(f"Paint from today: {wall.wall}"))
        assert paint["dtstart"].dt == wall.paint
        damp = next(event for said, event in read if said.startswith(f"Keep damp: {wall.wall}"))
        assert damp["dtstart"].dt == wall.laid.date()
    names = [str(event["uid"]) for _, event in read]
    assert len(set(names)) == len(names)
    assert panel.write_calendar(tmp_path).read_bytes() == content


def test_a_supplier_that_looks_like_a_formula_is_written_as_text(folder, tmp_path):
    path = folder / "packs.csv"
    path.write_text(
        path.read_text(encoding="utf-8").replace("Quay merchant", "=1+1 merchant"), encoding="utf-8"
    )
    panel = buying_and_days(replace(mt.open_job(folder), only=WALLS))
    content = panel.write_order(tmp_path).read_text(encoding="utf-8-sig")
    assert "'=1+1 merchant" in content
    assert not any(cell.startswith("=") for row in content.splitlines() for cell in row.split(","))


def test_saving_keeps_start_crew_and_way(folder):
    panel = buying_and_days(demo_in(folder))
    panel.controls["crew"].value = 3.0
    panel.controls["start"].value = date(2027, 9, 6)
    panel.way.value = "patch and skim"
    panel.save()
    assert panel.problem.value == ""
    again = mt.open_job(folder)
    assert again.rates.crew == 3
    assert again.calendar.start == date(2027, 9, 6)
    assert again.treatment is not None
    assert again.treatment.name == "patch and skim"
    assert mt.evaluate(again).cost.total == panel.store.result.cost.total
