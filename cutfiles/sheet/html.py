"""The job sheet: one HTML file that a person prints and follows. It needs no network and no script."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from lxml import etree

from cutfiles.formats.model.plan import CutPlan
from cutfiles.formats.model.tool import Drawn
from cutfiles.job.model.job import Job
from cutfiles.nest.base.layout import Layout
from cutfiles.plate.plate import Plate
from cutfiles.sheet.markup.markup import Element, bullets, html, section
from cutfiles.sheet.markup.style import STYLE
from cutfiles.sheet.markup.words import summary
from cutfiles.sheet.pictures.blade import blade_drawing
from cutfiles.sheet.pictures.cloth import Cloths
from cutfiles.sheet.pictures.cloth_picture import ClothPicture
from cutfiles.sheet.pictures.motifs import motifs_section
from cutfiles.sheet.pictures.plate import plate_drawing
from cutfiles.sheet.sections.bags import bags_section
from cutfiles.sheet.sections.calibration import calibration_section
from cutfiles.sheet.sections.cautions import cautions_section
from cutfiles.sheet.sections.cutting import cutting_section, rough_cuts_section
from cutfiles.sheet.sections.hand_cuts import hand_cuts_section
from cutfiles.sheet.sections.load_steps import load_sections
from cutfiles.sheet.sections.order import order_section, plate_fills, plate_key
from cutfiles.sheet.sections.quilt import quilt_section
from cutfiles.sheet.sections.sewing import sewing_section
from cutfiles.sheet.sections.shopping import shopping_section
from cutfiles.sheet.sections.sizes import seam_section, sizes_section
from cutfiles.sheet.sections.strips import strips_section
from cutfiles.sheet.sections.templates import in_summary, template_sections
from cutfiles.toolpath.template_sheets import TemplateSheets


def job_sheet(
    job: Job,
    plate: Plate,
    layout: Layout,
    plan: CutPlan,
    *,
    files: tuple[str, ...],
    templates: TemplateSheets | None = None,
    pictures: Mapping[str, ClothPicture] = MappingProxyType({}),
) -> bytes:
    """Return the sheet as HTML5, UTF-8. The same job gives the same bytes.

    Args:
        job: for its title, unit, fabrics and machine.
        plate: what is sewn in the end.
        layout: what lies where.
        plan: what the machine does, load by load in the layout's order.
        files: names of the machine files, each beginning with its load's name and a dot.
        templates: the sheets of stock, if any.
        pictures: of the fabrics that have one.
    """
    cloths = Cloths.of_job(job, pictures)
    definitions, key = cloths.definitions(), plate_key(layout, cloths)
    whole = plate_drawing(plate, job.unit, plate_fills(plate, layout, cloths))
    drawings = (whole, blade_drawing(plate.blade, job.unit))
    main = html(
        "main",
        html("h1", job.title or "Job sheet"),
        html("p", summary(job, plate, layout) + in_summary(templates), class_="lead"),
        html("figure", *map(_in_share, drawings), *(() if key is None else (key,)), class_="plate"),
        *_parts(job, plate, layout, plan, cloths, files=files, templates=templates),
    )
    body = html("body", *(() if definitions is None else (definitions,)), main)
    head = html(
        "head",
        html("meta", charset="utf-8"),
        html("meta", name="viewport", content="width=device-width"),
        html("title", f"{job.title or 'Job sheet'}: job sheet"),
        html("style"),
    )
    # Not through the builder: it isn't text for people, and it is our own.
    head[-1].text = STYLE
    page = html("html", head, body, lang="en")
    return bytes(etree.tostring(page, method="html", doctype="<!DOCTYPE html>", encoding="utf-8")) + b"\n"


def _in_share(drawing: Element) -> Element:
    """A picture in a box that gets its share of a row, so that all pictures of the row have one scale."""
    return html("div", drawing, style=f"flex: {drawing.get('width')} 1 0")


def _parts(
    job: Job,
    plate: Plate,
    layout: Layout,
    plan: CutPlan,
    cloths: Cloths,
    *,
    files: tuple[str, ...],
    templates: TemplateSheets | None,
) -> list[Element]:
    """Return the sections that apply, in the order in which they are needed."""
    loads = {load.name for load in layout.loads}
    rough_cuts = rough_cuts_section(job, layout, cloths)
    rough_first = any(cut.goes_to in loads for cut in layout.rough_cuts)
    parts = [
        sizes_section(plate, job.unit),
        cautions_section(job, layout, plan),
        shopping_section(job, layout),
        cutting_section(layout, job.unit) if layout.tallies else None,
        motifs_section(job, plate, layout),
        rough_cuts if rough_first else None,
        calibration_section(job, files),
        *template_sections(job, templates, files),
        strips_section(job, plate, layout, cloths),
        *load_sections(job, layout, plan, files, cloths),
        # What goes to no mat is cut roughly when it is cut by hand.
        None if rough_first else rough_cuts,
        hand_cuts_section(job, plate, layout),
        order_section(job, plate, layout, cloths),
        bags_section(job, plate, layout),
        _notes(layout, plan, templates),
        seam_section(plate, job.unit),
        sewing_section(job, plate, guided=_has_guides(layout)),
        quilt_section(job, plate),
    ]
    return [part for part in parts if part is not None]


def _has_guides(layout: Layout) -> bool:
    """Whether a pen draws lines on a background to lay the plate by: not on one that is cut by hand."""
    drawn = {shape.name for shape in layout.shapes if any(mark.kind is Drawn.SEW for mark in shape.marks)}
    return "background" in drawn and any(
        placement.shape == "background"
        for load in layout.loads
        for fabric in load.fabrics
        for placement in fabric.placements
    )


def _notes(layout: Layout, plan: CutPlan, templates: TemplateSheets | None) -> Element | None:
    """What a person should know of the layout and the machine's way; nothing where there is nothing."""
    notes = (*layout.notes, *plan.notes, *(templates.plan.notes if templates else ()))
    return section("Notes", bullets(notes)) if notes else None
