"""The flat tip: the wide end stays straight and is turned under."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.units import SizeError
from cutfiles.geometry.outline import Path, Point, Vertex, ring
from cutfiles.tips.finish import (
    Finish,
    Lines,
    Shown,
    Wedge,
    Words,
    across,
    from_the_back,
    straight_cut,
    straight_cut_by_hand,
    valley_point,
)
from cutfiles.tips.stage import Measure, Patch, Stage, Surface, folded_at


@dataclass(frozen=True, slots=True)
class Flat(Finish):
    """A straight end, square to the centre line. Source: docs/geometry.md."""

    @property
    def word(self) -> str:
        """What a job file calls it."""
        return "flat"

    @property
    def words(self) -> Words:
        """What its parts are called."""
        return Words(
            choice="straight",
            wide_end="wide end",
            between="corners",
            between_one="corner",
            between_label="Corners",
            trimmed="",
            meeting="folds meeting",
            edge="",
        )

    @property
    def allowance_in_seams(self) -> float:
        """One, turned under."""
        return 1.0

    @property
    def shorter_is_cut_off(self) -> bool:
        """Both ends are straight, so it is."""
        return True

    @property
    def is_pressed_over_template(self) -> bool:
        """It is folded on its line."""
        return False

    def refusal(self, wedge: Wedge) -> SizeError | None:
        """None of its own."""
        return None

    def facing_ends_mm(self, wedge: Wedge) -> float | None:
        """It has no facing."""
        return None

    def valley_radius_mm(self, wedge: Wedge) -> float:
        """The fold meets the sew line at r_t / cos a: a corner, further out than the tip."""
        return wedge.tip_radius_mm / math.cos(wedge.half_angle_rad)

    def base_mm(self, wedge: Wedge) -> float:
        """All of the fold is as high as the tip."""
        return wedge.tip_radius_mm

    def reach_share(self, wedge: Wedge) -> float:
        """The corners lie at r_t / cos a."""
        return math.cos(wedge.half_angle_rad)

    def cut_line(self, wedge: Wedge) -> Path:
        """Straight ends."""
        return straight_cut(wedge)

    def lines(self, wedge: Wedge) -> Lines:
        """Folded straight across."""
        return Lines(fold=(across(wedge, wedge.tip_radius_mm),))

    def finished_edge(self, wedge: Wedge) -> tuple[Vertex, ...]:
        """Straight across."""
        x, y = valley_point(wedge, self.valley_radius_mm(wedge))
        return (Vertex(x, y), Vertex(-x, y))

    def template_lines(self, wedge: Wedge) -> tuple[Path, ...]:
        """The fold."""
        return self.lines(wedge).fold

    def levels_mm(self, wedge: Wedge) -> tuple[float, ...]:
        """The fold."""
        return (wedge.tip_radius_mm,)

    def frame_ticks(self, wedge: Wedge) -> tuple[Path, ...]:
        """The window's corners are where neighbours meet."""
        return ()

    def sizes_mm(self, wedge: Wedge) -> tuple[tuple[str, float], ...]:
        """No more than any blade."""
        return ()

    def cut_by_hand(self, wedge: Wedge, *, shown: Shown) -> str:
        """Straight ends."""
        return straight_cut_by_hand(wedge, shown=shown)

    def sew_marks_by_hand(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """None: the end is turned, not sewn."""
        return ()

    def fold_marks_by_hand(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """The fold."""
        return (f"Fold line: straight across, {shown(wedge.seam_mm)} below the wide end.",)

    def steps(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """Turn and press. Common practice; no published source."""
        return (
            f"Turn {shown(wedge.seam_mm)} of the wide end to the wrong side and press a sharp, straight "
            f"fold.",
        )

    def raw_top(self, wedge: Wedge) -> Point:
        """The fold runs on to the cut edge."""
        return (wedge.cut_half_width_mm(wedge.tip_radius_mm), wedge.tip_radius_mm)

    def facing(self, wedge: Wedge) -> tuple[Path, ...]:
        """What lay above the fold, mirrored at it: so it is a little wider than the blade there."""
        x, y = self.raw_top(wedge)
        wide = wedge.cut_half_width_mm(wedge.outer_radius_mm)
        return (ring((-wide, y - wedge.seam_mm), (wide, y - wedge.seam_mm), (x, y), (-x, y)),)

    def stages(self, wedge: Wedge) -> tuple[Stage, ...]:
        """Turned and pressed. Common practice; no published source."""
        top, tip = wedge.outer_radius_mm, wedge.tip_radius_mm
        x, _ = self.raw_top(wedge)
        return (
            Stage(
                "The fold",
                "A blade from the back, its fold line straight across, a seam below the wide end.",
                (Patch(self.cut_line(wedge), Surface.WRONG),),
                (folded_at((-x, tip), (x, tip)),),
                measures=(Measure((x, top), (x, tip), -0.6 * wedge.seam_mm),),
            ),
            Stage(
                "Turn and press",
                "The same blade with the end turned down over its wrong side: a straight fold at the top.",
                from_the_back(self, wedge),
            ),
        )
