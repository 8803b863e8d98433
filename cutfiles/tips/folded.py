"""The folded point: the blade folded lengthwise, sewn across its wide end, opened and turned."""

from __future__ import annotations

import math
from dataclasses import dataclass

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
        return (
            "Fold a blade lengthwise on its centre line, right sides together, long edges matching.",
            f"Sew across the wide end, {shown(wedge.seam_mm)} below its edge, with a few stitches back and "
            f"forth at the fold. Feed the blades one after the other without cutting the thread.",
            "Cut them apart. Clip the corner at the fold, close to the stitches but not into them.",
            "Turn the point right side out and push the corner out gently with something blunt.",
            "Centre the little seam on the blade's centre line, at the back, and press the point flat. Every "
            "point should be square.",
        )
