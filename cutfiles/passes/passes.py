"""From a layout to strokes: each load drawn, then marked, then cut, with short ways between strokes."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from cutfiles.core.outline import Contour, Path, bounds
from cutfiles.core.pose import Pose, placed
from cutfiles.job.model import Drawn, MachineSpec, MatSpec
from cutfiles.nest.layout import LaidFabric, Layout, Load, Placement
from cutfiles.passes.plan import CutPlan, LoadPlan, Stroke, Tool
from cutfiles.passes.register import register_marks
from cutfiles.passes.travel import in_short_order
from cutfiles.pieces.label import Ground, Written, write_on
from cutfiles.pieces.shape import Shape


def plan_cuts(layout: Layout, mat: MatSpec, machine: MachineSpec) -> CutPlan:
    """Return the strokes of every load, in the order to run them."""
    pen = _Pen(layout, machine)
    marks = register_marks(mat, machine.register)
    loads = tuple(
        LoadPlan(load.name, mat.width_mm, mat.height_mm, (*pen.drawn(load), *marks, *_cuts(layout, load)))
        for load in layout.loads
    )
    return CutPlan(loads, (*pen.notes(), *_too_small(layout, machine)))


@dataclass(slots=True)
class _Pen:
    """Draws the pieces; remembers where labels go, as pieces of one shape are written alike."""

    layout: Layout
    machine: MachineSpec
    written: dict[tuple[str, bool, float | None, str], Written] = field(default_factory=dict)
    shortened: Counter[str] = field(default_factory=Counter)
    dropped: Counter[str] = field(default_factory=Counter)
    unmarked: Counter[str] = field(default_factory=Counter)

    def drawn(self, load: Load) -> tuple[Stroke, ...]:
        """Return a load's drawing: piece by piece, each finished before the next begins."""
        pieces = []
        for laid in load.laid:
            for placement in laid.placements:
                strokes = self._piece(laid, placement)
                if strokes:
                    pieces.append(strokes)
        order = in_short_order([[stroke.path for stroke in strokes] for strokes in pieces])
        return tuple(stroke for index in order for stroke in pieces[index])

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
        key = (shape.name, mirrored, grain, placement.label)
        if key not in self.written:
            flip = Pose(mirrored=mirrored)
            ground = Ground(placed(shape.cut, flip), tuple(placed(mark.path, flip) for mark in shape.marks))
            self.written[key] = write_on(ground, texts=tuple(dict.fromkeys(texts)), grain_deg=grain)
        found = self.written[key]
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


def _cuts(layout: Layout, load: Load) -> tuple[Stroke, ...]:
    strokes = [
        Stroke(Tool.CUT, placed(layout.shape(placement.shape).cut, placement.pose), placement.piece_id)
        for laid in load.laid
        for placement in laid.placements
    ]
    order = in_short_order([[stroke.path] for stroke in strokes])
    return tuple(strokes[index] for index in order)


def _too_small(layout: Layout, machine: MachineSpec) -> tuple[str, ...]:
    """Warn of features below the size that the user's machine can cut."""
    notes = []
    for shape in layout.shapes:
        least = _least_feature(shape.cut)
        if least < machine.smallest_mm:
            notes.append(
                f"{shape.name}: its smallest edge is {least:.2f} mm, the machine's smallest feature is "
                f"{machine.smallest_mm:.2f} mm"
            )
    return tuple(notes)


def _least_feature(cut: Contour) -> float:
    left, low, right, high = bounds(cut)
    sizes = [right - left, high - low]
    if isinstance(cut, Path):
        sizes += [((end[0] - start.x) ** 2 + (end[1] - start.y) ** 2) ** 0.5 for start, end in cut.edges()]
    return min(sizes)
