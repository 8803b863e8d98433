"""Templates on sheets of stock: laid like pieces on a fabric that may lie any way round, cut like a load."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.core.units import Unit, rounded_up_mm, sides_shown
from cutfiles.formats.model.plan import CutPlan
from cutfiles.geometry.outline import bounds
from cutfiles.job.model.job import FabricSpec, Face, Grain, Job, MachineSpec, MatSpec, Print, Register
from cutfiles.job.model.template import StockSpec
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.layout import Layout
from cutfiles.nest.nest import Bed, nest
from cutfiles.pieces.shape import CutList, Demand
from cutfiles.pieces.templates.make import Template, templates
from cutfiles.plate.plate import Plate
from cutfiles.toolpath.cut.webs import check_webs
from cutfiles.toolpath.toolpath import plan_cuts

STOCK = "stock"  # stands for the fabric: pieces are called `stock-blade-001`


@dataclass(frozen=True, slots=True)
class TemplateSheets:
    """The sheets of stock, and the strokes of each; its loads are called `template-01` and so on."""

    stock: StockSpec
    layout: Layout
    plan: CutPlan
    plain: CutPlan  # the same for a tool without a kerf
    mirrored: tuple[str, ...]  # shapes to be turned over, as they are engraved from behind

    @property
    def mat(self) -> MatSpec:
        """A sheet as what lies in the machine."""
        return _mat(self.stock)

    @property
    def machine(self) -> MachineSpec:
        """What cuts it."""
        return _machine(self.stock)


def template_sheets(job: Job, plate: Plate, clock: Clock) -> TemplateSheets | None:
    """Return the job's templates on sheets of its stock, None where it has none.

    Raises:
        JobError: a template that can't be drawn, is too thin somewhere, or is larger than the stock.
    """
    if not job.templates:
        return None
    assert job.stock is not None, "job/parse/template.py has seen to it"
    stock, parts = job.stock, templates(job, plate)
    for part in parts:
        _check_size(part, stock, job.unit)
        check_webs(part.shape, part.key, least_mm=stock.web_mm, unit=job.unit)
    # Nested without the kerf: lines may run half of it into the margin, which is wider than that.
    mat, no_kerf = _mat(stock), replace(_machine(stock), kerf_mm=0.0)
    layout = _named(nest(_cut_list(parts, stock), Bed(mat, no_kerf, job.unit), clock=clock))
    plan, plain = (plan_cuts(layout, mat, machine, unit=job.unit) for machine in (_machine(stock), no_kerf))
    notes = (
        *_unsafe(stock),
        *(part.note for part in parts if part.note),
        *(f"template {note}" for note in plan.notes),
    )
    mirrored = tuple(part.shape.name for part in parts if part.mirrored)
    return TemplateSheets(stock, layout, replace(plan, notes=notes), plain, mirrored)


def _unsafe(stock: StockSpec) -> tuple[str, ...]:
    """A warning where the stock's own name says that no laser may cut it.

    Source: Carnegie Mellon University IDeATe, Laser cutter material selection; Iowa State University College
    of Design, Laser cutter materials information.
    """
    if not any(word in stock.material.lower() for word in ("pvc", "vinyl")):
        return ()
    return (f"stock: {stock.material} gives off hydrogen chloride and chlorine: never cut it with a laser",)


def _mat(stock: StockSpec) -> MatSpec:
    return MatSpec(stock.width_mm, stock.height_mm, 0.0)


def _machine(stock: StockSpec) -> MachineSpec:
    return MachineSpec(stock.gap_mm, (), 0.0, Register.NONE, kerf_mm=stock.kerf_mm)


def _cut_list(parts: Sequence[Template], stock: StockSpec) -> CutList:
    counts = tuple((part.shape.name, part.count) for part in parts)
    sheet = FabricSpec(
        name=STOCK,
        width_mm=stock.width_mm,
        length_mm=stock.height_mm,
        pieces=sum(part.count for part in parts),  # on a sheet each they surely fit
        print_=Print.PLAIN,
        grain=Grain.ANY,
        margin_mm=stock.margin_mm,
        face=Face.RIGHT_SIDE_UP,
        cuts=counts,
    )
    return CutList(tuple(part.shape for part in parts), counts, (Demand(sheet, counts),))


def _named(layout: Layout) -> Layout:
    loads = tuple(
        replace(load, name=f"template-{number:02d}") for number, load in enumerate(layout.loads, start=1)
    )
    return replace(layout, loads=loads)


def _check_size(part: Template, stock: StockSpec, unit: Unit) -> None:
    left, low, right, high = bounds(part.shape.cut)
    width, height = right - left, high - low
    across, up = stock.width_mm - 2 * stock.margin_mm, stock.height_mm - 2 * stock.margin_mm
    if any(wide <= across + TOUCH_MM and tall <= up + TOUCH_MM for wide, tall in _both(width, height)):
        return
    # The way round in which least is missing, and sides that a ruler has.
    wide, tall = min(_both(width, height), key=lambda size: max(size[0] - across, size[1] - up))
    least_wide, least_tall = (
        rounded_up_mm(max(has, part_mm + 2 * stock.margin_mm), unit.rough_mark_mm)
        for has, part_mm in ((stock.width_mm, wide), (stock.height_mm, tall))
    )
    raise JobError(
        part.key,
        f"{part.shape.name} is {sides_shown(width, height, unit)}, too large for the stock, which takes "
        f"{sides_shown(across, up, unit)} inside its margin; stock of "
        f"{sides_shown(least_wide, least_tall, unit)} would do",
    )


def _both(width: float, height: float) -> tuple[tuple[float, float], tuple[float, float]]:
    return (width, height), (height, width)
