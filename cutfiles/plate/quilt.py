"""Several blocks joined to a runner or a square: what it measures, its binding and its backing. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, Unit
from cutfiles.job.model.job import BACKING, BINDING, Job, OutlineSpec, QuiltSpec
from cutfiles.job.model.template import SewnOrCut
from cutfiles.plate.plate import Plate

# What joins, corners and the overlap take of a binding; common practice, no published source.
_JOINS_MM = {Unit.IN: 10 * MM_PER_INCH, Unit.CM: 250.0, Unit.MM: 250.0}


@dataclass(frozen=True, slots=True)
class Panels:
    """Rectangles that make the backing, joined along their long sides; `length_mm` lies along the grain."""

    count: int
    width_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class Quilt:
    """A whole top of blocks, bound and backed.

    Args:
        spec: as the job asks for it.
        width_mm: of the finished quilt.
        height_mm: of the finished quilt.
        binding_strips: how many strips across the cloth; 0 for no binding.
        backing: None for no backing.
    """

    spec: QuiltSpec
    width_mm: float
    height_mm: float
    binding_strips: int
    backing: Panels | None

    @property
    def backing_mm(self) -> tuple[float, float]:
        """Width and height of the backing once its panels are joined."""
        more = 2 * self.spec.backing_mm
        return (self.width_mm + more, self.height_mm + more)


def quilt_of(job: Job, plate: Plate) -> Quilt | None:
    """Return the quilt of a job, None where it makes none.

    Raises:
        JobError: its blocks have no background.

    Source: docs/geometry.md, runners and squares.
    """
    spec = job.quilt
    if spec is None:
        return None
    if plate.background is None:
        raise JobError(
            "quilt", "is made of blocks, and plates without a background are none; add [background]"
        )
    width = spec.columns * plate.background.finished_width_mm
    height = spec.rows * plate.background.finished_height_mm
    around = 2 * (width + height) + _JOINS_MM[job.unit]
    strips = math.ceil(around / spec.strip_mm - RULE_MM) if spec.binding_mm else 0
    return Quilt(spec, width, height, strips, _backing(spec, width, height, plate.blade.seam_mm))


def _backing(spec: QuiltSpec, width_mm: float, height_mm: float, seam_mm: float) -> Panels | None:
    """Panels along the grain, as many side by side as the cloth asks; the way with fewer, then less cloth."""
    if not spec.backing_mm:
        return None
    sides = (width_mm + 2 * spec.backing_mm, height_mm + 2 * spec.backing_mm)
    ways = []
    for across, along in (sides, sides[::-1]):
        count = 1
        # Each panel has a seam on every side where it meets another.
        while (across + 2 * seam_mm * (count - 1)) / count > spec.strip_mm + RULE_MM:
            count += 1
        ways.append(Panels(count, (across + 2 * seam_mm * (count - 1)) / count, along))
    return min(ways, key=lambda panels: (panels.count, round(panels.count * panels.length_mm, 6)))


def with_quilt(job: Job, quilt: Quilt | None) -> Job:
    """Return the job with binding and backing as shapes to cut, as far as its fabrics give them."""
    if quilt is None:
        return job
    asked = {shape for fabric in job.fabrics for shape, _ in fabric.cuts}
    shapes = []
    if BINDING in asked and quilt.binding_strips:
        shapes.append(
            _rectangle(BINDING, quilt.spec.strip_mm, quilt.spec.binding_mm, quilt.binding_strips * job.kits)
        )
    if BACKING in asked and quilt.backing:
        panels = quilt.backing
        shapes.append(_rectangle(BACKING, panels.width_mm, panels.length_mm, panels.count * job.kits))
    return replace(job, outlines=(*job.outlines, *shapes))


def _rectangle(name: str, width_mm: float, height_mm: float, count: int) -> OutlineSpec:
    corners = ((0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm), (0.0, height_mm))
    return OutlineSpec(name, corners, count, 0.0, SewnOrCut.CUT)
