"""Inner cuts: holes that a layout knows, told apart from outlines that lie in others by mistake."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from cutfiles.check.layout.layout import KnownLoad
from cutfiles.check.shapes.contours import as_area, same_outline
from cutfiles.core.tolerance import CHORD_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Capabilities, Item
from cutfiles.geometry.outline import Contour, bounds

_NAMED = re.compile(r"(.+)-inner-[0-9]+")


@dataclass(frozen=True, slots=True)
class HoleSplit:
    """Outlines without the holes, the holes, and what is wrong with these."""

    outlines: tuple[Item, ...]
    holes: tuple[Item, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class _KnownHole:
    name: str
    hole: Contour
    line: Contour | None  # what is cut for its piece


def split_holes(outlines: Sequence[Item], load: KnownLoad | None, kind: Capabilities) -> HoleSplit:
    """Return what is cut, holes and outlines apart.

    With a load, a closed line that lies where a hole should is that hole. Without one, it is what is named
    after another outline of the file and lies in it; files without names then have no holes.
    """
    if load is None:
        return _by_name(outlines)
    known = [
        _KnownHole(f"{piece.piece_id}-inner-{number}", hole, piece.line)
        for fabric in load.fabrics
        for piece in fabric.pieces
        for number, hole in enumerate(piece.holes, start=1)
    ]
    if not known:
        return HoleSplit(tuple(outlines), (), ())
    places = (
        shapely.STRtree([shapely.Point(*bounds(item.path)[:2]) for item in outlines]) if outlines else None
    )
    taken: dict[int, _KnownHole] = {}
    faults: list[Fault] = []
    for known_hole in known:
        near = [] if places is None else _near(places, known_hole.hole, kind.within_mm)
        # Where two holes are alike and lie on each other the name tells them apart.
        near.sort(key=lambda index: outlines[index].piece_id != known_hole.name)
        fitting = (
            index
            for index in near
            if index not in taken
            and same_outline(outlines[index].path, known_hole.hole, within_mm=kind.within_mm)
        )
        item_index = next(fitting, None)
        if item_index is None:
            faults.append(
                Fault(Code.MISSING_PIECE, known_hole.name, "this hole is not cut, though the layout has it")
            )
            continue
        taken[item_index] = known_hole
        item = outlines[item_index]
        if kind.has_ids and item.piece_id != known_hole.name:
            words = f"its id is {(item.piece_id or '')[:60]!r}, but it lies where {known_hole.name} should"
            faults.append(Fault(Code.WRONG_ID, item.place, words))
    left = tuple(item for index, item in enumerate(outlines) if index not in taken)
    if kind.has_order:
        faults += _late(outlines, left, taken, kind)
    return HoleSplit(left, tuple(outlines[index] for index in sorted(taken)), tuple(faults))


def _near(places: shapely.STRtree, hole: Contour, within_mm: float) -> list[int]:
    left, low, _, _ = bounds(hole)
    near: list[int] = sorted(
        places.query(
            shapely.box(left - within_mm, low - within_mm, left + within_mm, low + within_mm)
        ).tolist()
    )
    return near


def _late(
    outlines: Sequence[Item], left: Sequence[Item], taken: dict[int, _KnownHole], kind: Capabilities
) -> Iterator[Fault]:
    """Holes that are cut after the piece they are in."""
    for index, known_hole in sorted(taken.items()):
        if known_hole.line is None:
            continue
        own = next((i for i in left if same_outline(i.path, known_hole.line, within_mm=kind.within_mm)), None)
        if own is not None and own.order < outlines[index].order:
            words = f"lies inside {own.place} and is cut after it"
            yield Fault(Code.INNER_AFTER_OUTER, outlines[index].place, words)


def _by_name(outlines: Sequence[Item]) -> HoleSplit:
    by_id = {item.piece_id: item for item in outlines if item.piece_id}
    holes = []
    faults = []
    for item in outlines:
        match = _NAMED.fullmatch(item.piece_id or "")
        own = by_id.get(match[1]) if match else None
        if own is None or not _polygon(own.path).covers(_polygon(item.path)):
            continue
        holes.append(item)
        if own.order < item.order:
            words = f"lies inside {own.place} and is cut after it"
            faults.append(Fault(Code.INNER_AFTER_OUTER, item.place, words))
    left = tuple(item for item in outlines if not any(item is hole for hole in holes))
    return HoleSplit(left, tuple(holes), tuple(faults))


def _polygon(path: Contour) -> shapely.Polygon:
    return as_area(path, stray_mm=CHORD_MM)
