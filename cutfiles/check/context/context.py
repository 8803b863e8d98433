"""The context of a rule: one file, what it was written from if that is known, and what follows from both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property, partial

from cutfiles.check.context.holes import HoleSplit, split_holes
from cutfiles.check.context.matching import Matched, match
from cutfiles.check.context.pens import closed_elsewhere, marks_apart
from cutfiles.check.layout.layout import KnownLayout, KnownLoad
from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.shapes.contours import as_line
from cutfiles.check.shapes.pairs import Between, Spacing, between
from cutfiles.check.shapes.tangles import is_tangled
from cutfiles.check.tool.outlines import Outlines, outlines_of
from cutfiles.core.tolerance import CHORD_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Capabilities, Drawing, Item, Layer, Marks, Reading
from cutfiles.geometry.outline import Bounds, Path

_FEW_CORNERS = 50  # an outline of no more is measured even if it is tangled


class Role(Enum):
    """What a file is for."""

    LOAD = "load"  # all of a load
    PEN = "pen"  # only what is drawn of it
    KNIFE = "knife"  # only what is cut
    CALIBRATION = "calibration"

    @staticmethod
    def of_part(part: Layer | None) -> Role:
        """Return the role of a file that holds one part of its load, or with None all of it."""
        return {Layer.DRAW: Role.PEN, Layer.CUT: Role.KNIFE}.get(part, Role.LOAD) if part else Role.LOAD


@dataclass(frozen=True, slots=True)
class Known:
    """What a file was written from."""

    layout: KnownLayout
    load: KnownLoad

    @property
    def reach(self) -> Bounds:
        """What the machine reaches of the mat."""
        margin = self.layout.margin_mm
        return (margin, margin, self.load.width_mm - margin, self.load.height_mm - margin)


# Without slots: what follows is worked out when a rule first asks for it, and kept.
@dataclass(frozen=True)
class Context:
    """One file.

    Args:
        source: the drawing as it lies on the mat; the pen's register marks are still among what it draws.
        known: what it was written from, as its format holds it; None where nobody knows.
        role: what it is for.
        read: what was wrong or unknown already when it was read.
    """

    source: Drawing
    known: Known | None
    role: Role
    read: Reading

    @staticmethod
    def of_reading(reading: Reading, known: Known | None, role: Role) -> Context:
        """Return the context of a file as read.

        Args:
            reading: its drawing taken back to what it means on the mat.
            known: what it was written from.
            role: what it is for.
        """
        drawing = reading.drawing
        if known is None and role in (Role.LOAD, Role.KNIFE) and _is_nameless(drawing):
            items = tuple(replace(item, layer=Layer.CUT) for item in drawing.items)
            drawing = replace(drawing, items=items)
            says = "no layer is named place, draw, register or cut: every line was taken for one to cut"
            reading = replace(reading, notes=(*reading.notes, says))
        if known is not None and not drawing.kind.for_machine:
            # Such formats have pieces as they are to come out, that no tool has touched.
            plain = known.layout.without_tool()
            known = Known(plain, plain.load(known.load.name) or known.load)
        return Context(drawing, known, role, reading)

    @property
    def kind(self) -> Capabilities:
        """What the file's format can say, and how exactly."""
        return self.source.kind

    @property
    def tool(self) -> KnownTool:
        """What the file was written for."""
        return KnownTool() if self.known is None else self.known.layout.tool

    @cached_property
    def outlines(self) -> Outlines:
        """What the tool leaves of the lines to cut, without what can't be measured in time."""
        if self.role is Role.PEN:
            return Outlines((), (), ())
        load = None if self.known is None else self.known.load
        outlines = outlines_of(self.source, load, self.tool)
        bad, nearly = _tangled(outlines.items), _tangled(outlines.almost)
        return Outlines(
            tuple(item for index, item in enumerate(outlines.items) if index not in bad),
            tuple(item for index, item in enumerate(outlines.almost) if index not in nearly),
            (*outlines.faults, *bad.values()),
        )

    @cached_property
    def drawing(self) -> Drawing:
        """The drawing, its register marks on a layer of their own."""
        if self.kind.marks is not Marks.DRAWN or self.role is Role.CALIBRATION:
            return self.source
        layout, load = (None, None) if self.known is None else (self.known.layout, self.known.load)
        return marks_apart(self.source, (*self.outlines.items, *self.outlines.almost), layout, load)

    @cached_property
    def hole_split(self) -> HoleSplit:
        """Closed outlines and holes, told apart."""
        load = None if self.known is None else self.known.load
        return split_holes(self.outlines.items, load, self.kind)

    @cached_property
    def pairs(self) -> Between:
        """What is wrong between two outlines."""
        gap = None if self.known is None else self.tool.spacing_mm(self.known.layout.gap_mm)
        return between(self.hole_split.outlines, Spacing(gap, self.kind.pair_mm, self.tool.over_mm))

    @cached_property
    def pieces(self) -> tuple[Item, ...]:
        """What is cut, each once, also where the line isn't quite closed."""
        doubles = self.pairs.doubles
        return (
            *(item for index, item in enumerate(self.hole_split.outlines) if index not in doubles),
            *self.outlines.almost,
        )

    @cached_property
    def matched(self) -> Matched:
        """Which outline is which piece of the load; none where the layout gives no shapes."""
        if self.known is None or not self.known.layout.shapes:
            return Matched((), ())
        elsewhere = partial(closed_elsewhere, self.drawing)
        return match(self.pieces, self.known.load, self.known.layout.lines, self.kind, elsewhere)


def _tangled(outlines: Sequence[Item]) -> dict[int, Fault]:
    """Indices of outlines that are too tangled for anything else to be measured in time."""
    says = "meets itself in very many places: nothing else of it was measured"
    return {
        index: Fault(Code.SELF_CROSSING, item.place, says)
        for index, item in enumerate(outlines)
        if isinstance(item.path, Path)
        and len(item.path.vertices) > _FEW_CORNERS
        and is_tangled(as_line(item.path, stray_mm=CHORD_MM))
    }


def _is_nameless(drawing: Drawing) -> bool:
    """Whether no line at all is on a layer with a name of ours."""
    return bool(drawing.items) and not len(drawing.drawn) and all(i.layer is None for i in drawing.items)
