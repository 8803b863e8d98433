"""The last look at a layout: right ones pass, and every fault that is planted is found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from cutfiles.core.errors import CutfilesError
from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import Print, Share
from cutfiles.nest.base.layout import HandCut, Layout, Load, PlacedFabric, Placement, RoughCut
from cutfiles.nest.nest import Bed
from cutfiles.nest.verify.verify import Law, WrongLayoutError, faults_of, verify
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import CutList
from tests.nest.concave_shapes import ELL
from tests.nest.jobs import (
    IN,
    background_square,
    bed_of,
    blade_of,
    centre_circle,
    cut_list_of,
    fabric_of,
    in_mm,
    nested,
)
from tests.nest.printed import with_repeat

Spoil = Callable[[Layout], Layout]
SCRAP = ((0.0, 0.0), (10.0, 0.0), (9.0, 7.0), (5.0, 5.0), (1.0, 6.0))  # inches
FLAW = ((4.0, 1.0), (5.0, 1.0), (5.0, 2.0))


@cache
def whole_job() -> tuple[CutList, Bed, Layout]:
    """Return a job that has everything: two prints, a scrap with a flaw, rough cuts, cuts by hand."""
    squares = fabric_of("tide", pieces=3, margin=0.125, print_=Print.ONE_WAY, cuts={"blade": 3})
    circles = fabric_of("shingle", size=(4.0625, 2), pieces=1, cuts={"centre": 2})
    scrap = fabric_of("lantern", size=(10, 7), pieces=1, margin=0.125, cuts={"ell": Share.FILL})
    scrap = replace(scrap, outline=in_mm(SCRAP), avoid=(in_mm(FLAW),))
    yardage = fabric_of("sailcloth", size=(30, 30), pieces=1, cuts={"background": 1, "blade": 40})
    shapes = (blade_shape(blade_of()), centre_circle(1.0), ELL, background_square(20))
    needs = {"blade": 43, "centre": 2, "background": 1}
    job, bed = cut_list_of(shapes, needs, squares, circles, scrap, yardage), bed_of(mat=(12, 18))
    return job, bed, nested(job, bed)


def _faults(layout: Layout) -> list[str]:
    job, bed, _ = whole_job()
    return list(faults_of(layout, Law(job, bed.mat, bed.machine)))


def _with_laid(layout: Layout, name: str, change: Callable[[PlacedFabric], PlacedFabric]) -> Layout:
    """The first piece of a fabric, changed."""
    loads, done = [], False
    for load in layout.loads:
        laid = []
        for placed_fabric in load.fabrics:
            mine = placed_fabric.fabric == name and not done
            laid.append(change(placed_fabric) if mine else placed_fabric)
            done = done or mine
        loads.append(Load(load.name, tuple(laid)))
    assert done
    return replace(layout, loads=tuple(loads))


def _with_piece(name: str, change: Callable[[Placement], Placement], number: int = 0) -> Spoil:
    def spoil(layout: Layout) -> Layout:
        def changed(laid: PlacedFabric) -> PlacedFabric:
            pieces = list(laid.placements)
            pieces[number] = change(pieces[number])
            return replace(laid, placements=tuple(pieces))

        return _with_laid(layout, name, changed)

    return spoil


def _posed(name: str, number: int = 0, **changes: float) -> Spoil:
    def moved(placement: Placement) -> Placement:
        pose = placement.pose
        return replace(
            placement,
            pose=Pose(
                pose.x_mm + changes.get("x", 0.0),
                pose.y_mm + changes.get("y", 0.0),
                pose.turn_deg + changes.get("turn", 0.0),
                pose.mirrored != bool(changes.get("flip")),
            ),
        )

    return _with_piece(name, moved, number)


def _laid(name: str, **changes: object) -> Spoil:
    return lambda layout: _with_laid(layout, name, lambda laid: replace(laid, **changes))  # type: ignore[arg-type]


def _all_on_one_spot(layout: Layout) -> Layout:
    load = next(load for load in layout.loads if len(load.fabrics) > 1)
    first, second = load.fabrics[:2]
    moved = replace(second, x_mm=first.x_mm, y_mm=first.y_mm)
    spoilt = replace(load, fabrics=(first, moved, *load.fabrics[2:]))
    return replace(layout, loads=tuple(spoilt if other is load else other for other in layout.loads))


def _flaw_upon_a_piece(layout: Layout) -> Layout:
    """A triangle of 2 mm in an arm of the first ell; whole flaws are kept."""

    def changed(laid: PlacedFabric) -> PlacedFabric:
        pose = laid.placements[0].pose
        points = tuple(pose.point(point) for point in ((5.0, 5.0), (7.0, 5.0), (5.0, 7.0)))
        return replace(laid, avoid=(*laid.avoid, points))

    return _with_laid(layout, "lantern", changed)


def _outline_less_a_corner(layout: Layout) -> Layout:
    return _with_laid(layout, "lantern", lambda laid: replace(laid, outline=laid.outline[:-1]))


def _rough(change: Callable[[RoughCut], RoughCut], *, by_hand: bool = False) -> Spoil:
    def spoil(layout: Layout) -> Layout:
        cuts = list(layout.rough_cuts)
        index = next(i for i, cut in enumerate(cuts) if (cut.goes_to == "background") is by_hand)
        cuts[index] = change(cuts[index])
        return replace(layout, rough_cuts=tuple(cuts))

    return spoil


def _all_rough_at_one_corner(layout: Layout) -> Layout:
    return replace(layout, rough_cuts=tuple(replace(cut, x_mm=0.0, y_mm=0.0) for cut in layout.rough_cuts))


def _one_piece_less(layout: Layout) -> Layout:
    """On the mat and in the tally, so that only the job tells."""
    fewer = _with_laid(layout, "tide", lambda laid: replace(laid, placements=()))
    tallies = tuple(
        replace(tally, counts=(("blade", 2),)) if tally.fabric == "tide" else tally for tally in fewer.tallies
    )
    return replace(fewer, tallies=tallies)


def _tally_of(layout: Layout, fabric: str, count: int) -> Layout:
    tallies = tuple(
        replace(tally, counts=tuple((shape, count) for shape, _ in tally.counts))
        if tally.fabric == fabric
        else tally
        for tally in layout.tallies
    )
    return replace(layout, tallies=tallies)


PLANTED: dict[str, tuple[Spoil, str]] = {
    "nearer than the gap by five millionths": (_posed("shingle", x=5e-6), "mm apart, the gap is"),
    "one over the other": (_posed("sailcloth", x=3.0), "overlap"),
    "off the fabric by five millionths": (_posed("shingle", x=-5e-6), "leaves shingle 1 less its margin"),
    "in the fabric's margin": (_posed("tide", y=-3.0), "leaves tide 1 less its margin"),
    "turned as the print forbids": (_posed("tide", turn=180.0), "tide-blade-001 may not lie turned"),
    "a mirror image where it is seen": (_posed("lantern", flip=1), "is not mirrored"),
    "a mirror image of what has none": (_posed("tide", flip=1), "tide-blade-001 is mirrored"),
    "off a scrap's edge": (_posed("lantern", x=-2.0), "leaves the edge of lantern"),
    "in a flaw": (_flaw_upon_a_piece, "enters what is to be avoided on lantern 1"),
    "fabric off the mat": (_laid("tide", x_mm=2.0), "tide 1 on load-01 leaves the mat's reach"),
    "fabric on a mark": (_laid("tide", x_mm=6.35, y_mm=6.35), "tide 1 on load-01 lies on a register mark"),
    "fabric on fabric": (_all_on_one_spot, "overlap on load-"),
    "a piece of fabric that isn't there": (_laid("tide", piece=4), "tide has no piece 4"),
    "a piece of fabric twice": (_laid("tide", piece=2), "tide 2 is laid 2 times"),
    "fabric of another size": (_laid("tide", width_mm=6 * IN), "tide 1 is not its own size"),
    "a margin forgotten": (_laid("tide", margin_mm=0.0), "tide 1 has a margin of 0 mm"),
    "a scrap of another outline": (_outline_less_a_corner, "the outline of lantern 1 is not its own"),
    "a flaw forgotten": (_laid("lantern", avoid=()), "what is to be avoided on lantern 1 is not where"),
    "an id twice": (
        _with_piece("shingle", lambda placement: replace(placement, piece_id="shingle-centre-002")),
        "shingle-centre-002 is there 2 times",
    ),
    "too few": (_one_piece_less, "tide gives 2 of blade, asked for 3"),
    "a shape that wasn't asked": (
        lambda layout: replace(layout, hand_cuts=(*layout.hand_cuts, HandCut("tide", "centre", 1))),
        "tide gives 1 of centre and was asked for none",
    ),
    "a tally that is wrong": (lambda layout: _tally_of(layout, "tide", 7), "its tally says 7"),
    "a rough cut off its fabric": (
        _rough(lambda cut: replace(cut, x_mm=25 * IN), by_hand=True), "for background leaves it by"
    ),
    "rough cuts over each other": (_all_rough_at_one_corner, "two rough cuts of sailcloth 1 overlap"),
    "a rough cut of another size": (
        _rough(lambda cut: replace(cut, width_mm=cut.width_mm - 1)), "is not what lies on load-"
    ),
    "a rough cut for nothing": (_rough(lambda cut: replace(cut, goes_to="attic")), "goes nowhere"),
    "a hand cut too few": (
        lambda layout: replace(layout, hand_cuts=()), "sailcloth gives 0 of background, asked for 1"
    ),
    "a hand cut that has no rectangle": (
        lambda layout: replace(layout, hand_cuts=(HandCut("sailcloth", "background", 2),)),
        "the rough cuts of sailcloth are not for what is cut by hand from it",
    ),
    "a rectangle too small for its shape": (
        _rough(lambda cut: replace(cut, length_mm=cut.length_mm - 1), by_hand=True),
        "background is larger than what is cut for it by hand",
    ),
}  # fmt: skip


def test_a_right_layout_has_no_fault() -> None:
    """With all its rough cuts, scraps and flaws."""
    _, _, layout = whole_job()
    assert layout.rough_cuts
    assert layout.hand_cuts
    assert _faults(layout) == []


@pytest.mark.parametrize(("spoil", "says"), PLANTED.values(), ids=PLANTED.keys())
def test_a_planted_fault_is_found_and_named(spoil: Spoil, says: str) -> None:
    """In a layout that was right before."""
    _, _, layout = whole_job()
    named = _faults(spoil(layout))
    assert any(says in fault for fault in named), named


def test_a_hand_cut_in_its_fabrics_margin_is_found() -> None:
    """By hand, too, no line is cut nearer to the edge than the job says."""
    fabric = fabric_of("sailcloth", size=(22, 22), pieces=1, margin=0.5, cuts={"background": 1})
    job, bed = cut_list_of((background_square(20),), {"background": 1}, fabric), bed_of()
    layout = nested(job, bed)
    moved = replace(layout, rough_cuts=(replace(layout.rough_cuts[0], x_mm=0.4 * IN),))
    named = list(faults_of(moved, Law(job, bed.mat, bed.machine)))
    assert named == ["background, cut by hand from sailcloth 1, lies in its margin"]


def test_rest_that_is_short_and_rest_that_is_too_much_are_found() -> None:
    """Against the need, not against what was found."""
    job = cut_list_of((centre_circle(1.0),), {"centre": 2}, fabric_of(cuts={"centre": Share.REST}))
    bed = bed_of()
    layout = nested(job, bed)
    for need, says in ((1, "2 of centre are cut, 1 are asked for"), (3, "2 of centre are cut, 3 are needed")):
        other = replace(job, needs=(("centre", need),))
        assert list(faults_of(layout, Law(other, bed.mat, bed.machine))) == [says]


def _printed() -> tuple[CutList, Bed, Layout]:
    """Yardage with a motif and a flaw, cut roughly for the mat."""
    fabric = with_repeat(fabric_of("buoy", size=(22, 18), pieces=1, cuts={"blade": 12}), 3.0, 1.5, (1.0, 0.5))
    fabric = replace(fabric, avoid=(in_mm(((6.0, 6.0), (9.0, 6.0), (6.0, 9.0))),))
    job, bed = cut_list_of((blade_shape(blade_of()),), {"blade": 12}, fabric), bed_of()
    return job, bed, nested(job, bed)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (_posed("buoy", y=2e-6), "buoy-blade-001 misses the motif"),
        (_laid("buoy", repeat=None), "the print of buoy 1 is not shown where it repeats"),
        (_laid("buoy", avoid=()), "what is to be avoided on buoy 1 is not where the job has it"),
    ],
)
def test_a_print_or_a_flaw_out_of_place_is_found_on_rough_cuts(spoil: Spoil, says: str) -> None:
    """By the job's own repeat, wherever on the cloth the rough cut comes from."""
    job, bed, layout = _printed()
    law = Law(job, bed.mat, bed.machine)
    assert layout.rough_cuts
    assert list(faults_of(layout, law)) == []
    assert says in list(faults_of(spoil(layout), law))


def test_what_is_wrong_is_our_bug_and_keeps_its_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    """No line for the user: the error is none of theirs, and it says which pieces."""
    _, _, layout = whole_job()
    job, bed, _ = whole_job()
    spoilt = _posed("shingle", x=5e-6)(layout)
    with pytest.raises(WrongLayoutError, match=r"shingle-centre-001 and shingle-centre-002 are") as caught:
        verify(spoilt, Law(job, bed.mat, bed.machine))
    assert not isinstance(caught.value, CutfilesError)
