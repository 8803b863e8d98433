"""Cautions: only those that this job gives reason for."""

from __future__ import annotations

from cutfiles.formats.model.plan import CutPlan
from cutfiles.formats.model.tool import Tool
from cutfiles.job.model.job import Face, Job
from cutfiles.nest.base.layout import Layout
from cutfiles.sheet.markup.markup import Element, bullets, html, paragraph
from cutfiles.sheet.sections.templates import template_cautions

GENERAL = (
    "Follow the machine's manual, local rules and, where required, a trained or licensed operator; these "
    "notes do not replace them."
)


GENERAL_BY_HAND = (
    "Follow what the makers of cutter, ruler and iron say, and local rules; these notes do not replace them."
)


def cautions_section(job: Job, layout: Layout, plan: CutPlan) -> Element:
    """Return the cautions in a frame of their own, before the work begins."""
    by_machine = bool(plan.loads)
    by_hand = bool(layout.hand_cuts or layout.rough_cuts)
    drawn = any(load.strokes_of(Tool.DRAW) for load in plan.loads)
    marked = any(layout.shape(cut.shape).by_hand.marks for cut in layout.hand_cuts)
    lines = []
    if by_machine:
        lines.append(
            "Knife in the machine: keep hands, hair and sleeves clear while it runs; retract or cap the "
            "blade whenever you change material."
        )
    if by_hand:
        lines.append(
            "Rotary cutter: close it after every cut, cut away from yourself, on a mat, and keep it from "
            "children. Fingers flat on the ruler, none over its edge."
        )
    if by_machine or by_hand:
        lines.append("Wear a cut-resistant glove when you clear or change a rotary blade.")
    lines.append("Pins and needles: count them when you begin, and again before you press or wash.")
    lines.append("Iron: steam and hot metal burn.")
    if job.centre or job.plate.tip.finish.is_pressed_over_template:
        lines.append(
            "What you press over: metal stays hot long after, so let it cool before you slide it out; card "
            "scorches under steam and a hot iron; plastic melts."
        )
    if drawn or marked:
        lines.append(
            "Pen: heat sets the ink of some, and cold brings back lines that heat had hidden. Try it on a "
            "scrap of every fabric first: draw, take the lines out, press, and cool. Where heat sets "
            "them, take them out before any iron."
        )
    good = [fabric.name for fabric in job.fabrics if fabric.name in _right_side_up(layout)]
    if drawn and good:
        names = ", ".join(good)
        lines.append(f"Lying right side up, {names} will show the pen's lines on the good side.")
    lines += template_cautions(job)
    general = GENERAL_BY_HAND if job.by_hand else GENERAL
    heading = html("h2", "Take care")
    return html("section", heading, html("div", paragraph(general), bullets(lines), class_="caution"))


def _right_side_up(layout: Layout) -> set[str]:
    """Fabrics of which something lies right side up on a mat."""
    laid = (laid for load in layout.loads for laid in load.fabrics)
    return {each.fabric for each in laid if each.face is Face.RIGHT_SIDE_UP}
