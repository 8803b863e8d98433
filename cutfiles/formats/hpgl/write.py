"""HP-GL (`.plt`): pen 1 draws, pen 2 cuts; 40 plotter units to the mm, whole numbers, y up.

Source: HP, PCL 5 Printer Language Technical Reference Manual, part II (HP-GL/2): IN, DF, SP, PA, PU, PD, AA;
a plotter unit is 0.025 mm; AA's chord angle is 0.5 to 180 degrees, 5 where none is given. From memory, of
HP's pen plotters: VS (velocity select, cm/s) and FS (force select, steps of the machine), each with a pen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from cutfiles.core.tolerance import HPGL_CHORD_MM
from cutfiles.core.units import Unit, in_both
from cutfiles.formats.model.numbers import number, rounded
from cutfiles.formats.model.plan import LoadPlan
from cutfiles.formats.model.style import DEFAULT_STYLE, HpglArcs, OutputStyle
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Arc, Circle, Contour, Point, arc_of, bends, bounds
from cutfiles.geometry.points import chord_rad, points_on

UNITS_A_MM = 40
LARGEST = 32767  # a 16-bit reader's last coordinate
_PENS = ((1, (Tool.DRAW, Tool.REGISTER)), (2, (Tool.CUT,)))
_LEAST_CHORD_DEG = 0.5

Units = tuple[int, int]


def write_hpgl(plan: LoadPlan, *, style: OutputStyle = DEFAULT_STYLE) -> bytes:
    """Return one load as HP-GL, ASCII. The same plan gives the same bytes."""
    # IN and DF: other readers believe that it is HP-GL, and no scale or window of an earlier plot stays on.
    lines = ["IN;DF;", "PA;"]
    written = _arcs if style.plotter.arcs is HpglArcs.ARCS else _chords
    for pen, tools in _PENS:
        strokes = [stroke for stroke in plan.strokes if stroke.tool in tools]
        if strokes:
            lines.append(f"SP{pen};{_pace(pen, style)}")
            lines.extend(written(stroke.path) for stroke in strokes)
            lines.append("PU;")
    lines.append("SP0;")
    return ("\n".join(lines) + "\n").encode("ascii")


def far_notes(loads: Sequence[LoadPlan], *, style: OutputStyle = DEFAULT_STYLE) -> Iterator[str]:
    """Yield a warning for each load with a coordinate too large for readers of 16 bits, and of no layers."""
    if any(plan.strokes_of(Tool.PLACE) for plan in loads):
        yield "HP-GL has no layers, so where fabric is laid is not in it: take place from the SVG or the DXF"
    yield from (note for note in (far_note(load, style.paper.unit) for load in loads) if note)


def far_note(plan: LoadPlan, unit: Unit) -> str | None:
    """Return a warning if a coordinate is too large for readers of 16 bits, else None."""
    reach = LARGEST / UNITS_A_MM
    if max(plan.width_mm, plan.height_mm) <= reach:
        return None
    boxes = [bounds(stroke.path) for stroke in plan.strokes]
    far = max((abs(edge) for box in boxes for edge in box), default=0.0)
    if _units(far) <= LARGEST:
        return None
    return (
        f"{plan.name}: lines reach {in_both(far, unit)}; some plotters read HP-GL only to "
        f"{in_both(reach, unit)} "
        f"({LARGEST} plotter units): try that corner with the pen up first, or choose a smaller mat"
    )


def _pace(pen: int, style: OutputStyle) -> str:
    plotter = style.plotter
    first = pen == 1
    speed = plotter.draw_speed if first else plotter.cut_speed
    force = plotter.draw_force if first else plotter.cut_force
    words = (("VS", speed), ("FS", force))
    return "".join(f"{name}{value},{pen};" for name, value in words if value is not None)


def _chords(path: Contour) -> str:
    points = [_point(point) for point in points_on(path, stray_mm=HPGL_CHORD_MM)]
    if isinstance(path, Circle) or path.closed:
        points.append(points[0])
    kept = [there for here, there in pairwise(points) if here != there]
    # What is smaller than a plotter unit is a dot.
    return f"{_move(points[0])}{_down(kept or points[:1])}"


def _arcs(path: Contour) -> str:
    if isinstance(path, Circle):
        # It begins where the tool path believes that it does.
        right = _point((path.x + path.radius, path.y))
        return f"{_move(right)}{_arc(Arc((path.x, path.y), path.radius, 0.0, 360.0), right)}"
    here = _point((path.vertices[0].x, path.vertices[0].y))
    words = [_move(here)]
    for start, end in path.edges():
        there = _point(end)
        if here != there:
            words.append(_arc(arc_of(start, end), there) if bends(start, end) else _down([there]))
        here = there
    return "".join(words if len(words) > 1 else (*words, _down([here])))


def _arc(arc: Arc, end: Units) -> str:
    """An arc with the pen down, from where it is. Its end is said too: so no rounding opens an outline."""
    x, y = _point(arc.centre)
    step_deg = math.degrees(chord_rad(arc.radius, stray_mm=HPGL_CHORD_MM))
    # Two decimals, downwards. The least that HP-GL has leaves an arc of 1 m radius by 0.01 mm.
    chord = max(_LEAST_CHORD_DEG, math.floor(100 * step_deg) / 100)
    return f"PD;AA{x},{y},{number(arc.sweep_deg)},{number(chord)};{_down([end])}"


def _move(point: Units) -> str:
    return f"PU{point[0]},{point[1]};"


def _down(points: list[Units]) -> str:
    return f"PD{','.join(f'{x},{y}' for x, y in points)};" if points else ""


def _point(point: Point) -> Units:
    return _units(point[0]), _units(point[1])


def _units(mm: float) -> int:
    # Rounded first, so that the last bit of a double never decides between two units.
    return math.floor(rounded(mm * UNITS_A_MM, 6) + 0.5)
