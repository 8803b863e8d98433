"""A small load, written by hand as layout, SVG and DXF, for tests to break one thing in."""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from cutfiles.check.check import check_paths
from tests.texts import pairs_text

Layout = dict[str, Any]
Corner = tuple[float, float, float]  # x, y, bulge of the edge that leaves

SHAPES: dict[str, Any] = {
    "flag": {"vertices": [[0, 0, 0], [30, 0, 0], [30, 12, 0.4], [10, 20, 0]]},  # not its own mirror image
    "disc": {"circle": [0, 0, 10]},
    "tab": {"vertices": [[0, 0, 0], [20, 0, 0], [20, 20, 0], [0, 20, 0]]},
    "dot": {"circle": [0, 0, 2]},
}


def piece(name: str, x: float, y: float, turn: float = 0, *, mirrored: bool = False) -> Layout:
    """Return a piece of a layout; its name is `fabric-shape-number`."""
    shape = name.split("-")[1]
    return {"id": name, "shape": shape, "x_mm": x, "y_mm": y, "turn_deg": turn, "mirrored": mirrored}


def usual_layout() -> Layout:
    """Return two fabrics on a mat of 300 by 200 mm, six pieces, two of them exactly the gap apart."""
    tide = {
        "fabric": "tide", "piece": 1, "x_mm": 20, "y_mm": 20, "width_mm": 140, "length_mm": 100,
        "turn_deg": 0, "margin_mm": 2, "turns_deg": [0, 180],
        "pieces": [
            piece("tide-flag-001", 25, 25),
            piece("tide-flag-002", 100, 70, 180),
            piece("tide-disc-001", 130, 40),
            piece("tide-tab-001", 30, 80),
            piece("tide-tab-002", 51, 80),
        ],
    }  # fmt: skip
    shingle = {
        "fabric": "shingle", "piece": 1, "x_mm": 180, "y_mm": 20, "width_mm": 60, "length_mm": 80,
        "turn_deg": 90, "margin_mm": 0, "turns_deg": None,
        "pieces": [piece("shingle-tab-001", 210, 30, 30)],
    }  # fmt: skip
    return {
        "format": "cutfiles layout",
        "version": 1,
        "mat": {"width_mm": 300, "height_mm": 200, "margin_mm": 5},
        "machine": {"gap_mm": 1, "register": "cross"},
        "shapes": [{"name": name, "cut": copy.deepcopy(cut)} for name, cut in SHAPES.items()],
        "loads": [{"name": "load-01", "width_mm": 300, "height_mm": 200, "fabrics": [tide, shingle]}],
    }


@dataclass(frozen=True)
class Line:
    """A line of a file: a chain of corners, or a circle (centre and radius in its one corner)."""

    layer: str
    name: str
    corners: tuple[Corner, ...]
    closed: bool = True
    circle: bool = False

    def moved(self, right: float, up: float) -> Line:
        """Return the line moved."""
        return replace(self, corners=tuple((x + right, y + up, b) for x, y, b in self.corners))


def stroke(layer: str, *points: tuple[float, float]) -> Line:
    """Return an open chain of straight edges."""
    return Line(layer, "", tuple((x, y, 0.0) for x, y in points), closed=False)


def posed(cut: Layout, piece: Layout) -> Line:
    """Return a piece's outline on the mat."""
    turn = math.radians(piece["turn_deg"])
    flip = -1.0 if piece["mirrored"] else 1.0

    def at(x: float, y: float) -> tuple[float, float]:
        x *= flip
        return (
            x * math.cos(turn) - y * math.sin(turn) + piece["x_mm"],
            x * math.sin(turn) + y * math.cos(turn) + piece["y_mm"],
        )

    if "circle" in cut:
        x, y, radius = cut["circle"]
        return Line("cut", piece["id"], ((*at(x, y), radius),), circle=True)
    return Line("cut", piece["id"], tuple((*at(x, y), flip * bulge) for x, y, bulge in cut["vertices"]))


@dataclass
class LineDrawing:
    """What a machine file says, before it is written in a format."""

    width: float
    height: float
    lines: list[Line] = field(default_factory=list)

    def at(self, name: str) -> int:
        """Return where in the list a piece's outline is."""
        return next(index for index, line in enumerate(self.lines) if line.name == name)


def drawing_of(layout: Layout) -> LineDrawing:
    """Return the file of the first load: some drawing, three crosses, and every outline."""
    load = layout["loads"][0]
    cuts = {entry["name"]: entry["cut"] for entry in layout["shapes"]}
    drawing = LineDrawing(load["width_mm"], load["height_mm"])
    drawing.lines += [
        stroke("draw", (28, 30), (40, 30)),  # in tide-flag-001
        stroke("draw", (30, 85), (50, 85)),  # from edge to edge of tide-tab-001
        Line("draw", "", ((33, 90, -0.3), (45, 90, 0)), closed=False),
        Line("draw", "", ((38, 95, 3),), circle=True),
    ]
    for x, y in ((9, 9), (291, 9), (9, 191)):
        drawing.lines += [
            stroke("register", (x - 3, y), (x + 3, y)),
            stroke("register", (x, y - 3), (x, y + 3)),
        ]
    drawing.lines += [
        posed(cuts[piece["shape"]], piece) for fabric in load["fabrics"] for piece in fabric["pieces"]
    ]
    return drawing


def _n(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".") or "0"


def svg_text(drawing: LineDrawing) -> str:
    """Return a drawing as SVG, its layers as groups in the order of the lines."""
    text = [
        '<svg xmlns="http://www.w3.org/2000/svg" '
        f'width="{_n(drawing.width)}mm" height="{_n(drawing.height)}mm" '
        f'viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}">'
    ]
    layer = None
    for line in drawing.lines:
        if line.layer != layer:
            text.append(
                ("" if layer is None else "</g>\n") + f'<g id="{line.layer}"><title>{line.layer}</title>'
            )
            layer = line.layer
        text.append(_svg_element(line, drawing.height))
    return "\n".join([*text, *(["</g>"] if layer else []), "</svg>\n"])


def _svg_element(line: Line, height: float) -> str:
    name = f' id="{line.name}"' if line.name else ""
    if line.circle:
        x, y, radius = line.corners[0]
        return f'<circle{name} cx="{_n(x)}" cy="{_n(height - y)}" r="{_n(radius)}"/>'
    if not any(bulge for _, _, bulge in line.corners):
        points = " ".join(f"{_n(x)},{_n(height - y)}" for x, y, _ in line.corners)
        return f'<{"polygon" if line.closed else "polyline"}{name} points="{points}"/>'
    words = []
    ends = [*line.corners[1:], *(line.corners[:1] if line.closed else ())]
    for (x, y, bulge), (to_x, to_y, _) in zip(line.corners, ends, strict=False):
        words = words or [f"M{_n(x)} {_n(height - y)}"]
        if bulge:
            radius = _n(math.hypot(to_x - x, to_y - y) * (1 + bulge**2) / (4 * abs(bulge)))
            words.append(
                f"A{radius} {radius} 0 {int(abs(bulge) > 1)} {int(bulge < 0)} {_n(to_x)} {_n(height - to_y)}"
            )
        else:
            words.append(f"L{_n(to_x)} {_n(height - to_y)}")
    return f'<path{name} d="{" ".join(words)}{"Z" if line.closed else ""}"/>'


def dxf_text(drawing: LineDrawing) -> str:
    """Return a drawing as DXF 2000, with no more than a reader needs."""
    pairs: list[tuple[int, Any]] = [
        (0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1015"), (9, "$INSUNITS"), (70, 4),
        (9, "$LIMMIN"), (10, 0), (20, 0), (9, "$LIMMAX"), (10, _n(drawing.width)), (20, _n(drawing.height)),
        (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES"),
    ]  # fmt: skip
    for line in drawing.lines:
        layer = (8, line.layer.upper())
        x, y, third = line.corners[0]
        if line.circle:
            pairs += [(0, "CIRCLE"), layer, (10, _n(x)), (20, _n(y)), (40, _n(third))]
        elif len(line.corners) == 2 and not line.closed and not third:
            pairs += [(0, "LINE"), layer, (10, _n(x)), (20, _n(y))]
            pairs += [(11, _n(line.corners[1][0])), (21, _n(line.corners[1][1]))]
        else:
            pairs += [(0, "LWPOLYLINE"), layer, (90, len(line.corners)), (70, int(line.closed))]
            for corner in line.corners:
                pairs += [(10, _n(corner[0])), (20, _n(corner[1])), (42, f"{corner[2]:.9f}")]
    pairs += [(0, "ENDSEC"), (0, "EOF")]
    return pairs_text(pairs)


WRITTEN = {"svg": svg_text, "dxf": dxf_text}


def write_folder(folder: Path, layout: Layout, texts: dict[str, str]) -> Path:
    """Write a layout and files, by the ends of their names, into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "layout.json").write_text(json.dumps(layout), encoding="utf-8")
    for suffix, text in texts.items():
        (folder / f"load-01.{suffix}").write_text(text, encoding="utf-8")
    return folder


def usual_texts() -> dict[str, str]:
    """Return the usual layout's file in each plain format, by the end of its name."""
    return {suffix: written(drawing_of(usual_layout())) for suffix, written in WRITTEN.items()}


def codes_of(path: Path) -> set[str]:
    """Return what is wrong with a file or a folder."""
    return {finding.code for finding in check_paths([path]).findings}


def edited(name: str, change: Callable[[Line], Line]) -> Callable[[LineDrawing], None]:
    """Return what changes one line of a drawing."""

    def apply(drawing: LineDrawing) -> None:
        index = drawing.at(name)
        drawing.lines[index] = change(drawing.lines[index])

    return apply


def cut_first(drawing: LineDrawing) -> None:
    """Put the cuts before what is drawn."""
    drawing.lines.sort(key=lambda line: ["cut", "draw", "register"].index(line.layer))
