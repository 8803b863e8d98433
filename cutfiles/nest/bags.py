"""Which piece goes into which kit's bag.

In: a layout whose blades know their plates. Out: the same with a bag for every piece that one kit needs, and
labels that say it. Nothing moves on the fabric.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from cutfiles.job.model.blade_shapes import BLADE, SECOND_BLADE
from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import needs
from cutfiles.nest.base.layout import Layout, Placement


def with_bags(layout: Layout, job: Job) -> Layout:
    """Return a layout whose pieces know their bag; as it is where the job makes no kits.

    Blades go with their plate, plate after plate into bag after bag. All else goes in the order in which it
    is cut, which is that in which blades were given their plates: pieces of one bag come from the same loads
    as far as the cloth allows. What is to spare goes into no bag; what is cut by hand is counted out.
    """
    if job.kits == 1:
        return layout
    per_bag = {shape: count // job.kits for shape, count in needs(job)}
    plates = job.plate.count // job.kits
    cut: Counter[str] = Counter()
    loads = tuple(
        replace(
            load,
            fabrics=tuple(
                replace(
                    laid,
                    placements=tuple(
                        _bagged(placement, cut, per_bag, plates, job.kits) for placement in laid.placements
                    ),
                )
                for laid in load.fabrics
            ),
        )
        for load in layout.loads
    )
    return replace(layout, loads=loads)


def _bagged(
    placement: Placement, cut: Counter[str], per_bag: Mapping[str, int], plates: int, kits: int
) -> Placement:
    if placement.shape in (BLADE, SECOND_BLADE):
        bag = (placement.plate + plates - 1) // plates  # 0 of a blade to spare
    else:
        bag = cut[placement.shape] // per_bag[placement.shape] + 1
        cut[placement.shape] += 1
    if not 1 <= bag <= kits:
        return placement
    return replace(placement, bag=bag, label=f"bag {bag} {placement.label}")
