"""May it lie here: the no-fit polygon against the distance that an independent library measures."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import affinity

from cutfiles.nest.base.oriented_item import OrientedItem, oriented_item
from cutfiles.nest.search.nofit.regions import no_fit_polygon
from tests.nest.item_strategies import items
from tests.nest.jobs import centre_circle

CIRCLE = oriented_item(centre_circle(2.0612), turn_deg=90.0, mirrored=True)


@settings(max_examples=60, deadline=None)
@given(fixed=items(), orbiting=items(), gap=st.sampled_from([0.0, 0.8, 3.0]), share=st.floats(0, 1))
@example(fixed=CIRCLE, orbiting=CIRCLE, gap=0.8, share=0.0)
@example(fixed=CIRCLE, orbiting=CIRCLE, gap=0.8, share=0.3)
def test_on_the_no_fit_ring_two_pieces_are_just_the_gap_apart(
    fixed: OrientedItem, orbiting: OrientedItem, gap: float, share: float
) -> None:
    """Anywhere on the ring the convex outlines keep the gap, and waste one per cent of it at most."""
    no_fit = no_fit_polygon(fixed, orbiting, gap_mm=gap)
    place = share * len(no_fit.ring)
    index = int(place) % len(no_fit.ring)
    spot = no_fit.ring[index] + (place - int(place)) * no_fit.along[index]
    first = shapely.Polygon(fixed.corners)
    second = affinity.translate(shapely.Polygon(orbiting.corners), *spot)
    assert first.distance(second) == pytest.approx(gap, abs=0.0126 * gap + 1e-6)
    assert first.distance(second) >= gap - 1e-6
    assert first.intersection(second).area < 1e-3


@settings(max_examples=40, deadline=None)
@given(fixed=items(), orbiting=items(), gap=st.sampled_from([0.0, 3.0]), data=st.data())
def test_inside_the_half_planes_is_too_near_and_outside_is_not(
    fixed: OrientedItem, orbiting: OrientedItem, gap: float, data: st.DataObject
) -> None:
    """At any offset the answer is that of a measured distance, but for a hair at the ring."""
    no_fit = no_fit_polygon(fixed, orbiting, gap_mm=gap)
    low, high = no_fit.ring.min(axis=0) - 5, no_fit.ring.max(axis=0) + 5
    spot = np.array([data.draw(st.floats(low[axis], high[axis])) for axis in (0, 1)])
    inside = float((no_fit.normals @ spot - no_fit.reach).max())
    other = affinity.translate(shapely.Polygon(orbiting.corners), *spot)
    apart = shapely.Polygon(fixed.corners).distance(other)
    if inside > 1e-6:
        assert apart >= gap - 1e-6
    elif inside < -0.02 * gap - 1e-6:
        # Up to a corner's rounding, within the ring the two are nearer than the gap.
        assert apart < gap or gap == 0
