"""What lies between the readings, priced: within its range, the same whatever was known before, and kept."""

from __future__ import annotations

import asyncio
import json
import re
from dataclasses import replace

import numpy as np
import pytest
from demo import demo, demo_in
from effort import examples
from example_job import example_folder
from hand import job_of
from hypothesis import given
from hypothesis import strategies as st
from renew_worked_out import worked_out_anew
from rough_walls import rough_wall

import mytakeoff as mt
from mytakeoff.formats.formats import HOUSE
from mytakeoff.io.job.worked_out import KEPT, MOST_L, WORKED_OUT_FILE, read_worked_out, worked_out_text
from mytakeoff.job.confidence import LeftOpen, WorkedOut
from mytakeoff.job.edits import with_margins, with_mix, with_plane, with_reading
from mytakeoff.job.treatments import PATCH, STRAIGHTEN, Treatment
from mytakeoff.panels import budget
from mytakeoff.panels.parts import panel as jobpanel
from mytakeoff.panels.parts import words
from mytakeoff.resources import demo_folder
from mytakeoff.store import Store
from mytakeoff.treatment.left_open import MARKED_MM, Together, fingerprint

TRIANGULAR_80 = 20 - np.sqrt(40)  # of the sum of two even spreads from 0 to 10: F(s) = 1 - (20 - s)² / 200


def small(seed: int = 1, **details) -> mt.Job:
    return job_of(rough_wall("A", 1.6, seed), rough_wall("B", 1.0, seed + 1), cell_m=0.05, **details)


def even(name: str, most: float = 10.0) -> LeftOpen:
    return LeftOpen(name, "float plumb", f"of {name}", (0.0, most))


class TestTogether:
    def test_two_even_spreads_are_triangular(self) -> None:
        """The distribution of a sum of two even spreads (Irwin and Hall, 1927): exact, from mathematics."""
        together = Together.of([even("a"), even("b")])
        assert together.at(0.8) == pytest.approx(TRIANGULAR_80, abs=0.15)  # some thousand cases
        assert together.enough_share(TRIANGULAR_80) == pytest.approx(0.8, abs=0.01)
        assert sum(together.shared(0.8)) == pytest.approx(together.at(0.8))

    def test_one_wall_alone_is_its_own_quantile(self) -> None:
        assert Together.of([even("a")]).at(0.8) == pytest.approx(8.0, abs=1e-6)

    def test_quantiles_of_walls_do_not_add_up(self) -> None:
        assert Together.of([even(name) for name in "abcd"]).at(0.8) < 4 * 8.0 - 3

    @given(st.lists(st.floats(0, 40), min_size=1, max_size=6), st.floats(0.05, 0.95))
    @examples(40)
    def test_shares_add_up_and_the_wider_wall_has_more(self, spreads: list[float], share: float) -> None:
        opens = [even(str(nth), most) for nth, most in enumerate(spreads)]
        together = Together.of(opens)
        shares = together.shared(share)
        assert sum(shares) == pytest.approx(together.at(share), abs=1e-6)
        backwards = Together.of(opens[::-1]).shared(share)
        assert backwards[::-1] == pytest.approx(shares, abs=1e-9)  # whatever order the walls stand in
        if share >= 0.5:
            order = np.argsort(spreads)
            assert all(np.diff(np.array(shares)[order]) >= -0.02 * max(spreads))


class TestEveryWay:
    @pytest.mark.parametrize("folder", [demo_folder(), example_folder()], ids=["demo", "starting"])
    def test_the_priced_litres_lie_in_their_range(self, folder) -> None:
        self.check(mt.open_job(folder))

    @given(st.integers(0, 10_000))
    @examples(4)
    def test_also_on_random_walls(self, seed: int) -> None:
        self.check(small(seed, compare=mt.Compare(take_down=False)))

    def check(self, job: mt.Job) -> None:
        for way in mt.options_of(job):
            figures = mt.headline(mt.option_result(job, way).result)
            assert figures.litres == pytest.approx(figures.measured_l + figures.allowance_l)
            assert figures.litres_10 is not None
            slack = 1e-6 * (1 + figures.litres)  # where nothing is open the three are one
            assert figures.litres_10 - slack <= figures.litres <= figures.litres_90 + slack
            assert figures.litres_10 <= figures.litres_50 <= figures.litres_90
            assert figures.enough_in >= 80 - 0.05

    def test_the_range_is_that_of_the_job(self) -> None:
        result = mt.evaluate(demo())
        alone, with_ranges = mt.headline(result), mt.headline(result, mt.job_ranges(result))
        assert replace(with_ranges, total_10=None, total_50=None, total_90=None) == alone
        assert with_ranges.total_10 <= result.cost.total <= with_ranges.total_90

    def test_a_patched_wall_leaves_nothing_open(self) -> None:
        result = mt.evaluate(small(treatment=Treatment("patch", PATCH)))
        figures = mt.headline(result)
        assert figures.allowance_l == 0
        assert figures.litres_10 == figures.litres_90 == figures.litres

    def test_its_mixes_are_those_of_a_plane_further_out(self) -> None:
        for wall in mt.evaluate(demo()).walls:
            assert sum(part.litres for part in wall.allowance) == pytest.approx(wall.allowance_l)
            roles = {layer.role for layer in wall.layers}
            assert {part.role for part in wall.allowance} <= {"backing", "dubbing out"} & roles


class TestWhatItDependsOn:
    @pytest.mark.parametrize(
        "change",
        [
            lambda job: with_mix(job, job.system.backing.name, density_kg_per_l=0.77),
            lambda job: with_mix(job, job.system.backing.name, max_coat_mm=11.0),
            lambda job: replace(job, waste_share=0.2),
            lambda job: with_margins(job, tax_share=0.05),
        ],
        ids=["density", "coats", "waste", "tax"],
    )
    def test_these_sliders_never_wait(self, change) -> None:
        job = small()
        known = self.prints(job)
        assert self.prints(change(job)) == known

    @pytest.mark.parametrize(
        "change",
        [
            lambda job: with_plane(job, least_mm=9.0),
            lambda job: with_plane(job, kind="free", lean_limit_mm_per_m=1.0),
            lambda job: with_reading(job, "A", 1.0, 1.0, 3.0),
            lambda job: replace(job, reach_m=0.4),
            lambda job: replace(job, treatment=Treatment("straight", STRAIGHTEN)),
        ],
        ids=["least", "plane", "reading", "reach", "way"],
    )
    def test_these_are_worked_out_anew(self, change) -> None:
        job = small()
        assert self.prints(change(job))[0] != self.prints(job)[0]

    def prints(self, job: mt.Job) -> list[str]:
        return [fingerprint(job, wall) for wall in mt.evaluate(job).walls]

    def test_the_same_job_gives_the_same_result_whatever_is_known(self) -> None:
        job = small(5)
        first = mt.evaluate(job)
        opens = [wall.left_open for wall in first.walls]
        other = LeftOpen("A", opens[0].way, "of something else", (50.0, 90.0))
        for known in ([], opens, [other], [other, *opens]):
            again = mt.evaluate(replace(job, worked_out=WorkedOut(tuple(known))))
            assert again.cost.total == first.cost.total
            assert [wall.allowance_l for wall in again.walls] == [wall.allowance_l for wall in first.walls]
            assert not again.held

    def test_walls_alike_are_told_apart_whatever_is_known(self) -> None:
        twin = rough_wall("A", 1.6, 5)
        job = job_of(twin, replace(twin, wall=replace(twin.wall, name="B")), cell_m=0.05)
        first = mt.evaluate(job)
        opens = [wall.left_open for wall in first.walls]
        renamed = [replace(each, wall="before", way="some way") for each in opens]
        for known in (opens, opens[:1], renamed):
            again = mt.evaluate(replace(job, worked_out=WorkedOut(tuple(known))))
            assert [wall.left_open for wall in again.walls] == opens
            assert again.allowance_l == first.allowance_l
            assert again.cost.total == first.cost.total

    def test_a_confidence_needs_nothing_drawn(self, monkeypatch) -> None:
        job = small(6)
        at_80 = mt.evaluate(job).allowance_l
        monkeypatch.setattr("mytakeoff.treatment.left_open.drawn_more_steps", None)
        sure = replace(job, sureness=replace(job.sureness, confidence_share=0.95))
        assert mt.evaluate(sure).allowance_l > at_80

    @pytest.mark.parametrize("confidence", [0.8, 0.5, 0.02])
    def test_measured_and_unmeasured_litres_are_said_so_that_they_add_up(self, confidence: float) -> None:
        job = mt.open_job(example_folder())  # 80 of 100: 92.4 and 5.3 l, which are 98
        result = mt.evaluate(replace(job, sureness=replace(job.sureness, confidence_share=confidence)))
        measured, more, *less = re.findall(r"\d+|less", result.allowance_words)
        assert bool(less) == (confidence == 0.02)  # one such wall in fifty takes less than its readings say
        assert f"{int(measured) + int(more) * (-1 if less else 1)}" == HOUSE.number(result.litres)
        said = words.wall_in_words(result.walls[0], HOUSE)
        assert f"{measured} litres and {more}{' less' if less else ''} for what lies between" in said
        costed = " ".join(line.basis for line in result.cost.lines)
        assert (" l less, " in costed) == bool(less)
        assert "-" not in said + result.allowance_words


class TestHeld:
    def held(self, job: mt.Job, *known: LeftOpen) -> mt.Result:
        return mt.evaluate(replace(job, worked_out=WorkedOut(known, held=True)))

    def test_where_nothing_is_known_the_marked_millimetres_stand_for_it(self) -> None:
        result = self.held(small(7))
        assert result.held == ("A", "B")
        assert [wall.allowance_mm for wall in result.walls] == pytest.approx([MARKED_MM, MARKED_MM])
        assert mt.headline(result).litres_10 is None

    def test_else_what_was_known_last_of_the_wall_and_way(self) -> None:
        job = small(8)
        opens = [wall.left_open for wall in mt.evaluate(job).walls]
        moved = with_plane(job, least_mm=11.0)
        assert self.held(job, *opens).held == ()
        result = self.held(moved, *opens)
        assert result.held == ("A", "B")
        assert result.allowance_l == pytest.approx(mt.evaluate(job).allowance_l)

    def test_a_store_learns_without_an_edit_to_undo(self) -> None:
        job = small(9)
        store = Store(replace(job, worked_out=WorkedOut(held=True)))
        assert store.result.held
        assert store.settle().cost.total == mt.evaluate(job).cost.total
        assert not store.result.held
        assert not store.can_undo
        assert store.apply(lambda job: with_plane(job, least_mm=12.0))
        assert store.result.held
        store.settle()
        assert store.undo()
        assert store.result.cost.total == mt.evaluate(job).cost.total
        assert not store.result.held  # what was worked out before the undo is not forgotten

    def test_on_a_screen_the_figure_follows_once_by_itself(self, monkeypatch) -> None:
        monkeypatch.setattr(jobpanel, "REST_S", 0.01)
        job = small(10)

        async def shown() -> list[tuple[str, ...]]:
            panel = budget(job)
            seen = [panel.store.result.held]
            panel.store.observe(lambda change: seen.append(change["new"].held), "result")
            for _ in range(400):
                await asyncio.sleep(0.02)
                if not panel.store.result.held:
                    break
            assert panel.store.result.cost.total == mt.evaluate(job).cost.total
            return seen

        assert asyncio.run(shown()) == [("A", "B"), ()]

    def test_a_file_is_written_only_from_what_is_worked_out(self, tmp_path, monkeypatch) -> None:
        monkeypatch.setattr(jobpanel, "REST_S", 60.0)
        job = small(11)

        async def written() -> None:
            panel = budget(job)
            assert panel.store.result.held
            panel.export_csv(tmp_path / "costed-table.csv")
            assert not panel.store.result.held

        asyncio.run(written())


class TestTheFile:
    def test_saved_and_opened_it_changes_nothing_and_may_be_deleted(self, tmp_path) -> None:
        mt.save_job(small(12), tmp_path)  # its readings to the digits that a file has
        job = mt.open_job(tmp_path)
        result = mt.evaluate(job)
        known = replace(job, worked_out=WorkedOut().learnt(wall.left_open for wall in result.walls))
        mt.save_job(known, tmp_path)
        again = mt.open_job(tmp_path)
        assert again.worked_out.walls == known.worked_out.walls
        (tmp_path / WORKED_OUT_FILE).unlink()
        bare = mt.open_job(tmp_path)
        assert bare == again
        assert mt.evaluate(bare).cost.total == mt.evaluate(again).cost.total == result.cost.total

    @pytest.mark.parametrize(
        "content",
        ["", "{", "[]", '{"format": 2, "walls": []}', '{"format": 1}', '{"format": 1, "walls": [{}]}',
         '{"format": 1, "walls": [{"wall": "A", "way": "w", "fingerprint": "f", "more_l": []}]}',
         '{"format": 1, "walls": [{"wall": "A", "way": "w", "fingerprint": "f", "more_l": [2, 1]}]}',
         '{"format": 1, "walls": [{"wall": "A", "way": "w", "fingerprint": "f", "more_l": [1e999]}]}',
         '{"format": 1, "walls": [{"wall": "A", "way": "w", "fingerprint": "f", "more_l": "NaN"}]}',
         '{"format": 1, "walls": [{"wall": "A", "way": "w", "fingerprint": "f", "more_l": [1e300]}]}',
         '{"format": 1, "walls": [{"wall": "A", "way": "w", "fingerprint": "f", "more_l": [-1e300]}]}',
         '{"format": 1, "walls": [{"wall": "A", "way": "w", "fingerprint": "f", "more_l": [%s]}]}' % 10**400,
         '{"format": 1, "walls": [{"wall": "A", "way": "\\ud800", "fingerprint": "f", "more_l": [1]}]}',
         "[" * 100_000],
    )  # fmt: skip
    def test_a_damaged_one_is_as_good_as_none(self, tmp_path, content: str) -> None:
        (tmp_path / WORKED_OUT_FILE).write_text(content)
        assert read_worked_out(tmp_path) == WorkedOut()

    @pytest.mark.parametrize("litres", [-MOST_L, -50.0, MOST_L])
    def test_one_that_lies_is_priced_and_saved(self, tmp_path, litres: float) -> None:
        mt.save_job(small(13), tmp_path)
        job = mt.open_job(tmp_path)
        opens = [replace(wall.left_open, more_l=(litres,)) for wall in mt.evaluate(job).walls]
        mt.save_job(replace(job, worked_out=WorkedOut(tuple(opens))), tmp_path)
        lying = mt.open_job(tmp_path)
        assert [each.more_l for each in lying.worked_out.walls] == [(litres,), (litres,)]
        assert mt.headline(mt.evaluate(lying)).allowance_l == pytest.approx(2 * litres)

    def test_it_holds_the_latest_of_each_wall_that_is_there(self) -> None:
        told = [("gone", "w", "0"), *(("A", "w", str(nth)) for nth in range(1, KEPT + 2))]
        job = replace(small(), worked_out=WorkedOut().learnt(LeftOpen(*each, (0.0, 1.0)) for each in told))
        kept = [entry["fingerprint"] for entry in json.loads(worked_out_text(job))["walls"]]
        assert kept == [str(nth) for nth in range(2, KEPT + 2)]

    @pytest.mark.parametrize("folder", [demo_folder(), example_folder()], ids=["demo", "starting"])
    def test_that_of_the_package_s_own_jobs_is_not_stale(self, folder) -> None:
        """Else run ``python tests/helpers/renew_worked_out.py``."""
        there = {each.fingerprint: each for each in mt.open_job(folder).worked_out.walls}
        anew = worked_out_anew(folder).worked_out.walls
        assert {each.fingerprint for each in anew} == set(there)
        for each in anew:
            spread = max(np.ptp(each.more_l), 1.0)
            assert there[each.fingerprint].more_l == pytest.approx(each.more_l, abs=0.02 * spread)

    def test_the_demo_opens_without_working_anything_out(self, tmp_path) -> None:
        async def opened() -> mt.Result:
            return budget(demo_in(tmp_path)).store.result

        assert asyncio.run(opened()).held == ()
