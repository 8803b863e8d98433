"""The finished plate as numbers: what the blade, centre and background measure. mm and degrees."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.plate.blade import Blade


@dataclass(frozen=True, slots=True)
class Centre:
    """The circle that covers the hole."""

    finished_radius_mm: float
    cut_radius_mm: float


@dataclass(frozen=True, slots=True)
class Background:
    """The square that the plate is appliquéd to."""

    cut_side_mm: float
    finished_side_mm: float


@dataclass(frozen=True, slots=True)
class Plate:
    """A ring (or fan) of blades, with its centre and background if it has them."""

    count: int
    blade: Blade
    sewn: int
    centre: Centre | None
    background: Background | None

    @property
    def sweep_deg(self) -> float:
        """How much of the circle the sewn blades fill; below 360 it is a fan."""
        return 360.0 * self.sewn / self.blade.blades

    @property
    def extent_mm(self) -> float:
        """The greatest distance between two finished tips: a chord of their circle; 0 for a single blade."""
        apart = min(self.sewn - 1, self.blade.blades // 2)
        return self.blade.finished_diameter_mm * math.sin(apart * self.blade.half_angle_rad)
