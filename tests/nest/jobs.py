"""Small jobs for the tests of the nest, written in inches where people would."""

from __future__ import annotations

from cutfiles.core.units import MM_PER_INCH, Unit
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Point
from cutfiles.job.model.job import FabricSpec, Face, Grain, MachineSpec, MatSpec, Print, Register, Share
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.layout import Layout
from cutfiles.nest.nest import Bed, nest
from cutfiles.pieces.plate_shapes import background_shape, blade_shape, centre_shape
from cutfiles.pieces.shape import CutList, Demand, Shape
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Background, Centre, Plate
from cutfiles.tips.registry import Tip

IN = MM_PER_INCH
Count = int | Share


def blade_of(
    blades: int = 20, *, inner: float = 1.25, length: float = 4.75, seam: float = 0.25, tip: Tip = Tip.FOLDED
) -> Blade:
    """Return a blade; sizes in inches, the usual plate's where nothing is said."""
    return Blade(blades, inner * IN, length * IN, seam * IN, tip)


def centre_circle(radius: float = 2.0) -> Shape:
    """Return a centre cut to a radius in inches, turned under by a quarter inch."""
    return centre_shape(Centre((radius - 0.25) * IN, radius * IN))


def background_square(side: float, blade: Blade | None = None) -> Shape:
    """Return a background square with a side in inches."""
    square = Background.square(side * IN, (side - 0.5) * IN)
    blade = blade or blade_of()
    return background_shape(Plate(1, blade, blade.blades, None, square))


def usual_shapes() -> tuple[Shape, ...]:
    """Return the usual plate's blade and centre."""
    return blade_shape(blade_of()), centre_circle()


def fabric_of(
    name: str = "tide",
    *,
    size: tuple[float, float] = (5, 5),
    pieces: int = 10,
    print_: Print = Print.PLAIN,
    grain: Grain = Grain.LENGTHWISE,
    margin: float = 0.0,
    face: Face = Face.WRONG_SIDE_UP,
    cuts: dict[str, Count] | None = None,
) -> FabricSpec:
    """Return a fabric; sizes in inches."""
    counts = tuple((cuts or {"blade": Share.REST}).items())
    return FabricSpec(name, size[0] * IN, size[1] * IN, pieces, print_, grain, margin * IN, face, counts)


def bed_of(
    *,
    mat: tuple[float, float] = (12, 24),
    margin: float = 0.25,
    gap: float = 0.0625,
    register: Register = Register.CROSS,
    draw: tuple[Drawn, ...] = (Drawn.SEW, Drawn.FOLD, Drawn.LABEL),
    smallest_mm: float = 0.0,
) -> Bed:
    """Return a mat and a machine; sizes in inches."""
    return Bed(
        MatSpec(mat[0] * IN, mat[1] * IN, margin * IN),
        MachineSpec(gap * IN, draw, smallest_mm, register),
        Unit.IN,
    )


def cut_list_of(shapes: tuple[Shape, ...], needs: dict[str, int], *fabrics: FabricSpec) -> CutList:
    """Return what the fabrics must give."""
    return CutList(shapes, tuple(needs.items()), tuple(Demand(fabric, fabric.cuts) for fabric in fabrics))


def nested(cut_list: CutList, bed: Bed | None = None, *, clock: Clock | None = None) -> Layout:
    """Return the layout, on the usual mat where none is given."""
    return nest(cut_list, bed or bed_of(), clock=clock or Clock())


def typical() -> CutList:
    """Return three plates of twenty blades from six packs of squares and a fat quarter."""
    names = ("tide", "shingle", "samphire", "lantern", "buoy", "rope")
    squares = [fabric_of(name, margin=0.125, cuts={"blade": Share.REST}) for name in names]
    quarter = fabric_of(
        "sail", size=(22, 18), pieces=1, margin=0.125, cuts={"centre": 3, "blade": Share.REST}
    )
    return cut_list_of(usual_shapes(), {"blade": 60, "centre": 3}, *squares, quarter)


def in_mm(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return points given in inches."""
    return tuple((x * IN, y * IN) for x, y in points)
