"""What is cut and what is drawn on it, in the shape's own frame (mm, y up)."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cutfiles.core.errors import GeometryError
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Contour, Path, area
from cutfiles.job.model.job import FabricSpec, Share


@dataclass(frozen=True, slots=True)
class Mark:
    """A line that the pen draws on every piece of a shape."""

    kind: Drawn  # SEW, FOLD or NOTCH, LABEL on templates alone: others' labels and arrows depend on the piece
    path: Contour


@dataclass(frozen=True, slots=True)
class Shape:
    """A blade, a centre, a background or an outline of the user's own.

    A blade's and a background's origin is the plate centre, a blade's centre line runs up the y axis;
    a centre's origin is its middle; a user's outline keeps its own.
    """

    name: str
    cut: Contour  # closed, counter-clockwise
    marks: tuple[Mark, ...]
    symmetric: bool  # it is its own mirror image about the y axis: a flipped fabric changes nothing
    note: str = ""  # what the user should know of its lines
    inner: tuple[Contour, ...] = ()  # holes in it: closed, counter-clockwise, cut before its outline
    # Lines that belong on the side that is below on the mat: a person who cuts it by hand turns it over.
    hand_marks: tuple[Mark, ...] = ()

    def __post_init__(self) -> None:
        if isinstance(self.cut, Path) and not self.cut.closed:
            raise GeometryError(f"the cut line of {self.name} is not closed")
        if not area(self.cut) > 0:
            raise GeometryError(f"{self.name} has no area")

    @property
    def by_hand(self) -> Shape:
        """It as a person marks it, where no machine cuts it."""
        return replace(self, marks=self.hand_marks) if self.hand_marks else self


@dataclass(frozen=True, slots=True)
class Demand:
    """What one fabric is asked to give: shape by shape a number, the rest, or all it holds."""

    fabric: FabricSpec
    counts: tuple[tuple[str, int | Share], ...]


@dataclass(frozen=True, slots=True)
class CutList:
    """Everything to cut: the shapes, how many of each the job needs, and who gives them."""

    shapes: tuple[Shape, ...]
    needs: tuple[tuple[str, int], ...]
    demands: tuple[Demand, ...]

    def shape(self, name: str) -> Shape:
        """Return the shape of that name; it is there, `job/parse/read.py` has seen to it."""
        return next(shape for shape in self.shapes if shape.name == name)
