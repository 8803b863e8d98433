"""The centre made ready: gathered over a template, or drawn up as a yo-yo; of a fan in a seam only a part."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import RULE_MM
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Path, Vertex, line
from cutfiles.job.model.job import CentreKind, Setting
from cutfiles.pieces.plate_shapes import centre_shape_of
from cutfiles.plate.finished import finished_centre
from cutfiles.plate.plate import Centre, Plate
from cutfiles.tips.stage import DrawnLine, LineKind, Measure, Patch, Stage, Surface

_GATHERS = 28  # little folds drawn round a circle
_YO_YO_HOLE = 0.12  # of its radius: what the thread can't close


def centre_stages(plate: Plate) -> list[Stage]:
    """Return how the centre is made ready; none where there is none, or where it is laid on as it is cut."""
    centre = plate.centre
    if centre is None or centre.cut_radius_mm <= centre.finished_radius_mm + RULE_MM:
        return []
    if centre.kind is CentreKind.YO_YO:
        return _yo_yo(centre)
    return _part(plate, centre) if plate.is_in_seam else _whole(centre)


def _whole(centre: Centre) -> list[Stage]:
    finished, cut = centre.finished_radius_mm, centre.cut_radius_mm
    turn = cut - finished
    wrong, card = Patch(Circle(0.0, 0.0, cut), Surface.WRONG), Circle(0.0, 0.0, finished)
    thread = DrawnLine(Circle(0.0, 0.0, (cut + finished) / 2), LineKind.STITCH)
    within = max(finished - turn, finished / 20)
    all_ = (-cut, -cut, cut, cut)  # so that all four are as large on paper
    turned = (Patch(card, Surface.RIGHT), Patch(Circle(0.0, 0.0, within), Surface.CARD))
    return [
        Stage(
            "stitch round",
            "The cut circle from the back, a line of stitches all round it within what is turned under.",
            (wrong,),
            (DrawnLine(card, LineKind.HIDDEN), thread),
            shows=all_,
        ),
        Stage(
            "template on it",
            "A round template in the middle of its wrong side.",
            (wrong, Patch(card, Surface.CARD)),
            (thread,),
            measures=(Measure((-finished, 0.0), (finished, 0.0)),),
            shows=all_,
        ),
        Stage(
            "draw up, press, let it cool",
            "The edge of the circle drawn up over the template in little folds.",
            turned,
            _gathers(within, finished),
            shows=all_,
        ),
        Stage(
            "slide it out, draw up, knot, press",
            "The finished circle from the right side.",
            (Patch(card, Surface.RIGHT),),
            shows=all_,
        ),
    ]


def _part(plate: Plate, centre: Centre) -> list[Stage]:
    """Only the arc is turned; the straight edges, a seam beyond the block's own, stay raw."""
    shape, finished = centre_shape_of(plate), finished_centre(plate)
    (fold,) = (mark.path for mark in shape.marks if mark.kind is Drawn.FOLD)
    assert isinstance(fold, Path)
    sew = tuple(DrawnLine(mark.path, LineKind.HIDDEN) for mark in shape.marks if mark.kind is Drawn.SEW)
    seam = plate.blade.seam_mm
    corner = (Vertex(-seam, -seam),) if plate.setting is Setting.CORNER else ()
    ready = Path((*corner, *fold.vertices), closed=True)
    share = (centre.cut_radius_mm + centre.finished_radius_mm) / (2 * centre.finished_radius_mm)
    thread = Path(
        tuple(Vertex(vertex.x * share, vertex.y * share, vertex.bulge) for vertex in fold.vertices),
        closed=False,
    )
    wrong = Patch(shape.cut, Surface.WRONG)
    return [
        Stage(
            "stitch along the arc",
            "The cut piece from the back, a line of stitches along its arc, within what is turned under.",
            (wrong,),
            (DrawnLine(fold, LineKind.HIDDEN), *sew, DrawnLine(thread, LineKind.STITCH)),
        ),
        Stage(
            "template on it, draw up over its arc",
            "A template on the wrong side, its arc where the edge is turned; the straight edges lie free.",
            (wrong, Patch(finished, Surface.CARD)),
            (DrawnLine(thread, LineKind.STITCH),),
        ),
        Stage(
            "press, let it cool, slide it out, press",
            "The finished piece from the right side: its arc turned, its straight edges raw.",
            (Patch(ready, Surface.RIGHT),),
            sew,
        ),
    ]


def _yo_yo(centre: Centre) -> list[Stage]:
    fold, finished = centre.fold_radius_mm, centre.finished_radius_mm
    hole = _YO_YO_HOLE * finished
    wide = centre.cut_radius_mm
    return [
        Stage(
            "turn the edge, stitch close to the fold",
            "The circle from the back, its edge turned under all round, stitches close to the fold.",
            (Patch(Circle(0.0, 0.0, fold), Surface.WRONG),),
            (DrawnLine(Circle(0.0, 0.0, 0.96 * fold), LineKind.STITCH),),
            shows=(-wide, -wide, wide, wide),
        ),
        Stage(
            "draw up, knot, flatten",
            "The yo-yo, half as wide as the circle: gathers run from its rim to its middle.",
            (
                Patch(Circle(0.0, 0.0, finished), Surface.RIGHT),
                Patch(Circle(0.0, 0.0, hole), Surface.WRONG),
            ),
            _gathers(hole, finished),
            measures=(Measure((-finished, -finished), (finished, -finished), 0.15 * finished),),
            shows=(-wide, -wide, wide, wide),
        ),
    ]


def _gathers(inner: float, outer: float) -> tuple[DrawnLine, ...]:
    """Little folds, all round."""
    marks = []
    for number in range(_GATHERS):
        angle = math.tau * number / _GATHERS
        cos, sin = math.cos(angle), math.sin(angle)
        marks.append(DrawnLine(line((inner * cos, inner * sin), (outer * cos, outer * sin)), LineKind.CREASE))
    return tuple(marks)
