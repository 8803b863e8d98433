"""What a fabric gives, whether that is all it holds, and what is left of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutfiles.core.units import Unit
from cutfiles.job.model.job import FabricSpec, Print, Register, Share
from cutfiles.nest.base.layout import FabricTally, Left
from tests.nest.jobs import IN, Count, background_square, bed_of, cut_list_of, fabric_of, nested, usual_shapes


def _square(name: str, *, size: tuple[float, float], pieces: int = 1, count: Count = 1) -> FabricSpec:
    return fabric_of(name, size=size, pieces=pieces, cuts={"background": count})


def _tally(fabric: FabricSpec, *, side: float = 4, mat: tuple[float, float] = (12, 24)) -> FabricTally:
    """Of a fabric that gives squares of some inches."""
    job = cut_list_of((background_square(side),), {}, fabric)
    return nested(job, bed_of(mat=mat, gap=0.0, register=Register.NONE)).tallies[0]


def _inches(left: Left | None) -> tuple[int, tuple[float, ...]]:
    assert left is not None
    sides = (left.x_mm, left.y_mm, left.width_mm, left.length_mm)
    return left.piece, tuple(round(side / IN, 6) for side in sides)


def test_a_square_in_a_corner_leaves_the_longer_strip() -> None:
    """4 by 4 of 10 by 11: above it 10 by 7, beside it 6 by 11."""
    assert _inches(_tally(_square("tide", size=(10, 11))).left) == (1, (0, 4, 10, 7))
    assert _inches(_tally(_square("tide", size=(11, 9))).left) == (1, (4, 0, 7, 9))


def test_it_is_of_the_last_piece_that_is_cut_into() -> None:
    """Three squares on pieces that hold one each; a fourth piece stays whole."""
    tally = _tally(_square("tide", size=(7, 5), pieces=4, count=3))
    assert _inches(tally.left) == (3, (4, 0, 3, 5))
    assert (tally.pieces_used, tally.pieces_whole) == (3, 1)


def test_beside_what_is_cut_by_hand() -> None:
    """A square of 20 in of cloth of 30 by 44 in, on a mat that doesn't hold it."""
    tally = _tally(_square("sailcloth", size=(30, 44)), side=20)
    assert _inches(tally.left) == (1, (0, 20, 30, 24))


def test_within_and_beside_rough_cuts() -> None:
    """Of 30 by 14, cut for a mat of 12 by 24, nine squares of 4 leave more beside the rough cuts."""
    tally = _tally(_square("sailcloth", size=(30, 14), count=9))
    piece, (x, y, width, length) = _inches(tally.left)
    assert piece == 1
    assert x + width <= 30
    assert y + length <= 14
    # Nine squares cover 144; whatever the rough cuts, a third of the rest stays in one piece.
    assert width * length >= (30 * 14 - 144) / 3


def test_nothing_of_a_scrap_that_is_no_cloth_is_left() -> None:
    """Of a right triangle of 12 in the best rectangle beside a square of 4 in its corner lies on its leg."""
    scrap = replace(_square("tide", size=(12, 12)), outline=((0.0, 0.0), (12 * IN, 0.0), (0.0, 12 * IN)))
    tally = _tally(scrap, mat=(14, 24))
    piece, (x, y, width, length) = _inches(tally.left)
    assert piece == 1
    assert x + width + y + length <= 12 + 1e-6
    # A square in the corner leaves a triangle of 8 above it or beside: half its area is 16.
    assert width * length >= 15.5


def test_a_fabric_that_nothing_is_cut_from_leaves_all() -> None:
    """No piece of it is begun."""
    tide, rope = _square("tide", size=(5, 5)), _square("rope", size=(5, 5), count=Share.REST)
    job = cut_list_of((background_square(4),), {"background": 1}, tide, rope)
    tally = nested(job, bed_of()).tallies[1]
    assert (tally.left, tally.pieces_whole, tally.limited) == (None, 1, ())


@pytest.mark.parametrize(
    ("counts", "limited"),
    [
        ((Share.FILL, 1), (True, False)),
        ((Share.REST, Share.REST), (False, False)),  # 2 and 2 of the 8 that each holds
        ((4, Share.REST), (False, False)),  # nothing is left to share
        ((2, Share.REST), (False, False)),
    ],
)
def test_what_gives_all_it_holds_is_marked(counts: tuple[Count, Count], limited: tuple[bool, bool]) -> None:
    """A fill always; a rest only where no more would have come of it."""
    fabrics = [
        fabric_of(n, pieces=4, cuts={"blade": c}) for n, c in zip(("tide", "rope"), counts, strict=True)
    ]
    layout = nested(cut_list_of(usual_shapes(), {"blade": 4}, *fabrics))
    assert tuple("blade" in tally.limited for tally in layout.tallies) == limited


def test_a_rest_that_takes_all_there_is_is_marked_too() -> None:
    """Tide holds two, and rope must give the other six of its eight."""
    fabrics = [fabric_of("tide", pieces=1), fabric_of("rope", pieces=4, print_=Print.TWO_WAY)]
    layout = nested(cut_list_of(usual_shapes(), {"blade": 8}, *fabrics))
    assert [tally.limited for tally in layout.tallies] == [("blade",), ()]


@pytest.mark.parametrize(
    ("sides", "unit", "says"),
    [
        ((5.2, 8.62), Unit.IN, "5 1/8 × 8 1/2 in"),
        ((5.2, 8.62), Unit.CM, "13 × 21.5 cm"),
        ((5.2, 8.62), Unit.MM, "130 × 215 mm"),
        ((0.98, 20), Unit.IN, ""),
        ((1.0, 20), Unit.IN, "1 × 20 in"),
    ],
)
def test_sizes_are_rounded_down_and_slivers_left_out(
    sides: tuple[float, float], unit: Unit, says: str
) -> None:
    """Nobody is promised more cloth than there is."""
    assert Left(1, 0.0, 0.0, sides[0] * IN, sides[1] * IN).size(unit) == says
