"""The round tip: an arc, tangent to both sew lines, gathered over a round template."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.units import SizeError
from cutfiles.geometry.outline import Circle, Path, Point, Vertex, bulge_of
from cutfiles.tips.finish import Finish, Lines, Shown, Wedge, Words, from_the_back
from cutfiles.tips.stage import DrawnLine, LineKind, Measure, Patch, Stage, Surface


def arc_centre_mm(wedge: Wedge) -> float:
    """Return how far up the centre line the arc's centre lies: c = r_t / (1 + sin a)."""
    return wedge.tip_radius_mm / (1 + math.sin(wedge.half_angle_rad))


def arc_radius_mm(wedge: Wedge) -> float:
    """Return the finished arc's radius, tangent to both sew lines: c·sin a."""
    return arc_centre_mm(wedge) * math.sin(wedge.half_angle_rad)


@dataclass(frozen=True, slots=True)
class Round(Finish):
    """A round end. Source: docs/geometry.md."""

    @property
    def word(self) -> str:
        """What a job file calls it."""
        return "round"

    @property
    def words(self) -> Words:
        """What its parts are called."""
        return Words(
            choice="an arc",
            wide_end="where the long edges would reach the wide end",
            between="valleys between the tips",
            between_one="valley",
            between_label="Valleys",
            trimmed="round end",
            meeting="turned edges meeting at the valley",
            edge=", turning at every valley",
        )

    @property
    def allowance_in_seams(self) -> float:
        """One, gathered."""
        return 1.0

    @property
    def shorter_is_cut_off(self) -> bool:
        """Of a shorter blade the arc is another."""
        return False

    @property
    def is_pressed_over_template(self) -> bool:
        """It is gathered over one."""
        return True

    def refusal(self, wedge: Wedge) -> SizeError | None:
        """None of its own."""
        return None

    def facing_ends_mm(self, wedge: Wedge) -> float | None:
        """It has no facing."""
        return None

    def valley_radius_mm(self, wedge: Wedge) -> float:
        """The finished arc touches the sew line at c·cos a."""
        return arc_centre_mm(wedge) * math.cos(wedge.half_angle_rad)

    def base_mm(self, wedge: Wedge) -> float:
        """Where the cut arc meets the cut edge, which lies below where the finished one does."""
        a = wedge.half_angle_rad
        return arc_centre_mm(wedge) - (arc_radius_mm(wedge) + wedge.seam_mm) * math.sin(a)

    def reach_share(self, wedge: Wedge) -> float:
        """Nothing lies further out than the tip."""
        return 1.0

    def cut_line(self, wedge: Wedge) -> Path:
        """Straight edges into an arc a seam outside the finished one, about the same centre."""
        a = wedge.half_angle_rad
        radius = arc_radius_mm(wedge) + wedge.seam_mm
        tangent = (radius * math.cos(a), arc_centre_mm(wedge) - radius * math.sin(a))
        narrow, bottom = wedge.cut_half_width_mm(wedge.inner_radius_mm), wedge.inner_radius_mm
        # From edge to edge over the top the arc sweeps 180° + 2a: tangent to both edges. It is given as two,
        # as some readers of DXF (GDAL 3.12 is one) take the wrong part of a circle where a bulge is above 1.
        bulge = bulge_of((math.pi + 2 * a) / 2)
        return Path(
            (
                Vertex(-narrow, bottom),
                Vertex(narrow, bottom),
                Vertex(tangent[0], tangent[1], bulge),
                Vertex(0.0, wedge.outer_radius_mm, bulge),
                Vertex(-tangent[0], tangent[1]),
            ),
            closed=True,
        )

    def lines(self, wedge: Wedge) -> Lines:
        """The finished arc, where the edge is turned."""
        a, radius = wedge.half_angle_rad, arc_radius_mm(wedge)
        x, y = radius * math.cos(a), arc_centre_mm(wedge) - radius * math.sin(a)
        arc = Path((Vertex(x, y, bulge_of(math.pi + 2 * a)), Vertex(-x, y)), closed=False)
        return Lines(sew=(arc,))

    def finished_edge(self, wedge: Wedge) -> tuple[Vertex, ...]:
        """One arc over the tip."""
        a, valley = wedge.half_angle_rad, self.valley_radius_mm(wedge)
        x, y = valley * math.sin(a), valley * math.cos(a)
        return (Vertex(x, y, bulge_of(math.pi + 2 * a)), Vertex(-x, y))

    def template_lines(self, wedge: Wedge) -> tuple[Path, ...]:
        """The finished arc."""
        return self.lines(wedge).sew

    def levels_mm(self, wedge: Wedge) -> tuple[float, ...]:
        """From where the edges bend up to the arc's top."""
        return (self.base_mm(wedge), wedge.tip_radius_mm)

    def frame_ticks(self, wedge: Wedge) -> tuple[Path, ...]:
        """The window bends where neighbours meet."""
        return ()

    def sizes_mm(self, wedge: Wedge) -> tuple[tuple[str, float], ...]:
        """The cut arc's radius."""
        return (("radius of the round end", arc_radius_mm(wedge) + wedge.seam_mm),)

    def cut_by_hand(self, wedge: Wedge, *, shown: Shown) -> str:
        """Where to set the compass."""
        return (
            f"; its long edges would be {shown(wedge.wide_width_mm)} apart at the full length, but run into "
            f"an arc of radius {shown(arc_radius_mm(wedge) + wedge.seam_mm)} whose middle lies on the centre "
            f"line, {shown(wedge.outer_radius_mm - arc_centre_mm(wedge))} below the top."
        )

    def sew_marks_by_hand(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """The finished arc."""
        return (
            f"Sew line of the tip: an arc {shown(wedge.seam_mm)} inside the round end, about the same "
            f"middle.",
        )

    def fold_marks_by_hand(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """None: the edge is turned on its sew line."""
        return ()

    def steps(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """Gather over a template and press. Common practice; no published source."""
        return (
            f"Run a gathering stitch along the round end, halfway between its edge and the sew line "
            f"{shown(wedge.seam_mm)} inside.",
            f"Lay a round template of card or metal, of radius {shown(arc_radius_mm(wedge))}, on the wrong "
            f"side, its edge on the sew line, and pull the thread up over it.",
            "Press the edge over the template. Let it cool, slide the template out and press again from the "
            "right side.",
        )

    def raw_top(self, wedge: Wedge) -> Point:
        """Where the cut arc leaves the cut edge, a seam square from where the finished one does."""
        a, radius = wedge.half_angle_rad, arc_radius_mm(wedge) + wedge.seam_mm
        return (radius * math.cos(a), arc_centre_mm(wedge) - radius * math.sin(a))

    def facing(self, wedge: Wedge) -> tuple[Path, ...]:
        """What is gathered over the template: a seam all along inside the finished arc."""
        a = wedge.half_angle_rad
        outer = arc_radius_mm(wedge)
        inner = max(outer - wedge.seam_mm, outer / 20)
        bulge = bulge_of(math.pi + 2 * a)
        (x, y), (near_x, near_y) = (self._on_arc(wedge, radius) for radius in (outer, inner))
        return (
            Path(
                (Vertex(x, y, bulge), Vertex(-x, y), Vertex(-near_x, near_y, -bulge), Vertex(near_x, near_y)),
                closed=True,
            ),
        )

    def _on_arc(self, wedge: Wedge, radius: float) -> Point:
        """The right-hand end of an arc about the finished one's centre."""
        a = wedge.half_angle_rad
        return (radius * math.cos(a), arc_centre_mm(wedge) - radius * math.sin(a))

    def stages(self, wedge: Wedge) -> tuple[Stage, ...]:
        """Gathered over a template and pressed. Common practice; no published source."""
        middle, radius = arc_centre_mm(wedge), arc_radius_mm(wedge)
        x, y = self._on_arc(wedge, radius + wedge.seam_mm / 2)
        gathering = Path(
            (Vertex(x, y, bulge_of(math.pi + 2 * wedge.half_angle_rad)), Vertex(-x, y)), closed=False
        )
        blade = Patch(self.cut_line(wedge), Surface.WRONG)
        reach = radius + wedge.seam_mm
        end = (-1.2 * reach, middle - 1.5 * reach, 1.2 * reach, middle + 1.1 * reach)
        sew = tuple(DrawnLine(path, LineKind.HIDDEN) for path in self.lines(wedge).sew)
        return (
            Stage(
                "Gathering stitch",
                "A blade from the back, a line of stitches halfway between its round edge and the sew line.",
                (blade,),
                (*sew, DrawnLine(gathering, LineKind.STITCH)),
                shows=end,
            ),
            Stage(
                "Template, draw up",
                "A round template lies on the wrong side of the blade, its edge on the sew line.",
                (blade, Patch(Circle(0.0, middle, radius), Surface.CARD)),
                (DrawnLine(gathering, LineKind.STITCH),),
                measures=(Measure((0.0, middle), (radius, middle)),),
                shows=end,
            ),
            Stage(
                "Press, cool, press",
                "The same blade from the back, its round edge turned all along.",
                from_the_back(self, wedge),
            ),
        )
