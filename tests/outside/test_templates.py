"""Templates as two independent readers see them: of true size whatever the kerf, arcs that are arcs.

What the parts must measure is worked out here from the job's numbers alone: rays, circles and shapely.
"""

from __future__ import annotations

import io
import json
import math
from functools import cache
from pathlib import Path as FilePath

import ezdxf
import pytest
import shapely
from svgelements import SVG, Path, Shape, SimpleLine

from cutfiles.pipeline import Made, Options, make, size
from tests.conftest import briefly

JOB = FilePath(__file__).parents[2] / "fixtures/jobs/harbour-templates/job.toml"
IN = 25.4
KERF = 0.2
HIGH = 200.0
A = math.radians(9.0)
NARROW, WIDE, SEAM = 1.25 * IN, 6.0 * IN, 0.25 * IN
CENTRE = NARROW / math.cos(A) + 0.25 * IN
STEPS = 200  # chords of an arc: of the largest, a radius of 76 mm, within 0.003 mm


@cache
def made() -> Made:
    return make(size(JOB), Options(("svg", "dxf"), around_search=briefly))


@cache
def drawing(name: str) -> SVG:
    """A sheet in mm, y down."""
    return SVG.parse(io.BytesIO(made().files[f"{name}.svg"]), ppi=IN, reify=True)


def poses() -> dict[str, tuple[str, str, float, float, float]]:
    """Of each part: its sheet, its shape, and where it lies."""
    loads = json.loads(made().files["layout.json"])["templates"]["loads"]
    return {
        piece["id"]: (load["name"], piece["shape"], piece["x_mm"], piece["y_mm"], piece["turn_deg"])
        for load in loads
        for piece in load["fabrics"][0]["pieces"]
    }


def cut(piece: str, part: str = "") -> shapely.Polygon:
    """What the file says is to be cut, brought back into the part's own frame."""
    sheet, _, x, y, turn = poses()[piece]
    line = next(one for one in drawing(sheet).elements() if isinstance(one, Shape) and one.id == piece + part)
    points = []
    for edge in Path(line):
        if type(edge).__name__ == "Move":
            continue
        steps = STEPS if type(edge).__name__ == "Arc" else 1
        points += [edge.point(step / steps) for step in range(steps)]
    laid = shapely.Polygon([(point.x - x, HIGH - point.y - y) for point in points])
    return shapely.affinity.rotate(laid, -turn, origin=(0, 0))


def wedge(inset: float) -> shapely.Polygon:
    """The blade, smaller all round by so much: between rays, a little apart, and two levels."""
    aside = (SEAM - inset) / math.cos(A)
    low, high = NARROW + inset, WIDE - inset
    return shapely.Polygon(
        [
            (-low * math.tan(A) - aside, low), (low * math.tan(A) + aside, low),
            (high * math.tan(A) + aside, high), (-high * math.tan(A) - aside, high),
        ]
    )  # fmt: skip


def eased(shape: shapely.Polygon) -> shapely.Polygon:
    return shape.buffer(-1.0, join_style="mitre").buffer(1.0, quad_segs=200)


def circle(radius: float) -> shapely.Polygon:
    return shapely.Point(0, 0).buffer(radius, quad_segs=400)


def part(shape: str) -> str:
    return next(piece for piece, pose in poses().items() if pose[1] == shape)


@pytest.mark.parametrize(
    ("shape", "hole", "true"),
    [
        ("blade", "", eased(wedge(0.0))),
        ("blade-window", "", eased(wedge(0.0))),
        ("blade-window", "-inner-1", eased(wedge(SEAM))),
        ("centre", "", circle(CENTRE)),
        ("centre", "-inner-1", circle(2.5)),
        ("centre-cut", "", circle(CENTRE + 0.25 * IN)),
        ("centre-ring", "", circle(CENTRE + 0.25 * IN)),
        ("centre-ring", "-inner-1", circle(CENTRE)),
    ],
)
def test_what_the_laser_leaves_is_of_true_size(shape: str, hole: str, true: shapely.Polygon) -> None:
    """Eroded by half the kerf an outline is the true one, a hole widened by it, too; to 0.005 mm."""
    line = cut(part(shape), hole)
    left = line.buffer(KERF / 2 if hole else -KERF / 2, quad_segs=200)
    assert left.exterior.hausdorff_distance(true.exterior) < 0.005
    # The line itself is not: a file without the kerf worked in would be seen.
    assert line.exterior.hausdorff_distance(true.exterior) > KERF / 2 - 0.005


def test_the_ruler_is_true() -> None:
    """Each line of the scale ends on the cut edge, so many half inches above the narrow end.

    How far out the edge is there follows from the blade's two ends, by proportion.
    """
    sheet, _, x, y, turn = poses()[part("blade")]
    narrow, wide = ((radius * math.tan(A) + SEAM / math.cos(A)) for radius in (NARROW, WIDE))
    angle = math.radians(-turn)
    found: dict[float, list[float]] = {}
    for one in drawing(sheet).elements():
        if not isinstance(one, SimpleLine):
            continue
        ends = []
        for end in ((one.x1, one.y1), (one.x2, one.y2)):
            across, up = end[0] - x, HIGH - end[1] - y
            ends.append(
                (
                    across * math.cos(angle) - up * math.sin(angle),
                    across * math.sin(angle) + up * math.cos(angle),
                )
            )
        (left, low), (right, high) = sorted(ends)
        level = (low - NARROW) / (0.5 * IN)
        if abs(low - high) < 0.002 and right - left > 8 and 0 < level < 9.1 and right > 10:
            edge = narrow + (wide - narrow) * (low - NARROW) / (WIDE - NARROW)
            if abs(right - edge) < 1:
                found.setdefault(round(level), []).extend(
                    [abs(level - round(level)) * 0.5 * IN, abs(right - edge)]
                )
    assert sorted(found) == list(range(1, 10))
    assert max(off for offs in found.values() for off in offs) < 0.002


def test_arcs_stay_arcs() -> None:
    """In DXF a blade is four edges and four eased corners of 1 mm and half a kerf; circles are circles."""
    document = ezdxf.read(io.StringIO(made().files[f"{poses()[part('blade')][0]}.dxf"].decode()))
    outlines = document.modelspace().query('LWPOLYLINE[layer=="CUT"]')
    blades = [one for one in outlines if len(one) == 8]
    assert blades
    for one in blades:
        points = list(one.get_points("xyb"))
        radii = []
        for start, end in zip(points, [*points[1:], points[0]], strict=True):
            if start[2]:
                chord = math.dist(start[:2], end[:2])
                radii.append(chord * (1 + start[2] ** 2) / (4 * abs(start[2])))
        assert radii == pytest.approx([1.0 + KERF / 2] * 4, abs=0.002)
    wanted = {CENTRE: 2, CENTRE + 0.25 * IN: 2}  # true radii, and how many outlines or openings have them
    radii = [
        one.dxf.radius
        for name in ("template-01", "template-02")
        for one in ezdxf.read(io.StringIO(made().files[f"{name}.dxf"].decode())).modelspace().query("CIRCLE")
        if one.dxf.layer == "CUT"
    ]
    for radius, count in wanted.items():
        assert sum(abs(abs(one - radius) - KERF / 2) < 0.001 for one in radii) == count


def test_engraved_from_behind_it_reads_right_from_above() -> None:
    """The leaf in the file is the mirror image of the job's, grown by its seam (kerf and easing apart)."""
    points = [(0, 0), (1.5, 1), (2, 3), (0.5, 2.25)]
    leaf = shapely.Polygon([(x * IN, y * IN) for x, y in points]).buffer(SEAM, join_style="mitre")
    mirrored = shapely.affinity.scale(leaf, -1, 1, origin=(0, 0))
    found = cut(part("leaf"))
    assert found.symmetric_difference(mirrored).area < 0.02 * mirrored.area
    assert found.symmetric_difference(leaf).area > 0.3 * leaf.area
