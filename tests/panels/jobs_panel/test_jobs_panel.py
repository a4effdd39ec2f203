"""The panel over all jobs of a folder, without a page: what is shown, sorted, left, priced again."""

from __future__ import annotations

import asyncio
import re
import shutil
import time
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from firm import COUNT, DEAR, FRANCS, firm, write_job

import mytakeoff as mt
from mytakeoff.jobs.chosen import NOT_PRICED
from mytakeoff.jobs.kept import kept_path, read_kept
from mytakeoff.jobs.odd import price_line
from mytakeoff.panels import JobsPanel, jobs
from mytakeoff.panels.jobs_panel import book as book_module
from mytakeoff.panels.jobs_panel import words
from mytakeoff.resources import JOBS_WORKBOOK, demo_folder

BROKEN = "flat-11"
PATIENCE_S = 120


def plain(text: str) -> str:
    """HTML as it reads, thin and hard spaces as spaces."""
    return re.sub(
        r"[\s\u202f\xa0]+", " ", re.sub(r"<svg.*?</svg>|<[^>]+>", " ", text, flags=re.DOTALL)
    ).strip()


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return firm(tmp_path / "firm")


@pytest.fixture
def nothing_priced(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which jobs would be priced: they are not."""
    asked: list[str] = []

    def noting(_work: object, pieces: tuple[str, ...], *_: object) -> object:
        asked.extend(Path(piece).name for piece in pieces)
        return iter(())

    monkeypatch.setattr(book_module, "shared_out_steps", noting)
    return asked


def folders(panel: JobsPanel) -> list[str]:
    return [row["key"] for row in panel.table.rows]


def test_what_is_kept_is_there_and_only_what_is_not_is_priced(place: Path, nothing_priced: list[str]) -> None:
    panel = jobs(place)
    assert nothing_priced == [BROKEN], "one with mistakes may have none by now"
    assert len(panel.table.rows) == COUNT + 1
    row = next(row for row in panel.table.rows if row["key"] == "flat-02")
    result = mt.evaluate(mt.open_job(place / "flat-02"))
    assert plain(row["cells"]["total"]) == plain(result.job.formats.amount(result.cost.total))
    assert row["title"] == "Flat 2, Invented Row"
    assert row["under"] == "flat-02 · Client 2"
    assert row["cells"]["state"] == "signed"


def test_a_job_that_cannot_be_priced_says_why_and_what_it_is_called(place: Path) -> None:
    """Priced in a process of its own: no loop runs here, so it is waited for."""
    panel = jobs(place)
    row = next(row for row in panel.table.rows if row["key"] == BROKEN)
    assert "waste_share: 'much'" in row["cells"]["why"]
    assert (row["title"], row["cells"]["state"]) == ("Flat 11, Invented Row", "done")
    assert not {"total", "litres"} & set(row["cells"])
    assert panel.book.waiting == {}
    assert "1 without a price" in plain(panel.headline.value)


def test_the_total_is_that_of_the_jobs_that_are_left_by_currency(
    place: Path, nothing_priced: list[str]
) -> None:
    panel = jobs(place)
    sums: dict[str, Decimal] = {}
    for nth in range(1, COUNT + 1):
        result = mt.evaluate(mt.open_job(place / f"flat-{nth:02}"))
        sums[result.cost.currency] = sums.get(result.cost.currency, Decimal(0)) + result.cost.total
    said = " + ".join(f"{sums[each]:,.2f} {each}".replace(",", " ") for each in ("CHF", "EUR"))
    assert said in plain(panel.headline.value)
    panel.controls["state"].value = "quoted"
    left = {"flat-01", "flat-05", "flat-09"}
    assert set(folders(panel)) == left
    total = sum(mt.evaluate(mt.open_job(place / name)).cost.total for name in left)
    assert f"{total:,.2f} EUR".replace(",", " ") in plain(panel.headline.value)
    assert "CHF" not in panel.headline.value
    assert "3 of 11 jobs" in plain(panel.headline.value)


def test_heads_sort_and_say_so(place: Path, nothing_priced: list[str]) -> None:
    panel = jobs(place)
    assert folders(panel) == [f"flat-{nth:02}" for nth in range(1, 12)], "flat 9 stands before flat 10"
    panel.table._handle_custom_msg({"sort": "total"}, [])
    assert panel.table.order == {"column": "total", "falling": False}
    assert folders(panel)[0] == FRANCS, "each currency by itself"
    panel.table._handle_custom_msg({"sort": "total"}, [])
    assert panel.table.order == {"column": "total", "falling": True}
    assert folders(panel)[1] == DEAR
    assert folders(panel)[-1] == BROKEN
    assert "sorted by total, largest first" in panel.counted.value
    for strange in ({"sort": "mistakes"}, {"sort": ["total"]}, "total", {}):
        panel.table._handle_custom_msg(strange, [])
    assert panel.table.order == {"column": "total", "falling": True}


def test_any_column_can_be_limited_and_a_limit_that_is_no_number_is_told(
    place: Path, nothing_priced: list[str]
) -> None:
    panel = jobs(place)
    controls = panel.controls
    shown = [name for name in ("contains", "least", "most") if controls[name].layout.display != "none"]
    assert shown == []
    for key in (*words.HEADS, *words.MORE):
        if key != "state":
            controls["column"].value = key
            assert folders(panel), key
    controls["column"].value = "litres"
    assert controls["contains"].layout.display == "none"
    controls["least"].value, controls["most"].value = "150", "180,5"
    litres = [row["litres"] for row in panel.shown]
    assert litres
    assert all(150 <= each <= 180.5 for each in litres)
    controls["least"].value = "many"
    assert "many" in panel.problem.value
    assert [row["litres"] for row in panel.shown] == litres, "what was shown stays"
    controls["column"].value = "client"
    assert not panel.problem.value
    controls["contains"].value = "client 2"
    assert folders(panel) == ["flat-02", "flat-05", "flat-08", BROKEN]
    controls["text"].value = "flat 5"
    assert folders(panel) == ["flat-05"]
    panel.buttons["show-all"].click()
    assert len(folders(panel)) == COUNT + 1
    controls["state"].value = NOT_PRICED
    assert folders(panel) == [BROKEN]


def test_the_chart_says_in_words_what_it_draws(place: Path, nothing_priced: list[str]) -> None:
    panel = jobs(place)
    (euros, points), (_, francs) = words.points_of(panel.book.rows.values()).items()
    line = price_line(points)
    assert euros == "EUR"
    assert line is not None
    assert "Flat 4, Invented Row" in [each.name for each in line.odd]
    said, drawn = plain(panel.chart.value), panel.chart.value
    for each in points:
        assert (f"{each.name}: {each.per_m2:.2f} EUR a m²" in said) == (each in line.odd)
        assert (f">{each.name}<" in drawn) == (each in line.odd)
    assert f"{len(points)} jobs" in said
    assert "further from the line than 3.5 times" in said
    assert len(francs) == 1
    assert "Too few for a line" in said
    label = re.search(r"<svg[^>]* aria-label=\"([^\"]+)\"", drawn)
    assert label is not None
    assert plain(label[1]) in said
    panel.controls["state"].value = "quoted"
    assert "odd" not in plain(panel.chart.value).replace("So none is called odd", "")


def test_a_row_leads_to_its_budget_or_says_the_command(place: Path, nothing_priced: list[str]) -> None:
    shutil.move(place / "flat-01", place / "flat 1 #?é")
    shutil.copy(demo_folder() / "README.md", place / f"{JOBS_WORKBOOK}.ipynb")  # whatever is in it
    (place / "flat-02" / "budget.ipynb").unlink()
    rows = {row["key"]: row for row in jobs(place).table.rows}
    assert rows["flat 1 #?é"]["href"] == "flat%201%20%23%3F%C3%A9/budget.ipynb"
    assert rows["flat 1 #?é"]["command"] == ""
    assert (rows["flat-02"]["href"], rows["flat-02"]["command"]) == (
        "",
        f"mytakeoff open {place / 'flat-02'}",
    )
    (place / f"{JOBS_WORKBOOK}.ipynb").unlink()
    assert not any(row["href"] for row in jobs(place).table.rows), "no page is shown from here"


def test_without_job_folders_the_demo_is_shown_and_nothing_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, nothing_priced: list[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    panel = jobs()
    assert folders(panel) == [demo_folder().name]
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(mt.TakeoffError, match="no such folder"):
        jobs(tmp_path / "nowhere")


async def _until(holds: Callable[[], bool]) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < deadline, "it did not come to that"
        await asyncio.sleep(0.05)


def _total(panel: JobsPanel, name: str) -> Decimal | None:
    total: Decimal | None = panel.book.rows[name]["total"]
    return total


def test_jobs_are_priced_beside_and_again_when_they_are_edited(tmp_path: Path) -> None:
    """Added, edited, put right, taken away: each is seen, while the loop runs on."""
    place = tmp_path / "firm"
    write_job(place / "one", 1)
    wrong = write_job(place / "two", 2) / "job.toml"
    good = wrong.read_text("utf-8")
    wrong.write_text(good.replace("waste_share = 0.1 ", 'waste_share = "much" '), "utf-8")

    async def watched() -> None:
        panel = jobs(place)
        panel.book.watch._gone = lambda: False
        longest, last = 0.0, time.monotonic()

        async def ticking() -> None:
            nonlocal longest, last
            while True:
                await asyncio.sleep(0.01)
                longest, last = max(longest, time.monotonic() - last), time.monotonic()

        beside = asyncio.create_task(ticking())
        assert "2 jobs" in plain(panel.headline.value)
        assert "being priced" in panel.table.rows[0]["busy"]
        assert "Pricing" in panel.progress.value
        await _until(lambda: not panel.book.waiting)
        first = _total(panel, "one")
        assert first is not None
        assert _total(panel, "two") is None
        assert set(read_kept(kept_path(place / "jobs.csv"))) == {"one"}

        job = mt.open_job(place / "one")
        mt.save_job(replace(job, waste_share=0.6), place / "one", job)
        wrong.write_text(good, "utf-8")
        write_job(tmp_path / "three", 3).rename(place / "three")
        await _until(
            lambda: len(panel.book.rows) == 3 and not panel.book.waiting and _total(panel, "one") != first
        )
        assert _total(panel, "one") == mt.evaluate(mt.open_job(place / "one")).cost.total
        assert _total(panel, "two") is not None
        assert _total(panel, "three") is not None
        shutil.rmtree(place / "two")
        await _until(lambda: sorted(folders(panel)) == ["one", "three"])
        panel.book.watch.stop()
        beside.cancel()
        assert longest < 3.0, "the loop was held up"

    asyncio.run(watched())
    assert set(read_kept(kept_path(place / "jobs.csv"))) >= {"one", "three"}
