"""Shapes with bays interlock, and still keep their gap."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import affinity

from cutfiles.core.tolerance import NO_FIT_STRAY_MM
from cutfiles.geometry.outline import chords, ring
from cutfiles.nest.base.oriented_item import OrientedItem, oriented_item, without_bays
from cutfiles.nest.search.greedy.packing import NoFits, Packing
from cutfiles.nest.search.greedy.rules import RULES
from cutfiles.nest.search.nofit.regions import NoFitRegion, no_fit_between
from cutfiles.pieces.own_outline import outline_shape
from cutfiles.pieces.shape import Shape
from tests import strategies
from tests.nest.concave_shapes import ELL, crescent
from tests.nest.measured import points_of


@st.composite
def bayed(draw: st.DrawFn) -> OrientedItem:
    """Ells, crescents and stars at any quarter turn."""
    kind = draw(st.sampled_from(["ell", "moon", "star"]))
    if kind == "star":
        shape = outline_shape(draw(strategies.outline_specs()))
    else:
        shape = ELL if kind == "ell" else crescent()
    return oriented_item(shape, turn_deg=draw(st.sampled_from([0.0, 90.0, 180.0, 270.0])), mirrored=False)


def _union(item: OrientedItem) -> shapely.Geometry:
    return shapely.union_all([shapely.Polygon(part) for part in item.parts])


@settings(max_examples=40, deadline=None)
@given(fixed=bayed(), placed=bayed(), gap=st.sampled_from([0.0, 1.5]), share=st.floats(0, 0.999))
def test_on_the_border_two_pieces_are_just_the_gap_apart(
    fixed: OrientedItem, placed: OrientedItem, gap: float, share: float
) -> None:
    """In every bay and slot, too: never nearer, and further by a hundredth of the gap at most.

    Where very many parts meet, the border is straightened outwards by a few hundredths of a mm.
    """
    no_fit = no_fit_between(fixed, placed, gap_mm=gap)
    starts = no_fit.starts if isinstance(no_fit, NoFitRegion) else no_fit.ring
    place = share * len(starts)
    spot = starts[int(place)] + (place - int(place)) * no_fit.along[int(place)]
    first, second = _union(fixed), affinity.translate(_union(placed), *spot)
    straightened = 2 * NO_FIT_STRAY_MM if len(fixed.parts) * len(placed.parts) > 20 else 0.0
    assert first.distance(second) == pytest.approx(gap, abs=0.0126 * gap + 1e-6 + straightened)
    assert first.distance(second) >= gap - 1e-6
    assert first.intersection(second).area < 1e-3


@settings(max_examples=25, deadline=None)
@example(shape=crescent(), turn=0.0)
@example(shape=ELL, turn=90.0)
@given(shape=strategies.outline_specs().map(outline_shape), turn=st.sampled_from([0.0, 180.0]))
def test_the_parts_of_a_form_hold_its_outline(shape: Shape, turn: float) -> None:
    """Arcs that bulge inwards included: what stands for them lies on the far side of the material."""
    item = oriented_item(shape, turn_deg=turn, mirrored=False)
    outline = affinity.rotate(shapely.Polygon(points_of(shape.cut)), turn, origin=(0, 0))
    assert _union(item).buffer(1e-5, join_style="mitre").covers(outline)


@pytest.mark.parametrize("shape", [ELL, crescent()], ids=["ell", "moon"])
def test_shapes_with_bays_pack_tighter_than_their_hulls(shape: Shape) -> None:
    """In the same square by the same rules, the distances measured on the true outlines."""
    turned = [oriented_item(shape, turn_deg=turn, mirrored=False) for turn in (0.0, 180.0)]
    outline = shapely.Polygon(chords(shape.cut, stray_mm=1e-4))
    counts = []
    for items in (turned, [without_bays(item) for item in turned]):
        no_fits = NoFits(items, gap_mm=1.5)
        packings = [Packing(no_fits, width_mm=280, height_mm=280) for _ in RULES[:4]]
        for packing, rule in zip(packings, RULES, strict=False):
            packing.fill((0, 1), rule)
        counts.append(max(len(packing.placed) for packing in packings))
        pieces = [
            affinity.translate(
                affinity.rotate(outline, placed_item.item.turn_deg, origin=(0, 0)),
                placed_item.x_mm,
                placed_item.y_mm,
            )
            for placed_item in packings[0].placed
        ]
        apart = [first.distance(second) for first, second in combinations(pieces, 2)]
        assert min(apart) >= 1.5 - 2e-4
    assert counts[0] > counts[1]


def test_a_slot_that_just_fits_is_found() -> None:
    """A bar of 20 mm goes into a bay of 20 mm: no gap, no play."""
    cup = Shape(
        "cup", ring((0, 0), (60, 0), (60, 60), (40, 60), (40, 20), (20, 20), (20, 60), (0, 60)), (), False
    )
    bar = Shape("bar", ring((0, 0), (20, 0), (20, 40), (0, 40)), (), symmetric=False)
    items = [oriented_item(shape, turn_deg=0.0, mirrored=False) for shape in (cup, bar)]
    packing = Packing(NoFits(items, gap_mm=0.0), width_mm=60, height_mm=60)
    packing.lay(0, 0.0, 0.0)
    assert packing.fill((1,), RULES[0]) == 1
    assert np.allclose((packing.placed[1].x_mm, packing.placed[1].y_mm), (20, 20), atol=1e-6)
