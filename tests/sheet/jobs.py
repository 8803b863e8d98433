"""Small jobs for the tests of the sheet, and the sheet made of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from lxml import etree
from lxml import html as parser

from cutfiles.core.units import MM_PER_INCH, Unit
from cutfiles.formats.model.plan import CutPlan
from cutfiles.formats.model.tool import Drawn
from cutfiles.job.model.job import (
    BackgroundSpec,
    CentreSpec,
    CutBy,
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
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.layout import Layout
from cutfiles.nest.by_hand import lay_out_strips
from cutfiles.nest.nest import Bed, nest
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.plate.plate import Plate
from cutfiles.sheet.html import job_sheet
from cutfiles.tips.registry import Tip
from cutfiles.toolpath.toolpath import plan_cuts

IN = MM_PER_INCH
REST = Share.REST


def fabric(name: str, width: float, length: float, pieces: int = 1, **other: object) -> FabricSpec:
    """Return a fabric, sizes in inches; it gives the rest of the blades where nothing else is said."""
    usual = FabricSpec(
        name, width * IN, length * IN, pieces, Print.PLAIN, Grain.LENGTHWISE, IN / 8, Face.WRONG_SIDE_UP,
        (("blade", REST),),
    )  # fmt: skip
    return replace(usual, **other)  # type: ignore[arg-type]


HARBOUR = Job(
    title="Harbour school runner",
    unit=Unit.IN,
    plate=PlateSpec(1, 20, 20, 4.75 * IN, 1.25 * IN, None, 0.25 * IN, Tip.FOLDED),
    centre=CentreSpec(IN / 4, IN / 4, None),
    background=BackgroundSpec(IN / 2, None),
    fabrics=(
        fabric("tide", 5, 5, 6),
        fabric("shingle", 5, 5, 6),
        fabric("lantern", 5, 5, cuts=(("centre", REST),)),
        fabric("samphire", 42, 18, face=Face.RIGHT_SIDE_UP, cuts=(("background", REST),)),
    ),
    outlines=(),
    mat=MatSpec(12 * IN, 24 * IN, IN / 4),
    machine=MachineSpec(IN / 16, (Drawn.SEW, Drawn.FOLD, Drawn.LABEL), 0.0, Register.CROSS),
    files=("svg", "dxf"),
)

# A fan of few blades in cm, cut without a pen, from fabric that lies both ways up.
PLAIN_FAN = replace(
    HARBOUR,
    title="Fan",
    unit=Unit.CM,
    plate=replace(HARBOUR.plate, sewn=5, tip=Tip.ROUND),
    centre=None,
    background=None,
    fabrics=(
        fabric("tide", 5, 5, 2, cuts=(("blade", 2),)),
        fabric("shingle", 5, 5, 2, face=Face.RIGHT_SIDE_UP),
    ),
    machine=MachineSpec(1.5, (), 0.0, Register.NONE),
    files=("svg",),
)

# Long pieces that must lie across the mat, a one-way print, a shape of the user's own, several loads.
ACROSS = replace(
    HARBOUR,
    title="Across",
    unit=Unit.MM,
    plate=replace(HARBOUR.plate, blades=8, sewn=8, tip=Tip.FLAT),
    background=None,
    fabrics=(
        fabric("tide", 6, 18, 2, print_=Print.ONE_WAY, cuts=(("blade", REST), ("leaf", REST))),
        fabric("a-long-name-for-a-fabric", 18, 22, cuts=(("centre", REST), ("blade", 2))),
    ),
    outlines=(OutlineSpec("leaf", ((0.0, 0.0), (30.0, 5.0), (45.0, 40.0)), 3, 5.0, SewnOrCut.SEWN),),
    mat=MatSpec(24 * IN, 9 * IN, IN / 4),
    machine=MachineSpec(IN / 16, tuple(Drawn), 0.0, Register.RING),
)

# No machine: blades far longer than the mat, in strips.
BY_HAND = replace(
    HARBOUR,
    title="By hand",
    plate=replace(HARBOUR.plate, blades=5, sewn=5, blade_length_mm=14 * IN),
    centre=None,
    fabrics=(fabric("tide", 42, 72, 3, cuts=(("blade", REST), ("background", REST))),),
    mat=MatSpec(6 * IN, 6 * IN, 0.0),
    cut_by=CutBy.HAND,
)

ALL = (HARBOUR, PLAIN_FAN, ACROSS, BY_HAND)


@dataclass(frozen=True, slots=True)
class JobSheet:
    """A job's sheet, with all that it was made from."""

    job: Job
    plate: Plate
    layout: Layout
    plan: CutPlan
    files: tuple[str, ...]
    bytes_: bytes

    @property
    def tree(self) -> etree._Element:
        """The page, read back."""
        return parser.document_fromstring(self.bytes_.decode())

    @property
    def text(self) -> str:
        """All that a person reads, in one line."""
        return words_of(self.tree.find("body"))

    def section(self, heading: str) -> str:
        """What a person reads under a heading."""
        texts = [
            words_of(section)
            for section in self.tree.iter("section")
            if words_of(section.find("h2")).startswith(heading)
        ]
        assert len(texts) <= 1
        return texts[0] if texts else ""


def words_of(element: etree._Element | None) -> str:
    """The element's text in one line."""
    assert element is not None
    return " ".join(" ".join(element.itertext()).split())


@cache
def sheet_of(job: Job, clock: Clock | None = None) -> JobSheet:
    """Run a job along the line up to its sheet; without a clock its search is left to its end."""
    plate = plate_of(job)
    pieces, bed = cut_list(job, plate), Bed(job.mat, job.machine, job.unit)
    if job.by_hand:
        layout = lay_out_strips(pieces, plate, job.unit)
    else:
        layout = nest(pieces, bed, clock=clock or Clock())
    plan = plan_cuts(layout, job.mat, job.machine)
    files = tuple(f"{load.name}.{kind}" for load in plan.loads for kind in job.files)
    return JobSheet(job, plate, layout, plan, files, job_sheet(job, plate, layout, plan, files=files))
