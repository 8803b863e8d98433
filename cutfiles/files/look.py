"""What a user may choose about the files: names and colours of layers, the plotter's pens, the paper."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.job.model import Job, LayerSpec, LayersSpec, PaperSpec, PlotterSpec
from cutfiles.passes.plan import Tool


@dataclass(frozen=True, slots=True)
class Look:
    """The `[layers]` of a job, what its `[machine]` says of a plotter and its `[output]` of paper."""

    layers: LayersSpec
    plotter: PlotterSpec
    paper: PaperSpec

    def layer(self, tool: Tool) -> LayerSpec:
        """Return the layer on which a tool's strokes lie."""
        return {
            Tool.DRAW: self.layers.draw,
            Tool.REGISTER: self.layers.register,
            Tool.CUT: self.layers.cut,
        }[tool]


USUAL = Look(LayersSpec(), PlotterSpec(), PaperSpec())


def look_of(job: Job) -> Look:
    """Return what a job says of its files."""
    return Look(job.layers, job.plotter, job.paper)
