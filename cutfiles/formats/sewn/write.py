"""Sewn-product DXF (`.sewn.dxf`): a block a piece; the number of a layer says what its lines are.

Source: ASTM D6673-10, Standard Practice for Sewn Products Pattern Data Interchange: Data Format (withdrawn
2019, nothing in its place). What is used of it here is from memory: the numbers of the layers, that the
file is DXF R12 of POINT, LINE, POLYLINE and TEXT with curves as chords, and the words of the texts.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import shapely

from cutfiles.core.tolerance import SEWN_CHORD_MM, SEWN_MM, SMOOTH_RAD
from cutfiles.formats.dxf.write_entities import Entities
from cutfiles.formats.dxf.write_skeleton import DxfLayer, skeleton
from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.style import DEFAULT_STYLE, OutputStyle
from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.geometry.outline import Contour, Path, Point, Vertex, bounds, heading, turn_rad
from cutfiles.geometry.points import points_on

BOUNDARY, TURN_POINTS, CURVE_POINTS = "1", "2", "3"
NOTCHES, GRAIN, INTERNAL, SEW, ANNOTATION = "4", "7", "8", "14", "15"
BOUNDARY_AGAIN, SEW_AGAIN = "84", "87"
_LAYERS = (
    BOUNDARY, TURN_POINTS, CURVE_POINTS, NOTCHES, GRAIN, INTERNAL, SEW, ANNOTATION, BOUNDARY_AGAIN, SEW_AGAIN,
)  # fmt: skip
# For the receiver to compare with what it makes of turn and curve points.
_VALIDATION = {BOUNDARY: BOUNDARY_AGAIN, SEW: SEW_AGAIN}
_WITH_POINTS = (BOUNDARY, INTERNAL, SEW)
_OF_KIND = {Drawn.SEW: SEW, Drawn.LABEL: ANNOTATION}
_TEXT_MM = 3.0
_LONGEST_NAME = 31  # of an R12 block
_SQUARE_MM = 50.0
_ASIDE_MM = 10.0  # from the control square to the mat


def write_sewn_dxf(plan: LoadPlan, *, style: OutputStyle = DEFAULT_STYLE) -> bytes:
    """Return one load's pieces as sewn-product DXF, each where its first copy lies. Same plan, same bytes.

    A piece's boundary is its outline as it is to come out, not the tool's way around it. What belongs
    to no piece, as register marks do, is left out.
    """
    # A layer's number is its colour too: the standard has none.
    layers = tuple(DxfLayer(name, int(name)) for name in _LAYERS)
    empty = skeleton("R12", width_mm=plan.width_mm, height_mm=plan.height_mm, layers=layers)
    quantities = {ids[0]: len(ids) for ids in plan.alike}
    copies = {piece_id for ids in plan.alike for piece_id in ids[1:]}
    pieces = [(piece_id, outline) for piece_id, outline in plan.outlines if piece_id not in copies]
    drawn: dict[str, list[Stroke]] = {piece_id: [] for piece_id, _ in pieces}
    for stroke in plan.strokes_of(Tool.DRAW):
        if stroke.piece_id in drawn:
            drawn[stroke.piece_id].append(stroke)
    blocks = Entities("", empty.free_handle)
    names = _block_names(drawn)
    for piece_id, outline in pieces:
        blocks.begin_block(names[piece_id])
        _annotation(blocks, outline, (f"Piece Name: {piece_id}", f"Quantity: {quantities.get(piece_id, 1)}"))
        _piece(blocks, outline, drawn[piece_id])
        blocks.end_block()
    model = Entities("", blocks.next_handle)
    for number, words in enumerate((f"Style Name: {plan.name}", "Units: METRIC")):
        model.text(BOUNDARY, (0.0, 2 * _TEXT_MM * number), _TEXT_MM, words)
    _control_square(model)
    for piece_id, _ in pieces:
        model.insert(BOUNDARY, names[piece_id])
    return empty.filled(model.written(), next_handle=model.next_handle, blocks=blocks.written())


def _control_square(model: Entities) -> None:
    """A square to measure, left of the mat: that METRIC is taken for mm is nothing to rely on."""
    left = -_ASIDE_MM - _SQUARE_MM
    corners = ((left, 0.0), (left + _SQUARE_MM, 0.0), (left + _SQUARE_MM, _SQUARE_MM), (left, _SQUARE_MM))
    model.add(ANNOTATION, Path(tuple(Vertex(x, y) for x, y in corners), closed=True))
    at = (left + _TEXT_MM, _SQUARE_MM / 2)
    model.text(ANNOTATION, at, _TEXT_MM, f"This square is {_SQUARE_MM:g} mm")


def _block_names(piece_ids: Iterable[str]) -> dict[str, str]:
    """Names that R12 allows, no two alike: the ids in capitals, cut short and numbered where they must be."""
    names: dict[str, str] = {}
    taken: set[str] = set()
    for number, piece_id in enumerate(piece_ids, start=1):
        name = piece_id.upper()
        if len(name) > _LONGEST_NAME or name in taken:
            end = f"_{number}"  # no id holds this sign
            name = name[: _LONGEST_NAME - len(end)] + end
        names[piece_id] = name
        taken.add(name)
    return names


def _annotation(block: Entities, outline: Contour, texts: Iterable[str]) -> None:
    left, low, right, high = bounds(outline)
    for number, words in enumerate(texts):
        block.text(BOUNDARY, ((left + right) / 2, (low + high) / 2 - 2 * _TEXT_MM * number), _TEXT_MM, words)


def _piece(block: Entities, outline: Contour, drawn: Iterable[Stroke]) -> None:
    _line(block, BOUNDARY, outline)
    for stroke in drawn:
        notch = _place_of_notch(stroke, outline) if stroke.kind is Drawn.NOTCH else None
        if notch is None:
            _line(block, _layer_of(stroke), stroke.path)
        else:
            block.point(NOTCHES, notch)


def _place_of_notch(stroke: Stroke, outline: Contour) -> Point | None:
    """Where a notch's line meets its piece's boundary; None where no end of it does."""
    if not isinstance(stroke.path, Path):
        return None
    boundary = shapely.LinearRing(points_on(outline, stray_mm=SEWN_CHORD_MM))
    # The pen may run it from either end.
    ends = (stroke.path.vertices[0][:2], stroke.path.vertices[-1][:2])
    apart_mm, end = min((boundary.distance(shapely.Point(end)), end) for end in ends)
    return end if apart_mm <= SEWN_MM else None


def _layer_of(stroke: Stroke) -> str:
    if stroke.kind is Drawn.GRAIN:
        # One line is the grain; the arrow's heads would be others.
        shaft = isinstance(stroke.path, Path) and len(stroke.path.vertices) == 2
        return GRAIN if shaft else INTERNAL
    return INTERNAL if stroke.kind is None else _OF_KIND.get(stroke.kind, INTERNAL)


def _corners(path: Contour) -> set[Point]:
    """The points where a line begins, turns or ends; at the others it runs on."""
    if not isinstance(path, Path):
        return set()
    edges = list(path.edges())
    ends = {point[:2] for point in (path.vertices[0], path.vertices[-1]) if not path.closed}
    meetings = zip(edges[-1:] + edges[:-1], edges, strict=True) if path.closed else pairwise(edges)
    return ends | {
        (start.x, start.y)
        for (before, there), (start, end) in meetings
        if abs(turn_rad(heading(before, there, at_end=True), heading(start, end, at_end=False))) > SMOOTH_RAD
    }


def _line(entities: Entities, layer: str, path: Contour) -> None:
    points = points_on(path, stray_mm=SEWN_CHORD_MM)
    closed = not isinstance(path, Path) or path.closed
    chords = Path(tuple(Vertex(x, y) for x, y in points), closed)
    entities.add(layer, chords)
    if layer in _WITH_POINTS:
        corners = _corners(path)
        for point in points:
            entities.point(TURN_POINTS if point in corners else CURVE_POINTS, point)
    if layer in _VALIDATION:
        entities.add(_VALIDATION[layer], chords)
