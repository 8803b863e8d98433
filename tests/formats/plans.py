"""Plans with every kind of stroke, for the tests of the writers."""

from __future__ import annotations

import math

from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Circle, Path, Vertex, line, ring

WIDTH, HEIGHT = 304.8, 200.5
HALF_TURN = math.tan(math.pi / 4)
MORE = math.tan(math.radians(198) / 4)  # an arc that sweeps 198°, as a round tip's does


def rounded_blade(x: float, y: float, *, sign: float = 1.0) -> Path:
    """Return a closed path with one large arc; `sign` −1 turns the arc inwards."""
    bulge = MORE if sign > 0 else -0.2
    return Path(
        (Vertex(x, y), Vertex(x + 20, y), Vertex(x + 30, y + 50, bulge), Vertex(x - 10, y + 50)), closed=True
    )


def plan() -> LoadPlan:
    """Return a load with each kind of stroke at places that tell up from down."""
    strokes = (
        Stroke(Tool.DRAW, line((10, 20), (30, 25.123456)), "tide-blade-001"),
        Stroke(Tool.DRAW, line((10, 20), (30, 25), (40, 90)), "tide-blade-001"),
        Stroke(Tool.DRAW, Path((Vertex(50, 60, HALF_TURN), Vertex(30, 60)), closed=False), "tide-blade-001"),
        Stroke(Tool.DRAW, Path((Vertex(50, 90, -0.3), Vertex(30, 95)), closed=False), "tide-blade-001"),
        Stroke(Tool.DRAW, Circle(100, 50, 12.5), "tide-centre-001"),
        Stroke(Tool.REGISTER, line((7, 10), (13, 10)), ""),
        Stroke(Tool.REGISTER, Circle(10, 190, 3), ""),
        Stroke(Tool.CUT, ring((5, 15), (45, 15), (35, 100), (15, 100)), "tide-blade-001"),
        Stroke(Tool.CUT, Circle(100, 50, 20), "tide-centre-001"),
        Stroke(Tool.CUT, rounded_blade(150, 20), "tide-blade-002"),
        Stroke(Tool.CUT, rounded_blade(220, 20, sign=-1), "tide-leaf-001"),
    )
    outlines = tuple((stroke.piece_id, stroke.path) for stroke in strokes if stroke.tool is Tool.CUT)
    return LoadPlan("load-01", WIDTH, HEIGHT, strokes, outlines=outlines)
