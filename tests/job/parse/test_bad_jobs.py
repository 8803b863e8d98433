"""Every bad job is refused with exactly the message that its first line holds."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutfiles.core.errors import CutfilesError
from cutfiles.pipeline import Options, make, size

BAD_JOBS = sorted((Path(__file__).parents[3] / "fixtures/bad_jobs").glob("*.toml"))


def test_there_are_enough_bad_jobs() -> None:
    """A wrong folder must not pass for no errors."""
    assert len(BAD_JOBS) >= 40


@pytest.mark.parametrize("path", BAD_JOBS, ids=lambda path: path.stem)
def test_a_bad_job_gets_its_message(path: Path) -> None:
    """The message says where, what was found, what is allowed; to the letter."""
    expected = path.read_text(encoding="utf-8").splitlines()[0].removeprefix("# expects: ")
    with pytest.raises(CutfilesError) as caught:
        make(size(path), Options())
    assert str(caught.value) == expected
    assert caught.value.exit_status == 2
    assert "\n" not in expected
