"""The folded point: the blade folded lengthwise, sewn across its wide end, opened and turned."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, SizeError, rounded_up_mm
from cutfiles.geometry.outline import Path, Vertex, line
from cutfiles.tips.finish import (
    Finish,
    Lines,
    Shown,
    Wedge,
    Words,
    across,
    straight_cut,
    straight_cut_by_hand,
    valley_point,
)

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
            between_label="Valleys",
            meeting="folded edges meeting",
            edge=", turning at every valley and tip",
        )

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
        out = wedge.inner_radius_mm - self.facing_ends_mm(wedge)
        trim = (
            (
                f"Trim the facing: it reaches {shown(out)} below the narrow end at the back. Cut it off even "
                f"with that end.",
            )
            if out > RULE_MM
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
