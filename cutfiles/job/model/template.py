"""Rigid templates and the stock they are cut from, as values; every length in mm."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class SewnOrCut(Enum):
    """What an outline stands for: the user's own, or that of a template."""

    SEWN = "sewn"
    CUT = "cut"


class EngraveFrom(Enum):
    """Which side of the stock the engraving is on."""

    ABOVE = "engrave from above"
    BEHIND = "engrave from behind"  # all of the part is mirrored, so that it reads right through the stock


@dataclass(frozen=True, slots=True)
class TemplateSpec:
    """One `[[template]]`."""

    shape: str  # one of TEMPLATE_SHAPES, or an outline's name
    count: int
    line: SewnOrCut  # of an outline
    ease_mm: float  # radius of eased corners
    hole_mm: float | None  # diameter of the hang hole; None: the usual one, where there is room
    capitals_mm: float  # height of engraved capitals
    name: str | None  # engraved; None: the job's title
    diameter_mm: float | None  # of a placement guide; None: tip to tip
    face: EngraveFrom


@dataclass(frozen=True, slots=True)
class StockSpec:
    """The `[stock]` table: sheets of one material and size, as many as are needed."""

    material: str
    width_mm: float
    height_mm: float
    thickness_mm: float
    kerf_mm: float
    margin_mm: float
    gap_mm: float
    web_mm: float  # least width of what stays between two cuts of one part
    is_printed: bool = False  # paper that the templates are printed on and cut out by hand
