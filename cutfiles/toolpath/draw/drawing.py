"""What the pen draws on the pieces of a load, piece by piece."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from cutfiles.core.letters import nearest_letters
from cutfiles.formats.model.plan import Stroke
from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.geometry.outline import Contour, Path
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import MachineSpec
from cutfiles.nest.base.layout import Layout, PlacedFabric, Placement
from cutfiles.pieces.lettering.label import LabelArea, Written, write_on
from cutfiles.pieces.shape import Shape
from cutfiles.toolpath.order.travel import (
    DirectedRun,
    Ends,
    end_of,
    ends_of,
    in_short_order,
    run_backwards,
    start_of,
    travel_of,
    way_through,
)
from cutfiles.toolpath.order.within import shortened


@dataclass(frozen=True, slots=True)
class ToolPath:
    """The strokes of one tool on one load, in order, and its way while it is up."""

    strokes: tuple[Stroke, ...]
    travel_mm: float
    travel_as_laid_mm: float  # in the order of the layout


@dataclass(frozen=True, slots=True)
class _PieceDrawing:
    """A piece's drawing before its order is decided: lines that lie where they are drawn, then lettering."""

    piece_id: str
    lines: tuple[tuple[Drawn, Contour], ...]
    label: tuple[tuple[Path, Pose], ...]
    ends: tuple[Ends, ...]  # of the lines, then of the label's strokes

    def stroke(self, step: DirectedRun) -> Stroke:
        """Return one of the strokes, run as the step says."""
        if step.run < len(self.lines):
            kind, path = self.lines[step.run]
        else:
            kind, path = Drawn.LABEL, placed(*self.label[step.run - len(self.lines)])
        return Stroke(Tool.DRAW, run_backwards(path) if step.backwards else path, self.piece_id, kind)

    def ends_run(self, step: DirectedRun) -> Ends:
        """Return where the tool comes down and goes up, run as the step says."""
        begin, end = self.ends[step.run]
        return (end, begin) if step.backwards else (begin, end)


@dataclass(slots=True)
class Pen:
    """Draws the pieces; remembers where labels go, as pieces of one shape are written alike."""

    layout: Layout
    machine: MachineSpec
    areas: dict[tuple[str, bool], LabelArea] = field(default_factory=dict)
    shortened: Counter[str] = field(default_factory=Counter)
    dropped: Counter[str] = field(default_factory=Counter)
    unmarked: Counter[str] = field(default_factory=Counter)

    def drawn(self) -> list[ToolPath]:
        """Return the drawing of each load: piece by piece, each finished before the next begins."""
        loads = [
            [
                piece
                for laid in load.fabrics
                for placement in laid.placements
                if (piece := self._piece(laid, placement)).ends
            ]
            for load in self.layout.loads
        ]
        orders = iter(shortened([piece.ends for load in loads for piece in load]))
        return [_in_short_order(load, [next(orders) for _ in load]) for load in loads]

    def _piece(self, laid: PlacedFabric, placement: Placement) -> _PieceDrawing:
        shape = self.layout.shape(placement.shape)
        lines: list[tuple[Drawn, Contour]] = [
            (mark.kind, placed(mark.path, placement.pose)) for mark in shape.marks
        ]
        own = self._own_lines(shape, laid, placement)
        # Lettering is never mirrored: it is laid out on the piece as it is cut, then only turned and moved.
        upright = Pose(placement.pose.x_mm, placement.pose.y_mm, placement.pose.turn_deg)
        lines += [(Drawn.GRAIN, placed(path, upright)) for path in own.arrow]
        label: list[tuple[Path, Pose]] = []
        ends = [ends_of(path) for _, path in lines]
        for glyph in own.glyphs:
            pose = upright.after(glyph.pose)
            label += [(path, pose) for path in glyph.paths]
            ends += [(pose.point(start_of(path)), pose.point(end_of(path))) for path in glyph.paths]
        return _PieceDrawing(placement.piece_id, tuple(lines), tuple(label), tuple(ends))

    def _own_lines(self, shape: Shape, laid: PlacedFabric, placement: Placement) -> Written:
        draw = self.machine.draw
        grain = None
        if Drawn.GRAIN in draw:
            # The lengthwise grain runs up the fabric, which may itself lie turned on the mat.
            grain = (90.0 + laid.turn_deg - placement.pose.turn_deg) % 180.0
        texts: tuple[str, ...] = ()
        if Drawn.LABEL in draw:
            short, name = placement.short_label, nearest_letters(laid.fabric)[:3]
            shorter = f"{short} {name}" if placement.plate else f"{name} {short}"
            shorter = shorter.strip()
            if placement.bag:
                shorter = f"bag {placement.bag} {shorter}"
                short = f"{placement.bag}/{short}"
            texts = (placement.label, shorter, short)
        mirrored = placement.pose.mirrored
        key = (shape.name, mirrored)
        if key not in self.areas:
            flip = Pose(mirrored=mirrored)
            marks = tuple(placed(mark.path, flip) for mark in shape.marks)
            self.areas[key] = LabelArea(placed(shape.cut, flip), marks)
        lettering = write_on(self.areas[key], texts=tuple(dict.fromkeys(texts)), grain_deg=grain)
        if texts and not lettering.text:
            self.dropped[shape.name] += 1
        elif texts and lettering.text != texts[0]:
            self.shortened[shape.name] += 1
        if grain is not None and not lettering.arrow:
            self.unmarked[shape.name] += 1
        return lettering

    def _respelled(self) -> list[tuple[str, str]]:
        """Fabrics whose names the pen can't write, and what it writes instead."""
        if Drawn.LABEL not in self.machine.draw:
            return []
        names = dict.fromkeys(laid.fabric for load in self.layout.loads for laid in load.fabrics)
        return [(name, near) for name in names if (near := nearest_letters(name)) != name]

    def _noted(self) -> list[Shape]:
        """Shapes of whose lines there is something to say; what is cut by hand is drawn by hand."""
        fabrics = [fabric for load in self.layout.loads for fabric in load.fabrics]
        placed = {placement.shape for fabric in fabrics for placement in fabric.placements}
        return [shape for shape in self.layout.shapes if shape.note and shape.name in placed]

    def notes(self) -> tuple[str, ...]:
        """Return what could not be written as wished."""
        return (
            *(
                f"{name}: the pen lacks some of its letters and writes {near or 'the number alone'}"
                for name, near in self._respelled()
            ),
            *(f"{shape.name}: {shape.note}" for shape in self._noted()),
            *(f"{name}: label shortened on {count}, to fit" for name, count in self.shortened.items()),
            *(f"{name}: no label on {count}, there is no room" for name, count in self.dropped.items()),
            *(
                f"{name}: no grain arrow on {count}, there is no room"
                for name, count in self.unmarked.items()
            ),
        )


def _in_short_order(pieces: list[_PieceDrawing], orders: list[list[DirectedRun]]) -> ToolPath:
    """The pieces of a load on a short way, each in its own order, or as laid where that isn't longer."""
    over = [
        (piece.ends_run(order[0])[0], piece.ends_run(order[-1])[1])
        for piece, order in zip(pieces, orders, strict=True)
    ]
    drawn: list[tuple[_PieceDrawing, DirectedRun]] = []
    for step in in_short_order(over):
        piece, order = pieces[step.run], orders[step.run]
        if step.backwards:
            order = [step.turned() for step in reversed(order)]
        drawn += [(piece, step) for step in order]
    way = way_through([piece.ends_run(step) for piece, step in drawn])
    naive = way_through([ends for piece in pieces for ends in piece.ends])
    if way >= naive:
        way = naive
        drawn = [(piece, DirectedRun(run, False)) for piece in pieces for run in range(len(piece.ends))]
    return ToolPath(tuple(piece.stroke(step) for piece, step in drawn), way, naive)


def shorter(strokes: list[Stroke], as_laid: list[Stroke]) -> ToolPath:
    """Return the strokes in the order found, or as they were laid where that isn't longer."""
    way, naive = (travel_of([stroke.path for stroke in order]) for order in (strokes, as_laid))
    if way < naive:
        return ToolPath(tuple(strokes), way, naive)
    return ToolPath(tuple(as_laid), naive, naive)
