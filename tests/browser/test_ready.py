"""A kernel starts with the server and waits for its page; no notebook has one before it is opened."""

from __future__ import annotations

import json
import time
from contextlib import suppress
from pathlib import Path
from urllib.error import URLError

from driving import JobServer, serving

from mytakeoff.launch.folder import new_job_folder

PATIENCE_S = 60  # on a machine that does other things beside


def running(server: JobServer, what: str) -> list[str]:
    """Kernels or sessions of a server, by id."""
    return [each["id"] for each in json.loads(server._ask("GET", f"/api/{what}"))]


def test_a_kernel_is_ready_before_any_page_and_belongs_to_none(tmp_path: Path) -> None:
    """Not to a changed workbook either, which waits for a click."""
    folder = new_job_folder(tmp_path / "job", demo=True)
    workbook = folder / "budget.ipynb"
    workbook.write_text(workbook.read_text(encoding="utf-8").replace("panel", "pane1"), encoding="utf-8")
    (tmp_path / "server").mkdir()
    with serving(folder, tmp_path / "server") as server:
        deadline = time.monotonic() + PATIENCE_S
        ready: list[str] = []
        while not ready and time.monotonic() < deadline:
            time.sleep(0.2)
            with suppress(URLError):  # it says its address a moment before it listens
                ready = running(server, "kernels")
        assert len(ready) == 1
        assert running(server, "sessions") == []
