"""The templates: a picture of every sheet of stock, and what to do at the machine."""

from __future__ import annotations

from collections import Counter

from cutfiles.core.units import Unit, shown, sides_shown
from cutfiles.core.words import counted, listed
from cutfiles.formats.model.numbers import number
from cutfiles.formats.model.plan import LoadPlan
from cutfiles.formats.model.tool import Tool
from cutfiles.formats.registry import Audience
from cutfiles.geometry.outline import Circle, bounds
from cutfiles.geometry.pose import placed
from cutfiles.job.model.job import Job
from cutfiles.job.model.template import StockSpec
from cutfiles.job.schema.template import BLADE, CENTRE
from cutfiles.nest.base.layout import Load
from cutfiles.sheet.markup.colours import FAINT
from cutfiles.sheet.markup.drawing import Box, canvas, drawn, frame
from cutfiles.sheet.markup.markup import Content, Element, html, paragraph, steps, svg, table
from cutfiles.sheet.pictures.load import CUT, MAT, PAPER_HEIGHT_MM, PAPER_WIDTH_MM, LineStyle
from cutfiles.sheet.sections.load_steps import files_for
from cutfiles.toolpath.template_sheets import TemplateSheets

_ENGRAVED = LineStyle(FAINT, 0.15)
_EDGE_MM = 1.0  # of paper, left white all round

LASER = (
    "Laser: only in a closed, interlocked machine of a class that its place permits (IEC 60825-1), fume "
    "extraction on, never unattended, an extinguisher within reach. Cast acrylic burns: watch it.",
    "Cut only what its data sheet says is safe to cut so: never PVC or other vinyl, which gives off hydrogen "
    "chloride and chlorine (Carnegie Mellon University IDeATe, Laser cutter material selection; Iowa State "
    "University College of Design, Laser cutter materials information).",
    "Acrylic: deburr every edge before you hand a template out; a cracked one goes into the bin.",
    "Rotary cutter along a template: fingers flat and away from the edge, cut away from yourself, on a "
    "template thick enough that the blade can't climb it; close the blade after every cut.",
)
PAPER = (
    "Printed template: a rotary cutter climbs paper and card, so mark around it, or cut along a ruler laid "
    "on its edge; no iron near it, as toner, ink and glue come off."
)
_HOT = (
    "No iron touches acrylic: it softens and sticks. Gather and press over card or metal, and let metal cool "
    "before you slide it out."
)


def template_cautions(job: Job) -> tuple[str, ...]:
    """Return the cautions that templates give reason for."""
    if not job.templates:
        return ()
    if job.stock and job.stock.is_printed:
        return (PAPER,)
    hot = any(spec.shape.startswith(CENTRE) for spec in job.templates)
    return (*LASER, _HOT) if hot else LASER


def template_sections(job: Job, sheets: TemplateSheets | None, files: tuple[str, ...]) -> list[Element]:
    """Return a section for each sheet of stock, in the order to run them."""
    if sheets is None:
        return []
    pairs = list(zip(sheets.layout.loads, sheets.plan.loads, strict=True))
    return [
        _section(job, sheets, load, plan, heading=f"Templates, sheet {place} of {len(pairs)}", files=files)
        for place, (load, plan) in enumerate(pairs, start=1)
    ]


def _section(
    job: Job, sheets: TemplateSheets, load: Load, plan: LoadPlan, *, heading: str, files: tuple[str, ...]
) -> Element:
    own = [name for name in files if name.startswith(f"{load.name}.")]
    stock, unit = sheets.stock, job.unit
    caption = html(
        "figcaption",
        f"A sheet of {stock.material}, {_size(stock, unit)}, from above. "
        "Engraved lines are thin, cuts are heavy.",
    )
    parts: list[Content] = [html("h2", f"{heading}: {load.name}")]
    if stock.is_printed:
        # The page itself shows what is on it.
        files_of = paragraph("Files: ", html("span", ", ".join(own), class_="files"))
        return html(
            "section",
            *parts,
            files_of,
            _measures(sheets, load, unit),
            steps(_paper_steps(sheets, load, files)),
        )
    if own:
        several = "Files, one for each kind of machine" if len(own) > 1 else "File"
        parts.append(paragraph(f"{several}: ", html("span", ", ".join(own), class_="files")))
    parts.append(html("figure", sheet_drawing(sheets, load, plan), caption))
    parts.append(_measures(sheets, load, job.unit))
    parts.append(steps(_steps(job, sheets, load)))
    return html("section", *parts, class_="load")


def sheet_drawing(sheets: TemplateSheets, load: Load, plan: LoadPlan) -> Element:
    """Return the picture of a sheet: the stock's edge, what is engraved, the parts as they come out."""
    stock = sheets.stock
    scale = max(stock.width_mm / PAPER_WIDTH_MM, stock.height_mm / PAPER_HEIGHT_MM)
    up = [frame(Box(0.0, 0.0, stock.width_mm, stock.height_mm), fill="#ffffff", **MAT.attributes(scale))]
    for laid in load.fabrics:
        for placement in laid.placements:
            shape = sheets.layout.shape(placement.shape)
            for contour in (shape.cut, *shape.inner):
                name = {"data_piece": placement.piece_id} if contour is shape.cut else {}
                up.append(drawn(placed(contour, placement.pose), **name, **CUT.attributes(scale)))
    up += [drawn(stroke.path, **_ENGRAVED.attributes(scale)) for stroke in plan.strokes_of(Tool.DRAW)]
    edge = _EDGE_MM * scale
    box = Box(-edge, -edge, stock.width_mm + edge, stock.height_mm + edge)
    size = {
        "width": f"{number((box.right - box.left) / scale)}mm",
        "height": f"{number((box.bottom - box.top) / scale)}mm",
    }
    flip = f"translate(0 {number(stock.height_mm)}) scale(1 -1)"
    title = f"{load.name}: a sheet of stock seen from above"
    return canvas(box, title, svg("g", *up, transform=flip, fill="none"), **size)


def _size(stock: StockSpec, unit: Unit) -> str:
    """The sheet's size, in mm unless it was bought by the job's unit."""
    text = sides_shown(stock.width_mm, stock.height_mm, unit)
    return sides_shown(stock.width_mm, stock.height_mm, Unit.MM) if "(" in text else text


def _counts(load: Load) -> Counter[str]:
    return Counter(placement.shape for laid in load.fabrics for placement in laid.placements)


def _measures(sheets: TemplateSheets, load: Load, unit: Unit) -> Element:
    """How large each part must come out: by this the kerf is set right."""
    rows: list[list[Content]] = []
    for name, count in _counts(load).items():
        cut = sheets.layout.shape(name).cut
        left, low, right, high = bounds(cut)
        sides = [2 * cut.radius] if isinstance(cut, Circle) else [right - left, high - low]
        size = _measured(sides, unit)
        rows.append([name, str(count), f"{size} across" if isinstance(cut, Circle) else size])
    return table(("Template", "How many", "Comes out, across × up"), ([row] for row in rows))


def _measured(sides_mm: list[float], unit: Unit) -> str:
    """Sides in the job's unit, to what calipers show; then in mm, as the kerf is.

    >>> _measured([63.5, 127.0], Unit.IN), _measured([63.5], Unit.MM)
    ('2.500 × 5.000 in (63.50 × 127.00 mm)', '63.50 mm')
    """
    mm = f"{' × '.join(f'{side:.2f}' for side in sides_mm)} mm"
    if unit is Unit.MM:
        return mm
    return f"{' × '.join(f'{side / unit.mm:.3f}' for side in sides_mm)} {unit.value} ({mm})"


def _steps(job: Job, sheets: TemplateSheets, load: Load) -> list[Content]:
    stock, unit = sheets.stock, job.unit
    instructions: list[Content] = [
        f"Lay a sheet of {stock.material}, {_size(stock, unit)} and "
        f"{shown(stock.thickness_mm, Unit.MM)} thick, with its lower left corner at the machine's zero.",
        "Open the file at true size. Engrave draw first, lightly; then run cut, in the file's order: "
        "holes come before outlines, as a part can shift once it is out.",
        _kerf(sheets),
        "Lift the parts out when all is cool, deburr their edges, and count: "
        f"{listed([f'{count} × {name}' for name, count in _counts(load).items()])}.",
    ]
    behind = [name for name in sheets.mirrored if name in _counts(load)]
    if behind:
        them = listed(behind)
        instructions.append(
            f"Mirrored, to be turned over: {them}. The engraving is then below, and reads right."
        )
    if BLADE in _counts(load):
        instructions.append(
            "On the blade's scale the upper number is the length to cut fabric to, D the finished diameter "
            "of the plate that such blades make. Lay the line on the fabric's edge, the wide end beyond it."
        )
    return instructions


def _paper_steps(sheets: TemplateSheets, load: Load, files: tuple[str, ...]) -> list[Content]:
    """How templates of paper are made. Common practice; no published source."""
    pages = " or ".join(files_for(Audience.PRINTER, files, load))
    others = " or ".join(name for name in files if name.startswith(f"{load.name}."))
    instructions: list[Content] = [
        f"Print {pages} at 100 % (“actual size”, no “fit to page”), page 1 first: only if both "
        f"squares on it measure right print the rest."
        if pages
        else f"Open {others} at true size and print it at 100 % (“actual size”, no “fit to page”).",
        "Glue it on card, let it dry, and cut out along the solid outline: ruler and knife along straight "
        "sides, scissors for round ones.",
        f"Measure each against the table, and count: "
        f"{listed([f'{count} × {name}' for name, count in _counts(load).items()])}.",
    ]
    if BLADE in _counts(load):
        instructions.append(
            "The lines across the blade are for shorter ones: the upper number is the length to cut strips "
            "to, D the finished diameter of the plate."
        )
    return instructions


def _kerf(sheets: TemplateSheets) -> str:
    kerf = sheets.stock.kerf_mm
    said = f"for a kerf of {kerf:g} mm" if kerf else "for no kerf"
    return (
        f"The lines are {said}. Measure the first part against the table: if it is too small by some amount, "
        "the kerf is larger by as much; write that into [stock] and make the files again."
    )


def in_summary(sheets: TemplateSheets | None) -> str:
    """Return what templates add to the sheet's first line; empty for none."""
    if sheets is None:
        return ""
    return f" Templates on {counted(len(sheets.layout.loads), 'sheet')} of {sheets.stock.material}."
