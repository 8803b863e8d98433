"""How a fabric is bought: what of it is lost before it can be cut, and in what steps it is sold."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.core.units import SoldBy, Unit, rounded_up_mm


@dataclass(frozen=True, slots=True)
class Purchase:
    """What a `[[fabric]]` says of buying it. Of a fabric with all of it left out nothing is lost."""

    shrink_width: float = 0.0  # share of what is bought that washing takes, 0 to below 1
    shrink_length: float = 0.0
    ends_mm: float = 0.0  # lost where it is cut from the bolt, as it is bought
    sold: SoldBy | None = None  # None: as fabric is sold where the job's unit is used
    pack: int | None = None  # so many pieces are sold together; None: one by one
    together: tuple[str, ...] = ()  # the fabrics that a pack holds, by name
    spare: int = 0  # so many pieces of each shape more than are asked for

    @property
    def is_lossless(self) -> bool:
        """Whether all that is bought can be cut from."""
        return not (self.shrink_width or self.shrink_length or self.ends_mm)

    def usable_width_mm(self, bought_mm: float) -> float:
        """Return what a width as bought leaves to cut from."""
        return bought_mm * (1.0 - self.shrink_width) if self.shrink_width else bought_mm

    def usable_length_mm(self, bought_mm: float) -> float:
        """Return what a length as bought leaves to cut from; 0 or below where nothing is left."""
        left = bought_mm - self.ends_mm
        return left * (1.0 - self.shrink_length) if self.shrink_length else left

    def width_mm(self, usable_mm: float) -> float:
        """Return the width as bought of a width to cut from."""
        return usable_mm / (1.0 - self.shrink_width) if self.shrink_width else usable_mm

    def length_mm(self, usable_mm: float) -> float:
        """Return the length as bought that leaves a length to cut from: need / (1 − p) + ends."""
        bought = usable_mm / (1.0 - self.shrink_length) if self.shrink_length else usable_mm
        return bought + self.ends_mm

    def width_to_buy_mm(self, usable_mm: float, mark_mm: float) -> float:
        """Return the width as bought of a width to cut from, to the next mark of a rule if some is lost."""
        return usable_mm if self.is_lossless else rounded_up_mm(self.width_mm(usable_mm), mark_mm)

    def length_to_buy_mm(self, usable_mm: float, mark_mm: float) -> float:
        """Return the length as bought of a length to cut from, to the next mark of a rule if some is lost."""
        return usable_mm if self.is_lossless else rounded_up_mm(self.length_mm(usable_mm), mark_mm)

    @property
    def after_size(self) -> str:
        """What is said after a size as it is bought, where less of it can be cut from."""
        return "" if self.is_lossless else " as bought"

    def sold_by(self, unit: Unit) -> SoldBy:
        """Return in what steps it is sold, for a job in that unit."""
        return self.sold or unit.sold_by


# Nothing is lost, and it is sold as is common.
USUAL = Purchase()
