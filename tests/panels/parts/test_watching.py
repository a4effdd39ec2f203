"""A panel and its job folder: what others save is taken over, or both ways are offered; nothing is lost."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Awaitable, Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from mytakeoff import Job, open_job, save_job
from mytakeoff.panels.parts import panel as panel_module
from mytakeoff.panels.parts import watching
from mytakeoff.panels.parts.buttons import safely
from mytakeoff.panels.parts.controls import BUDGET_NUMBERS
from mytakeoff.panels.parts.panel import JobPanel

DEADLINE_S = 60.0
Write = Callable[[Path, str], None]


class Plain(JobPanel):
    """A panel that shows nothing but its numbers."""

    workbook = "plain"

    def __init__(self, job: Job) -> None:
        super().__init__(job, BUDGET_NUMBERS)
        self.watch()

    def refresh(self) -> None:
        self.show_bound()


def in_place(path: Path, text: str) -> None:
    """As a small editor saves."""
    path.write_text(text, encoding="utf-8")


def by_rename(path: Path, text: str) -> None:
    """As a careful editor saves."""
    other = path.with_name(f"{path.name}~")
    other.write_text(text, encoding="utf-8")
    os.replace(other, path)


def edited(folder: Path, old: str, new: str, write: Write = in_place, name: str = "job.toml") -> None:
    text = (folder / name).read_text("utf-8")
    assert old in text
    write(folder / name, text.replace(old, new, 1))


def waste(panel: JobPanel) -> float:
    return panel.store.job.waste_share


async def until(holds: Callable[[], bool]) -> None:
    """Let the loop run until something holds."""
    end = asyncio.get_running_loop().time() + DEADLINE_S
    while not holds():
        assert asyncio.get_running_loop().time() < end, "it never came to be so"
        await asyncio.sleep(0.01)


async def several_looks(panel: JobPanel) -> None:
    """Let the loop run until the folder was looked at a few times more."""
    real, looked = panel.folder_watch.looks, []
    panel.folder_watch.looks = lambda: looked.append(1) or real()  # type: ignore[method-assign]
    await until(lambda: len(looked) >= 5)
    panel.folder_watch.looks = real  # type: ignore[method-assign]


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Looks that follow each other as fast as a test likes."""
    monkeypatch.setattr(watching, "LOOK_S", 0.02)
    monkeypatch.setattr(panel_module, "REST_S", 0.02)


def on_a_loop(folder: Path, does: Callable[[Plain], Awaitable[None]], job: Job | None = None) -> Plain:
    """Run a hand's doing on a panel as a kernel does, once the panel knows its folder."""

    async def kernel() -> Plain:
        panel = Plain(job or open_job(folder))
        await several_looks(panel)
        await does(panel)
        panel.folder_watch.stop()
        return panel

    return asyncio.run(kernel())


@pytest.mark.parametrize("write", [in_place, by_rename])
def test_what_an_editor_saves_is_taken_over_and_told(folder: Path, write: Write) -> None:
    async def does(panel: Plain) -> None:
        edited(folder, "waste_share = 0.1 ", "waste_share = 0.12 ", write)
        await until(lambda: waste(panel) == 0.12)

    panel = on_a_loop(folder, does)
    said = panel.folder_line.said.value
    assert "Taken over from the folder: waste 10 % → 12 %. Another program changed job.toml at" in said
    assert panel.numbers["waste_share"].box.value == 12.0
    assert panel.saved.waste_share == 0.12
    assert "All saved" in panel.unsaved_line.value


def test_a_take_over_is_one_step_that_undo_takes_back_and_counts(folder: Path) -> None:
    async def does(panel: Plain) -> None:
        edited(folder, "waste_share = 0.1 ", "waste_share = 0.12 ")
        edited(folder, "profit_share = 0.1", "profit_share = 0.2")
        await until(lambda: waste(panel) == 0.12)
        panel.undo()
        await until(lambda: "2 changes not saved yet" in panel.unsaved_line.value)
        await several_looks(panel)
        assert waste(panel) == 0.1  # not taken over again: the folder has not changed
        assert open_job(folder).waste_share == 0.12  # nor is anything written by it
        panel.restore()

    panel = on_a_loop(folder, does)
    assert (waste(panel), panel.store.job.margins.profit_share) == (0.12, 0.2)
    assert panel.unsaved == ()


def both_changed(folder: Path, then: Callable[[Plain], None]) -> Plain:
    """Waste is changed in the folder, and price and waste here; then one way is chosen."""

    async def does(panel: Plain) -> None:
        panel.numbers["waste_share"].take(0.2)
        panel.store.apply(lambda job: replace(job, prices=job.prices.with_price("mesh", Decimal(2))))
        edited(folder, "waste_share = 0.1 ", "waste_share = 0.12 ")
        edited(folder, "profit_share = 0.1", "profit_share = 0.15")
        await until(lambda: "no longer says" in panel.folder_line.said.value)
        assert waste(panel) == 0.2  # nothing is taken over unasked
        then(panel)

    return on_a_loop(folder, does)


def test_who_takes_the_folders_has_his_own_back_by_undo(folder: Path) -> None:
    def then(panel: Plain) -> None:
        said = panel.folder_line.said.value
        assert "Another program changed job.toml" in said
        assert "In the folder: profit 10 % → 15 %; waste 10 % → 12 %." in said
        assert "Here, not saved yet: waste 10 % → 20 %; price of mesh 1.60 EUR → 2 EUR" in said.replace(
            ".00", ""
        )
        panel.folder_line.buttons["take_theirs"].click()

    panel = both_changed(folder, then)
    assert (waste(panel), panel.unsaved) == (0.12, ())
    assert panel.folder_line.widget.children[1].layout.display == "none"
    panel.undo()
    assert waste(panel) == 0.2
    assert len(panel.unsaved) == 3


def test_who_keeps_his_own_has_the_rest_as_the_folder_says(folder: Path) -> None:
    def then(panel: Plain) -> None:
        panel.folder_line.buttons["keep_mine"].click()

    panel = both_changed(folder, then)
    job = panel.store.job
    assert (job.waste_share, job.margins.profit_share) == (0.2, 0.15)
    assert job.prices.of("mesh").price == 2
    assert open_job(folder).waste_share == 0.12  # kept here, not saved
    assert [each.split(" 1")[0] for each in panel.unsaved] == ["waste", "price of mesh"]
    panel.save()
    there = open_job(folder)
    assert (there.waste_share, there.margins.profit_share) == (0.2, 0.15)
    assert panel.unsaved == ()


def test_who_takes_his_own_back_is_asked_no_more(folder: Path) -> None:
    async def does(panel: Plain) -> None:
        panel.numbers["waste_share"].take(0.2)
        edited(folder, "profit_share = 0.1", "profit_share = 0.15")
        await until(lambda: "no longer says" in panel.folder_line.said.value)
        panel.undo()
        await until(lambda: panel.store.job.margins.profit_share == 0.15)

    assert waste(on_a_loop(folder, does)) == 0.1


def test_a_file_that_is_half_written_or_broken_leaves_the_last_good_result(folder: Path) -> None:
    async def does(panel: Plain) -> None:
        whole = (folder / "job.toml").read_text("utf-8")
        (folder / "job.toml").write_text(whole[: len(whole) // 2] + "\n[[[", "utf-8")
        await until(lambda: "what is shown is from before" in panel.folder_line.said.value)
        assert waste(panel) == 0.1
        (folder / "job.toml").write_text(whole.replace("waste_share = 0.1 ", "waste_share = 0.13 "), "utf-8")
        await until(lambda: waste(panel) == 0.13)
        edited(folder, 'kind = "plumb"', 'kind = "plum"')
        await until(lambda: "what is shown is from before" in panel.folder_line.said.value)
        edited(folder, 'kind = "plum"', 'kind = "plumb"')
        await until(lambda: panel.folder_line.said.value == "")

    assert waste(on_a_loop(folder, does)) == 0.13


def test_why_a_save_failed_is_told_until_it_is_mended_or_saved(folder: Path) -> None:
    async def does(panel: Plain) -> None:
        panel.numbers["waste_share"].take(0.2)
        save = safely(panel.save, panel.failed)
        edited(folder, "profit_share = 0.1", "profit_share = ")
        save()
        assert "Not taken" in panel.problem.value
        assert "Nothing was saved" in panel.said.value
        await until(lambda: "what is shown is from before" in panel.folder_line.said.value)
        edited(folder, "profit_share = ", "profit_share = 0.1")
        await until(lambda: panel.folder_line.said.value == "")
        assert panel.problem.value == ""
        panel.failed(OSError("no room on the disk"))
        save()
        assert panel.problem.value == ""
        assert "Saved to" in panel.said.value
        panel.store.problem = "a depth that no coat has"
        panel.say("The chart is written.")
        assert "a depth that no coat has" in panel.problem.value

    assert waste(on_a_loop(folder, does)) == 0.2


def test_nothing_is_said_to_be_kept_once_the_folders_is_taken(folder: Path) -> None:
    def then(panel: Plain) -> None:
        panel.say("What you changed is kept and not saved yet.")
        panel.folder_line.buttons["take_theirs"].click()
        assert "kept" not in panel.said.value

    assert both_changed(folder, then).unsaved == ()


def test_a_survey_that_comes_after_its_wall_is_waited_for(folder: Path) -> None:
    async def does(panel: Plain) -> None:
        edited(folder, "surveys/door-wall.csv", "surveys/door-again.csv")
        await until(lambda: "what is shown is from before" in panel.folder_line.said.value)
        assert "door-again.csv" in panel.folder_line.said.value
        in_place(folder / "surveys" / "door-again.csv", (folder / "surveys" / "door-wall.csv").read_text())
        await until(lambda: panel.saved.wall("door wall").survey.source == "surveys/door-again.csv")

    on_a_loop(folder, does)


def test_nothing_is_read_while_nothing_changes(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[Path] = []

    async def does(panel: Plain) -> None:
        real = watching.open_job
        monkeypatch.setattr(watching, "open_job", lambda where: read.append(where) or real(where))
        await several_looks(panel)
        panel.save()
        await several_looks(panel)
        assert read == []
        os.utime(folder / "job.toml")
        await until(lambda: len(read) == 1)
        await several_looks(panel)

    panel = on_a_loop(folder, does)
    assert len(read) == 1
    assert panel.folder_line.said.value == ""


def test_a_job_that_is_not_what_the_folder_says_is_told_and_not_dropped(folder: Path) -> None:
    """A cell that shows a panel again has the job that was opened before somebody else saved, say."""
    job = replace(open_job(folder), waste_share=0.2)

    async def does(panel: Plain) -> None:
        await until(lambda: "no longer says what was opened" in panel.folder_line.said.value)
        assert waste(panel) == 0.2
        panel.folder_line.buttons["keep_mine"].click()

    panel = on_a_loop(folder, does, job)
    assert (waste(panel), panel.unsaved) == (0.2, ("waste 10 % → 20 %",))


def test_a_panel_that_is_closed_looks_no_more(folder: Path) -> None:
    async def does(panel: Plain) -> None:
        panel.page.close()
        edited(folder, "waste_share = 0.1 ", "waste_share = 0.12 ")
        other = Plain(open_job(folder))
        await several_looks(other)
        other.folder_watch.stop()

    assert waste(on_a_loop(folder, does)) == 0.1


def test_a_cell_that_runs_again_ends_what_it_made_before(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two panels of one run stay, and one in another window."""

    class Shell:
        run, window = "", ""

        def get_parent(self) -> dict[str, dict[str, str]]:
            header = {"msg_id": self.run, "session": self.window}
            return {"header": header, "metadata": {"cellId": "the cell"}}

    monkeypatch.setattr(watching, "get_ipython", Shell)

    async def kernel() -> list[float]:
        panels = []
        for run, window in (("1", "here"), ("1", "here"), ("2", "there"), ("3", "here"), ("3", "here")):
            monkeypatch.setattr(Shell, "run", run)
            monkeypatch.setattr(Shell, "window", window)
            panels.append(Plain(open_job(folder)))
        await several_looks(panels[-1])
        edited(folder, "waste_share = 0.1 ", "waste_share = 0.12 ")
        await until(lambda: all(waste(panel) == 0.12 for panel in panels[2:]))
        return [waste(panel) for panel in panels]

    assert asyncio.run(kernel()) == [0.1, 0.1, 0.12, 0.12, 0.12]


def test_two_panels_hand_each_other_what_they_save(folder: Path) -> None:
    async def does(panel: Plain) -> None:
        other = Plain(open_job(folder))
        await several_looks(other)
        panel.numbers["waste_share"].take(0.12)
        panel.save()
        await until(lambda: waste(other) == 0.12)
        assert "The plain workbook" in other.folder_line.said.value
        other.store.apply(lambda job: replace(job, prices=job.prices.with_price("mesh", Decimal(2))))
        other.save()
        await until(lambda: panel.store.job.prices.of("mesh").price == 2)
        assert "saved prices.csv at" in panel.folder_line.said.value
        other.folder_watch.stop()

    panel = on_a_loop(folder, does)
    assert panel.unsaved == ()


# -- what needs no loop -----------------------------------------------------------------------------


def test_saved_means_what_the_folder_says_then(folder: Path) -> None:
    panel = Plain(open_job(folder))
    save_job(replace(open_job(folder), title="Renamed meanwhile"), folder, workbook="options")
    panel.numbers["waste_share"].take(0.12)
    panel.save()
    assert (panel.store.job.title, waste(panel)) == ("Renamed meanwhile", 0.12)
    assert "Taken over from the folder: title:" in panel.folder_line.said.value
    assert panel.unsaved == ()


def test_back_at_the_saved_job_is_what_the_file_says(folder: Path) -> None:
    panel = Plain(open_job(folder))
    panel.numbers["waste_share"].take(0.2)
    edited(folder, "waste_share = 0.1 ", "waste_share = 0.12 ")
    panel.restore()
    assert waste(panel) == 0.12
    assert "Every control is back at the saved job" in panel.said.value
    assert "waste 10 % → 12 %" in panel.folder_line.said.value


def test_there_is_no_way_back_to_a_file_that_does_not_open(folder: Path) -> None:
    panel = Plain(open_job(folder))
    panel.numbers["waste_share"].take(0.2)
    edited(folder, "[plane]", "[[plane")
    with pytest.raises(panel_module.TakeoffError):
        panel.restore()
    assert waste(panel) == 0.2
    assert "back at the saved job" not in panel.said.value


def test_a_script_looks_at_no_folder(folder: Path) -> None:
    panel = Plain(open_job(folder))
    edited(folder, "waste_share = 0.1 ", "waste_share = 0.12 ")
    asyncio.run(asyncio.sleep(0.2))
    assert waste(panel) == 0.1


def test_what_is_not_saved_is_counted_and_named(folder: Path) -> None:
    panel = Plain(open_job(folder))
    assert "All saved" in panel.unsaved_line.value
    for name, value in (("waste_share", 0.12), ("profit_share", 0.2), ("cut_mm", 3.0)):
        panel.numbers[name].take(value)
    panel.count()
    assert "3 changes not saved yet" in panel.unsaved_line.value
    assert "<li>waste 10 % → 12 %</li>" in panel.unsaved_line.value
    panel.save()
    assert "All saved" in panel.unsaved_line.value
