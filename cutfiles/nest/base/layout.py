"""The answer of the nest: which piece lies where on which fabric on which mat load. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum

from cutfiles.core.units import SoldBy, Unit, rounded_down_mm, shown, sides_shown
from cutfiles.geometry.outline import Point
from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import Face
from cutfiles.pieces.shape import Shape

# Less than this each way isn't worth a word: seams eat it.
LEAST_KEPT_MM = 25.0


@dataclass(frozen=True, slots=True)
class Placement:
    """One piece, where it lies on the mat."""

    piece_id: str  # such as `tide-blade-001`
    shape: str
    number: int  # counts a fabric's pieces of one shape, from 1
    label: str  # such as `tide 1`, or `2·07 tide` for blade 7 of plate 2
    pose: Pose  # from the shape's own frame to the mat
    plate: int = 0  # of a blade: where it is sewn, from 1; 0: nowhere, or nobody has decided yet
    place: int = 0  # in that plate, counter-clockwise from the top, from 1
    bag: int = 0  # of which kit, from 1; 0: of none

    @property
    def short_label(self) -> str:
        """What tells it from others where its whole label has no room: plate and place, else its number."""
        return f"{self.plate}·{self.place:02d}" if self.plate else str(self.number)


@dataclass(frozen=True, slots=True)
class PlacedRepeat:
    """Where the print of a laid fabric repeats: (x, y) on the mat is a place of the motif."""

    x_mm: float
    y_mm: float
    width_mm: float  # of the repeat, crosswise
    length_mm: float  # along the lengthwise grain


@dataclass(frozen=True, slots=True)
class PlacedFabric:
    """A rectangle of fabric as it lies on the mat, with the pieces to be cut from it."""

    fabric: str
    piece: int  # which of the fabric's pieces it is, or comes from; from 1
    x_mm: float  # lower left corner on the mat, as it lies
    y_mm: float
    width_mm: float  # its own crosswise size
    length_mm: float  # its own lengthwise size
    turn_deg: float  # 0: lengthwise grain up the mat, 90: turned counter-clockwise
    margin_mm: float  # kept clear inside its edge
    turns_deg: tuple[float, ...] | None  # allowed turns of a piece on the mat; None is any turn
    placements: tuple[Placement, ...]
    # Where it isn't a clean rectangle, as it lies on the mat: its edge, and polygons that no cut line enters.
    outline: tuple[Point, ...] = ()
    avoid: tuple[tuple[Point, ...], ...] = ()
    repeat: PlacedRepeat | None = None  # every piece has its origin on the motif, or whole repeats from it
    # Its lower left corner on the piece that it is cut from, as that lies: crosswise, lengthwise.
    from_mm: Point = (0.0, 0.0)
    face: Face = Face.WRONG_SIDE_UP

    @property
    def across_mm(self) -> float:
        """Its size along the mat's x axis."""
        return self.width_mm if self.turn_deg == 0 else self.length_mm

    @property
    def up_mm(self) -> float:
        """Its size along the mat's y axis."""
        return self.length_mm if self.turn_deg == 0 else self.width_mm


@dataclass(frozen=True, slots=True)
class Load:
    """What lies on the mat for one run of the machine."""

    name: str  # such as `load-01`
    fabrics: tuple[PlacedFabric, ...]


@dataclass(frozen=True, slots=True)
class RoughCut:
    """A rectangle cut by hand from a fabric piece, for the mat or as a shape too big for it.

    `x_mm, y_mm` is its lower left corner on the fabric piece, crosswise to the right, lengthwise up.
    """

    fabric: str
    piece: int
    x_mm: float
    y_mm: float
    width_mm: float
    length_mm: float
    goes_to: str  # the load's name, or the shape's name if it is cut by hand
    face: Face = Face.WRONG_SIDE_UP  # of the fabric piece, while it is cut


@dataclass(frozen=True, slots=True)
class HandCut:
    """Pieces too big for the mat: cut and marked by hand from a fabric."""

    fabric: str
    shape: str
    count: int


class Lie(Enum):
    """How pieces lie along a strip."""

    END_FOR_END = "end for end"  # every other wedge turned, neighbours share a cut
    ONE_WAY = "one way"  # wedges with all their wide ends up
    SIDE_BY_SIDE = "side by side"  # rectangles, from which other shapes are cut by their template


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip that a ruler cuts from a fabric piece, and the marks at which it is cut into pieces.

    `x_mm, y_mm` is its lower left corner on the fabric piece, crosswise to the right, lengthwise up. Marks
    count along its upper and its lower edge from its left end as it lies across before you.
    """

    fabric: str
    piece: int
    x_mm: float
    y_mm: float
    width_mm: float  # crosswise
    length_mm: float  # lengthwise
    shape: str
    count: int
    lie: Lie
    turn_deg: float  # of its pieces: 0; 90 or 270 where it runs along the grain
    top_mm: tuple[float, ...]
    bottom_mm: tuple[float, ...]

    @property
    def is_lengthwise(self) -> bool:
        """Whether its long edges run along the lengthwise grain."""
        return self.turn_deg != 0.0

    @property
    def height_mm(self) -> float:
        """From its lower to its upper long edge."""
        return self.width_mm if self.is_lengthwise else self.length_mm

    @property
    def row_mm(self) -> float:
        """How much of its length the pieces take."""
        return max(*self.top_mm, *self.bottom_mm)

    @property
    def sides_mm(self) -> tuple[float, float]:
        """Crosswise and lengthwise, what of it the pieces take."""
        return (self.height_mm, self.row_mm) if self.is_lengthwise else (self.row_mm, self.height_mm)


@dataclass(frozen=True, slots=True)
class Left:
    """The largest upright rectangle left in one piece, where it lies in the piece of fabric it is left of."""

    piece: int  # from 1
    x_mm: float  # crosswise
    y_mm: float  # lengthwise
    width_mm: float
    length_mm: float

    def size(self, unit: Unit) -> str:
        """Return crosswise × lengthwise, rounded down to marks of a rule; nothing if too small to keep."""
        width, length = (rounded_down_mm(mm, unit.rough_mark_mm) for mm in (self.width_mm, self.length_mm))
        return sides_shown(width, length, unit) if min(width, length) >= LEAST_KEPT_MM else ""


@dataclass(frozen=True, slots=True)
class Bought:
    """Fabric whose length was to be found."""

    width_mm: float  # as it is bought
    length_mm: float  # all that is cut from it lies on that, its margin included; on a mark of a rule
    buy_mm: float  # what shrinks and what is lost at the ends added, rounded up as fabric is sold
    hurried: bool = False  # the search was cut short: left to its end it might have found less
    needed_mm: float | None = None  # as it is bought, not rounded up; None: nothing is lost, it is length_mm
    sold: SoldBy | None = None  # None: as fabric is sold where the job's unit is used

    @property
    def as_bought_mm(self) -> float:
        """The length needed, with what shrinks and what is lost at the ends, not rounded up."""
        return self.length_mm if self.needed_mm is None else self.needed_mm

    def sold_by(self, unit: Unit) -> SoldBy:
        """Return in what steps it is sold, for a job in that unit."""
        return self.sold or unit.sold_by

    def buy_words(self, unit: Unit) -> str:
        """Return what to ask for in the shop: `1 1/2 yd`."""
        return self.sold_by(unit).words(self.buy_mm)

    def words(self, unit: Unit) -> str:
        """Return how much is needed: `31 3/4 in needed of 42 in wide fabric; buy 1 yd`."""
        length, width = shown(self.as_bought_mm, unit), shown(self.width_mm, unit)
        words = f"{length} needed of {width} wide fabric; buy {self.buy_words(unit)}"
        return (
            f"{words} (found in a hurry: a search left to its end may need less)" if self.hurried else words
        )


@dataclass(frozen=True, slots=True)
class FabricTally:
    """What one fabric gives, and how well it is used."""

    fabric: str
    pieces: int
    pieces_used: int
    counts: tuple[tuple[str, int], ...]  # shape, how many are cut from it (by machine or hand)
    at_most: tuple[tuple[str, int], ...]  # shape, a bound on how many all its pieces could give
    used_share: float  # area of the cut pieces over the area of the fabric pieces used, 0 to 1
    limited: tuple[str, ...] = ()  # shapes of which it gives all that it was found to hold
    left: Left | None = None  # of the last piece that is cut into
    bought: Bought | None = None  # where the job leaves its length open and something is cut from it
    hurried: bool = False  # its pieces were counted by a search cut short: left to its end it may need fewer

    def all_words(self, shape: str) -> str:
        """Return what is known of a shape of which the fabric gives all that it was found to hold."""
        is_proven = dict(self.counts)[shape] == dict(self.at_most).get(shape)
        return "no more can fit" if is_proven else "all it was found to hold"

    @property
    def pieces_whole(self) -> int:
        """How many of its pieces nothing is cut from."""
        return self.pieces - self.pieces_used


def alike_tallies(tallies: Iterable[FabricTally]) -> list[tuple[FabricTally, ...]]:
    """Return fabrics that give the same from as many alike pieces together, for one line to tell of them."""
    alike: dict[FabricTally, list[FabricTally]] = {}
    for tally in tallies:
        alike.setdefault(replace(tally, fabric=""), []).append(tally)
    return [tuple(some) for some in alike.values()]


@dataclass(frozen=True, slots=True)
class Layout:
    """Everything that the files are written from."""

    shapes: tuple[Shape, ...]
    loads: tuple[Load, ...]
    rough_cuts: tuple[RoughCut, ...]
    hand_cuts: tuple[HandCut, ...]
    tallies: tuple[FabricTally, ...]
    notes: tuple[str, ...]
    least_loads: int = 0  # the rectangles of fabric that lie on the mats can't lie on fewer loads
    plates: tuple[tuple[str, ...], ...] = ()  # of each the fabrics of its blades, in the order of sewing
    strips: tuple[Strip, ...] = ()  # where all is cut by hand: in the order in which they are cut

    def shape(self, name: str) -> Shape:
        """Return the shape of that name."""
        return next(shape for shape in self.shapes if shape.name == name)
