"""What tests of commands share."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.commands import SMALL


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The small job as a file in a folder of its own."""
    path = tmp_path / "small.toml"
    path.write_text(SMALL)
    return path
