"""What the sheet says of a runner and of a square."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutfiles.job.model.job import QuiltSpec
from cutfiles.plate.measure import plate_of
from cutfiles.sheet.sections.quilt import quilt_section
from tests.sheet.jobs import HARBOUR, IN, words_of

RUNNER = QuiltSpec(1, 3, 2.5 * IN, 2 * IN, 40 * IN)


def _words(quilt: QuiltSpec | None) -> str:
    job = replace(HARBOUR, quilt=quilt)
    element = quilt_section(job, plate_of(job))
    return "" if element is None else words_of(element)


def test_a_runner_is_told_with_its_numbers_and_steps_in_order() -> None:
    """Three blocks of 12 1/2 in, joined, layered, quilted, bound."""
    words = _words(RUNNER)
    assert words.startswith("The runner")
    order = [
        "Join the blocks side by side", "Lay the backing, 41 1/2 in × 16 1/2 in", "Quilt as",
        "Join the 3 strips",
    ]  # fmt: skip
    places = [words.index(step) for step in order]
    assert places == sorted(places)
    assert "Join the rows" not in words


@pytest.mark.parametrize(
    ("change", "lacks"),
    [({"binding_mm": 0.0}, "strips"), ({"backing_mm": 0.0}, "backing")],
)
def test_what_it_hasn_t_is_not_told(change: dict[str, float], lacks: str) -> None:
    """Neither among the sizes nor among the steps."""
    assert lacks in _words(RUNNER)
    assert lacks not in _words(replace(RUNNER, **change))  # type: ignore[arg-type]


def test_a_square_has_rows_and_panels() -> None:
    """Five by five are 62 1/2 in; a backing of 66 1/2 in is joined of two panels."""
    words = _words(replace(RUNNER, rows=5, columns=5))
    assert words.startswith("The quilt")
    assert "to 5 rows of 5" in words
    assert "Join the rows" in words
    assert "Join the 2 panels" in words
    assert _words(None) == ""
