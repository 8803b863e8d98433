"""A blade's sew lines as they are drawn: radial, by another way than the blade's own numbers."""

from __future__ import annotations

import shapely
from shapely import affinity

from cutfiles.plate.blade import Blade

FAR_MM = 1e5


def sew_line(blade: Blade, *, sign: int, out_mm: float = 0.0) -> shapely.LineString:
    """Return the radial line at ±180°/n, moved out square to itself."""
    upright = shapely.LineString([(sign * out_mm, -FAR_MM), (sign * out_mm, FAR_MM)])
    return affinity.rotate(upright, -sign * 180.0 / blade.blades, origin=(0, 0))
