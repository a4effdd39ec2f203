"""Scenarios on the budget panel: play changes nothing of what was agreed, what is kept is in the folder."""

from __future__ import annotations

import asyncio
import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest
from demo import copy_of_demo, demo_in
from quotients import given_away, numbers_in, secrets_of
from unread_jobs import BEGUN

import mytakeoff as mt
from mytakeoff.audience import CLIENT
from mytakeoff.job.edits import with_reading, with_wall_name
from mytakeoff.panels import BudgetPanel, budget
from mytakeoff.panels.parts.words import facts
from mytakeoff.panels.scenarios import box
from mytakeoff.panels.scenarios.work import MOST_COMPARED, compared_of


@pytest.fixture
def panel(folder: Path) -> BudgetPanel:
    return budget(demo_in(folder))


def keep(panel: BudgetPanel, name: str, **sliders: float) -> None:
    """Move sliders and keep where they stand, as by hand."""
    for slider, value in sliders.items():
        panel.controls[slider].value = value
    panel.scenarios.name.value = name
    panel.scenarios.buttons["keep-scenario"].click()


def there(panel: BudgetPanel) -> mt.Job:
    """What the folder says now."""
    return mt.open_job(panel.saved.folder)


def cards(panel: BudgetPanel) -> list[str]:
    """The text of each card, the agreed job first."""
    panel.scenarios.work_out()
    found = re.split(r"<div class='mt-scenario'", panel.scenarios.text.value)[1:]
    return [unescape(re.sub(r"<[^>]+>", " ", "<" + each)) for each in found]


class TestPlay:
    def test_a_slider_changes_nothing_of_what_was_agreed(self, panel: BudgetPanel) -> None:
        before = (Path(panel.saved.folder) / "job.toml").read_bytes()
        panel.controls["waste_share"].value = 0.25
        assert (Path(panel.saved.folder) / "job.toml").read_bytes() == before
        assert panel.saved.waste_share == 0.1

    def test_keeping_a_scenario_saves_it_and_no_slider(self, panel: BudgetPanel) -> None:
        agreed, total = there(panel), panel.store.result.cost.total
        keep(panel, "more waste", waste_share=0.25)
        assert there(panel) == replace(
            agreed, scenarios=(mt.Scenario("more waste", (mt.Edit("waste_share", 0.25),)),)
        )
        assert mt.evaluate(there(panel)).cost.total == total
        assert panel.controls["waste_share"].value == 0.25  # the play goes on
        assert panel.unsaved == ("waste 10 % → 25 %",)
        assert "Kept as “more waste”. The agreed job is as it was." in panel.said.value
        assert panel.problem.value == ""

    def test_what_is_kept_is_nothing_that_undo_or_the_saved_job_takes_away(self, panel: BudgetPanel) -> None:
        keep(panel, "more waste", waste_share=0.25)
        panel.undo()
        assert panel.store.job.waste_share == 0.1
        assert [each.name for each in panel.store.job.scenarios] == ["more waste"]
        assert panel.unsaved == ()
        panel.restore()
        panel.save()
        assert [each.name for each in there(panel).scenarios] == ["more waste"]

    def test_saving_the_job_is_what_takes_the_sliders_in(self, panel: BudgetPanel) -> None:
        keep(panel, "more waste", waste_share=0.25)
        panel.save()
        assert there(panel).waste_share == 0.25
        assert [each.name for each in there(panel).scenarios] == ["more waste"]

    def test_where_nothing_moved_there_is_nothing_to_keep(self, panel: BudgetPanel) -> None:
        keep(panel, "nothing")
        assert "What stands here is what was agreed" in panel.said.value
        assert there(panel).scenarios == ()

    @pytest.mark.parametrize(("name", "words"), [("  ", "no name"), ("again", "a scenario called 'again'")])
    def test_a_name_that_cannot_be(self, panel: BudgetPanel, name: str, words: str) -> None:
        keep(panel, "again", waste_share=0.2)
        keep(panel, name, waste_share=0.3)
        assert words in unescape(panel.problem.value)
        assert [each.name for each in there(panel).scenarios] == ["again"]

    def test_readings_are_said_to_be_in_none(self, panel: BudgetPanel) -> None:
        panel.store.apply(lambda job: with_reading(job, "party wall", 1.11, 1.07, 3.0))
        keep(panel, "one more reading")
        assert "no readings, no rooms and no walls" in panel.said.value
        assert "1 reading added" in unescape(panel.said.value)
        keep(panel, "and waste", waste_share=0.2)
        assert "1 reading added" in unescape(panel.said.value)
        assert [each.name for each in there(panel).scenarios] == ["and waste"]


class TestShown:
    def test_showing_moves_the_sliders_in_one_step_and_saves_nothing(self, panel: BudgetPanel) -> None:
        keep(panel, "both", waste_share=0.25, mix_density_kg_per_l=0.95)
        panel.restore()
        panel.scenarios.buttons["show-scenario"].click()
        assert panel.controls["waste_share"].value == 0.25
        assert panel.controls["mix_density_kg_per_l"].value == 0.95
        assert there(panel).waste_share == 0.1
        panel.undo()
        assert panel.controls["waste_share"].value == 0.1

    def test_taking_it_makes_it_what_is_agreed(self, panel: BudgetPanel) -> None:
        keep(panel, "both", waste_share=0.25, mix_density_kg_per_l=0.95)
        panel.restore()
        panel.controls["tax_share"].value = 0.05  # play that is no part of it
        panel.scenarios.buttons["take-scenario"].click()
        saved = there(panel)
        assert (saved.waste_share, saved.system.backing.density_kg_per_l) == (0.25, 0.95)
        assert saved.margins.tax_share == demo_in(Path(saved.folder)).margins.tax_share
        assert panel.unsaved == ()
        assert "waste 10 % → 25 %" in unescape(panel.said.value)
        assert "it changes nothing now" in cards(panel)[1]

    def test_one_that_is_dropped_can_be_put_back(self, panel: BudgetPanel) -> None:
        keep(panel, "more waste", waste_share=0.25)
        panel.scenarios.buttons["drop-scenario"].click()
        assert there(panel).scenarios == ()
        panel.save()
        assert there(panel).scenarios == ()
        panel.scenarios.buttons["put-back"].click()
        assert [each.name for each in there(panel).scenarios] == ["more waste"]

    def test_one_of_a_wall_that_is_gone_is_told_and_the_others_still_work(self, folder: Path) -> None:
        gone = mt.Scenario("attic", (mt.Edit('wall "attic".strip', "paper"),))
        good = mt.Scenario("good", (mt.Edit("waste_share", 0.2),))
        opened = mt.open_job(folder)
        mt.save_job(replace(opened, scenarios=(gone, good)), folder, opened)
        panel = budget(mt.open_job(folder))
        _, second, third = cards(panel)
        assert "no wall called 'attic'" in second
        assert "more than agreed" in third
        panel.scenarios.choose("attic")
        panel.scenarios.buttons["show-scenario"].click()
        assert "no wall called 'attic'" in unescape(panel.problem.value)
        panel.scenarios.choose("good")
        panel.scenarios.buttons["show-scenario"].click()
        assert panel.store.job.waste_share == 0.2

    def test_others_edits_in_the_folder_come_along_and_mine_stay(self, panel: BudgetPanel) -> None:
        folder = Path(panel.saved.folder)
        opened = mt.open_job(folder)
        theirs = with_wall_name(replace(opened, built_year=1923), "party wall", "stair side")
        mt.save_job(theirs, folder, opened)
        keep(panel, "more waste", waste_share=0.25)
        assert there(panel) == replace(theirs, scenarios=there(panel).scenarios)
        assert panel.unsaved == ("waste 10 % → 25 %",)
        assert panel.store.job.built_year == 1923
        assert panel.store.job.wall("stair side").name == "stair side"


class TestCompared:
    def test_the_figures_are_those_of_the_headline(self, panel: BudgetPanel) -> None:
        keep(panel, "heavy", waste_share=0.25, mix_density_kg_per_l=0.95)
        agreed, heavy = cards(panel)
        for card, job in ((agreed, panel.saved), (heavy, panel.store.job)):
            told = facts(mt.evaluate(job))
            assert all(told[name] in card for name in ("total", "litres", "bags", "days"))
            assert "under a 2\N{NO-BREAK SPACE}m edge; every wall stands plumb" in card
        assert "waste 10 % → 25 %" in heavy
        assert "waste" not in agreed

    def test_a_client_sees_the_client_s_figures_only(self, panel: BudgetPanel) -> None:
        keep(panel, "heavy", waste_share=0.25, tax_share=0.05)
        panel.view.value = CLIENT
        agreed, heavy = cards(panel)
        for card, job in ((agreed, panel.saved), (heavy, panel.store.job)):
            assert facts(mt.evaluate(job), CLIENT)["total"] in card
            assert not re.search(r"bag|litre|waste|tax \d|agreed than|%", card)
            told = card.partition("what still shows")[0]
            assert given_away(numbers_in(told), secrets_of(job)) == []
        assert panel.scenarios.keeping.layout.display == "none"

    def test_many_are_bounded_and_the_chosen_one_is_among_them(self) -> None:
        many = tuple(mt.Scenario(f"s{nth}") for nth in range(20))
        last = compared_of(many, "s19")
        assert [each.name for each in last] == [f"s{nth}" for nth in range(20 - MOST_COMPARED, 20)]
        assert [each.name for each in compared_of(many, "s3")] == ["s3", *[each.name for each in last[1:]]]

    def test_what_is_known_is_not_worked_out_again(self, panel: BudgetPanel) -> None:
        keep(panel, "heavy", waste_share=0.25)
        cards(panel)
        agreed, heavy = (panel.scenarios.work.known[name].option for name in ("", "heavy"))
        keep(panel, "dear", tax_share=0.25)
        cards(panel)
        assert panel.scenarios.work.known[""].option is agreed
        assert panel.scenarios.work.known["heavy"].option is heavy

    def test_a_job_without_a_folder_says_so(self, tmp_path: Path) -> None:
        panel = budget(replace(demo_in(copy_of_demo(tmp_path)), folder=""))
        keep(panel, "more waste", waste_share=0.25)
        assert "nowhere to save it" in panel.said.value

    @pytest.mark.parametrize("begun", ["no wall", "none read"])
    def test_a_job_that_is_only_begun_says_that_nothing_is_priced(self, begun: str) -> None:
        scenario = mt.Scenario("more waste", (mt.Edit("waste_share", 0.25),))
        panel = budget(replace(BEGUN[begun](), scenarios=(scenario,)))
        assert ["No wall is priced yet" in card for card in cards(panel)] == [True, True]
        panel.totals.widget.head.opened = True
        assert "before tax" in panel.totals.text.value

    def test_nothing_is_worked_out_before_the_hand_rests_nor_while_it_moves(
        self, folder: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        async def hand() -> None:
            panel = budget(demo_in(folder))
            scenarios = panel.scenarios
            keep(panel, "heavy", waste_share=0.25)
            scenarios.widget.head.opened = True
            assert scenarios.work.known == {}
            while not scenarios.work.known:
                await asyncio.sleep(0.01)
            done = set(scenarios.work.known)
            monkeypatch.setattr(box, "REST_S", 3600.0)  # a hand that does not come to rest
            panel.controls["tax_share"].value = 0.05
            await asyncio.sleep(0.3)
            assert set(scenarios.work.known) == done
            monkeypatch.setattr(box, "REST_S", 0.01)
            panel.controls["tax_share"].value = 0.06
            while "more than agreed" not in scenarios.text.value:
                await asyncio.sleep(0.01)

        asyncio.run(hand())
