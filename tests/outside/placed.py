"""Where the outlines of a hand-made layout lie, worked out by shapely and not by our own poses."""

from __future__ import annotations

import shapely
from shapely import affinity

from cutfiles.geometry.outline import Contour
from cutfiles.geometry.points import points_on
from cutfiles.nest.base.layout import Layout


def ring_of(contour: Contour) -> shapely.LinearRing:
    """Return an outline in its own frame as chords within a ten-thousandth of a mm."""
    return shapely.LinearRing(points_on(contour, stray_mm=1e-4))


def outlines(layout: Layout) -> dict[str, shapely.LinearRing]:
    """Return each piece's outline as it lies on the mat: mirrored, turned, moved."""
    found = {}
    for load in layout.loads:
        for laid in load.fabrics:
            for placement in laid.placements:
                ring, pose = ring_of(layout.shape(placement.shape).cut), placement.pose
                if pose.mirrored:
                    ring = affinity.scale(ring, xfact=-1.0, origin=(0, 0))
                ring = affinity.rotate(ring, pose.turn_deg, origin=(0, 0))
                found[placement.piece_id] = affinity.translate(ring, pose.x_mm, pose.y_mm)
    return found


def nearest(wanted: dict[str, shapely.LinearRing], ring: shapely.Geometry) -> tuple[str, float]:
    """Return which piece an outline is, by its middle, and how far it strays from it at most, mm."""
    middle = ring.envelope.centroid
    piece = min(wanted, key=lambda name: wanted[name].envelope.centroid.distance(middle))
    return piece, wanted[piece].hausdorff_distance(ring)
