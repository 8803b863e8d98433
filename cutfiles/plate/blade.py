"""One wedge blade, in closed form. mm and degrees; its origin is the plate centre, its centre line +y."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.errors import GeometryError
from cutfiles.core.units import SizeError
from cutfiles.tips.finish import trimmed_off_mm
from cutfiles.tips.registry import Tip

# A blade of n in the circle takes 180°/n on each side of its centre line: below 3 the sew lines
# would not meet at a centre.
FEWEST_BLADES = 3


@dataclass(frozen=True, slots=True)
class Blade:
    """A wedge that keeps the full angle 360°/n whatever its seam, so that n of them close the circle.

    Args:
        blades: how many close the full circle, 3 or more.
        inner_radius_mm: plate centre to the narrow cut end, 0 or more.
        length_mm: cut length along the centre line.
        seam_mm: above 0, the same at the sides and the tip.
        tip: how the wide end is finished.

    Raises:
        GeometryError: no such blade can be sewn; the message says why.

    Source: docs/geometry.md derives every formula.
    """

    blades: int
    inner_radius_mm: float
    length_mm: float
    seam_mm: float
    tip: Tip

    def __post_init__(self) -> None:
        if self.blades < FEWEST_BLADES:
            raise GeometryError(f"{self.blades} blades can't close a circle; at least {FEWEST_BLADES} do")
        if math.inf in (self.inner_radius_mm, self.length_mm, self.seam_mm):
            raise GeometryError("a blade needs finite sizes, got an infinite one")
        if not (self.seam_mm > 0 and self.length_mm > 0):
            raise SizeError("a blade needs a length and a seam above 0, got {}", self.length_mm)
        if not self.inner_radius_mm >= 0:
            raise SizeError(
                "the blade's narrow end would pass the plate centre by {}; "
                "shorten the blade or make the plate larger",
                -self.inner_radius_mm,
            )
        if not self.tip_base_mm > self.inner_radius_mm + self.seam_mm / 1e6:
            raise SizeError(
                f"a seam of {{}} eats the {self.tip.value} tip: it would start {{}} below the blade's narrow "
                f"end; lengthen the blade or narrow the seam",
                self.seam_mm,
                self.inner_radius_mm - self.tip_base_mm,
            )
        refusal = self.tip.finish.refusal(self)
        if refusal is not None:
            raise refusal

    @property
    def half_angle_deg(self) -> float:
        """Half of the wedge's angle, a = 180°/n."""
        return 180.0 / self.blades

    @property
    def half_angle_rad(self) -> float:
        """Half of the wedge's angle in radians."""
        return math.pi / self.blades

    @property
    def outer_radius_mm(self) -> float:
        """Plate centre to the wide cut end, on the centre line."""
        return self.inner_radius_mm + self.length_mm

    @property
    def tip_radius_mm(self) -> float:
        """Plate centre to the finished tip: the tip's allowance below the cut end."""
        return self.outer_radius_mm - self.tip.finish.allowance_mm(self.seam_mm)

    @property
    def valley_radius_mm(self) -> float:
        """Plate centre to where the finished edges of two neighbours meet, along their sew line."""
        return self.tip.finish.valley_radius_mm(self)

    @property
    def tip_base_mm(self) -> float:
        """How far up the centre line the lowest point of the tip lies; must stay above the narrow end."""
        return self.tip.finish.base_mm(self)

    def cut_half_width_mm(self, radius_mm: float) -> float:
        """Return half the cut width at a distance from the plate centre: r·tan a + s/cos a."""
        a = self.half_angle_rad
        return radius_mm * math.tan(a) + self.seam_mm / math.cos(a)

    @property
    def facing_ends_mm(self) -> float | None:
        """How near to the plate centre a folded tip's facing reaches; None for a tip without a facing."""
        return self.tip.finish.facing_ends_mm(self)

    @property
    def facing_out_mm(self) -> float:
        """How far the facing sticks out below the narrow end and is to be trimmed; 0 where nobody could."""
        ends = self.facing_ends_mm
        return 0.0 if ends is None else trimmed_off_mm(self, ends)

    @property
    def seam_length_mm(self) -> float:
        """The sewn side: from the opening's corner to the valley."""
        return self.valley_radius_mm - self.opening_radius_mm

    @property
    def narrow_width_mm(self) -> float:
        """Cut width of the narrow end."""
        return 2 * self.cut_half_width_mm(self.inner_radius_mm)

    @property
    def wide_width_mm(self) -> float:
        """Cut width of the wide end; where the tip is cut otherwise, where straight edges would be."""
        return 2 * self.cut_half_width_mm(self.outer_radius_mm)

    @property
    def finished_diameter_mm(self) -> float:
        """Twice the tip radius, with an odd number of blades too, where no two tips are opposite."""
        return 2 * self.tip_radius_mm

    @property
    def valley_diameter_mm(self) -> float:
        """Twice the valley radius."""
        return 2 * self.valley_radius_mm

    @property
    def opening_radius_mm(self) -> float:
        """The hole's widest point, where two narrow ends meet on their sew line: r_i / cos a."""
        return self.inner_radius_mm / math.cos(self.half_angle_rad)

    def apex_shift_mm(self, seam_short_mm: float) -> float:
        """Return how far the ring moves out when every side seam is sewn that much too narrow: e / sin a.

        Each blade is then 2·e wider everywhere, so its sew lines meet e/sin a further below its ends.
        """
        return seam_short_mm / math.sin(self.half_angle_rad)
