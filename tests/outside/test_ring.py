"""The finished blades, put together by the geometry library (shapely on GEOS), close the ring exactly."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import example, given, settings
from shapely import affinity

from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Path, area, chords
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.plate.blade import Blade
from cutfiles.tips.registry import Tip
from tests.strategies import blades

ARC_MM = 0.001


def finished(blade: Blade) -> shapely.Polygon:
    """The sewn blade, from the sew lines that we draw, closed by the finished edge of its tip."""
    sew = [mark.path for mark in blade_shape(blade).marks if mark.kind is Drawn.SEW]
    left, right = sew[0], sew[1]
    assert isinstance(left, Path)
    assert isinstance(right, Path)
    low_right, valley_right = ((vertex.x, vertex.y) for vertex in right.vertices)
    low_left, valley_left = ((vertex.x, vertex.y) for vertex in left.vertices)
    edge = Path(blade.tip.finish.finished_edge(blade), closed=False)
    tip = chords(edge, stray_mm=ARC_MM)[1:-1]
    return shapely.Polygon([low_left, low_right, valley_right, *tip, valley_left])


def ring_of(blade: Blade) -> list[shapely.Polygon]:
    step = 360.0 / blade.blades
    return [affinity.rotate(finished(blade), -i * step, origin=(0, 0)) for i in range(blade.blades)]


@settings(max_examples=40)
@given(blade=blades())
@example(blade=Blade(blades=5, inner_radius_mm=0.0001, length_mm=12.5, seam_mm=2.0, tip=Tip.FOLDED))
def test_finished_blades_tile_the_ring(blade: Blade) -> None:
    """They don't overlap, leave no gap, and the last meets the first: one ring with one hole."""
    ring = ring_of(blade)
    whole = shapely.union_all(ring, grid_size=1e-6)
    total = sum(one.area for one in ring)
    assert whole.area == pytest.approx(total, rel=1e-6)
    for one, other in zip(ring, [*ring[1:], ring[0]], strict=True):
        assert one.intersection(other).area < 1e-6 * total
        # Neighbours share their whole seam: from the opening to the valley.
        seam = one.buffer(1e-6).intersection(other.buffer(1e-6))
        span = blade.valley_radius_mm - blade.opening_radius_mm
        assert seam.length / 2 == pytest.approx(span, rel=1e-3, abs=1e-3)
    # A hair wider, hairs of rounding between neighbours close, and the hole's circle is all that is left.
    closed = whole.buffer(1e-5)
    assert isinstance(closed, shapely.Polygon)
    # A hole of about the hair's own width may close or not.
    if blade.inner_radius_mm > 1e-4:
        assert len(closed.interiors) == 1
    elif blade.inner_radius_mm < 1e-6:
        assert len(closed.interiors) == 0


@given(blade=blades())
def test_the_ring_reaches_from_the_hole_to_the_tips(blade: Blade) -> None:
    """Its outermost point is the tip (flat: the corner), its innermost the middle of a narrow end."""
    one = finished(blade)
    reach = max(math.hypot(x, y) for x, y in one.exterior.coords)
    furthest = max(blade.tip_radius_mm, blade.valley_radius_mm)
    assert reach == pytest.approx(furthest, abs=2 * ARC_MM)
    assert one.distance(shapely.Point(0, 0)) == pytest.approx(blade.inner_radius_mm, abs=1e-6)


@given(blade=blades())
def test_the_area_of_a_cut_blade_is_that_of_the_geometry_library(blade: Blade) -> None:
    """Closed form and polygon agree; the polygon's chords lie inside the arc by a hair."""
    cut = blade_shape(blade).cut
    polygon = shapely.Polygon(chords(cut, stray_mm=ARC_MM))
    slack = ARC_MM * polygon.exterior.length
    assert polygon.area - 1e-6 <= area(cut) <= polygon.area + slack


@given(blade=blades())
def test_the_cut_blade_holds_the_finished_one(blade: Blade) -> None:
    """Nothing that is seen in the end lies outside what was cut."""
    cut = shapely.Polygon(chords(blade_shape(blade).cut, stray_mm=ARC_MM))
    assert finished(blade).difference(cut.buffer(1e-6)).is_empty
