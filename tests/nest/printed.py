"""Fabrics with a printed repeat, and the law of the motif measured anew with a ruler's arithmetic."""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import strategies as st

from cutfiles.job.model.job import FabricSpec, Face, Grain, Print, RepeatSpec, Share
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.layout import Layout, PlacedFabric
from cutfiles.nest.cutting_rules.cloth import cloth_of
from cutfiles.nest.cutting_rules.reach import Rect
from cutfiles.nest.fabric import blanks
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape
from tests.nest.jobs import IN, fabric_of

SAME_MM = 1e-6


def with_repeat(fabric: FabricSpec, width: float, length: float, motif: tuple[float, float]) -> FabricSpec:
    """Return the fabric with a printed repeat; sizes in inches."""
    return replace(fabric, repeat=RepeatSpec(width * IN, length * IN, (motif[0] * IN, motif[1] * IN)))


def off_motif(fabric: FabricSpec, x: float, y: float) -> float:
    """Return how far a place misses the motif, counted on the fabric piece as it lies; by a ruler's law."""
    repeat = fabric.repeat
    assert repeat is not None
    if fabric.face is Face.WRONG_SIDE_UP:
        x = fabric.width_mm - x  # measured on the right side, from its left edge
    across = math.remainder(x - repeat.motif[0], repeat.width_mm)
    return math.hypot(across, math.remainder(y - repeat.motif[1], repeat.length_mm))


def back_on_fabric(laid: PlacedFabric, x: float, y: float) -> tuple[float, float]:
    """Return a place of the mat, counted on the laid rectangle: a quarter turn back, from its corner."""
    x, y = x - laid.x_mm, y - laid.y_mm
    return (y, laid.length_mm - x) if laid.turn_deg else (x, y)


def strays(layout: Layout, fabric: FabricSpec) -> list[str]:
    """Return every piece whose origin is not on the motif."""
    off = []
    for load in layout.loads:
        for laid in load.fabrics:
            # Two rough cuts of one size on one load can't be told apart by the layout.
            corners = [
                (cut.x_mm, cut.y_mm)
                for cut in layout.rough_cuts
                if (cut.goes_to, cut.piece) == (load.name, laid.piece)
                and (cut.width_mm, cut.length_mm) == (laid.width_mm, laid.length_mm)
            ] or [(0.0, 0.0)]
            for placement in laid.placements:
                x, y = back_on_fabric(laid, placement.pose.x_mm, placement.pose.y_mm)
                miss = min(off_motif(fabric, x + left, y + low) for left, low in corners)
                if miss > SAME_MM:
                    off.append(f"{placement.piece_id} misses the motif by {miss:g} mm")
            if laid.repeat is None:
                off.append(f"{laid.fabric} doesn't say where its print repeats")
                continue
            x, y = back_on_fabric(laid, laid.repeat.x_mm, laid.repeat.y_mm)
            if min(off_motif(fabric, x + left, y + low) for left, low in corners) > SAME_MM:
                off.append(f"{laid.fabric} says that its print repeats elsewhere")
    return off


@st.composite
def repeats(draw: st.DrawFn) -> FabricSpec:
    """Fabrics with a repeat, of every print, grain and face; some larger than the mat."""
    size = draw(st.floats(3, 14)), draw(st.floats(3, 14))
    fabric = fabric_of(
        size=size,
        pieces=draw(st.integers(1, 2)),
        print_=draw(st.sampled_from(Print)),
        grain=draw(st.sampled_from(Grain)),
        margin=draw(st.sampled_from([0.0, 0.125])),
        face=draw(st.sampled_from(Face)),
        cuts={"blade": Share.FILL, "centre": Share.FILL},
    )
    width, length = draw(st.floats(0.4, 4)), draw(st.floats(0.4, 4))
    motif = draw(st.floats(0, 1)) * size[0], draw(st.floats(0, 1)) * size[1]
    fabric = with_repeat(fabric, width, length, motif)
    if draw(st.booleans()):
        x, y = (draw(st.floats(0, 0.7)) * side * IN for side in size)
        flaw = ((x, y), (x + 1.2 * IN, y), (x, y + 0.9 * IN))
        fabric = replace(fabric, avoid=(flaw,))
    return fabric


def container_of(fabric: FabricSpec, shape: Shape, gap: float) -> tuple[Solver, Container]:
    """Return a solver, and the whole fabric piece as its container."""
    solver = Solver((shape,), gap_mm=gap, clock=Clock())
    rect = Rect(0.0, 0.0, fabric.width_mm, fabric.length_mm)
    return solver, blanks.container_of(cloth_of(fabric), rect)
