"""A runner or a square of several blocks: joined, backed, quilted, bound. Common practice; no source."""

from __future__ import annotations

from cutfiles.core.units import Unit, shown
from cutfiles.core.words import counted
from cutfiles.formats.model.numbers import number
from cutfiles.job.model.job import Job
from cutfiles.plate.plate import Plate
from cutfiles.plate.quilt import Quilt, quilt_of
from cutfiles.plate.words import quilt_lines
from cutfiles.sheet.markup.colours import FABRICS, FAINT, GROUND, INK
from cutfiles.sheet.markup.drawing import Box, canvas, frame, segment, words
from cutfiles.sheet.markup.markup import Content, Element, bullets, html, section, steps

_MOST_WIDE_MM, _MOST_TALL_MM = 96.0, 70.0  # of paper
_FONT_MM, _BELOW_MM = 3.0, 6.0


def quilt_section(job: Job, plate: Plate) -> Element | None:
    """Return how the blocks become one piece; nothing where the job makes none."""
    quilt = quilt_of(job, plate)
    if quilt is None:
        return None
    each = f" Do this for each of the {job.kits} kits." if job.kits > 1 else ""
    told = bullets(line[0].upper() + line[1:] for line in quilt_lines(quilt, job.unit))
    beside = html("div", html("figure", _picture(quilt, job.unit)), html("div", told), class_="beside")
    heading = "The runner" if min(quilt.spec.rows, quilt.spec.columns) == 1 else "The quilt"
    content: list[Content] = [beside, steps(_steps(plate, quilt, job.unit))]
    if each:
        content.insert(1, html("p", each.strip()))
    return section(heading, *content)


def _steps(plate: Plate, quilt: Quilt, unit: Unit) -> list[Content]:
    spec, seam = quilt.spec, shown(plate.blade.seam_mm, unit)
    instructions: list[Content] = []
    if spec.columns > 1:
        rows = f" to {counted(spec.rows, 'row')} of {spec.columns}" if spec.rows > 1 else ""
        instructions.append(
            f"Join the blocks side by side{rows}, right sides together, {seam} seams. Press the seams of "
            f"each row one way, of the next row the other way."
        )
    if spec.rows > 1:
        instructions.append(f"Join the rows, seam on seam, with {seam} seams, and press.")
    if quilt.backing and quilt.backing.count > 1:
        instructions.append(
            f"Join the {quilt.backing.count} panels of the backing along their long sides, {seam} seams; "
            "press them open."
        )
    if quilt.backing:
        width, height = (shown(mm, unit) for mm in quilt.backing_mm)
        instructions.append(
            f"Lay the backing, {width} × {height}, wrong side up and flat, wadding as large on it, the top "
            f"on both, right side up: {shown(spec.backing_mm, unit)} of both show all round. Baste or pin "
            "from the middle outwards."
        )
        instructions.append(
            "Quilt as you like: along the edges of the plates, say. Count pins. Trim backing and wadding to "
            "the top's edge, corners square."
        )
    if quilt.binding_strips:
        strips = f"Join the {quilt.binding_strips} strips" if quilt.binding_strips > 1 else "Take the strip"
        instructions.append(
            f"{strips} of {shown(spec.binding_mm, unit)} end to end with slanted seams. Fold lengthwise, "
            f"wrong sides together, and press."
        )
        instructions.append(
            f"Sew it to the front, raw edge on raw edge, a {seam} seam, folding it up and back at each "
            "corner. Join its ends, turn it to the back, and sew its fold down by hand."
        )
    return instructions


def _picture(quilt: Quilt, unit: Unit) -> Element:
    """The blocks on the backing, and how large both are."""
    width, height = quilt.backing_mm if quilt.backing else (quilt.width_mm, quilt.height_mm)
    scale = min(_MOST_WIDE_MM / width, _MOST_TALL_MM / height)
    wide, tall = width * scale, height * scale
    left, top = (wide - quilt.width_mm * scale) / 2, (tall - quilt.height_mm * scale) / 2
    block_w, block_h = (
        quilt.width_mm / quilt.spec.columns * scale,
        quilt.height_mm / quilt.spec.rows * scale,
    )
    line = {"stroke": INK, "stroke_width": "0.3"}
    dashed = {"stroke": FAINT, "stroke_width": "0.25", "stroke_dasharray": "1.5 1"}
    drawn = [frame(Box(0.0, 0.0, wide, tall), fill=GROUND, **dashed)] if quilt.backing else []
    for row in range(quilt.spec.rows):
        for column in range(quilt.spec.columns):
            x, y = left + column * block_w, top + row * block_h
            drawn.append(frame(Box(x, y, x + block_w, y + block_h), fill=FABRICS[0], **line))
    ends = (left, left + quilt.width_mm * scale)
    below = tall + 1.6
    drawn.append(segment(ends[0], below, ends[1], below, **line))
    drawn += [segment(x, below - 0.8, x, below + 0.8, **line) for x in ends]
    drawn.append(
        words(
            shown(quilt.width_mm, unit), sum(ends) / 2, below + 1.2 + _FONT_MM, size=_FONT_MM, anchor="middle"
        )
    )
    beside = wide + 1.6
    sides = (top, top + quilt.height_mm * scale)
    drawn.append(segment(beside, sides[0], beside, sides[1], **line))
    drawn += [segment(beside - 0.8, y, beside + 0.8, y, **line) for y in sides]
    tall_words = shown(quilt.height_mm, unit)
    drawn.append(words(tall_words, beside + 1.4, sum(sides) / 2 + 0.36 * _FONT_MM, size=_FONT_MM))
    view = Box(-0.4, -0.4, wide + 20.0, tall + _BELOW_MM + 1.0)
    size = {"width": f"{number(view.right - view.left)}mm", "height": f"{number(view.bottom - view.top)}mm"}
    title = f"The blocks{' on the backing' if quilt.backing else ''}, with their size"
    return canvas(view, title, *drawn, **size)
