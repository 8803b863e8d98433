"""Drawings for the tests of the import, and what they hold by formulas of the tests' own."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from pathlib import Path

import ezdxf
import shapely
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from cutfiles.core.units import Unit
from cutfiles.geometry.outline import Circle, Contour, arc_of
from cutfiles.job.model.job import OutlineSpec
from cutfiles.job.model.template import SewnOrCut
from cutfiles.pieces.drawings.outline import drawn_outline

Point = tuple[float, float]


def svg(inside: str, *, attributes: str = 'width="200mm" height="200mm" viewBox="0 0 200 200"') -> str:
    """An SVG whose units are mm, unless its attributes say otherwise."""
    return f'<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{inside}</svg>'


def dxf(draw: Callable[[Modelspace], object], *, version: str = "R2010", insunits: int = 4) -> str:
    """A DXF with what `draw` puts into its model space."""
    drawing: Drawing = ezdxf.new(version)
    drawing.header["$INSUNITS"] = insunits
    draw(drawing.modelspace())
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue()


def outline_of(folder: Path, text: str | bytes, *, name: str = "leaf.svg", unit: Unit = Unit.MM) -> Contour:
    """What the program reads out of such a file."""
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return drawn_outline(path, unit)


def polygon(contour: Contour, *, steps: int = 64) -> shapely.Polygon:
    """Points on lines and arcs, close by."""
    if isinstance(contour, Circle):
        turns = [2 * math.pi * i / (8 * steps) for i in range(8 * steps)]
        points = [
            (contour.x + contour.radius * math.cos(t), contour.y + contour.radius * math.sin(t))
            for t in turns
        ]
        return shapely.Polygon(points)
    points = []
    for start, end in contour.edges():
        shares = range(steps) if start.bulge else range(1)
        points += [arc_of(start, end).at(i / steps) if i else (start.x, start.y) for i in shares]
    return shapely.Polygon(points)


def centred(points: list[Point]) -> shapely.Polygon:
    """The polygon of densely sampled points, its bounds about the origin."""
    made = shapely.Polygon(points)
    left, low, right, high = made.bounds
    return shapely.transform(made, lambda xy: xy - [(left + right) / 2, (low + high) / 2])


def apart(first: shapely.Polygon, second: shapely.Polygon) -> float:
    """How far the one rim strays from the other, in mm."""
    return float(shapely.hausdorff_distance(first.exterior, second.exterior))


def spec_of(path: Path, *, line: SewnOrCut, seam_mm: float = 6.35) -> OutlineSpec:
    """An outline that a file holds, with a seam."""
    return OutlineSpec("leaf", (), 1, seam_mm, line, path)
