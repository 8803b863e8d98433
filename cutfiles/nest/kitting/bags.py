"""Which piece goes into which kit's bag.

In: a layout whose blades know their plates. Out: the same with a bag for every piece that one kit needs, and
labels that say it. Rectangles of fabric that are of one size may change places, so that the pieces of one
bag come off as few mat loads as the cloth allows; nothing moves on its fabric.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutfiles.geometry.outline import Point
from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import needs
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric, Placement, RoughCut

_Slot = tuple[int, int]  # a load, and which of its rectangles


def with_bags(layout: Layout, job: Job) -> Layout:
    """Return a layout whose pieces know their bag; as it is where the job makes no kits.

    Blades go with their plate, plate after plate into bag after bag. All else goes in the order in which it
    is cut, which is that in which blades were given their plates. What is to spare goes into no bag; what
    is cut by hand is counted out.
    """
    if job.kits == 1:
        return layout
    as_found = _bagged(layout, job)
    return min(as_found, _bagged(_gathered(as_found, layout), job), key=_loads_opened)


def _loads_opened(layout: Layout) -> int:
    """From how many loads each bag is filled, summed over all bags."""
    opened = {
        (placement.bag, load.name)
        for load in layout.loads
        for laid in load.fabrics
        for placement in laid.placements
        if placement.bag
    }
    return len(opened)


def _bagged(layout: Layout, job: Job) -> Layout:
    """Every piece with its bag, nothing moved."""
    per_bag = {shape: count // job.kits for shape, count in needs(job)}
    plates = job.plate.count // job.kits
    blades = {shape.name for shape in job.plate.shapes}
    cut: Counter[str] = Counter()

    def bagged(placement: Placement) -> Placement:
        if placement.shape in blades:
            bag = (placement.plate + plates - 1) // plates  # 0 of a blade to spare
        else:
            bag = cut[placement.shape] // per_bag[placement.shape] + 1
            cut[placement.shape] += 1
        if not 1 <= bag <= job.kits:
            return placement
        return replace(placement, bag=bag, label=f"bag {bag} {placement.label}")

    loads = [
        replace(
            load,
            fabrics=tuple(
                replace(laid, placements=tuple(bagged(placement) for placement in laid.placements))
                for laid in load.fabrics
            ),
        )
        for load in layout.loads
    ]
    return replace(layout, loads=tuple(loads))


def _gathered(bagged: Layout, layout: Layout) -> Layout:
    """A layout whose rectangles of one size have changed places, those for the first bags first.

    Blades stay with the plates that they were given.
    """
    slots: dict[tuple[float, float, float], list[_Slot]] = defaultdict(list)
    for number, load in enumerate(bagged.loads):
        for index, laid in enumerate(load.fabrics):
            slots[round(laid.width_mm, 6), round(laid.length_mm, 6), laid.turn_deg].append((number, index))
    loads = [list(load.fabrics) for load in layout.loads]
    for alike in slots.values():
        order = sorted(alike, key=lambda slot: _bag_of(bagged.loads[slot[0]].fabrics[slot[1]]))
        for to, come in zip(alike, order, strict=True):
            place = layout.loads[to[0]].fabrics[to[1]]
            loads[to[0]][to[1]] = _moved(layout.loads[come[0]].fabrics[come[1]], (place.x_mm, place.y_mm))
    gathered = tuple(
        replace(load, fabrics=tuple(fabrics)) for load, fabrics in zip(layout.loads, loads, strict=True)
    )
    return replace(layout, loads=gathered, rough_cuts=_with_new_loads(layout.rough_cuts, gathered))


def _bag_of(laid: PlacedFabric) -> float:
    """The mean bag of a rectangle's pieces; what is all to spare comes last."""
    bags = [placement.bag for placement in laid.placements if placement.bag]
    return sum(bags) / len(bags) if bags else float("inf")


def _moved(laid: PlacedFabric, to: Point) -> PlacedFabric:
    """A rectangle of fabric with all that is on it, its lower left corner at another place."""
    along_x, along_y = to[0] - laid.x_mm, to[1] - laid.y_mm

    def moved(points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((x + along_x, y + along_y) for x, y in points)

    def carried(placement: Placement) -> Placement:
        pose = placement.pose
        there = replace(pose, x_mm=pose.x_mm + along_x, y_mm=pose.y_mm + along_y)
        return replace(placement, pose=there)

    repeat = laid.repeat and replace(
        laid.repeat, x_mm=laid.repeat.x_mm + along_x, y_mm=laid.repeat.y_mm + along_y
    )
    return replace(
        laid,
        x_mm=to[0],
        y_mm=to[1],
        placements=tuple(carried(placement) for placement in laid.placements),
        outline=moved(laid.outline),
        avoid=tuple(moved(points) for points in laid.avoid),
        repeat=repeat,
    )


def _with_new_loads(rough_cuts: Sequence[RoughCut], loads: Sequence[Load]) -> tuple[RoughCut, ...]:
    """Rough cuts with the loads that they go to now."""
    goes_to: Mapping[tuple[str, int, Point], str] = {
        (laid.fabric, laid.piece, laid.from_mm): load.name for load in loads for laid in load.fabrics
    }
    return tuple(
        replace(cut, goes_to=goes_to.get((cut.fabric, cut.piece, (cut.x_mm, cut.y_mm)), cut.goes_to))
        for cut in rough_cuts
    )
