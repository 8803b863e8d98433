"""Upright rectangles: how far one reaches out of another, whether two overlap and how deep. mm."""

from __future__ import annotations

from cutfiles.geometry.outline import Bounds


def beyond_mm(inner: Bounds, outer: Bounds) -> float:
    """Return how far a rectangle reaches out of another, 0 or less where it doesn't."""
    return max(outer[0] - inner[0], outer[1] - inner[1], inner[2] - outer[2], inner[3] - outer[3])


def depth_mm(first: Bounds, second: Bounds) -> float:
    """Return the lesser side of what two rectangles have in common, 0 or less where they have nothing."""
    across = min(first[2], second[2]) - max(first[0], second[0])
    return min(across, min(first[3], second[3]) - max(first[1], second[1]))


def overlap(first: Bounds, second: Bounds) -> bool:
    """Return whether two rectangles have more in common than a line."""
    return first[0] < second[2] and second[0] < first[2] and first[1] < second[3] and second[1] < first[3]
