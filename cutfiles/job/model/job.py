"""A job as values: what `job/parse/read.py` makes of the file, every length in mm."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, replace
from enum import Enum
from pathlib import Path

from cutfiles.core.units import Unit
from cutfiles.formats.model.style import LayersSpec, PlotterSpec
from cutfiles.formats.model.tool import Drawn
from cutfiles.formats.paper.sizes import PaperSpec
from cutfiles.geometry.outline import Point
from cutfiles.job.model.blade_shapes import BladeShape, blade_shapes
from cutfiles.job.model.purchase import USUAL, Purchase
from cutfiles.job.model.template import SewnOrCut, StockSpec, TemplateSpec
from cutfiles.tips.registry import Tip

BINDING, BACKING = "binding", "backing"  # shapes of a job with a [quilt]

# Of cloth, each way, that a picture must show: a finer print is a colour.
LEAST_PICTURE_MM = 3.0

# A number alone is quoted as well: `fabric.2` is the second fabric, whatever it is called.
_BARE = re.compile(r"(?!\d+$)[A-Za-z0-9_-]+")


def place_of(table: str, name: str) -> str:
    """Return the key path of a named table, its name quoted where TOML would want that of a key.

    >>> place_of("fabric", "tide"), place_of("fabric", "high tide"), place_of("fabric", "2")
    ('fabric.tide', 'fabric."high tide"', 'fabric."2"')
    """
    return f"{table}.{name if _BARE.fullmatch(name) else json.dumps(name, ensure_ascii=False)}"


class Print(Enum):
    """Which ways round a print looks right."""

    PLAIN = "plain"
    TWO_WAY = "two-way"
    ONE_WAY = "one-way"
    FOUR_WAY = "four-way"


class Grain(Enum):
    """Where a piece's centre line may lie."""

    LENGTHWISE = "lengthwise"
    CROSSWISE = "crosswise"
    STRAIGHT = "straight"
    ANY = "any"


class Face(Enum):
    """Which side of the fabric faces up on the mat."""

    WRONG_SIDE_UP = "wrong side up"
    RIGHT_SIDE_UP = "right side up"


class Share(Enum):
    """A count that isn't a number."""

    REST = "rest"  # what is still to be cut
    FILL = "fill"  # as many as the fabric holds


class CentreKind(Enum):
    """How the centre is made."""

    GATHERED = "gathered"  # over a round template, its edge turned under
    YO_YO = "yo-yo"  # from a circle twice as wide, drawn up on itself


class Register(Enum):
    """The marks by which a load is laid down again."""

    CROSS = "cross"
    RING = "ring"
    NONE = "none"


class Setting(Enum):
    """Where a fan sits on its background."""

    CENTRE = "centre"  # its circle's middle in the middle of a square, as a ring's
    CORNER = "corner"  # a quarter in a square's corner
    EDGE = "edge"  # a half on a rectangle's edge

    @property
    def share(self) -> int:
        """Of how many such fans a whole ring would be made; 1 where any number of blades may be sewn."""
        return {Setting.CENTRE: 1, Setting.CORNER: 4, Setting.EDGE: 2}[self]


class CutBy(Enum):
    """Who cuts."""

    MACHINE = "by machine"
    HAND = "by hand"  # ruler and rotary cutter, or scissors: strips, marks and templates


class FabricEdge(Enum):
    """What becomes of cut lines that lie on the fabric's own edge."""

    CUT = "cut"
    SKIP = "skip"


@dataclass(frozen=True, slots=True)
class PlateSpec:
    """The `[plate]` table; the two of the three sizes that were not given are None."""

    count: int
    blades: int
    sewn: int
    blade_length_mm: float | None
    inner_radius_mm: float | None
    finished_diameter_mm: float | None
    seam_mm: float
    tip: Tip
    # Names of fabrics, repeated round each plate in the order of sewing; empty: spread evenly.
    order: tuple[str, ...] = ()
    setting: Setting = Setting.CENTRE
    second_length_mm: float | None = None  # of every other blade, the shorter ones
    bands_mm: tuple[float, ...] = ()  # seams across each blade, from the plate centre outwards

    @property
    def shapes(self) -> tuple[BladeShape, ...]:
        """The shapes that its blades are cut as."""
        return blade_shapes(two_lengths=self.second_length_mm is not None, seams=len(self.bands_mm))

    @property
    def ordered(self) -> tuple[str, ...]:
        """The fabric of each blade of a plate, in the order of sewing; empty where nobody gave an order."""
        return tuple(self.order[place % len(self.order)] for place in range(self.sewn)) if self.order else ()


@dataclass(frozen=True, slots=True)
class CentreSpec:
    """The `[centre]` table: at most one of `cover_mm` and `diameter_mm` is set."""

    cover_mm: float | None
    turn_mm: float
    diameter_mm: float | None
    kind: CentreKind = CentreKind.GATHERED


@dataclass(frozen=True, slots=True)
class BackgroundSpec:
    """The `[background]` table: either `margin_mm` or `cut_mm` is set."""

    margin_mm: float | None
    cut_mm: float | None
    trim_mm: float = 0.0  # what it is cut larger by, each way, to be squared up after sewing


@dataclass(frozen=True, slots=True)
class QuiltSpec:
    """The `[quilt]` table: blocks joined in rows and columns; 0 for no binding, or no backing."""

    rows: int
    columns: int
    binding_mm: float  # width of its strips as they are cut
    backing_mm: float  # what the backing is larger by, all round
    strip_mm: float  # usable width of the cloth that both are cut from

    @property
    def blocks(self) -> int:
        """How many blocks it takes."""
        return self.rows * self.columns


@dataclass(frozen=True, slots=True)
class RepeatSpec:
    """A printed repeat, and where in it pieces have their origin.

    `motif` counts crosswise and lengthwise from the lower left corner of the fabric piece's bounds as its
    right side is seen, whichever side faces up on the mat.
    """

    width_mm: float
    length_mm: float
    motif: Point


@dataclass(frozen=True, slots=True)
class FabricSpec:
    """One `[[fabric]]`. `cuts` pairs a shape's name with a count, in the order of the file.

    Sizes are of what can be cut from: washed and straightened, where `purchase` says that something is lost.
    """

    name: str
    width_mm: float
    length_mm: float
    pieces: int
    print_: Print
    grain: Grain
    margin_mm: float
    face: Face
    cuts: tuple[tuple[str, int | Share], ...]  # never empty: without `cuts` the rest of everything
    # Crosswise x and lengthwise y from the lower left corner of the bounds, as the fabric lies on the mat.
    outline: tuple[Point, ...] = ()  # of an irregular scrap; empty: the whole rectangle
    avoid: tuple[tuple[Point, ...], ...] = ()  # polygons that no cut line enters
    # Of its edge, not looked at yet: until `pieces` has, width and length are 0 and there is no outline.
    drawing: Path | None = None
    repeat: RepeatSpec | None = None  # every piece must show the same of the print
    as_needed: bool = False  # the length is to be found; then length_mm is the longest that it may be
    pieces_as_needed: bool = False  # their number is to be found; then `pieces` is the most there may be
    purchase: Purchase = USUAL
    colour: str = ""  # of pictures, `#RRGGBB`; empty: one of the sheet's own
    picture: Path | None = None  # of the cloth, not looked at yet: how the sheet's pictures show it
    picture_width_mm: float = 0.0  # of cloth that the picture shows, crosswise
    # Where its shapes don't all lie the same side up: each shape with its own; else empty, and `face` holds.
    faces: tuple[tuple[str, Face], ...] = ()

    def face_of(self, shape: str) -> Face:
        """Return which side is up where a shape is cut."""
        return dict(self.faces).get(shape, self.face)

    def lying(self, face: Face) -> FabricSpec:
        """Return the fabric with all of it one side up."""
        return self if not self.faces and face is self.face else replace(self, face=face, faces=())

    def lying_for(self, shape: str) -> FabricSpec:
        """Return the fabric with all of it lying as it does where a shape is cut."""
        return self.lying(self.face_of(shape))

    @property
    def place(self) -> str:
        """Where it stands in the job, as messages name it."""
        return place_of("fabric", self.name)

    @property
    def is_open(self) -> bool:
        """Whether as much of it as needed will be bought: it limits nothing but the size of a piece."""
        return self.as_needed or self.pieces_as_needed

    @property
    def is_rectangle(self) -> bool:
        """Whether all of width × length may be cut."""
        return not (self.outline or self.avoid)


@dataclass(frozen=True, slots=True)
class OutlineSpec:
    """One `[[outline]]`: a closed outline of the user's own, not yet grown by its seam.

    Either it has `points`, or there are none and `file` is a drawing, not looked at yet.
    """

    name: str
    points: tuple[Point, ...]
    count: int
    seam_mm: float
    line: SewnOrCut
    file: Path | None = None


@dataclass(frozen=True, slots=True)
class MatSpec:
    """The `[mat]` table."""

    width_mm: float
    height_mm: float
    margin_mm: float

    def less(self, by_mm: float) -> MatSpec:
        """Return the mat with so much more kept clear inside its edge."""
        return replace(self, margin_mm=self.margin_mm + by_mm)


@dataclass(frozen=True, slots=True)
class Calibration:
    """How a machine strays: lengths in files are multiplied by the scales; its y axis leans to the right."""

    scale_x: float = 1.0
    scale_y: float = 1.0
    skew_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class MachineSpec:
    """The `[machine]` table."""

    gap_mm: float
    draw: tuple[Drawn, ...]  # in the order of `Drawn`, each at most once
    smallest_mm: float
    register: Register
    kerf_mm: float = 0.0  # width of what the tool removes
    swivel_mm: float = 0.0  # how far the knife's tip trails behind its axis
    overcut_mm: float = 0.0  # how far cuts run on past their start
    edge: FabricEdge = FabricEdge.CUT
    calibration: Calibration = Calibration()
    place: bool = False  # the outlines that fabric is laid on are drawn, too

    @property
    def beyond_mm(self) -> float:
        """How far the tool's axis may run beyond the outline of a piece."""
        return self.kerf_mm / 2 + self.swivel_mm


@dataclass(frozen=True, slots=True)
class Job:
    """A whole job file."""

    title: str
    unit: Unit
    plate: PlateSpec
    centre: CentreSpec | None
    background: BackgroundSpec | None
    fabrics: tuple[FabricSpec, ...]
    outlines: tuple[OutlineSpec, ...]
    mat: MatSpec
    machine: MachineSpec
    files: tuple[str, ...]  # formats, in the order of the file
    split: bool = False  # what is drawn and what is cut in files of their own
    layers: LayersSpec = LayersSpec()
    plotter: PlotterSpec = PlotterSpec()
    paper: PaperSpec = PaperSpec()
    templates: tuple[TemplateSpec, ...] = ()
    stock: StockSpec | None = None  # there where there are templates
    kits: int = 1  # all counts of plates, outlines and `cuts` are those of all kits together
    cut_by: CutBy = CutBy.MACHINE
    quilt: QuiltSpec | None = None
    kept_out: tuple[str, ...] = ()  # names of fabrics that are as if they weren't there

    @property
    def by_hand(self) -> bool:
        """Whether no machine cuts any of it."""
        return self.cut_by is CutBy.HAND
