"""The small load of `drawings.py` as R12, HP-GL and sewn-product DXF, by hand as their standards say."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from tests.check.drawings import Line, LineDrawing, dxf_text, svg_text
from tests.check.pdf_format import pdf_text
from tests.texts import pairs_text

Pairs = list[tuple[int, Any]]
CHORD_MM = 0.008


def _n(value: float) -> str:
    return f"{value:.4f}"


def _head(drawing: LineDrawing) -> Pairs:
    return [
        (0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009"),
        (9, "$LIMMIN"), (10, 0), (20, 0), (9, "$LIMMAX"), (10, _n(drawing.width)), (20, _n(drawing.height)),
        (0, "ENDSEC"),
    ]  # fmt: skip


def _entity(line: Line, layer: str) -> Pairs:
    x, y, third = line.corners[0]
    if line.circle:
        return [(0, "CIRCLE"), (8, layer), (10, _n(x)), (20, _n(y)), (40, _n(third))]
    pairs: Pairs = [(0, "POLYLINE"), (8, layer), (66, 1), (70, int(line.closed)), (10, 0), (20, 0)]
    for corner in line.corners:
        pairs += [(0, "VERTEX"), (8, layer), (10, _n(corner[0])), (20, _n(corner[1]))]
        pairs += [(42, f"{corner[2]:.9f}")] if corner[2] else []
    return [*pairs, (0, "SEQEND"), (8, layer)]


def r12_text(drawing: LineDrawing) -> str:
    """Return a drawing as DXF R12: POLYLINE, VERTEX and SEQEND, and no unit."""
    pairs = [*_head(drawing), (0, "SECTION"), (2, "ENTITIES")]
    for line in drawing.lines:
        pairs += _entity(line, line.layer.upper())
    return pairs_text([*pairs, (0, "ENDSEC"), (0, "EOF")])


def chorded(line: Line) -> list[tuple[float, float]]:
    """Return points on a line, chords within `CHORD_MM` of its arcs; the first again if it closes."""
    if line.circle:
        x, y, radius = line.corners[0]
        steps = max(8, math.ceil(math.pi / math.acos(1 - CHORD_MM / radius)))
        turns = [2 * math.pi * step / steps for step in range(steps)]
        points = [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns]
        return [*points, points[0]]
    ends = [*line.corners[1:], *(line.corners[:1] if line.closed else ())]
    points = [line.corners[0][:2]]
    for (x, y, bulge), (to_x, to_y, _) in zip(line.corners, ends, strict=False):
        if bulge:
            # The arc's points by turning the chord about its start: half the angle at the rim.
            sweep = 4 * math.atan(bulge)
            chord = complex(to_x - x, to_y - y)
            radius = abs(chord) / (2 * math.sin(abs(sweep) / 2))
            steps = max(2, math.ceil(abs(sweep) / (2 * math.acos(1 - CHORD_MM / radius))))
            for step in range(1, steps):
                part = sweep * step / steps
                along = chord * math.sin(part / 2) / math.sin(sweep / 2)
                turned = along * complex(math.cos((part - sweep) / 2), math.sin((part - sweep) / 2))
                points.append((x + turned.real, y + turned.imag))
        points.append((to_x, to_y))
    return points


def plt_text(drawing: LineDrawing) -> str:
    """Return a drawing as HP-GL: pen 1 for what is drawn and marked, pen 2 for what is cut."""
    words, pen = ["IN;DF;\nPA;"], 0
    for line in drawing.lines:
        wanted = {"draw": 1, "register": 1, "cut": 2}.get(line.layer, 3)
        if wanted != pen:
            pen = wanted
            words.append(f"SP{pen};")
        points = [(round(x * 40), round(y * 40)) for x, y in chorded(line)]
        rest = ",".join(f"{x},{y}" for x, y in points[1:])
        words.append(f"PU{points[0][0]},{points[0][1]};PD{rest};")
    return "\n".join([*words, "PU;", "SP0;"]) + "\n"


def sewn_text(drawing: LineDrawing) -> str:
    """Return a drawing as sewn-product DXF: a block for each outline, what is drawn in the block under it."""
    blocks: Pairs = [(0, "SECTION"), (2, "BLOCKS")]
    model: Pairs = [(0, "SECTION"), (2, "ENTITIES")]
    cuts = [line for line in drawing.lines if line.layer == "cut"]
    for number, cut in enumerate(cuts):
        name = f"PIECE_{number}"
        blocks += [(0, "BLOCK"), (8, "1"), (2, name), (70, 0), (10, 0), (20, 0)]
        blocks += _chords(cut, "1")
        blocks += [(0, "TEXT"), (8, "1"), (10, 0), (20, 0), (40, 3), (1, f"Piece Name: {cut.name}")]
        if number == 0:
            for line in drawing.lines:
                blocks += _chords(line, "14") if line.layer == "draw" else []
        blocks += [(0, "ENDBLK"), (8, "1")]
        model += [(0, "INSERT"), (8, "1"), (2, name), (10, 0), (20, 0)]
    for line in drawing.lines:
        model += _chords(line, "8") if line.layer == "register" else []
    return pairs_text([*_head(drawing), *blocks, (0, "ENDSEC"), *model, (0, "ENDSEC"), (0, "EOF")])


def _chords(line: Line, layer: str) -> Pairs:
    points = chorded(line)
    if not (line.closed or line.circle):
        pairs: Pairs = []
        for (x, y), (to_x, to_y) in pairwise(points):
            pairs += [(0, "LINE"), (8, layer), (10, _n(x)), (20, _n(y)), (11, _n(to_x)), (21, _n(to_y))]
        return pairs
    closed = Line(line.layer, line.name, tuple((x, y, 0.0) for x, y in points[:-1]))
    return _entity(closed, layer)


FORMATS = {
    "svg": svg_text,
    "dxf": dxf_text,
    "r12.dxf": r12_text,
    "plt": plt_text,
    "sewn.dxf": sewn_text,
    "pdf": pdf_text,
}
