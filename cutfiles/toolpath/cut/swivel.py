"""The way of a trailing knife's axis, so that its tip runs along the wanted line.

The tip hangs behind the axis like a castor. While it cuts along a line or an arc it points along the tangent,
so the axis is that far ahead on the tangent: of an arc that is an arc about the same centre. At a corner the
axis runs past it and swings about it: the tip turns on the spot. This is exact; where the tip is and
where it points follow from the equation of a castor (a tractrix where the axis runs straight), and
`tests/toolpath/castor.py` walks it in small steps.
"""

from __future__ import annotations

from cutfiles.core.tolerance import SWIVEL_STRAY_MM
from cutfiles.geometry.outline import Contour, Path, Point, Vertex, as_path, bulge_of, heading, turn_rad

# A knife that points anywhere has come round after eight times its swivel: the tip is off by
# exp(-8) of where it was, as a tractrix comes nearer by a factor e with each swivel's length.
SETTLED = 8.0
AT_FIRST: Point = (1.0, 0.0)  # where the knife is taken to point before the first cut: to the right


def axis_path(tip: Contour, *, swivel_mm: float, before: Point) -> tuple[Path, Point]:
    """Return the open path of the axis, and where the knife points when it is lifted.

    Args:
        tip: what is to be cut; closed or open.
        swivel_mm: from the axis back to the tip, above 0.
        before: where the knife points when it comes down, a unit vector.
    """
    edges = list(as_path(tip).edges())
    vertices: list[Vertex] = []
    pointing = before
    for start, end in edges:
        first = heading(start, end, at_end=False)
        turn = turn_rad(pointing, first)
        if not vertices and abs(turn) * swivel_mm <= SWIVEL_STRAY_MM:
            pointing = first
        if abs(turn) * swivel_mm > SWIVEL_STRAY_MM:
            # Over the corner, then round it: the tip stays where it is.
            vertices.append(_ahead(start[:2], pointing, swivel_mm, bulge_of(turn)))
            pointing = first
        vertices.append(_ahead(start[:2], pointing, swivel_mm, start.bulge))
        pointing = heading(start, end, at_end=True)
    vertices.append(_ahead(edges[-1][1], pointing, swivel_mm, 0.0))
    return Path(tuple(vertices), closed=False), pointing


def _ahead(at: Point, pointing: Point, swivel_mm: float, bulge: float) -> Vertex:
    return Vertex(at[0] + swivel_mm * pointing[0], at[1] + swivel_mm * pointing[1], bulge)
