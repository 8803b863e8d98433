"""Cut lines of a layout run half a kerf beside their shapes and holes; holes lie in their shapes."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from cutfiles.check.layout.layout import KnownLayout
from cutfiles.check.shapes.contours import as_area, as_line
from cutfiles.core.tolerance import CHORD_MM, FILE_MM, ONE_LINE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.geometry.distance import contours_apart
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Contour

_KERF_MM = 0.005  # how far a line may be from half a kerf beside its shape: arcs were measured as chords
_QUARTER = 64  # edges of a quarter round


def kerf_faults(layout: KnownLayout) -> Iterator[Fault]:
    """Yield a fault for each shape whose cut line doesn't run half a kerf outside of it."""
    kerf_mm = layout.tool.kerf_mm
    for name, shape in layout.shapes.items():
        line = layout.lines[name]
        if kerf_mm <= ONE_LINE_MM and line == shape:
            continue
        off = _off_mm(line, shape, outwards_mm=kerf_mm / 2)
        if off > _KERF_MM:
            words = f"its line is {off:.4g} mm off half the kerf of {kerf_mm:g} mm outside of it"
            yield Fault(Code.BAD_LAYOUT, name, words)


def hole_faults(layout: KnownLayout) -> Iterator[Fault]:
    """Yield what is wrong with the holes of a layout's shapes: outside, too near to another cut, or off."""
    kerf_mm = layout.tool.kerf_mm
    for name, holes in layout.holes.items():
        whole = as_area(layout.shapes[name], stray_mm=CHORD_MM)
        cuts = [layout.shapes[name], *holes.inner]
        for number, (hole, line) in enumerate(zip(holes.inner, holes.lines, strict=True), start=1):
            place = f"{name}-inner-{number}"
            if not whole.covers(as_area(hole, stray_mm=CHORD_MM)):
                yield Fault(Code.BAD_LAYOUT, place, f"lies not in {name}")
                continue
            off = _off_mm(line, hole, outwards_mm=-kerf_mm / 2)
            if off > _KERF_MM:
                words = f"its line is {off:.4g} mm off half the kerf of {kerf_mm:g} mm inside of it"
                yield Fault(Code.BAD_LAYOUT, place, words)
            for other in cuts[:number]:
                apart = contours_apart(edges_of(hole), edges_of(other), within_mm=layout.web_mm)
                if apart < layout.web_mm - FILE_MM:
                    words = f"only {apart:.4g} mm stay beside it, where {layout.web_mm:g} mm is the least"
                    yield Fault(Code.TOO_NEAR, place, words)


def _off_mm(line: Contour, shape: Contour, *, outwards_mm: float) -> float:
    """How far a line strays from the shape's outline moved outwards, or inwards below 0."""
    meant = as_area(shape, stray_mm=CHORD_MM).buffer(outwards_mm, quad_segs=_QUARTER)
    return float(shapely.hausdorff_distance(meant.exterior, as_line(line, stray_mm=CHORD_MM)))
