"""`mytakeoff price` and `mytakeoff check` in a process of their own, as a user starts them."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from dataclasses import asdict, replace
from datetime import date
from decimal import Decimal
from html import unescape
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from command import COMMAND, environment, run, start, write_jobs
from demo import copy_of_demo, demo, demo_result
from places import CHECKOUT

import mytakeoff as mt
from mytakeoff.audience import AUDIENCES, CLIENT, ESTIMATOR, Audience
from mytakeoff.cost.shown import HEAD
from mytakeoff.figures.in_words import facts, first_step
from mytakeoff.io.tables.costs import export_costs
from mytakeoff.launch.command import main
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.panels import budget

NEVER = ("ipywidgets", "anywidget", "traitlets", "IPython", "jupyterlab", "nbformat", "matplotlib", "pyarrow")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two job folders, one with mistakes, and one that is none."""
    place = tmp_path_factory.mktemp("jobs")
    copy_of_demo(place)
    write_jobs(place, 1)
    (place / "notes").mkdir()
    (place / "wrong").mkdir()
    (place / "wrong" / "job.toml").write_text('format = 1\ntitle = 3\nwaste_share = "much"\n')
    return place


def read_json(text: str) -> Any:
    return json.loads(text, parse_float=Decimal)


@pytest.mark.parametrize("audience", AUDIENCES)
def test_a_pipe_gets_headline_and_table_as_the_budget_shows_them(folder: Path, audience: Audience) -> None:
    panel = budget(demo())
    panel.view.value = audience
    done = run("price", "flat", *(["--client"] if audience == CLIENT else []), cwd=folder)
    assert (done.returncode, done.stderr) == (0, "")
    title, total, line, blank, *table = done.stdout.splitlines()
    assert blank == ""
    shown = unescape(panel.headline.value)
    assert all(said in shown for said in (title, total, *line.split(" · ")))
    lines = [line.strip() for line in table]
    for row in panel.table.widget.rows:
        [line] = [line for line in lines if line.startswith(row["item"]) and line.endswith(row["amount"])]
        assert line.split() == " ".join(row[name] for name in HEAD if row[name]).split()
    for label, amount, _ in panel.table.widget.shown["foot"]:
        assert [label, amount] in [re.split(" {2,}", line) for line in lines]
    assert len({len(line) for line in table if line[-1:].isdigit()}) == 1, "amounts stand one below the other"


def test_a_terminal_gets_the_same_table_ruled(folder: Path) -> None:
    """At 100 columns all of it fits; the pseudo-terminal is that of the system."""
    pytest.importorskip("pty", reason="Windows has no pseudo-terminals")
    text = in_a_terminal("price", "flat", cwd=folder, columns=100)
    plain = run("price", "flat", cwd=folder).stdout.splitlines()
    bare = [line.rstrip() for line in re.sub(r"\x1b\[[0-9;]*m", "", text).splitlines()]
    table = next(nth for nth, line in enumerate(bare) if line.split()[:2] == ["item", "quantity"])
    assert " ".join(bare[:table]).split() == " ".join(plain[:3]).split()
    rows = [line.split() for line in plain[4:] if line]
    assert [line.split() for line in bare[table:] if line and not set(line) <= {"─", " "}] == rows
    assert max(map(len, bare[1:])) <= 100
    assert "\x1b[1m" in text, "what stands out is bold"


def in_a_terminal(*arguments: str, cwd: Path, columns: int) -> str:
    """What the command writes to a terminal of so many columns."""
    import pty

    ours, its = pty.openpty()
    size = {"COLUMNS": str(columns), "TERM": "xterm"}
    process = subprocess.Popen([*COMMAND, *arguments], cwd=cwd, env=environment() | size, stdout=its)
    os.close(its)
    read = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # Linux says so at the end
            break
        if not part:
            break
        read += part
    os.close(ours)
    assert process.wait(timeout=60) == 0
    return read.decode()


@pytest.mark.parametrize("audience", AUDIENCES)
def test_json_has_the_headline_and_the_frame_of_each_job(folder: Path, audience: Audience) -> None:
    done = run("price", "wrong", "flat", "job-000", "--json",
               *(["--client"] if audience == CLIENT else []), cwd=folder)  # fmt: skip
    assert done.returncode == 1
    wrong, *priced = json.loads(done.stdout, parse_float=Decimal)
    assert wrong["folder"] == "wrong"
    assert {mistake["place"] for mistake in wrong["mistakes"]} >= {"job.toml, title", "job.toml, waste_share"}
    for told, name in zip(priced, ("flat", "job-000"), strict=True):
        result = mt.evaluate(mt.open_job(folder / name))
        assert (told["folder"], told["shown_to"], told["title"]) == (name, audience, result.job.title)
        head = asdict(mt.headline(result))
        if result.job.calendar.start is None:
            head["paint_from"] = None
        expected = head if audience == ESTIMATOR else {name: head[name] for name in told["headline"]}
        assert told["headline"] == {key: as_written(value) for key, value in expected.items()}
        assert told["table"] == result.cost.to_frame(audience).to_dict("records")
        assert sum(row["amount"] for row in told["table"]) == told["headline"]["total"] == result.cost.total


def as_written(value: Any) -> Any:
    """A figure as JSON gives it back."""
    if isinstance(value, float):
        return Decimal(repr(value))
    return value.isoformat() if isinstance(value, date) else value


def test_a_client_s_json_tells_no_more_than_the_screen(folder: Path) -> None:
    [told] = json.loads(run("price", "flat", "--client", "--json", cwd=folder).stdout)
    names = {"days": "site_days", "paint": "paint_from"}
    assert set(told["headline"]) == {names.get(name, name) for name in facts(demo_result(), CLIENT)}
    assert set(told["table"][0]) == {"item", "room", "amount", "currency", "shown_to"}


def test_csv_in_a_pipe_is_the_frame(folder: Path) -> None:
    done = run("price", "flat", "--csv", cwd=folder)
    rows = list(csv.reader(io.StringIO(done.stdout)))
    frame = demo_result().cost.to_frame()
    assert rows[0] == list(frame.columns)
    assert [row[4] for row in rows[1:]] == [f"{amount:f}" for amount in frame["amount"]]
    both = pd.read_csv(io.StringIO(run("price", "flat", "job-000", "--csv", cwd=folder).stdout), dtype=str)
    assert list(both.columns) == ["folder", *frame.columns]
    assert list(both[both["folder"] == "flat"]["amount"]) == [row[4] for row in rows[1:]]
    assert set(both["folder"]) == {"flat", "job-000"}


def test_files_are_those_of_the_workbook(folder: Path, tmp_path: Path) -> None:
    done = run("price", folder / "flat", "--csv", "flat.csv", "--json", "flat.json", cwd=tmp_path)
    assert done.returncode == 0
    assert done.stdout.startswith("For the estimator: ")
    assert done.stderr.splitlines() == ["Wrote flat.json", "Wrote flat.csv"]
    export_costs(demo_result(), tmp_path / "own.csv")
    assert (tmp_path / "flat.csv").read_bytes() == (tmp_path / "own.csv").read_bytes()
    assert (tmp_path / "flat-walls.csv").read_bytes() == (tmp_path / "own-walls.csv").read_bytes()
    assert "Cautions" in (tmp_path / "flat.txt").read_text("utf-8-sig")
    [told] = json.loads((tmp_path / "flat.json").read_text("utf-8"))
    assert told["headline"]["total"] == float(demo_result().cost.total)


def test_a_file_for_the_client_is_named_so(folder: Path, tmp_path: Path) -> None:
    done = run("price", folder / "flat", "--client", "--csv", "flat.csv", cwd=tmp_path)
    assert done.returncode == 2
    assert "'flat-client.csv'" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_check_tells_mistakes_and_nothing_else(folder: Path) -> None:
    done = run("check", "flat", "wrong", "notes", cwd=folder)
    assert (done.returncode, done.stderr) == (1, "")
    places = [line.split(";")[0] for line in done.stdout.splitlines()]
    assert "wrong: job.toml, title: 3" in places
    assert "wrong: job.toml, waste_share: 'much'" in places
    assert places[-1] == "notes: no job.toml"
    assert not any(place.startswith("flat") for place in places)
    sound = run("check", "flat", "job-000", cwd=folder)
    assert (sound.returncode, sound.stdout, sound.stderr) == (0, "2 jobs without mistakes.\n", "")


def test_what_is_wrong_with_one_job_is_told_and_the_other_is_priced(folder: Path) -> None:
    done = run("price", "wrong", "flat", cwd=folder)
    assert done.returncode == 1
    assert done.stdout == run("price", "flat", cwd=folder).stdout
    assert done.stderr.splitlines()[0] == "wrong (1 of 2)"
    assert "wrong: job.toml, title: 3; a text stands here" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["price"], "mytakeoff price FOLDER"),
        (["check"], "mytakeoff check FOLDER"),
        (["price", "--csv", "flat"], "mytakeoff price flat --csv"),
        (["price", "flat", "--csv", "--json"], "--csv FILE"),
        (["price", "flat", "--out", "jobs.xlsx"], ".csv or .parquet"),
        (["price", "flat", "--out", "nowhere/jobs.csv"], "a folder that is there"),
        (["price", "flat", "--out", "jobs.csv", "--client"], "--out with --client"),
        (["price", "flat", "--out", "jobs.csv", "--quotation"], "--quotation"),
        (["price", "flat", "--out", "jobs.csv", "--processes", "0"], "1 to 1024"),
        (["price", "flat", "--scheduler", "tcp://here:1"], "--out TABLE.csv"),
        (
            ["price", "flat", "--out", "jobs.csv", "--scheduler", "tcp://here:1", "--processes", "2"],
            "leave --processes out",
        ),
        (["price", "flat", "--json", "nowhere/flat.json"], "could not be written"),
    ],
)
def test_what_cannot_be_is_told_with_its_remedy(
    folder: Path, arguments: list[str], said: str, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.chdir(folder)
    before = sorted(folder.rglob("*"))
    assert main(arguments) == 2
    assert said in capsys.readouterr().err
    assert sorted(folder.rglob("*")) == before


def test_a_job_of_which_nothing_is_read_says_what_to_do_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new_job_folder(tmp_path / "new")
    assert main(["price", str(tmp_path / "new")]) == 0
    _, *said = capsys.readouterr().out.splitlines()
    assert said == ["Nothing priced yet", first_step(mt.open_job(tmp_path / "new"))]


def test_a_title_steers_no_terminal(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = replace(mt.open_job(folder / "job-000"), title="flat \x1b]0;mine\x07 \u202e3")
    mt.save_job(job, folder / "steers")
    assert main(["price", str(folder / "steers")]) == 0
    said = capsys.readouterr().out
    assert said.startswith("For the estimator: flat \ufffd]0;mine\ufffd \ufffd3: whole job")


def test_neither_notebook_nor_browser_is_loaded(folder: Path) -> None:
    script = (
        "import sys; from mytakeoff.launch.command import main\n"
        "main(['price', 'flat']); main(['check', 'flat'])\n"
        f"print(*(name for name in {NEVER!r} if name in sys.modules), file=sys.stderr)"
    )
    command = [sys.executable, "-c", script]
    done = subprocess.run(command, cwd=folder, env=environment(), capture_output=True, text=True, check=True)
    assert done.stderr.strip() == ""


def test_who_reads_no_further_gets_no_complaint(folder: Path) -> None:
    process = start("price", "flat", cwd=folder)
    assert process.stdout is not None
    process.stdout.readline()
    process.stdout.close()
    assert process.wait(timeout=60) == 0
    assert process.stderr is not None
    assert process.stderr.read() == ""
    process.stderr.close()


def test_quotations_are_written_beside_printing_and_what_cannot_be_is_told(tmp_path: Path) -> None:
    """Those of ``flat`` are what `mytakeoff quote` writes; ``done`` has been quoted as it was before."""
    copy_of_demo(tmp_path)
    write_jobs(tmp_path, 1)
    (tmp_path / "notes").mkdir()
    job = mt.open_job(tmp_path / "job-000")
    mt.save_job(job, tmp_path / "done")
    [*_] = mt.write_quotation(mt.evaluate(job), tmp_path / "done")
    mt.save_job(replace(job, title="another"), tmp_path / "done")
    before = {path: path.read_bytes() for path in (tmp_path / "done").iterdir() if path.is_file()}
    done = run("price", "notes", "flat", "done", "job-000", "--quotation", cwd=tmp_path)
    assert done.returncode == 1
    assert done.stdout == run("price", "flat", "done", "job-000", cwd=tmp_path).stdout
    told = done.stderr.splitlines()
    assert [line for line in told if " of 4)" in line] == [
        f"{name} ({nth} of 4)" for nth, name in enumerate(("notes", "flat", "done", "job-000"), 1)
    ]
    assert any(line.startswith("notes: no job.toml; ") for line in told)
    assert any(line.startswith("done: ") and "never written over" in line for line in told)
    wrote = [line.removeprefix("Wrote ") for line in told if line.startswith("Wrote ")]
    assert len(wrote) == 10
    assert {Path(name).parts[0] for name in wrote} == {"flat", "job-000"}
    assert {path: path.read_bytes() for path in before} == before
    own = mt.write_quotation(mt.evaluate(mt.open_job(tmp_path / "flat")), tmp_path / "flat")
    assert [str(path.relative_to(tmp_path)) for path in own] == wrote[:5], (
        "of the same job, to the fingerprint"
    )


@pytest.mark.parametrize("command", ["price", "check"])
def test_help_says_how_it_ends_and_the_readme_too(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main([command, "--help"])
    said = capsys.readouterr().out
    codes = re.findall(r"^ +(\d+) ", said[said.index("exit codes") :], re.MULTILINE)
    assert codes == ["0", "1", "2", "130"]
    readme = (CHECKOUT / "README.md").read_text("utf-8")
    assert f"mytakeoff {command} " in readme
    assert all(f"`{code}`" in readme for code in codes)
