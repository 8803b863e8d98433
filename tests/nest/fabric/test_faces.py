"""A piece of cloth lies one side up on the mat: shapes of unlike sides come from pieces of their own."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import pytest

from cutfiles.core.errors import UnmetError
from cutfiles.job.model.job import FabricSpec, Face, Grain, Print, Share
from cutfiles.job.schema.field import LONGEST_MM
from cutfiles.nest.base.layout import Layout
from cutfiles.nest.verify.verify import Law, faults_of
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import CutList, Shape
from tests.nest.jobs import (
    IN,
    Count,
    background_square,
    bed_of,
    blade_of,
    centre_circle,
    cut_list_of,
    fabric_of,
    nested,
)

WRONG, RIGHT = Face.WRONG_SIDE_UP, Face.RIGHT_SIDE_UP
SHAPES: tuple[Shape, ...] = (blade_shape(blade_of(length=3)), centre_circle(1.0), background_square(6))


def two_sided(size: tuple[float, float], pieces: int, cuts: dict[str, Count]) -> FabricSpec:
    """Return a fabric whose backgrounds lie right side up and all else wrong side up."""
    fabric = fabric_of(size=size, pieces=pieces, cuts=cuts)
    faces = tuple((shape, RIGHT if shape == "background" else WRONG) for shape in cuts)
    return replace(fabric, faces=faces)


def lying(layout: Layout) -> dict[tuple[int, Face], list[str]]:
    """Return the shapes on each piece of cloth, by the side that is up."""
    shapes = defaultdict(list)
    for load in layout.loads:
        for laid in load.fabrics:
            shapes[laid.piece, laid.face] += [placement.shape for placement in laid.placements]
    return dict(shapes)


def laid_out(needs: dict[str, int], fabric: FabricSpec) -> tuple[CutList, Layout]:
    """Return what is asked and where it lies."""
    job = cut_list_of(SHAPES, needs, fabric)
    return job, nested(job, bed_of())


def test_each_piece_gives_shapes_of_one_side() -> None:
    """A background each from two squares; what had room beside them lies elsewhere."""
    fabric = two_sided((8, 10), 4, {"blade": 6, "centre": 1, "background": 2})
    _, layout = laid_out({"blade": 6, "centre": 1, "background": 2}, fabric)
    found = lying(layout)
    assert [shapes for (_, face), shapes in found.items() if face is RIGHT] == [["background"]] * 2
    (others,) = [shapes for (_, face), shapes in found.items() if face is WRONG]
    assert sorted(others) == ["blade"] * 6 + ["centre"]
    assert len({piece for piece, _ in found}) == 3
    same = replace(fabric, faces=())
    _, together = laid_out({"blade": 6, "centre": 1, "background": 2}, same)
    assert len(lying(together)) == 2  # so it is the side that parts them, not the room


def test_what_fills_takes_the_pieces_that_no_number_needs() -> None:
    """However many backgrounds fill, the blades asked for are there."""
    fabric = two_sided((8, 10), 5, {"blade": 4, "background": Share.FILL})
    _, layout = laid_out({"blade": 4, "background": 1}, fabric)
    found = lying(layout)
    assert sorted(found[(5, WRONG)] if (5, WRONG) in found else found[(1, WRONG)]) == ["blade"] * 4
    assert sum(shapes == ["background"] for shapes in found.values()) == 4


def test_one_piece_has_one_side_and_the_message_says_so() -> None:
    """And how many pieces more would do."""
    fabric = two_sided((8, 10), 1, {"blade": Share.REST, "background": Share.REST})
    with pytest.raises(UnmetError) as caught:
        laid_out({"blade": 4, "background": 1}, fabric)
    (line,) = str(caught.value).splitlines()
    assert "a piece of cloth lies one side up" in line
    assert "1 more piece would do" in line
    assert lying(laid_out({"blade": 4, "background": 1}, replace(fabric, pieces=2))[1])


@pytest.mark.parametrize("pieces_as_needed", [True, False])
def test_as_much_as_needed_is_enough_for_both_sides(*, pieces_as_needed: bool) -> None:
    """Pieces of each side; or of one length a stretch for each, above one another."""
    cuts: dict[str, Count] = {"blade": Share.REST, "background": Share.REST}
    fabric = two_sided((20, 10), 100, cuts)
    if pieces_as_needed:
        fabric = replace(fabric, pieces_as_needed=True)
    else:
        fabric = replace(fabric, length_mm=LONGEST_MM, pieces=1, as_needed=True)
    _, layout = laid_out({"blade": 12, "background": 2}, fabric)
    found = lying(layout)
    for (_, face), shapes in found.items():
        assert {shape == "background" for shape in shapes} == {face is RIGHT}
    if pieces_as_needed:
        assert layout.tallies[0].pieces == len({piece for piece, _ in found}) == len(found)
        return
    ends = defaultdict(list)
    for load in layout.loads:
        for laid in load.fabrics:
            ends[laid.face].append((laid.from_mm[1], laid.from_mm[1] + laid.length_mm))
    assert max(end for _, end in ends[RIGHT]) <= min(start for start, _ in ends[WRONG]) + 1e-9


def test_while_it_is_cut_up_a_length_lies_one_side_up() -> None:
    """What is laid down the other way is turned over then: it comes from as far from the other edge."""
    cuts: dict[str, Count] = {"blade": Share.REST, "background": Share.REST}
    fabric = two_sided((30, 10), 1, cuts)
    fabric = replace(fabric, length_mm=LONGEST_MM, as_needed=True)
    _, layout = laid_out({"blade": 12, "background": 2}, fabric)
    assert {cut.face for cut in layout.rough_cuts} == {RIGHT}
    turned = 0
    for load in layout.loads:
        for laid in load.fabrics:
            (cut,) = [
                cut
                for cut in layout.rough_cuts
                if cut.goes_to == load.name
                and cut.y_mm == laid.from_mm[1]
                and abs(cut.width_mm - laid.width_mm) < 1e-9
                and (laid.face is RIGHT or abs(cut.x_mm + laid.from_mm[0] + cut.width_mm - 30 * IN) < 1e-9)
            ]
            if laid.face is RIGHT:
                assert cut.x_mm == laid.from_mm[0]
            else:
                turned += 1
    assert turned


def test_a_lopsided_shape_is_mirrored_on_the_side_that_it_lies_on_alone() -> None:
    """Wrong side up it is, right side up not; and neither is turned against the print."""
    pennant = replace(background_square(3), name="pennant", symmetric=False)
    for face in Face:
        cuts: dict[str, Count] = {"pennant": 2, "background": 1}
        fabric = fabric_of(size=(8, 10), pieces=2, cuts=cuts, print_=Print.ONE_WAY, grain=Grain.CROSSWISE)
        other = RIGHT if face is WRONG else WRONG
        fabric = replace(fabric, faces=(("pennant", face), ("background", other)))
        job = cut_list_of((pennant, SHAPES[2]), {"pennant": 2, "background": 1}, fabric)
        layout = nested(job, bed_of())
        poses = [
            (placement.pose, laid.turn_deg)
            for load in layout.loads
            for laid in load.fabrics
            for placement in laid.placements
            if placement.shape == "pennant"
        ]
        assert [pose.mirrored for pose, _ in poses] == [face is WRONG] * 2
        # One way across the print on the right side is the other way across on the wrong side.
        assert {(pose.turn_deg - turn) % 360 for pose, turn in poses} == {90.0 if face is RIGHT else 270.0}


def test_a_piece_on_the_wrong_side_is_a_fault_of_the_layout() -> None:
    """The last look compares what lies where with what the job says of the shape."""
    fabric = two_sided((8, 10), 4, {"blade": 6, "background": 2})
    job, layout = laid_out({"blade": 6, "background": 2}, fabric)
    bed = bed_of()
    law = Law(job, bed.mat, bed.machine)
    assert not list(faults_of(layout, law))
    turned = tuple(
        replace(load, fabrics=tuple(replace(laid, face=RIGHT) for laid in load.fabrics))
        for load in layout.loads
    )
    faults = list(faults_of(replace(layout, loads=turned), law))
    assert len([fault for fault in faults if "right side up" in fault]) == 6
