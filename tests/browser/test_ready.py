"""The workbook's kernel starts with the server, for the package's own workbook only."""

from __future__ import annotations

import json
import time
from pathlib import Path

from driving import JobServer, serving

from mytakeoff.launch.folder import new_job_folder

PATIENCE_S = 60  # on a machine that does other things beside
LONG_ENOUGH_S = 6.0


def sessions(server: JobServer) -> list[str]:
    """Workbooks that have a kernel."""
    return [session["path"] for session in json.loads(server._ask("GET", "/api/sessions"))]


def test_the_own_workbook_has_a_kernel_before_any_page(tmp_path: Path) -> None:
    folder = new_job_folder(tmp_path / "job", demo=True)
    (tmp_path / "server").mkdir()
    with serving(folder, tmp_path / "server") as server:
        deadline = time.monotonic() + PATIENCE_S
        while not sessions(server) and time.monotonic() < deadline:
            time.sleep(0.2)
        assert sessions(server) == ["budget.ipynb"]
        server.stop_kernels()


def test_a_changed_workbook_has_none(tmp_path: Path) -> None:
    folder = new_job_folder(tmp_path / "job", demo=True)
    workbook = folder / "budget.ipynb"
    workbook.write_text(workbook.read_text(encoding="utf-8").replace("panel", "pane1"), encoding="utf-8")
    (tmp_path / "server").mkdir()
    with serving(folder, tmp_path / "server") as server:
        time.sleep(LONG_ENOUGH_S)
        assert sessions(server) == []
