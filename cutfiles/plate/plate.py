"""The finished plate as numbers: what the blade, centre and background measure. mm and degrees."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations, pairwise

from cutfiles.core.tolerance import RULE_MM
from cutfiles.geometry.outline import Bounds
from cutfiles.job.model.blade_shapes import BladeShape, blade_shapes
from cutfiles.job.model.job import CentreKind, Setting
from cutfiles.plate.blade import Blade


@dataclass(frozen=True, slots=True)
class Centre:
    """What covers the hole: a circle; in a corner a quarter of one, on an edge a half."""

    finished_radius_mm: float
    cut_radius_mm: float
    kind: CentreKind = CentreKind.GATHERED

    @property
    def fold_radius_mm(self) -> float:
        """Where its edge is turned under: at the finished size, or for a yo-yo at twice that."""
        return self.finished_radius_mm * (2 if self.kind is CentreKind.YO_YO else 1)


@dataclass(frozen=True, slots=True)
class Background:
    """What the plate is appliquéd to, about the plate centre: a square, on an edge a rectangle.

    Args:
        cut: as it is cut.
        finished: between its seams, in the finished quilt.
        trim_mm: what is cut off each way after the plate is sewn on; then it is a seam larger than finished.
    """

    cut: Bounds
    finished: Bounds
    trim_mm: float = 0.0

    @staticmethod
    def square(cut_side_mm: float, finished_side_mm: float) -> Background:
        """Return the square whose middle is the plate centre."""
        cut, finished = cut_side_mm / 2, finished_side_mm / 2
        return Background((-cut, -cut, cut, cut), (-finished, -finished, finished, finished))

    @property
    def is_square(self) -> bool:
        """Whether its sides are equal."""
        return abs(self.cut_width_mm - self.cut_height_mm) < RULE_MM

    @property
    def cut_width_mm(self) -> float:
        """From side to side, as it is cut."""
        return self.cut[2] - self.cut[0]

    @property
    def cut_height_mm(self) -> float:
        """From the lower to the upper side, as it is cut."""
        return self.cut[3] - self.cut[1]

    @property
    def finished_width_mm(self) -> float:
        """From side seam to side seam."""
        return self.finished[2] - self.finished[0]

    @property
    def finished_height_mm(self) -> float:
        """From the lower seam to the upper one."""
        return self.finished[3] - self.finished[1]

    @property
    def trimmed_mm(self) -> tuple[float, float]:
        """Its width and height once it is squared up: what it is joined to others by."""
        return (self.cut_width_mm - self.trim_mm, self.cut_height_mm - self.trim_mm)


@dataclass(frozen=True, slots=True)
class Band:
    """A part of a blade between two seams across it; distances from the plate centre up its centre line."""

    name: str
    low_mm: float  # sewn, but for the innermost, which begins with the blade's own end
    high_mm: float  # sewn; of the outermost the finished tip
    cut_low_mm: float
    cut_high_mm: float

    @property
    def strip_mm(self) -> float:
        """How high it is cut: also how wide a strip is cut from which it comes."""
        return self.cut_high_mm - self.cut_low_mm


@dataclass(frozen=True, slots=True)
class Plate:
    """A ring (or fan) of blades, with its centre and background if it has them."""

    count: int
    blade: Blade
    sewn: int
    centre: Centre | None
    background: Background | None
    setting: Setting = Setting.CENTRE
    second: Blade | None = None  # every other blade, from the second on, shorter than the first

    bands_mm: tuple[float, ...] = ()  # seams across each blade, from the plate centre outwards

    @property
    def shapes(self) -> tuple[BladeShape, ...]:
        """The shapes that its blades are cut as."""
        return blade_shapes(two_lengths=self.second is not None, seams=len(self.bands_mm))

    @property
    def bands(self) -> tuple[Band, ...]:
        """The bands that each blade is pieced of, innermost first; none where it is of one piece."""
        if not self.bands_mm:
            return ()
        seam, ends = (
            self.blade.seam_mm,
            (self.blade.inner_radius_mm, *self.bands_mm, self.blade.tip_radius_mm),
        )
        return tuple(
            Band(
                shape.name,
                low,
                high,
                cut_low_mm=low - (seam if number else 0.0),
                cut_high_mm=high + seam,
            )
            for number, (shape, (low, high)) in enumerate(zip(self.shapes, pairwise(ends), strict=True))
        )

    @property
    def shortest(self) -> Blade:
        """The blade whose valley lies nearest to the plate centre: it bounds what the plate hides."""
        return self.second or self.blade

    @property
    def step_mm(self) -> float:
        """How much raw side a longer blade shows beyond a shorter one's valley; 0 where all are alike."""
        return self.blade.valley_radius_mm - self.shortest.valley_radius_mm

    def blade_at(self, place: int) -> Blade:
        """Return the blade at a place, counted from 0 in the order of sewing."""
        return self.second if self.second and place % 2 else self.blade

    @property
    def middle_deg(self) -> float:
        """How far a fan's middle is turned from the y axis: a corner's fills the first quadrant."""
        return -45.0 if self.setting is Setting.CORNER else 0.0

    @property
    def is_in_seam(self) -> bool:
        """Whether a fan's two straight edges lie in seams of the block."""
        return self.setting is not Setting.CENTRE

    @property
    def sweep_deg(self) -> float:
        """How much of the circle the sewn blades fill; below 360 it is a fan."""
        return 360.0 * self.sewn / self.blade.blades

    @property
    def extent_mm(self) -> float:
        """The greatest distance between two finished tips: a chord of their circle; 0 for a single blade."""
        apart = min(self.sewn - 1, self.blade.blades // 2)
        if self.second:
            return max((self._chord_mm(*pair) for pair in combinations(range(self.sewn), 2)), default=0.0)
        return self.blade.finished_diameter_mm * math.sin(apart * self.blade.half_angle_rad)

    def _chord_mm(self, first: int, second: int) -> float:
        """From tip to tip of two blades, by the law of cosines."""
        one, other = self.blade_at(first).tip_radius_mm, self.blade_at(second).tip_radius_mm
        angle = 2 * (second - first) * self.blade.half_angle_rad
        return math.sqrt(one**2 + other**2 - 2 * one * other * math.cos(angle))
