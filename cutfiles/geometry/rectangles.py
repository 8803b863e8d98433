"""Upright rectangles against each other: what lies beyond another, and how deep two lie in each other. mm."""

from __future__ import annotations

from cutfiles.geometry.outline import Bounds


def beyond_mm(inner: Bounds, outer: Bounds) -> float:
    """Return how far a rectangle reaches out of another, 0 or less where it doesn't."""
    return max(outer[0] - inner[0], outer[1] - inner[1], inner[2] - outer[2], inner[3] - outer[3])


def depth_mm(one: Bounds, other: Bounds) -> float:
    """Return the lesser side of what two rectangles have in common, 0 or less where they have nothing."""
    across = min(one[2], other[2]) - max(one[0], other[0])
    return min(across, min(one[3], other[3]) - max(one[1], other[1]))
