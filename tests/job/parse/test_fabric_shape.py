"""A fabric's outline and what is to be avoided on it."""

from __future__ import annotations

import pytest

from cutfiles.core.errors import JobError
from cutfiles.job.model.job import FabricSpec
from cutfiles.job.parse.read import parse_job

HEAD = '[plate]\nblade_length = 4\ninner_radius = 1\n[[fabric]]\nname = "tide"\n'
IN = 25.4


def _fabric(rest: str) -> FabricSpec:
    return parse_job(HEAD + rest).fabrics[0]


def test_a_rectangle_has_neither_outline_nor_flaws() -> None:
    """As ever."""
    fabric = _fabric("width = 5\nlength = 6")
    assert (fabric.outline, fabric.avoid, fabric.is_rectangle) == ((), (), True)


def test_an_outline_gives_the_size_and_counts_from_its_lower_left() -> None:
    """Wherever its corners were counted from, and whichever way round."""
    fabric = _fabric(
        'outline = [[1, 2], [2, "9 in"], [10, 8], ["11 in", 2]]\n'
        "avoid = [{ x = 3, y = 4, width = 1, length = 2 }]"
    )
    assert (fabric.width_mm, fabric.length_mm) == pytest.approx((10 * IN, 7 * IN))
    corners = [(round(x / IN, 6), round(y / IN, 6)) for x, y in fabric.outline]
    assert corners == [(10, 0), (9, 6), (1, 7), (0, 0)]
    (flaw,) = fabric.avoid
    assert [(round(x / IN, 6), round(y / IN, 6)) for x, y in flaw] == [(2, 2), (3, 2), (3, 4), (2, 4)]
    assert not fabric.is_rectangle


def test_flaws_are_rectangles_or_polygons() -> None:
    """In the job's unit, from the fabric's corner; x and y may be left out."""
    fabric = _fabric(
        'width = 5\nlength = 6\navoid = [{ width = 1, length = "2 in" }, '
        "{ points = [[0, 0], [1, 0], [0, 1]] }]"
    )
    assert fabric.avoid == (
        ((0, 0), (IN, 0), (IN, 2 * IN), (0, 2 * IN)),
        ((0, 0), (IN, 0), (0, IN)),
    )


def test_sizes_beside_an_outline_may_say_the_same() -> None:
    """But nothing else."""
    outline = "outline = [[0, 0], [10, 0], [0, 7]]\n"
    assert _fabric(outline + "width = 10\nlength = 7").width_mm == pytest.approx(10 * IN)
    with pytest.raises(JobError, match=r"fabric\.tide\.length: is 8 in, but the outline measures 7 in"):
        _fabric(outline + "length = 8")


def test_a_hundred_flaws_are_enough() -> None:
    """More is a slip, or not fabric any more."""
    flaw = "{ width = 1, length = 1 }"
    assert len(_fabric(f"width = 5\nlength = 6\navoid = [{', '.join([flaw] * 100)}]").avoid) == 100
    with pytest.raises(JobError, match=r"fabric\.tide\.avoid: 101 are too many"):
        _fabric(f"width = 5\nlength = 6\navoid = [{', '.join([flaw] * 101)}]")
