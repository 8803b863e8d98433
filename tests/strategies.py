"""Every Hypothesis generator of the tests: plates, jobs and outlines that are valid by construction.

Nothing is drawn and thrown away: the length of a blade, say, is drawn above the least that its tip needs.
Lengths are mm.

A job from `jobs()` can always be met: each fabric piece holds any one of the shapes that are asked of it, at
any turn, and there are as many pieces as shapes; its mat holds its largest fabric.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hypothesis import strategies as st

from cutfiles.core.units import Unit
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Path, Vertex
from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import (
    BackgroundSpec,
    Calibration,
    CentreSpec,
    FabricSpec,
    Face,
    Grain,
    Job,
    MachineSpec,
    MatSpec,
    OutlineSpec,
    PlateSpec,
    Print,
    Register,
    Share,
)
from cutfiles.job.model.template import SewnOrCut
from cutfiles.plate.blade import Blade
from cutfiles.plate.measure import plate_of
from cutfiles.plate.plate import Plate
from cutfiles.tips.registry import Tip
from tests.tips.outlines import TRUTHS

FABRIC_NAMES = ("tide", "shingle", "samphire", "lantern", "harbour-wall")
MARKS_MM = 8.0  # a register mark's square, kept free in the corners of the mat


def lengths_mm(least: float, most: float) -> st.SearchStrategy[float]:
    """Lengths between two sizes, in steps that shrink well."""
    return st.floats(least, most, allow_nan=False).map(lambda value: round(value, 4))


def least_tip_radius_mm(*, blades: int, inner_radius_mm: float, seam_mm: float, tip: Tip) -> float:
    """The tip radius at which the tip would begin just at the narrow end: a blade needs more."""
    return TRUTHS[tip].least_tip_radius_mm(math.pi / blades, inner_radius_mm, seam_mm)


@st.composite
def blades(
    draw: st.DrawFn,
    *,
    tip: Tip | None = None,
    counts: st.SearchStrategy[int] | None = None,
    most_inner_mm: float = 80.0,
    most_room_mm: float = 150.0,
) -> Blade:
    """Blades of 3 to 60 in the circle, of every tip, whose tip has 2 mm of straight seam below it or more."""
    number = draw(st.integers(TRUTHS[tip].fewest if tip else 3, 60) if counts is None else counts)
    tip = tip or draw(st.sampled_from([finish for finish in Tip if TRUTHS[finish].fewest <= number]))
    seam = draw(lengths_mm(2.0, 12.0))
    inner = draw(st.one_of(st.just(0.0), lengths_mm(0.0, most_inner_mm)))
    least = least_tip_radius_mm(blades=number, inner_radius_mm=inner, seam_mm=seam, tip=tip)
    room = draw(lengths_mm(2.0, most_room_mm))
    # Where the tip is deep, room at its base takes more at its top.
    stretch = TRUTHS[tip].stretch(math.pi / number)
    allowance = tip.finish.allowance_mm(seam)
    return Blade(number, inner, least + room * stretch - inner + allowance, seam, tip)


@st.composite
def plate_specs(draw: st.DrawFn, *, blade: Blade, most_plates: int = 2) -> PlateSpec:
    """The `[plate]` table of a blade, with one of the three sizes left for us to work out."""
    known_out = draw(st.sampled_from(["length", "inner", "diameter"]))
    return PlateSpec(
        count=draw(st.integers(1, most_plates)),
        blades=blade.blades,
        sewn=draw(st.one_of(st.just(blade.blades), st.integers(1, blade.blades))),
        blade_length_mm=None if known_out == "length" else blade.length_mm,
        inner_radius_mm=None if known_out == "inner" else blade.inner_radius_mm,
        finished_diameter_mm=None if known_out == "diameter" else blade.finished_diameter_mm,
        seam_mm=blade.seam_mm,
        tip=blade.tip,
    )


@st.composite
def centre_specs(draw: st.DrawFn, *, blade: Blade) -> CentreSpec | None:
    """A centre that covers the opening and leaves some of the blades to be seen; or none."""
    opening = blade.opening_radius_mm
    # Wide flat blades may end, on their centre line, nearer than their hole's corners: no centre then.
    room = min(blade.tip_radius_mm, blade.valley_radius_mm) - opening
    if room < 1.0 or not draw(st.booleans()):
        return None
    cover = room * draw(st.floats(0.1, 0.9))
    turn = draw(lengths_mm(0.0, 10.0))
    if draw(st.booleans()):
        return CentreSpec(cover_mm=cover, turn_mm=turn, diameter_mm=None)
    return CentreSpec(cover_mm=None, turn_mm=turn, diameter_mm=2 * (opening + cover))


@st.composite
def background_specs(draw: st.DrawFn, *, blade: Blade) -> BackgroundSpec | None:
    """A background that holds the plate with its seams; or none."""
    if not draw(st.booleans()):
        return None
    margin = draw(lengths_mm(0.0, 40.0))
    if draw(st.booleans()):
        return BackgroundSpec(margin_mm=margin, cut_mm=None)
    # Flat blades reach furthest at their corners, the others at their tips.
    across = max(blade.finished_diameter_mm, blade.valley_diameter_mm)
    return BackgroundSpec(margin_mm=None, cut_mm=across + 2 * blade.seam_mm + 2 * margin + 0.001)


@st.composite
def convex_outlines(draw: st.DrawFn, *, least_mm: float = 20.0, most_mm: float = 60.0) -> Path:
    """Convex closed outlines, counter-clockwise: corners on an ellipse, no two gaps above 120°."""
    return _round_about(draw, spokes=(1.0, 1.0), least_mm=least_mm, most_mm=most_mm)


@st.composite
def star_outlines(draw: st.DrawFn, *, least_mm: float = 20.0, most_mm: float = 60.0) -> Path:
    """Closed outlines with bays and points, counter-clockwise; every corner is seen from the middle."""
    return _round_about(draw, spokes=(0.4, 1.0), least_mm=least_mm, most_mm=most_mm)


def _round_about(draw: st.DrawFn, *, spokes: tuple[float, float], least_mm: float, most_mm: float) -> Path:
    corners = draw(st.integers(3, 9))
    # Each corner keeps to the middle half of its own share of the circle: none coincide, none cross.
    turns = [(i + draw(st.floats(-0.25, 0.25))) * 2 * math.pi / corners for i in range(corners)]
    across, up = draw(lengths_mm(least_mm, most_mm)), draw(lengths_mm(least_mm, most_mm))
    reach = [draw(st.floats(*spokes)) for _ in turns]
    x, y = draw(lengths_mm(-50.0, 50.0)), draw(lengths_mm(-50.0, 50.0))
    return Path(
        tuple(
            Vertex(x + r * across * math.cos(t), y + r * up * math.sin(t))
            for r, t in zip(reach, turns, strict=True)
        ),
        closed=True,
    )


@st.composite
def outline_specs(
    draw: st.DrawFn, *, name: str = "leaf", line: SewnOrCut | None = None, most_count: int = 4
) -> OutlineSpec:
    """Outlines of a user's own, given as sewn (with bays) or as cut (convex, so that no seam splits them)."""
    line = line or draw(st.sampled_from(SewnOrCut))
    path = draw(star_outlines() if line is SewnOrCut.SEWN else convex_outlines())
    return OutlineSpec(
        name=name,
        points=tuple((vertex.x, vertex.y) for vertex in path.vertices),
        count=draw(st.integers(1, most_count)),
        seam_mm=draw(st.one_of(st.just(0.0), lengths_mm(0.5, 4.0))),
        line=line,
    )


@st.composite
def bulged_paths(draw: st.DrawFn) -> Path:
    """Closed counter-clockwise outlines without crossings, of straight edges and arcs both ways."""
    path = draw(convex_outlines())
    bulges = [
        draw(st.one_of(st.just(0.0), st.floats(0.01, 1.2), st.floats(-0.1, -0.01))) for _ in path.vertices
    ]
    return Path(
        tuple(Vertex(v.x, v.y, bulge) for v, bulge in zip(path.vertices, bulges, strict=True)), closed=True
    )


def poses() -> st.SearchStrategy[Pose]:
    """Where something may lie: any turn, quarter turns often, mirrored or not."""
    turns = st.one_of(st.sampled_from([0.0, 90.0, 180.0, 270.0]), st.floats(0.0, 359.999))
    return st.builds(Pose, lengths_mm(-500.0, 500.0), lengths_mm(-500.0, 500.0), turns, st.booleans())


@st.composite
def fabric_specs(
    draw: st.DrawFn,
    *,
    name: str,
    side_mm: float,
    pieces: int,
    cuts: tuple[tuple[str, int | Share], ...],
) -> FabricSpec:
    """Fabric of every print, grain and face, whose pieces leave a square of `side_mm` inside their margin."""
    margin = draw(st.one_of(st.just(0.0), lengths_mm(0.0, 6.0)))
    return FabricSpec(
        name=name,
        width_mm=side_mm + 2 * margin + side_mm * draw(st.floats(0.001, 0.3)),
        length_mm=side_mm + 2 * margin + side_mm * draw(st.floats(0.001, 0.3)),
        pieces=pieces,
        print_=draw(st.sampled_from(Print)),
        grain=draw(st.sampled_from(Grain)),
        margin_mm=margin,
        face=draw(st.sampled_from(Face)),
        cuts=cuts,
    )


def calibrations() -> st.SearchStrategy[Calibration]:
    """Machines that stray as far as a job may say."""
    return st.builds(Calibration, st.floats(0.9, 1.1), st.floats(0.9, 1.1), st.floats(-5.0, 5.0))


@st.composite
def machine_specs(draw: st.DrawFn) -> MachineSpec:
    """Machines of every choice of drawn lines and register marks."""
    wanted = draw(st.sets(st.sampled_from(Drawn)))
    return MachineSpec(
        gap_mm=draw(st.one_of(st.just(0.0), lengths_mm(0.0, 4.0))),
        draw=tuple(drawn for drawn in Drawn if drawn in wanted),
        smallest_mm=draw(st.sampled_from([0.0, 1.0, 30.0])),
        register=draw(st.sampled_from(Register)),
    )


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A shape, how many of it the job needs, and the side of a square that holds it at any turn."""

    shape: str
    count: int
    side_mm: float


def _wanted(job: Job, plate: Plate) -> list[_Wanted]:
    blade, count = plate.blade, plate.count
    # A round tip's cut line stays inside the corners that a straight end would have.
    wanted = [_Wanted("blade", count * plate.sewn, math.hypot(blade.length_mm, blade.wide_width_mm))]
    if plate.centre:
        wanted.append(_Wanted("centre", count, 2 * plate.centre.cut_radius_mm))
    if plate.background:
        wanted.append(_Wanted("background", count, math.sqrt(2) * plate.background.cut_width_mm))
    for spec in job.outlines:
        # A mitre reaches out twice the seam at most.
        reach = math.dist(*(tuple(f(point[i] for point in spec.points) for i in (0, 1)) for f in (min, max)))
        wanted.append(_Wanted(spec.name, spec.count, reach + 4 * spec.seam_mm))
    return wanted


@st.composite
def jobs(draw: st.DrawFn, *, tip: Tip | None = None, most_plates: int = 2, outlines: bool = True) -> Job:
    """Whole jobs that can be met, of one to four fabrics, with whatever parts a plate may have."""
    blade = draw(blades(tip=tip, most_inner_mm=40.0, most_room_mm=90.0))
    own = draw(st.lists(st.just("leaf"), max_size=1)) if outlines else []
    bare = Job(
        title=draw(st.sampled_from(["Harbour school runner", "Low tide", ""])),
        unit=draw(st.sampled_from(Unit)),
        plate=draw(plate_specs(blade=blade, most_plates=most_plates)),
        centre=draw(centre_specs(blade=blade)),
        background=draw(background_specs(blade=blade)),
        fabrics=(),
        outlines=tuple(draw(outline_specs(name=name)) for name in own),
        mat=MatSpec(1.0, 1.0, 0.0),
        machine=draw(machine_specs()),
        files=draw(st.sampled_from([("svg",), ("dxf",), ("svg", "dxf"), ("dxf", "svg")])),
    )
    wanted = _wanted(bare, plate_of(bare))
    fabrics = _fabrics(draw, wanted)
    margin = draw(lengths_mm(0.0, 10.0))
    largest = max(max(fabric.width_mm, fabric.length_mm) for fabric in fabrics)
    side = largest + 2 * (margin + MARKS_MM) + 0.1
    mat = MatSpec(side + draw(lengths_mm(0.0, 300.0)), side + draw(lengths_mm(0.0, 300.0)), margin)
    return replace(bare, fabrics=fabrics, mat=mat)


def _fabrics(draw: st.DrawFn, wanted: list[_Wanted]) -> tuple[FabricSpec, ...]:
    """Shapes of like size share a fabric, or not."""
    shares: list[list[_Wanted]] = []
    for shape in sorted(wanted, key=lambda shape: shape.side_mm):
        # Much smaller shapes on one fabric are true to life, but would be searched for by the hundred.
        if shares and shape.side_mm < 1.5 * shares[-1][0].side_mm and draw(st.booleans()):
            shares[-1].append(shape)
        else:
            shares.append([shape])
    fabrics = []
    for share, name in zip(shares, FABRIC_NAMES, strict=False):
        side, pieces = max(shape.side_mm for shape in share), sum(shape.count for shape in share)
        counts = tuple((shape.shape, draw(st.sampled_from([Share.REST, shape.count]))) for shape in share)
        fabrics.append(draw(fabric_specs(name=name, side_mm=side, pieces=pieces, cuts=counts)))
    return tuple(fabrics)


@st.composite
def plates(draw: st.DrawFn, *, tip: Tip | None = None) -> Plate:
    """Whole plates and fans of every tip, with and without centre and background."""
    return plate_of(draw(jobs(tip=tip, outlines=False)))
