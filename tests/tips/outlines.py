"""Every tip worked out another way: half planes and discs of the geometry library, mm.

A new tip needs an entry of `TRUTHS`; all laws that draw tips then hold it to that.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.plate.blade import Blade
from cutfiles.tips.registry import Tip

FAR_MM = 1e4
ROUND_SEGMENTS = 720


@dataclass(frozen=True)
class Truth:
    """What a tip is, in shapes; each function takes the blade for its plain numbers alone."""

    least_tip_radius_mm: Callable[[float, float, float], float]  # half angle, inner radius, seam
    stretch: Callable[[float], float]  # by how much the tip rises for 1 mm more of straight seam
    finished: Callable[[Blade], BaseGeometry]  # down to the plate centre
    cut: Callable[[Blade], BaseGeometry]  # down to the plate centre and past it
    sew: Callable[[Blade], BaseGeometry]  # what is drawn to be sewn, the sides apart
    fold: Callable[[Blade], BaseGeometry]
    cut_corners: int
    finished_corners: int
    arcs: int  # in the finished outline
    fewest: int  # blades in the circle
    step: str  # words of its steps that no other tip's have


def side(blade: Blade, *, out_mm: float = 0.0) -> shapely.Polygon:
    """All between the two sew lines, each moved out square to itself."""
    a = math.pi / blade.blades
    apex = -out_mm / math.sin(a)
    wide = (FAR_MM - apex) * math.tan(a)
    return shapely.Polygon([(0.0, apex), (wide, FAR_MM), (-wide, FAR_MM)])


def below(y_mm: float) -> shapely.Polygon:
    """All below a level."""
    return shapely.box(-2 * FAR_MM, -2 * FAR_MM, 2 * FAR_MM, y_mm)


def under_roof(y_mm: float) -> shapely.Polygon:
    """All below two lines that fall at 45° from a point of the centre line."""
    return shapely.Polygon([(0.0, y_mm), (FAR_MM, y_mm - FAR_MM), (-FAR_MM, y_mm - FAR_MM)])


def level(blade: Blade, y_mm: float) -> BaseGeometry:
    """The line across the cut blade."""
    across = shapely.LineString([(-FAR_MM, y_mm), (FAR_MM, y_mm)])
    return across.intersection(side(blade, out_mm=blade.seam_mm))


def straight_end(blade: Blade) -> BaseGeometry:
    """Cut straight across."""
    return side(blade, out_mm=blade.seam_mm).intersection(below(blade.outer_radius_mm))


def ball(blade: Blade) -> tuple[shapely.Point, float]:
    """The circle in a round tip: it touches the sew lines, and its top is the tip."""
    a = math.pi / blade.blades
    # By similar triangles: a circle about (0, 1) that touches the sides reaches up to 1 + sin a.
    middle = blade.tip_radius_mm / (1 + math.sin(a))
    return shapely.Point(0.0, middle), middle * math.sin(a)


def round_end(blade: Blade, *, out_mm: float = 0.0) -> BaseGeometry:
    """The circle, and below it the wedge up to where the two touch."""
    middle, radius = ball(blade)
    a = math.pi / blade.blades
    disc = middle.buffer(radius + out_mm, quad_segs=ROUND_SEGMENTS)
    foot = middle.y - (radius + out_mm) * math.sin(a)
    return side(blade, out_mm=out_mm).intersection(below(foot)).union(disc)


def arc_over(blade: Blade) -> BaseGeometry:
    """The part of the circle above where it touches the sew lines."""
    middle, radius = ball(blade)
    a = math.pi / blade.blades
    turns = [-a + (math.pi + 2 * a) * i / 2000 for i in range(2001)]
    return shapely.LineString(
        [(radius * math.cos(turn), middle.y + radius * math.sin(turn)) for turn in turns]
    )


def least_folded(a: float, inner: float, seam: float) -> float:
    """The 45° edge reaches the sew line x = y·tan a at y = r_t / (1 + tan a).

    Turned, half the cut width at the tip's seam hangs down from it, and may pass the narrow end by a seam.
    """
    return max(inner * (1 + math.tan(a)), (inner - seam + seam / math.cos(a)) / (1 - math.tan(a)))


NOTHING = shapely.LineString()

TRUTHS = {
    Tip.FOLDED: Truth(
        least_tip_radius_mm=least_folded,
        stretch=lambda a: 1 + math.tan(a),
        finished=lambda blade: side(blade).intersection(under_roof(blade.tip_radius_mm)),
        cut=straight_end,
        sew=lambda blade: level(blade, blade.tip_radius_mm),
        fold=lambda blade: shapely.LineString([(0, blade.inner_radius_mm), (0, blade.outer_radius_mm)]),
        cut_corners=4,
        finished_corners=5,
        arcs=0,
        fewest=5,
        step="Fold a blade lengthwise",
    ),
    Tip.ROUND: Truth(
        # The cut arc touches the cut edge at y = r_t·(1 − sin a) − s·sin a.
        least_tip_radius_mm=lambda a, inner, seam: (inner + seam * math.sin(a)) / (1 - math.sin(a)),
        stretch=lambda a: 1 / (1 - math.sin(a)),
        finished=round_end,
        cut=lambda blade: round_end(blade, out_mm=blade.seam_mm),
        sew=arc_over,
        fold=lambda blade: NOTHING,
        cut_corners=5,
        finished_corners=4,
        arcs=1,
        fewest=3,
        step="gathering stitch along the round end",
    ),
    Tip.FLAT: Truth(
        least_tip_radius_mm=lambda a, inner, seam: inner,
        stretch=lambda a: 1.0,
        finished=lambda blade: side(blade).intersection(below(blade.tip_radius_mm)),
        cut=straight_end,
        sew=lambda blade: NOTHING,
        fold=lambda blade: level(blade, blade.tip_radius_mm),
        cut_corners=4,
        finished_corners=4,
        arcs=0,
        fewest=3,
        step="press a sharp, straight",
    ),
}
