"""What the pen draws on the pieces of a load, piece by piece."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace

from cutfiles.core.outline import Contour
from cutfiles.core.pose import Pose, placed
from cutfiles.job.model import Drawn, MachineSpec
from cutfiles.nest.layout import LaidFabric, Layout, Load, Placement
from cutfiles.passes.plan import Stroke, Tool
from cutfiles.passes.travel import backwards, end_of, in_short_order, start_of, travel_of
from cutfiles.passes.within import shortened
from cutfiles.pieces.label import Ground, Written, write_on
from cutfiles.pieces.shape import Shape


@dataclass(frozen=True, slots=True)
class Pass:
    """The strokes of one tool on one load, in order, and its way while it is up."""

    strokes: tuple[Stroke, ...]
    travel_mm: float
    travel_as_laid_mm: float  # in the order of the layout


@dataclass(slots=True)
class Pen:
    """Draws the pieces; remembers where labels go, as pieces of one shape are written alike."""

    layout: Layout
    machine: MachineSpec
    grounds: dict[tuple[str, bool], Ground] = field(default_factory=dict)
    shortened: Counter[str] = field(default_factory=Counter)
    dropped: Counter[str] = field(default_factory=Counter)
    unmarked: Counter[str] = field(default_factory=Counter)

    def drawn(self, load: Load) -> Pass:
        """Return a load's drawing: piece by piece, each finished before the next begins."""
        as_laid = [
            strokes
            for laid in load.laid
            for placement in laid.placements
            if (strokes := self._piece(laid, placement))
        ]
        orders = shortened([[stroke.path for stroke in strokes] for strokes in as_laid])
        pieces = [
            [_turned(strokes[step.run]) if step.backwards else strokes[step.run] for step in order]
            for strokes, order in zip(as_laid, orders, strict=True)
        ]
        found: list[Stroke] = []
        for step in in_short_order([(start_of(one[0].path), end_of(one[-1].path)) for one in pieces]):
            strokes = pieces[step.run]
            found += [_turned(stroke) for stroke in reversed(strokes)] if step.backwards else strokes
        return shorter(found, [stroke for strokes in as_laid for stroke in strokes])

    def _piece(self, laid: LaidFabric, placement: Placement) -> list[Stroke]:
        shape = self.layout.shape(placement.shape)
        lines: list[tuple[Drawn, Contour]] = [
            (mark.kind, placed(mark.path, placement.pose)) for mark in shape.marks
        ]
        own = self._own_lines(shape, laid, placement)
        # Lettering is never mirrored: it is laid out on the piece as it is cut, then only turned and moved.
        upright = Pose(placement.pose.x_mm, placement.pose.y_mm, placement.pose.turn_deg)
        lines += [(Drawn.GRAIN, placed(path, upright)) for path in own.arrow]
        lines += [(Drawn.LABEL, placed(path, upright)) for path in own.label]
        return [Stroke(Tool.DRAW, path, placement.piece_id, kind) for kind, path in lines]

    def _own_lines(self, shape: Shape, laid: LaidFabric, placement: Placement) -> Written:
        draw = self.machine.draw
        grain = None
        if Drawn.GRAIN in draw:
            # The lengthwise grain runs up the fabric, which may itself lie turned on the mat.
            grain = (90.0 + laid.turn_deg - placement.pose.turn_deg) % 180.0
        texts: tuple[str, ...] = ()
        if Drawn.LABEL in draw:
            number = str(placement.number)
            texts = (placement.label, f"{laid.fabric[:3]} {number}", number)
        mirrored = placement.pose.mirrored
        key = (shape.name, mirrored)
        if key not in self.grounds:
            flip = Pose(mirrored=mirrored)
            marks = tuple(placed(mark.path, flip) for mark in shape.marks)
            self.grounds[key] = Ground(placed(shape.cut, flip), marks)
        found = write_on(self.grounds[key], texts=tuple(dict.fromkeys(texts)), grain_deg=grain)
        if texts and not found.text:
            self.dropped[shape.name] += 1
        elif texts and found.text != texts[0]:
            self.shortened[shape.name] += 1
        if grain is not None and not found.arrow:
            self.unmarked[shape.name] += 1
        return found

    def notes(self) -> tuple[str, ...]:
        """Return what could not be written as wished."""
        return (
            *(f"{name}: label shortened on {count}, to fit" for name, count in self.shortened.items()),
            *(f"{name}: no label on {count}, there is no room" for name, count in self.dropped.items()),
            *(
                f"{name}: no grain arrow on {count}, there is no room"
                for name, count in self.unmarked.items()
            ),
        )


def _turned(stroke: Stroke) -> Stroke:
    return replace(stroke, path=backwards(stroke.path))


def shorter(strokes: list[Stroke], as_laid: list[Stroke]) -> Pass:
    """Return the strokes in the order found, or as they were laid where that isn't longer."""
    way, naive = (travel_of([stroke.path for stroke in one]) for one in (strokes, as_laid))
    if way < naive:
        return Pass(tuple(strokes), way, naive)
    return Pass(tuple(as_laid), naive, naive)
