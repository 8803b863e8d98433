"""A layout measured anew, with none of the nest's own code: every law it breaks, in words.

Curves become points on the curve, so close that a chord strays less than half a millionth of a mm.
"""

from __future__ import annotations

import math
from collections import Counter
from itertools import combinations

import numpy as np
import shapely

from cutfiles.geometry.outline import Circle, Contour
from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import FabricSpec, Face, Grain, Print, Register
from cutfiles.nest.base.layout import Layout, PlacedFabric
from cutfiles.nest.nest import Bed
from cutfiles.pieces.shape import CutList

STRAY_MM = 5e-7
SAME_MM = 2e-6
ZONE_MM = 8.0  # the square that a register mark keeps for itself

# Turns of the centre line as the right side shows them, lengthwise grain and print pointing up.
HALF, CROSS, QUARTER = {0.0, 180.0}, {90.0, 270.0}, {0.0, 90.0, 180.0, 270.0}
TURNS: dict[tuple[Print, Grain], set[float] | None] = {
    (Print.PLAIN, Grain.LENGTHWISE): HALF,
    (Print.PLAIN, Grain.CROSSWISE): CROSS,
    (Print.PLAIN, Grain.STRAIGHT): QUARTER,
    (Print.PLAIN, Grain.ANY): None,
    (Print.TWO_WAY, Grain.LENGTHWISE): HALF,
    (Print.TWO_WAY, Grain.CROSSWISE): CROSS,
    (Print.TWO_WAY, Grain.STRAIGHT): HALF,
    (Print.TWO_WAY, Grain.ANY): HALF,
    (Print.ONE_WAY, Grain.LENGTHWISE): {0.0},
    (Print.ONE_WAY, Grain.CROSSWISE): {90.0},
    (Print.ONE_WAY, Grain.STRAIGHT): {0.0},
    (Print.ONE_WAY, Grain.ANY): {0.0},
    (Print.FOUR_WAY, Grain.LENGTHWISE): HALF,
    (Print.FOUR_WAY, Grain.CROSSWISE): CROSS,
    (Print.FOUR_WAY, Grain.STRAIGHT): QUARTER,
    (Print.FOUR_WAY, Grain.ANY): QUARTER,
}


def points_of(contour: Contour) -> np.ndarray:
    """Return points on the outline, chords between which stray less than STRAY_MM."""
    if isinstance(contour, Circle):
        angles = np.linspace(0, 2 * math.pi, _steps(contour.radius, 2 * math.pi), endpoint=False)
        return np.stack(
            (contour.x + contour.radius * np.cos(angles), contour.y + contour.radius * np.sin(angles)), axis=1
        )
    parts = []
    for start, end in contour.edges():
        parts.append(np.array([[start.x, start.y]]))
        if start.bulge:
            parts.append(_arc(complex(start.x, start.y), complex(*end), start.bulge))
    return np.concatenate(parts)


def _arc(start: complex, end: complex, bulge: float) -> np.ndarray:
    """Points of an arc by the inscribed angle alone: no centre, no radius taken from elsewhere."""
    sweep = 4 * math.atan(bulge)
    radius = abs(end - start) / 2 / abs(math.sin(sweep / 2))
    steps = _steps(radius, abs(sweep))
    shares = np.arange(1, steps) / steps
    # From the start, the chord to share t is 2·r·sin(t·sweep/2), turned from the tangent by t·sweep/2.
    tangent = (end - start) / abs(end - start) * np.exp(-0.5j * sweep)
    points = start + 2 * radius * np.abs(np.sin(shares * sweep / 2)) * tangent * np.exp(0.5j * shares * sweep)
    return np.stack((points.real, points.imag), axis=1)


def _steps(radius: float, sweep: float) -> int:
    return max(8, math.ceil(sweep / math.sqrt(8 * STRAY_MM / radius)))


def laid_at(points: np.ndarray, pose: Pose) -> np.ndarray:
    """Return points mirrored, turned and moved by a rotation matrix."""
    flip = np.array([-1.0 if pose.mirrored else 1.0, 1.0])
    angle = math.radians(pose.turn_deg)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    return (points * flip) @ turn.T + np.array([pose.x_mm, pose.y_mm])


def may_turn(fabric: FabricSpec, fabric_turn: float, turn: float) -> bool:
    """Return whether a piece may lie turned so on the mat, by the table above."""
    allowed = TURNS[(fabric.print_, fabric.grain)]
    seen = turn - fabric_turn
    if fabric.face is Face.WRONG_SIDE_UP:
        seen = -seen
    return allowed is None or any(
        math.isclose((seen - angle + 1) % 360, 1, abs_tol=1e-9) for angle in allowed
    )


def faults(layout: Layout, cut_list: CutList, bed: Bed) -> list[str]:
    """Return every law that the layout breaks."""
    fabrics = {demand.fabric.name: demand.fabric for demand in cut_list.demands}
    outlines = {shape.name: points_of(shape.cut) for shape in cut_list.shapes}
    broken = _ids(layout) + _pieces_of_fabric(layout, fabrics) + _given(layout)
    for load in layout.loads:
        rings: list[tuple[str, np.ndarray]] = []
        for laid in load.fabrics:
            fabric = fabrics[laid.fabric]
            broken += _on_mat(load.name, laid, bed)
            inside = _room(laid)
            for placement in laid.placements:
                points = laid_at(outlines[placement.shape], placement.pose)
                rings.append((placement.piece_id, points))
                low, high = points.min(axis=0), points.max(axis=0)
                if (low < inside[0] - SAME_MM).any() or (high > inside[1] + SAME_MM).any():
                    broken.append(f"{placement.piece_id} leaves its fabric")
                if not may_turn(fabric, laid.turn_deg, placement.pose.turn_deg):
                    broken.append(f"{placement.piece_id} may not lie at {placement.pose.turn_deg}")
                symmetric = layout.shape(placement.shape).symmetric
                if placement.pose.mirrored != (fabric.face is Face.WRONG_SIDE_UP and not symmetric):
                    broken.append(f"{placement.piece_id} is mirrored wrongly")
        broken += _nearness(rings, bed.machine.gap_mm) + _overlaps(load.fabrics)
    return broken


def _room(laid: PlacedFabric) -> tuple[np.ndarray, np.ndarray]:
    low = np.array([laid.x_mm, laid.y_mm])
    sides = [laid.width_mm, laid.length_mm]
    size = np.array(sides if laid.turn_deg == 0 else sides[::-1])
    return low + laid.margin_mm, low + size - laid.margin_mm


def _rectangle(laid: PlacedFabric) -> shapely.Polygon:
    sides = [laid.width_mm, laid.length_mm]
    across, up = sides if laid.turn_deg == 0 else sides[::-1]
    return shapely.box(laid.x_mm, laid.y_mm, laid.x_mm + across, laid.y_mm + up)


def _on_mat(load: str, laid: PlacedFabric, bed: Bed) -> list[str]:
    mat, rectangle = bed.mat, _rectangle(laid)
    reach = shapely.box(
        mat.margin_mm, mat.margin_mm, mat.width_mm - mat.margin_mm, mat.height_mm - mat.margin_mm
    )
    broken = []
    if not reach.buffer(SAME_MM, join_style="mitre").covers(rectangle):
        broken.append(f"{laid.fabric} leaves the mat of {load}")
    if bed.machine.register is not Register.NONE:
        left, low, right, high = reach.bounds
        for x, y in ((left, low), (right - ZONE_MM, low), (left, high - ZONE_MM)):
            if rectangle.intersection(shapely.box(x, y, x + ZONE_MM, y + ZONE_MM)).area > SAME_MM:
                broken.append(f"{laid.fabric} lies on a register mark of {load}")
    return broken


def _nearness(rings: list[tuple[str, np.ndarray]], gap_mm: float) -> list[str]:
    polygons = [shapely.Polygon(points) for _, points in rings]
    boxes = [shapely.box(*polygon.bounds) for polygon in polygons]
    broken = []
    for i, j in combinations(range(len(rings)), 2):
        if boxes[i].distance(boxes[j]) > gap_mm + SAME_MM:
            continue
        pair = f"{rings[i][0]} and {rings[j][0]}"
        if polygons[i].distance(polygons[j]) < gap_mm - SAME_MM:
            broken.append(f"{pair} are nearer than the gap")
        # Touching outlines share no more than a sliver; with a gap the distance has told already.
        if gap_mm < SAME_MM and polygons[i].intersection(polygons[j]).area > 1e-3:
            broken.append(f"{pair} overlap")
    return broken


def _overlaps(laid: tuple[PlacedFabric, ...]) -> list[str]:
    return [
        f"{first.fabric} and {second.fabric} overlap"
        for first, second in combinations(laid, 2)
        if _rectangle(first).intersection(_rectangle(second)).area > SAME_MM
    ]


def _ids(layout: Layout) -> list[str]:
    ids = [
        placement.piece_id for load in layout.loads for laid in load.fabrics for placement in laid.placements
    ]
    return [f"{name} is there {count} times" for name, count in Counter(ids).items() if count > 1]


def _given(layout: Layout) -> list[str]:
    """The tallies say what is on the mats, plus what is cut by hand."""
    laid = Counter(
        (laid.fabric, placement.shape)
        for load in layout.loads
        for laid in load.fabrics
        for placement in laid.placements
    )
    laid.update({(cut.fabric, cut.shape): cut.count for cut in layout.hand_cuts})
    told = Counter({(tally.fabric, shape): n for tally in layout.tallies for shape, n in tally.counts})
    return [] if laid == told else [f"the tallies say {told}, on the mats are {laid}"]


def _pieces_of_fabric(layout: Layout, fabrics: dict[str, FabricSpec]) -> list[str]:
    """No piece of fabric is used twice, and what is rough-cut from one lies apart and inside it."""
    broken = []
    whole: Counter[tuple[str, int]] = Counter()
    cut_up = {(cut.fabric, cut.piece) for cut in layout.rough_cuts}
    for load in layout.loads:
        for laid in load.fabrics:
            if not 1 <= laid.piece <= fabrics[laid.fabric].pieces:
                broken.append(f"{laid.fabric} has no piece {laid.piece}")
            if (laid.fabric, laid.piece) not in cut_up:
                whole[(laid.fabric, laid.piece)] += 1
                size = (fabrics[laid.fabric].width_mm, fabrics[laid.fabric].length_mm)
                if (laid.width_mm, laid.length_mm) != size:
                    broken.append(f"{laid.fabric} {laid.piece} is not its own size")
    broken += [f"{name} is laid {count} times" for name, count in whole.items() if count > 1]
    for name, piece in cut_up:
        fabric = fabrics[name]
        rects = [
            shapely.box(cut.x_mm, cut.y_mm, cut.x_mm + cut.width_mm, cut.y_mm + cut.length_mm)
            for cut in layout.rough_cuts
            if (cut.fabric, cut.piece) == (name, piece)
        ]
        edge = shapely.box(0, 0, fabric.width_mm, fabric.length_mm).buffer(SAME_MM, join_style="mitre")
        broken += [f"a rough cut leaves {name} {piece}" for rect in rects if not edge.covers(rect)]
        broken += [
            f"rough cuts of {name} {piece} overlap"
            for first, second in combinations(rects, 2)
            if first.intersection(second).area > SAME_MM
        ]
    return broken
