"""The `[[template]]` and `[stock]` tables, and what of them can't be together."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import in_both, sides_shown
from cutfiles.job.model.template import EngraveFrom, SewnOrCut, StockSpec, TemplateSpec
from cutfiles.job.parse.section import Section, known
from cutfiles.job.schema.template import CENTRE, CENTRE_CUT, PLACEMENT, RING, SECOND, TEMPLATE_SHAPES

# Limits of what is sane, common practice: hands hold templates of 2 to 6 mm, and no tool that cuts them
# removes as much as 2 mm.
MOST_THICKNESS_MM = 12.0
MOST_KERF_MM = 2.0
LEAST_HOLE_MM = 2.0  # a thinner hole takes no nail, and closes where the material melts
LEAST_CAPITALS_MM = 2.0  # finer engraving is not read at arm's length


def templates_of(
    sections: Sequence[Section],
    *,
    outlines: Sequence[str],
    has_centre: bool,
    has_second: bool,
    bands: Sequence[str],
) -> tuple[TemplateSpec, ...]:
    """Return the templates.

    Args:
        sections: the tables, in the order of the file.
        outlines: names of the job's own shapes.
        has_centre: the job has a `[centre]`.
        bands: names of the bands that its blades are pieced of.
        has_second: every other blade of the plate is shorter.

    Raises:
        JobError: an unknown shape, or a key that this shape hasn't.
    """
    own = [*outlines, *bands]
    return tuple(_template(section, own, has_centre, has_second) for section in sections)


def _template(section: Section, outlines: Sequence[str], has_centre: bool, has_second: bool) -> TemplateSpec:
    shape = section.text("shape")
    # An outline may be called `placement`, too; then it is what the user drew.
    known(shape, [*TEMPLATE_SHAPES, *outlines], f"{section.where}.shape", what="shape")
    if shape in (CENTRE, CENTRE_CUT, RING) and not has_centre:
        raise section.error("shape", f"this job has no centre for {shape}; add a [centre] table")
    if shape == SECOND and not has_second:
        raise section.error("shape", f"this job has no {SECOND}; add second_length to [plate]")
    if "line" in section.raw and shape not in outlines:
        raise section.error("line", f"is for shapes of your own, and {shape} is none; leave it out")
    if "diameter" in section.raw and (shape != PLACEMENT or shape in outlines):
        raise section.error("diameter", f"is for {PLACEMENT}, and this is {shape}; leave it out")
    both = partial(in_both, unit=section.unit)
    hole, capitals = section.length("hole"), section.sure_length("capitals")
    if hole is not None and 0 < hole < LEAST_HOLE_MM - RULE_MM:
        says = f"a hole of {both(hole)} is too fine; at least {both(LEAST_HOLE_MM)} is allowed, or 0 for none"
        raise section.error("hole", says)
    if capitals < LEAST_CAPITALS_MM - RULE_MM:
        least = both(LEAST_CAPITALS_MM)
        says = f"letters of {both(capitals)} are too small to read; at least {least} is allowed"
        raise section.error("capitals", says)
    return TemplateSpec(
        shape=shape,
        count=section.sure_count("count"),
        line=section.choice("line", SewnOrCut),
        ease_mm=section.sure_length("ease"),
        hole_mm=hole,
        capitals_mm=capitals,
        name=section.text("name") if "name" in section.raw else None,
        diameter_mm=section.length("diameter"),
        face=section.choice("face", EngraveFrom),
    )


def stock_of(section: Section) -> StockSpec:
    """Return the stock.

    Raises:
        JobError: sizes that no sheet has, or a kerf that its gap or margin doesn't hold.
    """
    for key in ("width", "height"):
        if key not in section.raw:
            raise section.error(key, "is missing; give it: templates are cut from sheets of this size")
    width, height = section.sure_length("width"), section.sure_length("height")
    thickness, kerf = section.sure_length("thickness"), section.sure_length("kerf")
    margin, gap = section.sure_length("margin"), section.sure_length("gap")
    both = partial(in_both, unit=section.unit)
    if thickness > MOST_THICKNESS_MM + RULE_MM:
        says = (
            f"{both(thickness)} is thicker than templates are; at most {both(MOST_THICKNESS_MM)} is allowed"
        )
        raise section.error("thickness", says)
    if kerf > MOST_KERF_MM + RULE_MM:
        says = f"{both(kerf)} is more than such tools remove; at most {both(MOST_KERF_MM)} is allowed"
        raise section.error("kerf", says)
    if kerf >= gap - RULE_MM and kerf > 0:
        says = f"{both(gap)} leaves nothing between two cuts of {both(kerf)} kerf; raise it above the kerf"
        raise section.error("gap", says)
    if margin < kerf / 2 - RULE_MM:
        says = (
            f"{both(margin)} runs the tool off the sheet; at least {both(kerf / 2)}, half the kerf, holds it"
        )
        raise section.error("margin", says)
    if min(width, height) <= 2 * margin:
        sheet = sides_shown(width, height, section.unit)
        says = f"{both(margin)} all round leaves nothing of the sheet of {sheet}; lower it"
        raise section.error("margin", says)
    return StockSpec(
        material=section.text("material"),
        width_mm=width,
        height_mm=height,
        thickness_mm=thickness,
        kerf_mm=kerf,
        margin_mm=margin,
        gap_mm=gap,
        web_mm=section.sure_length("web"),
    )


def stock_for(templates: Sequence[TemplateSpec], section: Section | None) -> StockSpec | None:
    """Return the stock that templates are cut from, None where there are none.

    Raises:
        JobError: there are templates and no stock.
    """
    if section is not None:
        return stock_of(section)
    if templates:
        raise JobError("stock", "is missing; add a [stock] table: templates need its width and height")
    return None
