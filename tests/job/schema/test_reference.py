"""The reference is what the field table gives."""

from __future__ import annotations

from pathlib import Path

from cutfiles.job.schema.fields import AVOID, REPEAT, SHRINK, TABLES
from cutfiles.job.schema.output import LAYER
from cutfiles.job.schema.reference import reference


def test_the_committed_reference_is_up_to_date() -> None:
    """Refresh: python -m cutfiles.job.schema.reference > docs/job-file.md."""
    assert (Path(__file__).parents[3] / "docs/job-file.md").read_text(encoding="utf-8") == reference()


def test_the_reference_names_every_key() -> None:
    """Counted in the text, not in the code that makes it."""
    rows = [line for line in reference().splitlines() if line.startswith("| `")]
    assert len(rows) == sum(len(table.fields) for table in (*TABLES, AVOID, REPEAT, SHRINK, LAYER))
