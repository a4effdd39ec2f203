"""A job folder that a panel may write to."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo import copy_of_demo


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo job's folder."""
    return copy_of_demo(tmp_path)
