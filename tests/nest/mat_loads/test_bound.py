"""How few loads: against every packing of small sets, and against what is known in closed form."""

from __future__ import annotations

import random
import time
from functools import cache

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.job.model.job import MatSpec, Register
from cutfiles.nest.cutting_rules.reach import Reach, Rect, reach_of
from cutfiles.nest.mat_loads.bound import fewest_loads
from cutfiles.nest.mat_loads.loads import on_loads

CELL = 10.0  # mm; a rectangle of w by h cells leaves the mm between fabrics free
Cells = tuple[tuple[int, int], ...]


def _reach(width: int, height: int) -> Reach:
    return reach_of(MatSpec(width * CELL - 1, height * CELL - 1, 0.0), Register.NONE)


def _sizes(cells: Cells) -> list[tuple[float, float]]:
    return [(width * CELL - 1, height * CELL - 1) for width, height in cells]


@cache
def _fits(cells: Cells, width: int, height: int) -> bool:
    """Whether all lie on one mat: every rectangle on every cell, both ways round."""

    def lay(index: int, taken: int) -> bool:
        if index == len(cells):
            return True
        for across, up in {cells[index], cells[index][::-1]}:
            for x in range(width - across + 1):
                for y in range(height - up + 1):
                    own = sum(((1 << across) - 1) << (x + row * width) for row in range(y, y + up))
                    if not own & taken and lay(index + 1, taken | own):
                        return True
        return False

    return sum(w * h for w, h in cells) <= width * height and lay(0, 0)


def _fewest(cells: Cells, width: int, height: int) -> int:
    """Over all ways to share them out among mats."""
    best = len(cells)

    def share(index: int, mats: list[list[tuple[int, int]]]) -> None:
        nonlocal best
        if len(mats) >= best and index < len(cells):
            return
        if index == len(cells):
            best = min(best, len(mats))
            return
        for mat in [*mats, []]:
            new = not mat
            mat.append(cells[index])
            if _fits(tuple(sorted(mat)), width, height):
                share(index + 1, [*mats, mat] if new else mats)
            mat.pop()

    share(0, [])
    return best


@settings(max_examples=120, deadline=None)
@given(
    mat=st.sampled_from([(4, 4), (5, 4), (6, 3), (5, 5)]),
    cells=st.lists(st.tuples(st.integers(1, 4), st.integers(1, 3)), min_size=1, max_size=5),
)
@example(mat=(4, 4), cells=[(3, 3), (3, 3), (1, 3), (1, 3), (1, 1)])
@example(mat=(5, 5), cells=[(3, 2), (3, 2), (3, 2), (3, 2), (1, 1)])  # a pinwheel about a hole
@example(mat=(5, 4), cells=[(3, 3), (3, 3), (2, 2)])
def test_the_bound_is_never_above_the_best_of_all_packings(
    mat: tuple[int, int], cells: list[tuple[int, int]]
) -> None:
    """And what is found is never below it, nor more than a load above."""
    own = tuple((min(w, max(mat)), min(h, *mat)) for w, h in cells)
    own = tuple(size for size in own if _fits((size,), *mat))
    spreads = on_loads(_sizes(own), _reach(*mat), gap_mm=0.0)
    best = _fewest(own, *mat) if own else 0
    assert spreads.at_least <= best <= spreads.loads <= best + 1


@pytest.mark.parametrize(
    ("cells", "mat", "fewest"),
    [
        (((3, 3),) * 4, (5, 5), 4),  # no two beside each other: four mats, where the area says two
        (((2, 2),) * 9, (5, 5), 3),  # four to a mat, where the area says two
        (((3, 2),) * 5, (5, 5), 2),  # four about a hole
        (((4, 1),) * 4, (4, 4), 1),
        (((5, 2),) * 3 + ((2, 1),) * 4, (5, 5), 2),
    ],
)
def test_what_is_proven_by_hand_is_proven(cells: Cells, mat: tuple[int, int], fewest: int) -> None:
    """Both ways: that many are found, and no fewer can do."""
    spreads = on_loads(_sizes(cells), _reach(*mat), gap_mm=0.0)
    assert (spreads.loads, spreads.at_least) == (fewest, fewest)


def test_thirds_that_fit_exactly_are_not_proven_too_large() -> None:
    """Three times a third is one, whatever the last bit says."""
    for count in range(2, 13):
        side = 100.0 / count
        assert fewest_loads([(side, side)] * count**2, [Rect(0.1, 0.2, 100.0, 100.0)]) == 1


def test_marks_take_their_corners_from_the_area() -> None:
    """What just covers a mat without marks needs more than one with them."""
    mat = MatSpec(99.0, 99.0, 0.0)
    strips = [(98.0, 9.0)] * 10
    assert on_loads(strips, reach_of(mat, Register.NONE), gap_mm=0.0).at_least == 1
    narrow = [(60.0, 9.0)] * 10 + [(30.0, 9.0)] * 10
    assert on_loads(narrow, reach_of(mat, Register.CROSS), gap_mm=0.0).at_least >= 1
    small = [(9.0, 9.0)] * 100  # a hundred of 10 by 10 with their spacing: the whole of 100 by 100
    assert on_loads(small, reach_of(mat, Register.NONE), gap_mm=0.0).at_least == 1
    assert on_loads(small, reach_of(mat, Register.CROSS), gap_mm=0.0).at_least == 2


def test_fabrics_come_in_the_order_of_the_job_and_few_to_a_load() -> None:
    """Equal squares of three fabrics, four to a load, named in turns: each load is of one fabric."""
    names = ["tide", "rope", "buoy"] * 4
    spreads = on_loads([(40.0, 40.0)] * 12, _reach(9, 9), gap_mm=0.0, names=names)
    assert (spreads.loads, spreads.at_least) == (3, 3)
    assert {(place.load, name) for place, name in zip(spreads.places, names, strict=True)} == {
        (0, "tide"),
        (1, "rope"),
        (2, "buoy"),
    }


def test_five_hundred_rectangles_take_little_time_and_come_out_the_same() -> None:
    """Under two seconds; ten times that is allowed here."""
    dice = random.Random(0)
    usual = ((127.0, 127.0), (254.0, 254.0), (63.5, 279.4), (228.6, 279.4), (114.3, 127.0))
    sizes = [dice.choice(usual) for _ in range(250)]
    sizes += [(dice.uniform(25, 200), dice.uniform(25, 250)) for _ in range(250)]
    reach = reach_of(MatSpec(304.8, 609.6, 6.35), Register.CROSS)
    start = time.process_time()
    spreads = on_loads(sizes, reach, gap_mm=1.5875)
    assert time.process_time() - start < 20
    assert spreads.at_least <= spreads.loads <= 1.15 * spreads.at_least
    assert on_loads(sizes, reach, gap_mm=1.5875) == spreads
