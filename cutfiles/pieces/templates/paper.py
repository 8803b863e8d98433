"""Templates to print, for a job that is cut by hand and names none of its own."""

from __future__ import annotations

from dataclasses import replace

from cutfiles.core.tolerance import RULE_MM
from cutfiles.formats.paper.sizes import PaperSpec
from cutfiles.formats.paper.tiles import STRIP_MM
from cutfiles.geometry.outline import Bounds, area, bounds
from cutfiles.job.model.job import Job
from cutfiles.job.model.template import EngraveFrom, SewnOrCut, StockSpec, TemplateSpec
from cutfiles.job.schema.template import CENTRE_CUT
from cutfiles.pieces.own_outline import given_outline, outline_shape
from cutfiles.pieces.plate_shapes import blade_shapes_of, centre_shape_of
from cutfiles.plate.plate import Plate

_GAP_MM = 5.0  # between two, for the scissors
_MARGIN_MM = 3.0  # to the edge of what a page shows
_CAPITALS_MM = 3.0
_ROLL_LENGTH_MM = 600.0


def with_paper_templates(job: Job, plate: Plate) -> Job:
    """Return the job with a template to print of each shape that has no straight sides alone.

    A job that is cut by machine, or that names templates of its own, comes back as it is. Backgrounds are
    cut by the ruler and need none. Nothing is eased or drilled, as paper needs neither.

    Raises:
        GeometryError: an outline of the job can't be drawn; `cut_list` says where.
    """
    if not job.by_hand or job.templates:
        return job
    parts: dict[str, Bounds] = {shape.name: bounds(shape.cut) for shape in blade_shapes_of(plate)}
    if plate.centre:
        parts[CENTRE_CUT] = bounds(centre_shape_of(plate).cut)
    for spec in job.outlines:
        cut = outline_shape(spec, given_outline(spec, job.unit)).cut
        left, low, right, high = bounds(cut)
        if (right - left) * (high - low) - area(cut) > RULE_MM:
            parts[spec.name] = bounds(cut)
    return replace(
        job, templates=tuple(_template(name) for name in parts), stock=_page(job.paper, list(parts.values()))
    )


def _template(shape: str) -> TemplateSpec:
    return TemplateSpec(
        shape=shape,
        count=1,
        line=SewnOrCut.CUT,
        ease_mm=0.0,
        hole_mm=0.0,
        capitals_mm=_CAPITALS_MM,
        name=None,
        diameter_mm=None,
        face=EngraveFrom.ABOVE,
    )


def _page(paper: PaperSpec, parts: list[Bounds]) -> StockSpec:
    """As much as one page shows, or as a part needs that is larger."""
    width, height = paper.sheet_mm or (paper.roll_width_mm or 0.0, _ROLL_LENGTH_MM)
    shown = [width - 2 * paper.margin_mm, height - 2 * paper.margin_mm - STRIP_MM]
    for left, low, right, high in parts:
        # Upright or on its side, whichever is nearer to the page.
        sides = sorted((right - left + 2 * _MARGIN_MM, high - low + 2 * _MARGIN_MM))
        shown = [max(shown[0], sides[0]), max(shown[1], sides[1])]
    return StockSpec(
        material="paper",
        width_mm=shown[0],
        height_mm=shown[1],
        thickness_mm=0.0,
        kerf_mm=0.0,
        margin_mm=_MARGIN_MM,
        gap_mm=_GAP_MM,
        web_mm=0.0,
        is_printed=True,
    )
