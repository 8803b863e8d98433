"""What a user may choose about the files: names and colours of layers, the plotter's pens, the paper."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from cutfiles.formats.model.tool import Tool
from cutfiles.formats.paper.sizes import PaperSpec


class HpglArcs(Enum):
    """How arcs stand in HP-GL."""

    CHORDS = "chords"
    ARCS = "arcs"


@dataclass(frozen=True, slots=True)
class PlotterSpec:
    """What the `[machine]` table says for HP-GL; a speed or force of None is the machine's own."""

    arcs: HpglArcs = HpglArcs.CHORDS
    draw_speed: int | None = None  # cm/s
    cut_speed: int | None = None
    draw_force: int | None = None  # in steps of the machine
    cut_force: int | None = None


@dataclass(frozen=True, slots=True)
class LayerSpec:
    """A layer of DXF files, and its colour in DXF and SVG."""

    name: str
    colour: str  # such as `#0072B2`


@dataclass(frozen=True, slots=True)
class LayersSpec:
    """The `[layers]` table. Colours of the Okabe-Ito palette (Wong 2011, doi 10.1038/nmeth.1618)."""

    draw: LayerSpec = LayerSpec("DRAW", "#0072B2")
    register: LayerSpec = LayerSpec("REGISTER", "#009E73")
    cut: LayerSpec = LayerSpec("CUT", "#CC79A7")
    place: LayerSpec = LayerSpec("PLACE", "#E69F00")


@dataclass(frozen=True, slots=True)
class OutputStyle:
    """The `[layers]` of a job, what its `[machine]` says of a plotter and its `[output]` of paper."""

    layers: LayersSpec
    plotter: PlotterSpec
    paper: PaperSpec

    def layer(self, tool: Tool) -> LayerSpec:
        """Return the layer on which a tool's strokes lie."""
        return {
            Tool.PLACE: self.layers.place,
            Tool.DRAW: self.layers.draw,
            Tool.REGISTER: self.layers.register,
            Tool.CUT: self.layers.cut,
        }[tool]


DEFAULT_STYLE = OutputStyle(LayersSpec(), PlotterSpec(), PaperSpec())
