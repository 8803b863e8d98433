"""What every tip must tell. Lengths in mm; the origin is the plate centre, the blade's centre line is +y."""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from cutfiles.core.tolerance import TRIMMED_MM
from cutfiles.core.units import SizeError
from cutfiles.geometry.outline import Path, Point, Vertex, ring
from cutfiles.tips.stage import Patch, Stage, Surface

Shown = Callable[[float], str]  # a length in mm as the reader's unit has it


class Wedge(Protocol):
    """A blade as far as it is the same with every tip: `plate/blade.py` is one."""

    @property
    def half_angle_rad(self) -> float:
        """Half of the wedge's angle, a."""

    @property
    def inner_radius_mm(self) -> float:
        """Plate centre to the narrow cut end."""

    @property
    def outer_radius_mm(self) -> float:
        """Plate centre to the wide cut end, on the centre line."""

    @property
    def seam_mm(self) -> float:
        """The seam, at the sides and the tip."""

    @property
    def tip_radius_mm(self) -> float:
        """Plate centre to the finished tip, the tip's allowance below the wide cut end."""

    @property
    def wide_width_mm(self) -> float:
        """Cut width where the straight edges reach the wide end, or would."""

    def cut_half_width_mm(self, radius_mm: float) -> float:
        """Return half the cut width at a distance from the plate centre."""


@dataclass(frozen=True, slots=True)
class Lines:
    """What the pen draws for a tip: where it is sewn, and where it is folded."""

    sew: tuple[Path, ...] = ()
    fold: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Words:
    """What a tip's parts are called."""

    choice: str  # in the job file's reference: "a folded point"
    wide_end: str  # where the wide end's width is measured
    between: str  # what lies between two neighbouring tips
    between_one: str  # one of them, in a word
    between_label: str  # all of them in the plate's picture, in a word
    meeting: str  # how two blades are laid together to be joined
    trimmed: str  # what is left to cut where a ruler cut both ends straight; empty if nothing is
    edge: str  # what to mind when the finished edge is sewn down; begins with its comma, or empty


def trimmed_off_mm(wedge: Wedge, facing_ends_mm: float) -> float:
    """Return how far a facing sticks out below the narrow end; 0 where it doesn't, or too little to trim.

    Args:
        wedge: whose narrow end it is.
        facing_ends_mm: the radius to which the facing reaches.
    """
    out_mm = wedge.inner_radius_mm - facing_ends_mm
    return out_mm if out_mm > TRIMMED_MM else 0.0


class Finish(Protocol):
    """One way to finish the wide end. Its edge lies a seam inside the cut line all along."""

    @property
    @abstractmethod
    def word(self) -> str:
        """What a job file calls it."""

    @property
    @abstractmethod
    def words(self) -> Words:
        """What its parts are called."""

    @property
    @abstractmethod
    def allowance_in_seams(self) -> float:
        """How many seams of the blade's length the tip takes up.

        By as much of an error it moves out where the seams of its own come out too narrow. Above 1 where the
        edges of the cut line meet at the tip in a point.
        """

    @property
    @abstractmethod
    def shorter_is_cut_off(self) -> bool:
        """Whether a shorter blade is this one with its end cut off, so that a template can have a scale."""

    @property
    @abstractmethod
    def is_pressed_over_template(self) -> bool:
        """Whether the edge is pressed over something of card or metal."""

    def allowance_mm(self, seam_mm: float) -> float:
        """Return how far the finished tip lies below the wide cut end."""
        return self.allowance_in_seams * seam_mm

    @abstractmethod
    def refusal(self, wedge: Wedge) -> SizeError | None:
        """Return why the tip can't be sewn on this wedge and what would do; None if it can."""

    @abstractmethod
    def facing_ends_mm(self, wedge: Wedge) -> float | None:
        """Return how near to the plate centre its facing reaches; None for a tip without one."""

    @abstractmethod
    def valley_radius_mm(self, wedge: Wedge) -> float:
        """Return how far from the plate centre the finished edges of neighbours meet, on their sew line."""

    @abstractmethod
    def base_mm(self, wedge: Wedge) -> float:
        """Return the height of the tip's lowest point up the centre line; it must be above the narrow end."""

    @abstractmethod
    def reach_share(self, wedge: Wedge) -> float:
        """Return the tip's distance from the plate centre as a share of the furthest point's, up to 1."""

    @abstractmethod
    def cut_line(self, wedge: Wedge) -> Path:
        """Return the whole blade's cut line, closed, counter-clockwise from the narrow end's left corner."""

    @abstractmethod
    def lines(self, wedge: Wedge) -> Lines:
        """Return what the pen draws for the tip."""

    @abstractmethod
    def finished_edge(self, wedge: Wedge) -> tuple[Vertex, ...]:
        """Return the finished edge, from the right-hand valley over the tip to the left-hand one."""

    @abstractmethod
    def template_lines(self, wedge: Wedge) -> tuple[Path, ...]:
        """Return what a template has engraved for the tip as a line of its own."""

    @abstractmethod
    def levels_mm(self, wedge: Wedge) -> tuple[float, ...]:
        """Return at what heights up the centre line the template's lines for the tip begin and end."""

    @abstractmethod
    def frame_ticks(self, wedge: Wedge) -> tuple[Path, ...]:
        """Return the ticks on a window's frame that show where neighbours meet, unless its corners do."""

    @abstractmethod
    def sizes_mm(self, wedge: Wedge) -> tuple[tuple[str, float], ...]:
        """Return measures of the cut blade that no other tip has, each with its name."""

    @abstractmethod
    def cut_by_hand(self, wedge: Wedge, *, shown: Shown) -> str:
        """Return how to draw the wide end by hand: the sentence that began with length and narrow end."""

    @abstractmethod
    def sew_marks_by_hand(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """Return how to draw the tip's sew lines by hand, a sentence each."""

    @abstractmethod
    def fold_marks_by_hand(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """Return how to draw the tip's fold lines by hand, a sentence each."""

    @abstractmethod
    def steps(self, wedge: Wedge, *, shown: Shown) -> tuple[str, ...]:
        """Return how to sew the tip, step by step. Common practice; no published source."""

    @abstractmethod
    def raw_top(self, wedge: Wedge) -> Point:
        """Return where, with the tip finished, the right-hand cut edge ends; the valley lies level with it.

        Between sew line and cut edge lies what is turned or sewn into the seam.
        """

    @abstractmethod
    def facing(self, wedge: Wedge) -> tuple[Path, ...]:
        """Return what of the right side shows at the back once the tip is finished."""

    @abstractmethod
    def stages(self, wedge: Wedge) -> tuple[Stage, ...]:
        """Return how the tip is sewn, in pictures. Common practice; no published source."""


def turned_outline(finish: Finish, wedge: Wedge) -> Path:
    """Return the blade with its tip finished and its long edges still raw."""
    narrow, low = wedge.cut_half_width_mm(wedge.inner_radius_mm), wedge.inner_radius_mm
    x, y = finish.raw_top(wedge)
    edge = finish.finished_edge(wedge)
    return Path(
        (Vertex(-narrow, low), Vertex(narrow, low), Vertex(x, y), *edge, Vertex(-x, y)),
        closed=True,
    )


def from_the_back(finish: Finish, wedge: Wedge) -> tuple[Patch, ...]:
    """Return the blade with its tip finished, its wrong side seen and on it what was turned."""
    facing = (Patch(path, Surface.RIGHT) for path in finish.facing(wedge))
    return (Patch(turned_outline(finish, wedge), Surface.WRONG), *facing)


def valley_point(wedge: Wedge, valley_radius_mm: float) -> Point:
    """Return the right-hand valley: on the sew line, so far from the plate centre."""
    a = wedge.half_angle_rad
    return (valley_radius_mm * math.sin(a), valley_radius_mm * math.cos(a))


def straight_cut(wedge: Wedge) -> Path:
    """Return the cut line of a blade whose ends are both square to its centre line."""
    narrow, bottom = wedge.cut_half_width_mm(wedge.inner_radius_mm), wedge.inner_radius_mm
    wide, top = wedge.cut_half_width_mm(wedge.outer_radius_mm), wedge.outer_radius_mm
    return ring((-narrow, bottom), (narrow, bottom), (wide, top), (-wide, top))


def straight_cut_by_hand(wedge: Wedge, *, shown: Shown) -> str:
    """Return the words for such a cut line."""
    return f", both ends square to the centre line, {shown(wedge.wide_width_mm)} wide at the wide end."


def across(wedge: Wedge, y_mm: float) -> Path:
    """Return the line straight across the blade, from cut edge to cut edge."""
    half = wedge.cut_half_width_mm(y_mm)
    return Path((Vertex(-half, y_mm), Vertex(half, y_mm)), closed=False)
