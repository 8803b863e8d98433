"""Sewing steps, by tip, ring or fan, centre and background. Common practice; no published source."""

from __future__ import annotations

from cutfiles.core.units import Unit, shown
from cutfiles.job.model.job import Job
from cutfiles.plate.finished import is_ring
from cutfiles.plate.plate import Plate
from cutfiles.sheet.markup.markup import Content, Element, html, paragraph, section, steps
from cutfiles.sheet.markup.words import counted, listed, of_shape

# Between hand stitches in a fold; common practice.
_STITCH = {Unit.IN: "1/4 in", Unit.CM: "6 mm", Unit.MM: "6 mm"}


def sewing_section(job: Job, plate: Plate) -> Element:
    """Return the steps from cut blades to the finished block."""
    what = "plate" if is_ring(plate) else "fan"
    parts: list[Content] = [
        paragraph(f"Seams are {shown(plate.blade.seam_mm, job.unit)}, right sides together.")
    ]
    if plate.count > 1:
        parts[0] = paragraph(
            f"Do this for each of the {counted(plate.count, what)}. Seams are "
            f"{shown(plate.blade.seam_mm, job.unit)}, right sides together."
        )
    for heading, found in (
        (f"The {plate.sewn} blades of a {what}", _tip(plate, job.unit)),
        ("Join them", _joins(plate)),
        ("The centre", _centre(plate, job.unit)),
        ("The background", _background(plate, job.unit)),
    ):
        if found:
            parts += [html("h3", heading), steps(found)]
    own = [of_shape(outline.count, outline.name) for outline in job.outlines]
    if own:
        parts.append(paragraph(f"{listed(own)}: sew as your own pattern says."))
    return section("Sewing", *parts)


def _tip(plate: Plate, unit: Unit) -> list[Content]:
    blade = plate.blade
    return [*blade.tip.finish.steps(blade, shown=lambda mm: shown(mm, unit))]


def _joins(plate: Plate) -> list[Content]:
    if plate.sewn < 2:
        return []
    found: list[Content] = [
        "Lay the blades out in the order you like before you sew any.",
        f"Join two, right sides together, from the wide end to the narrow end, "
        f"{plate.blade.tip.finish.words.meeting}. Lock the first stitches. A difference in length then ends "
        f"up at the narrow end{', under the centre' if plate.centre else ''}.",
        "Measure the first pair across its narrow end, as “How exact the seams must be” says, before you go "
        "on.",
    ]
    if plate.sewn > 3:
        found.append(
            "Join pairs to pairs until there are two halves." if is_ring(plate) else "Join the pairs."
        )
    elif plate.sewn == 3:
        found.append("Join the third.")
    if is_ring(plate):
        found.append(
            "Close the ring with the last seam. Every blade keeps its angle, so the ring lies flat even if "
            "all seams are a little off; if it cups or ripples, some seam is wider at one end than at "
            "the other."
        )
    else:
        found.append("Leave the fan's two outer edges unsewn; they are caught or turned when it is laid on.")
    found.append("Press all seams to one side, or open, first from the back, then from the front.")
    return found


def _centre(plate: Plate, unit: Unit) -> list[Content]:
    if plate.centre is None:
        return []
    finished, cut = plate.centre.finished_radius_mm, plate.centre.cut_radius_mm
    turn = cut - finished
    if turn <= 0:
        return [f"Lay the circle of {shown(2 * cut, unit)} over the opening and sew its edge down as it is."]
    return [
        f"Make a round template {shown(2 * finished, unit)} across, of card or metal that stands the iron.",
        f"Run a gathering stitch around the cut circle, within the {shown(turn, unit)} that is turned under.",
        "Centre the template on its wrong side, draw the thread up evenly and knot it.",
        "Press well. Let it cool, slide the template out, draw up once more and press again.",
        f"Lay the circle over the opening, the same width of cover all round, and pin. Sew it down by hand "
        f"in the fold, stitches about {_STITCH[unit]} apart, or by machine close to the edge.",
    ]


def _background(plate: Plate, unit: Unit) -> list[Content]:
    if plate.background is None:
        return []
    what = "plate" if is_ring(plate) else "fan"
    side = shown(plate.background.cut_side_mm, unit)
    found: list[Content] = [
        f"Fold the {side} square in half twice and press lightly: the creases cross in its middle.",
        f"Lay the {what} on it, seams along the drawn rays or even with the creases, the same distance to "
        f"all four sides, and pin from the middle outwards."
        if is_ring(plate)
        else f"Lay the fan on it about the middle, its ends as far from the sides as you like, and pin. Turn "
        f"its two outer edges under by {shown(plate.blade.seam_mm, unit)}.",
        f"Sew the edge of the {what} down by hand in the fold, stitches about {_STITCH[unit]} apart, or by "
        f"machine close to the edge{plate.blade.tip.finish.words.edge}.",
    ]
    if plate.centre:
        found.append("Sew the centre down last, so that it covers all narrow ends.")
    found.append("Press from the back on something soft.")
    return found
