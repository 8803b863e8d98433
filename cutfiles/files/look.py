"""What a user may choose about the machine files: names and colours of layers, and the plotter's pens."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.job.model import Job, LayerSpec, LayersSpec, PlotterSpec
from cutfiles.passes.plan import Tool


@dataclass(frozen=True, slots=True)
class Look:
    """The `[layers]` of a job, and what its `[machine]` says of a plotter."""

    layers: LayersSpec
    plotter: PlotterSpec

    def layer(self, tool: Tool) -> LayerSpec:
        """Return the layer on which a tool's strokes lie."""
        return {
            Tool.DRAW: self.layers.draw,
            Tool.REGISTER: self.layers.register,
            Tool.CUT: self.layers.cut,
        }[tool]


USUAL = Look(LayersSpec(), PlotterSpec())


def look_of(job: Job) -> Look:
    """Return what a job says of its machine files."""
    return Look(job.layers, job.plotter)
