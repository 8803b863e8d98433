"""What the page shows of a layout, as JSON: pictures of loads, what fabrics give, what check says."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from lxml import etree

from cutfiles.check.check import check_paths
from cutfiles.core.units import MM_PER_INCH, Unit
from cutfiles.core.words import counted, listed
from cutfiles.formats.model.numbers import number
from cutfiles.formats.model.plan import LoadPlan
from cutfiles.geometry.outline import Circle, Contour
from cutfiles.job.model.job import Job
from cutfiles.nest.base.layout import FabricTally, Layout, Load
from cutfiles.page.processes.run import LAID_CLOTH, STROKES
from cutfiles.pipeline import Laid, Made, Sized
from cutfiles.sheet.markup.drawing import path_text
from cutfiles.sheet.markup.markup import SVG_NAMESPACE, svg
from cutfiles.sheet.markup.words import of_shape
from cutfiles.sheet.pictures.cloth import Cloths
from cutfiles.sheet.pictures.cloth_picture import ClothPicture, cloth_pictures
from cutfiles.sheet.pictures.load import LEGEND_WIDTH_MM, Bench, legend_drawing, load_drawing
from cutfiles.sheet.pictures.plate import Sizes, plate_drawing
from cutfiles.sheet.sections.order import plate_fills
from cutfiles.sheet.sections.templates import sheet_drawing, template_cautions
from cutfiles.toolpath.template_sheets import TemplateSheets

Json = dict[str, Any]
_PX_PER_MM = 96 / MM_PER_INCH  # as CSS has it


def drawn_of(sized: Sized, laid: Laid, out: Path, name: str, *, final: bool) -> Json:
    """Return what is shown as soon as every piece has its place.

    Args:
        sized: the job.
        laid: where its pieces lie.
        out: a folder; pictures of cloth and the strokes of each load are written there.
        name: of what was found, with which the names of those strokes begin.
        final: whether the search came to its end.
    """
    job, layout = sized.job, laid.nested
    cloths = Cloths.of_job(job, _kept(job, out))
    bench = Bench(layout, job.mat, job.machine.register, cloths)
    fills = plate_fills(sized.plate, layout, cloths)
    plans = {load.name: load for load in laid.plan.loads}
    drawn = [load for load in layout.loads if load.name in plans]
    for index, load in enumerate(drawn):
        strokes = json.dumps(_strokes(plans[load.name], load))
        (out / f"{name}-{STROKES.format(index)}").write_text(strokes, encoding="utf-8")
    defined = cloths.definitions(hidden_by="unseen")
    return {
        "definitions": "" if defined is None else _text(defined),
        "plate": _text(plate_drawing(sized.plate, job.unit, fills, sizes=Sizes.ACROSS)),
        "loads": [
            {
                "name": load.name,
                "says": _of_load(load.fabrics),
                "picture": _text(
                    _thin(_named(load_drawing(load, plans[load.name], bench, legend=False), load))
                ),
                "fabrics": list(dict.fromkeys(laid.fabric for laid in load.fabrics)),
            }
            for load in drawn
        ],
        "legend": _text(_thin(legend_drawing(bench, laid.plan.loads, width_mm=LEGEND_WIDTH_MM)))
        if drawn
        else "",
        "templates": _templates(laid.templates) if laid.templates else [],
        "cautions": list(template_cautions(job)),
        "summary": _summary(layout, final=final),
        "fabrics": [_fabric(tally, job.unit) for tally in layout.tallies if tally.counts],
        "by_hand": [f"{of_shape(cut.count, cut.shape)} of {cut.fabric}" for cut in layout.hand_cuts],
    }


def with_files(drawn: Json, made: Made, folder: Path) -> Json:
    """Return the same with what was made and saved in a folder; `check` reads it back there."""
    report = check_paths([folder])
    return {
        **drawn,
        "notes": list(made.notes),
        "check": {"summary": report.summary(), "faults": [finding.line() for finding in report.findings]},
        "files": [{"name": name, "bytes": len(content)} for name, content in sorted(made.files.items())],
    }


def _kept(job: Job, folder: Path) -> dict[str, ClothPicture]:
    """The pictures of the cloth, kept beside the layout: the job's own may be others soon."""
    kept = {}
    for index, (name, picture) in enumerate(cloth_pictures(job).items()):
        (folder / LAID_CLOTH.format(index)).write_bytes(picture.content)
        kept[name] = replace(picture, address=f"/laid/{index}?{folder.name}")
    return kept


def _text(element: etree._Element) -> str:
    # The job on the page may have other cloth by the same name meanwhile.
    return (
        etree.tostring(element, encoding="unicode").replace("#cloth-", "#laid-").replace('"cloth-', '"laid-')
    )


def _templates(sheets: TemplateSheets) -> list[Json]:
    """The sheets of stock, as those of a job sheet."""
    pairs = zip(sheets.layout.loads, sheets.plan.loads, strict=True)
    return [
        {
            "name": load.name,
            "says": counted(sum(len(laid.placements) for laid in load.fabrics), "template"),
            "picture": _text(_thin(_named(sheet_drawing(sheets, load, plan), load))),
        }
        for load, plan in pairs
    ]


def _named(drawing: etree._Element, load: Load) -> etree._Element:
    """Return the picture of a load whose pieces say what they are when one is pointed at."""
    says = {piece_id: f"{label}: {shape}" for piece_id, (label, shape) in _labels(load).items()}
    for piece in drawing.iter():
        piece_id = piece.get("data-piece")
        if piece_id is not None:
            piece.set("data-says", says[piece_id])
            piece.append(svg("title", says[piece_id]))
    return drawing


def _thin(drawing: etree._Element) -> etree._Element:
    """Return the picture with lines as wide on a screen as on paper, however large it is shown there."""
    across_mm = float(str(drawing.get("width")).removesuffix("mm"))
    px = _PX_PER_MM * across_mm / float(str(drawing.get("viewBox")).split()[2])
    for part in drawing.iter():
        # Around letters a line is a rim, which grows with them.
        if part.get("stroke-width") is None or part.tag == f"{{{SVG_NAMESPACE}}}text":
            continue
        for key in ("stroke-width", "stroke-dasharray"):
            if (lengths := part.get(key)) is not None:
                part.set(key, " ".join(number(float(length) * px) for length in lengths.split()))
        part.set("vector-effect", "non-scaling-stroke")
    return drawing


def _labels(load: Load) -> dict[str, tuple[str, str]]:
    """What is written on each piece, and its shape."""
    return {
        placement.piece_id: (placement.label, placement.shape)
        for laid in load.fabrics
        for placement in laid.placements
    }


def _strokes(plan: LoadPlan, load: Load) -> Json:
    """What the machine does, one stroke after the other; mm of the mat, y up."""
    labels = _labels(load)
    return {
        "height": plan.height_mm,
        "strokes": [
            {
                "tool": stroke.tool.value,
                "piece": labels.get(stroke.piece_id, ("", ""))[0],
                "d": _way(stroke.path),
            }
            for stroke in plan.strokes
        ],
    }


def _way(contour: Contour) -> str:
    """A line as SVG path commands; a circle as two halves."""
    if not isinstance(contour, Circle):
        return path_text(contour)
    y, radius = number(contour.y), number(contour.radius)
    left, right = number(contour.x - contour.radius), number(contour.x + contour.radius)
    half = f"A{radius} {radius} 0 0 1"
    return f"M{right} {y}{half} {left} {y}{half} {right} {y}"


def _of_load(fabrics: tuple[Any, ...]) -> str:
    pieces = sum(len(laid.placements) for laid in fabrics)
    names = listed(list(dict.fromkeys(laid.fabric for laid in fabrics)))
    return f"{counted(pieces, 'piece')} from {names}"


def _summary(layout: Layout, *, final: bool) -> str:
    pieces = sum(len(laid.placements) for load in layout.loads for laid in load.fabrics)
    loads = len(layout.loads)
    if not loads and layout.strips:
        return f"{counted(len(layout.strips), 'strip')} to cut by hand; the job sheet has a ruler's marks."
    if not loads:
        return "No fabric to cut by machine."
    if not final:
        return f"{counted(pieces, 'piece')} on {counted(loads, 'mat load')}."
    fewest = ", proven fewest" if loads <= layout.least_loads else f", at least {layout.least_loads} needed"
    return f"{counted(pieces, 'piece')} on {counted(loads, 'mat load')}{fewest}."


def _fabric(tally: FabricTally, unit: Unit) -> Json:
    bounds = dict(tally.at_most)
    proven = [of_shape(bounds[shape], shape) for shape in tally.limited if shape in bounds]
    left = tally.left.size(unit) if tally.left else ""
    return {
        "name": tally.fabric,
        "gives": listed([of_shape(count, shape) for shape, count in tally.counts]),
        "pieces": f"{tally.pieces_used} of {tally.pieces}",
        "used": f"{tally.used_share:.0%}" if tally.pieces_used else "",
        "proven": f"no more than {listed(proven)}" if proven else "",
        "left": left,
        "buy": tally.bought.words(unit) if tally.bought else "",
    }
