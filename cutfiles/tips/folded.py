"""The folded point: the blade folded lengthwise, sewn across its wide end, opened and turned."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, SizeError, rounded_up_mm
from cutfiles.geometry.outline import Path, Point, Vertex, line, ring
from cutfiles.geometry.pose import Pose, placed
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
    trimmed_off_mm,
    valley_point,
)
from cutfiles.tips.stage import DrawnLine, LineKind, Patch, Stage, Surface, folded_at, over, patch, stitched

FEWEST = 5  # with fewer, the point is wider than it is long
ANGLE_RAD = 1e-9  # tan 45° is 1 but for its last bit


@dataclass(frozen=True, slots=True)
class Folded(Finish):
    """A point of 90°: its edges leave the tip at 45° to the centre line. Source: docs/geometry.md."""

    @property
    def word(self) -> str:
        """What a job file calls it."""
        return "folded"

    @property
    def words(self) -> Words:
        """What its parts are called."""
        return Words(
            choice="a folded point",
            wide_end="wide end",
            between="valleys between the tips",
            between_one="valley",
            between_label="Valleys",
            trimmed="",
            meeting="folded edges meeting",
            edge=", turning at every valley and tip",
        )

    @property
    def allowance_in_seams(self) -> float:
        """One, sewn across."""
        return 1.0

    @property
    def shorter_is_cut_off(self) -> bool:
        """Both ends are straight, so it is."""
        return True

    @property
    def is_pressed_over_template(self) -> bool:
        """It is turned."""
        return False

    def refusal(self, wedge: Wedge) -> SizeError | None:
        """The facing sticks out below the narrow end by more than is trimmed without a thought: a seam."""
        ends = self.facing_ends_mm(wedge)
        if ends >= wedge.inner_radius_mm - wedge.seam_mm - RULE_MM:
            return None
        reason = "the folded tip, once turned, would reach {} below the blade's narrow end"
        out_mm = wedge.inner_radius_mm - ends
        slope, a = math.tan(wedge.half_angle_rad), wedge.half_angle_rad
        # At 45° or more a longer blade's tip only reaches further down.
        if a >= math.pi / 4 - ANGLE_RAD:
            says = f"{reason}, as always with 3 or 4 blades; take {FEWEST} blades or more, or another tip"
            return SizeError(says, out_mm)
        least = (wedge.inner_radius_mm + wedge.seam_mm / math.cos(a)) / (1 - slope) + wedge.seam_mm
        length = rounded_up_mm(least - wedge.inner_radius_mm, MM_PER_INCH / 16)
        return SizeError(f"{reason}; a blade_length of {{}} would do, or another tip", out_mm, length)

    def facing_ends_mm(self, wedge: Wedge) -> float:
        """Opened, each half of the tip's seam lies down the centre line: r_t − (r_t·tan a + s/cos a)."""
        return wedge.tip_radius_mm - wedge.cut_half_width_mm(wedge.tip_radius_mm)

    def valley_radius_mm(self, wedge: Wedge) -> float:
        """The edge leaves the tip at 45°: x = r_t − y, on the sew line x = y·tan a; r_t / (cos a + sin a)."""
        a = wedge.half_angle_rad
        return wedge.tip_radius_mm / (math.cos(a) + math.sin(a))

    def base_mm(self, wedge: Wedge) -> float:
        """As high as the valleys."""
        return self.valley_radius_mm(wedge) * math.cos(wedge.half_angle_rad)

    def reach_share(self, wedge: Wedge) -> float:
        """Nothing lies further out than the tip."""
        return 1.0

    def cut_line(self, wedge: Wedge) -> Path:
        """Straight ends."""
        return straight_cut(wedge)

    def lines(self, wedge: Wedge) -> Lines:
        """Sewn straight across, folded on the centre line."""
        centre_line = line((0.0, wedge.inner_radius_mm), (0.0, wedge.outer_radius_mm))
        return Lines(sew=(across(wedge, wedge.tip_radius_mm),), fold=(centre_line,))

    def finished_edge(self, wedge: Wedge) -> tuple[Vertex, ...]:
        """Straight up to the tip and down again."""
        x, y = valley_point(wedge, self.valley_radius_mm(wedge))
        return (Vertex(x, y), Vertex(0.0, wedge.tip_radius_mm), Vertex(-x, y))

    def template_lines(self, wedge: Wedge) -> tuple[Path, ...]:
        """The tip's seam; templates draw a centre line themselves."""
        return self.lines(wedge).sew

    def levels_mm(self, wedge: Wedge) -> tuple[float, ...]:
        """The seam across."""
        return (wedge.tip_radius_mm,)

    def frame_ticks(self, wedge: Wedge) -> tuple[Path, ...]:
        """From each valley out to the cut edge, square to it."""
        a, seam = wedge.half_angle_rad, wedge.seam_mm
        valley = valley_point(wedge, self.valley_radius_mm(wedge))
        edge = (valley[0] + seam * math.cos(a), valley[1] - seam * math.sin(a))
        return (line(valley, edge), line((-valley[0], valley[1]), (-edge[0], edge[1])))

    def sizes_mm(self, wedge: Wedge) -> tuple[tuple[str, float], ...]:
        """No more than any blade."""
        return ()

    def cut_by_hand(self, wedge: Wedge, *, shown: Shown) -> str:
        """Straight ends."""
        return straight_cut_by_hand(wedge, shown=shown)

    def sew_marks_by_hand(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """The seam across."""
        return (f"Sew line of the tip: straight across, {shown(wedge.seam_mm)} below the wide end.",)

    def fold_marks_by_hand(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """The centre line."""
        return ("Fold line: the centre line, from end to end.",)

    def steps(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """Fold, sew across, clip, turn, press. Common practice; no published source."""
        out = trimmed_off_mm(wedge, self.facing_ends_mm(wedge))
        trim = (
            (
                f"Trim the facing: it reaches {shown(out)} below the narrow end at the back. Cut it off even "
                f"with that end.",
            )
            if out
            else ()
        )
        return (
            "Fold a blade lengthwise on its centre line, right sides together, long edges matching.",
            f"Sew across the wide end with short stitches, {shown(wedge.seam_mm)} below its edge, a few of "
            f"them back and forth at the fold. Feed the blades one after the other without cutting the "
            f"thread.",
            "Cut them apart. Trim the corner at the fold, close to the stitches but not into them.",
            "Open the little seam with a fingernail, turn the point right side out and push it out square "
            "with something blunt.",
            "Lay the little seam on the blade's centre line, at the back, and press the point flat.",
            *trim,
        )

    def raw_top(self, wedge: Wedge) -> Point:
        """The 45° edge runs on to the cut edge: r_t - y = y·tan a + s/cos a."""
        slope = math.tan(wedge.half_angle_rad)
        y = (wedge.tip_radius_mm - wedge.cut_half_width_mm(0.0)) / (1 + slope)
        return (wedge.tip_radius_mm - y, y)

    def facing(self, wedge: Wedge) -> tuple[Path, ...]:
        """A kite: what lay above the 45° edges, mirrored at them, its seam down the centre line."""
        x, y = self.raw_top(wedge)
        tip, ends = (0.0, wedge.tip_radius_mm), (0.0, self.facing_ends_mm(wedge))
        return (ring(ends, (x, y), tip), ring(ends, tip, (-x, y)))

    def stages(self, wedge: Wedge) -> tuple[Stage, ...]:
        """Folded, sewn, trimmed, turned. Common practice; no published source."""
        low, top, tip = wedge.inner_radius_mm, wedge.outer_radius_mm, wedge.tip_radius_mm
        seam, wide = wedge.seam_mm, wedge.cut_half_width_mm(wedge.outer_radius_mm)
        half = ((0.0, low), (wedge.cut_half_width_mm(low), low), (wide, top), (0.0, top))
        sewn = ((0.0, tip), (wedge.cut_half_width_mm(tip), tip))
        whole = self.cut_line(wedge)
        # The thread runs on from one blade to the next.
        step = 1.5 * wide
        chain = [Patch(placed(ring(*half), Pose(x_mm=step * at)), Surface.WRONG) for at in (0, 1)]
        corner = ((0.0, tip + 0.3 * seam), (0.8 * seam, top), (0.0, top))
        ends_at = self.facing_ends_mm(wedge)
        trim = _below(wedge, ends_at, self.raw_top(wedge)) if trimmed_off_mm(wedge, ends_at) else ()
        return (
            Stage(
                "Fold lengthwise",
                "A blade folded on its centre line, its wrong side out; dashes show where its left half lay.",
                (Patch(ring(*half), Surface.WRONG),),
                (DrawnLine(whole, LineKind.HIDDEN), folded_at((0.0, low), (0.0, top))),
                (over((-0.7 * wide, 0.86 * top), (0.5 * wide, 0.86 * top), bulge=-0.35),),
            ),
            Stage(
                "Sew across",
                "Two folded blades, a seam across the wide end of both, the thread running on from one to "
                "the next.",
                tuple(chain),
                (stitched(sewn[0], (step + sewn[1][0], tip)), folded_at((0.0, low), (0.0, top))),
                shows=(-seam, low + 0.45 * (top - low), step + wide + seam, top + seam),
            ),
            Stage(
                "Trim the corner",
                "The wide end near the fold: the corner that is cut off, clear of the seam.",
                (Patch(ring(*half), Surface.WRONG), patch(*corner, side=Surface.CUT_OFF)),
                (stitched(*sewn), folded_at((0.0, low), (0.0, top))),
                shows=(-seam, tip - 2.2 * seam, 3.2 * seam, top + 0.6 * seam),
            ),
            Stage(
                "Turn and press",
                "The turned blade from the back: the point's facing with its seam on the centre line.",
                (*from_the_back(self, wedge), *trim),
                (stitched((0.0, ends_at), (0.0, tip)),),
            ),
        )


def _below(wedge: Wedge, ends_mm: float, corner: Point) -> tuple[Patch, ...]:
    """What of the facing sticks out below the narrow end."""
    low = wedge.inner_radius_mm
    share = (low - ends_mm) / (corner[1] - ends_mm)
    return (patch((0.0, ends_mm), (share * corner[0], low), (-share * corner[0], low), side=Surface.CUT_OFF),)
