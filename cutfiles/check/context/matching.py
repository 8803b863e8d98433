"""A machine file against its load: which outline is which piece, and what isn't as the layout has it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutfiles.check.layout.layout import LAYOUT_TURN_DEG, KnownFabric, KnownLoad, KnownPiece, turn_words
from cutfiles.check.shapes.contours import Motion, mirror_image, motion_of, same_outline
from cutfiles.check.shapes.fit import fitted, may_fit
from cutfiles.findings.codes import Code
from cutfiles.findings.limits import MOST_COMPARED
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Capabilities, Item
from cutfiles.geometry.outline import Bounds, Contour, Path, bounds
from cutfiles.geometry.pose import off_turn_deg
from cutfiles.geometry.rectangles import overlap

# Outlines whose chords are fitted to shapes: some milliseconds each.
_MOST_FITS = 1000
_FEW = 50
_CHUNK = 64  # outlines that are looked up together: all pieces may lie where each does


@dataclass(frozen=True, slots=True)
class Matched:
    """Which outline was taken for which piece, and the faults."""

    pairs: tuple[tuple[Item, KnownFabric, Contour], ...]  # the outline, its fabric, and how it should be
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class _WantedPiece:
    piece: KnownPiece
    fabric: KnownFabric
    cut: Contour


@dataclass(slots=True)
class _ShapeMatcher:
    """Which shapes an outline looks like, however it lies; asked as often as there are misplaced outlines."""

    shapes: dict[str, Contour]
    within_mm: float
    _tries: int = 0
    _compared: int = 0

    def motion(self, shape: Contour, path: Contour) -> Motion | None:
        """Return how a shape was turned to give an outline, or None if it is another shape."""
        if self._compared > MOST_COMPARED or not may_fit(shape, path, within_mm=self.within_mm):
            return None
        self._compared += len(path.vertices) ** 2 if isinstance(path, Path) else 1
        motion = motion_of(shape, path, within_mm=self.within_mm)
        if motion is not None or self._tries > _MOST_FITS:
            return motion
        # Where corners can't tell: chords in place of arcs.
        if isinstance(shape, Path) and isinstance(path, Path) and len(shape.vertices) == len(path.vertices):
            return None
        self._tries += 1
        return fitted(shape, path, within_mm=self.within_mm)

    def names(self, path: Contour) -> set[str]:
        """Return the names of the shapes that an outline looks like, mirrored or not."""
        return {
            name
            for name, shape in self.shapes.items()
            if self.motion(shape, path) is not None or self.motion(mirror_image(shape), path) is not None
        }

    def any_like(self, outlines: Sequence[Item], wanted: Sequence[_WantedPiece]) -> bool:
        """Return whether any of the first outlines looks like a shape, or lies about where a piece does."""
        boxes = [bounds(piece.cut) for piece in wanted]
        return any(
            self.names(item.path) or any(_about(bounds(item.path), box) for box in boxes)
            for item in outlines[:_FEW]
        )


def match(
    outlines: Sequence[Item],
    load: KnownLoad,
    shapes: dict[str, Contour],
    kind: Capabilities,
    elsewhere: Callable[[], Sequence[Item]],
) -> Matched:
    """Return which outline is which piece of the load.

    An outline that lies exactly on a piece is that piece, whatever its id says. What is left goes by id, and
    where there are none (DXF, HP-GL) by what looks alike or lies in the same place.

    Args:
        outlines: what is cut.
        load: what should be.
        shapes: the layout's, each in its own frame.
        kind: what the file's format can say, and how exactly.
        elsewhere: gives closed lines on other layers, among which missing pieces are looked for.
    """
    wanted = [
        _WantedPiece(piece, fabric, piece.line)
        for fabric in load.fabrics
        for piece in fabric.pieces
        if piece.line is not None
    ]
    matches = _exact(outlines, wanted, kind.within_mm)
    likeness = _ShapeMatcher(shapes, kind.within_mm)
    several = len(outlines) > 1 and len(wanted) > 1
    strange = several and not matches and not likeness.any_like(outlines, wanted)
    if strange and not _exact(elsewhere(), wanted, kind.within_mm):
        words = f"none of its {len(outlines)} outlines has the shape of a piece of {load.name}"
        return Matched((), (Fault(Code.OTHER_JOB, "", words),))
    faults: list[Fault] = []
    if kind.has_ids:
        for mine, theirs in matches.items():
            faults += _wrong_id(outlines[mine], wanted[theirs])
    taken = set(matches.values())
    rest = [index for index in range(len(outlines)) if index not in matches]
    missing = [index for index in range(len(wanted)) if index not in taken]
    for mine, theirs in _guessed(outlines, wanted, rest, missing, likeness):
        matches[mine] = theirs
        taken.add(theirs)
        faults.append(_difference(outlines[mine], wanted[theirs], likeness))
    faults += [_extra(outlines[mine].place, load) for mine in rest if mine not in matches]
    for mine, theirs in matches.items():
        if outlines[mine].quantity == 1:
            continue
        alike = _alike(wanted, theirs, taken)[: outlines[mine].quantity - 1]
        taken.update(alike)
        faults += _too_many(outlines[mine], 1 + len(alike), load)
    lost = [wanted[theirs] for theirs in missing if theirs not in taken]
    others = elsewhere() if lost else ()
    drawn = {theirs: mine for mine, theirs in _exact(others, lost, kind.within_mm).items()}
    for index, lost_piece in enumerate(lost):
        name = lost_piece.piece.piece_id
        if index in drawn:
            words = f"is not cut: its outline is on {others[drawn[index]].layer_name[:40] or 'no layer'}"
            faults.append(Fault(Code.WRONG_LAYER, name, words))
        else:
            faults.append(_missing(name))
    pairs = ((outlines[mine], wanted[theirs].fabric, wanted[theirs].cut) for mine, theirs in matches.items())
    return Matched(tuple(pairs), tuple(faults))


def match_names(outlines: Sequence[Item], load: KnownLoad, *, has_ids: bool) -> tuple[Fault, ...]:
    """Return which pieces are missing or too many, where the layout gives no shapes to compare with."""
    wanted = [piece.piece_id for fabric in load.fabrics for piece in fabric.pieces]
    if not has_ids:
        more = len(outlines) - len(wanted)
        if more == 0:
            return ()
        words = f"{len(outlines)} outlines, and {load.name} has {len(wanted)} pieces"
        return (Fault(Code.EXTRA_PIECE if more > 0 else Code.MISSING_PIECE, "", words),)
    pieces = {
        piece.piece_id: (fabric.fabric, piece.shape, piece.pose.mirrored)
        for fabric in load.fabrics
        for piece in fabric.pieces
    }
    faults = [_extra(item.place, load) for item in outlines if item.piece_id not in pieces]
    free = {name: None for name in pieces if name not in {item.piece_id for item in outlines}}
    for item in outlines:
        if item.piece_id in pieces and item.quantity > 1:
            alike = [name for name in free if pieces[name] == pieces[item.piece_id]][: item.quantity - 1]
            for name in alike:
                del free[name]
            faults += _too_many(item, 1 + len(alike), load)
    return (*faults, *map(_missing, free))


def _alike(wanted: Sequence[_WantedPiece], index: int, taken: set[int]) -> list[int]:
    """Pieces of the same fabric that are the same shape, as that is or mirrored, and aren't taken."""
    one = wanted[index]
    return [
        other
        for other, piece in enumerate(wanted)
        if other not in taken
        and piece.fabric.fabric == one.fabric.fabric
        and piece.piece.shape == one.piece.shape
        and piece.piece.pose.mirrored == one.piece.pose.mirrored
    ]


def _too_many(item: Item, count: int, load: KnownLoad) -> Iterator[Fault]:
    if item.quantity > count:
        words = f"its quantity is {item.quantity}, and {load.name} has {count} such pieces"
        yield Fault(Code.EXTRA_PIECE, item.place, words)


def _extra(place: str, load: KnownLoad) -> Fault:
    return Fault(Code.EXTRA_PIECE, place, f"is no piece of {load.name}")


def _missing(piece_id: str) -> Fault:
    return Fault(Code.MISSING_PIECE, piece_id, "is not cut here, though the layout has it")


def _exact(outlines: Sequence[Item], wanted: Sequence[_WantedPiece], within_mm: float) -> dict[int, int]:
    """Outlines that lie on a piece to within the file's rounding."""
    if not outlines or not wanted:
        return {}
    matches: dict[int, int] = {}
    taken: set[int] = set()
    begun_near = _begun_near(outlines, wanted, within_mm)
    for mine, (item, near) in enumerate(zip(outlines, begun_near, strict=True)):
        for theirs in sorted(near, key=lambda index: wanted[index].piece.piece_id != item.piece_id):
            if theirs not in taken and same_outline(item.path, wanted[theirs].cut, within_mm=within_mm):
                matches[mine] = theirs
                taken.add(theirs)
                break
    return matches


def _begun_near(
    outlines: Sequence[Item], wanted: Sequence[_WantedPiece], within_mm: float
) -> Iterator[list[int]]:
    """Yield for each outline the pieces whose lower left corner is where its own is."""
    tree = shapely.STRtree(
        np.asarray(shapely.points([_lower_left(piece.cut) for piece in wanted]), dtype=object)
    )
    for start in range(0, len(outlines), _CHUNK):
        some = outlines[start : start + _CHUNK]
        left, low = np.array([_lower_left(item.path) for item in some]).T
        spots = shapely.box(left - within_mm, low - within_mm, left + within_mm, low + within_mm)
        near: list[list[int]] = [[] for _ in some]
        for mine, theirs in zip(*tree.query(spots).tolist(), strict=True):
            near[mine].append(theirs)
        yield from near


def _lower_left(path: Contour) -> tuple[float, float]:
    left, low, _, _ = bounds(path)
    return left, low


def _wrong_id(item: Item, wanted: _WantedPiece) -> Iterator[Fault]:
    known = wanted.piece.piece_id
    if item.piece_id != known:
        actual = f"its id is {item.piece_id[:60]!r}" if item.piece_id else "it has no id"
        yield Fault(Code.WRONG_ID, item.place, f"{actual}, but it lies where {known} should")


def _guessed(
    outlines: Sequence[Item],
    wanted: Sequence[_WantedPiece],
    rest: Sequence[int],
    missing: Sequence[int],
    likeness: _ShapeMatcher,
) -> list[tuple[int, int]]:
    """Pairs among what doesn't lie exactly: by id, then by likeness, then by a common place."""
    pairs: list[tuple[int, int]] = []
    by_id = {wanted[index].piece.piece_id: index for index in missing}
    left = []
    for mine in rest:
        theirs = by_id.pop(outlines[mine].piece_id or "", None)
        if theirs is None:
            left.append(mine)
        else:
            pairs.append((mine, theirs))
    free = set(by_id.values())
    middles = np.array([_middle(piece.cut) for piece in wanted])
    for alike in (True, False):
        still = []
        for mine in left:
            theirs = _nearest(outlines[mine].path, wanted, free, middles, likeness if alike else None)
            if theirs is None:
                still.append(mine)
            else:
                free.remove(theirs)
                pairs.append((mine, theirs))
        left = still
    return pairs


def _nearest(
    path: Contour,
    wanted: Sequence[_WantedPiece],
    free: set[int],
    middles: np.ndarray[tuple[int, int], np.dtype[np.float64]],
    likeness: _ShapeMatcher | None,
) -> int | None:
    """The nearest free piece of a shape that looks like the path; without shapes, one in the same place."""
    if not free:
        return None
    order = np.argsort(np.hypot(*(middles - _middle(path)).T), kind="stable").tolist()
    if likeness is not None:
        alike = likeness.names(path)
        return next((index for index in order if index in free and wanted[index].piece.shape in alike), None)
    box = bounds(path)
    return next((index for index in order if index in free and overlap(box, bounds(wanted[index].cut))), None)


def _middle(path: Contour) -> tuple[float, float]:
    left, low, right, high = bounds(path)
    return (left + right) / 2, (low + high) / 2


def _about(first: Bounds, second: Bounds) -> bool:
    """Whether two outlines lie and measure much the same: not right, but meant so."""
    near = 0.05 * max(second[2] - second[0], second[3] - second[1])
    return all(abs(mine - theirs) <= near for mine, theirs in zip(first, second, strict=True))


def _difference(item: Item, wanted: _WantedPiece, likeness: _ShapeMatcher) -> Fault:
    """What is wrong with an outline that isn't where its piece should be."""
    piece, fabric = wanted.piece, wanted.fabric
    shape = likeness.shapes[piece.shape]
    as_laid = mirror_image(shape) if piece.pose.mirrored else shape
    motion = likeness.motion(as_laid, item.path)
    if motion is None:
        if likeness.motion(mirror_image(as_laid), item.path) is not None:
            words = f"is the mirror image of what {piece.piece_id} should be"
            return Fault(Code.MIRRORED_PIECE, item.place, words)
        words = f"is not the shape {piece.shape} of {piece.piece_id}{_size_difference(item.path, wanted.cut)}"
        return Fault(Code.WRONG_SHAPE, item.place, words)
    # A turn too small to move any corner by more than the files' rounding is none.
    least = (
        LAYOUT_TURN_DEG + math.degrees(4 * likeness.within_mm / motion.reach_mm) if motion.reach_mm else 360.0
    )
    if fabric.turns_deg is not None and motion.turns_deg:
        turn = min(motion.turns_deg, key=lambda turn: off_turn_deg(turn, fabric.turns_deg or ()))
        if off_turn_deg(turn, fabric.turns_deg) > least:
            return Fault(Code.FORBIDDEN_TURN, item.place, turn_words(turn, fabric))
    here, there = _middle(item.path), _middle(wanted.cut)
    off = f"{here[0] - there[0]:+.3f} mm across and {here[1] - there[1]:+.3f} mm up"
    words = f"lies {off} from where {piece.piece_id} should"
    if motion.turns_deg and off_turn_deg(piece.pose.turn_deg, motion.turns_deg) > least:
        words += ", and is turned otherwise"
    return Fault(Code.WRONG_PLACE, item.place, words)


def _size_difference(path: Contour, wanted: Contour) -> str:
    here, there = bounds(path), bounds(wanted)
    sizes = [f"{box[2] - box[0]:.3f} by {box[3] - box[1]:.3f} mm" for box in (here, there)]
    return f": {sizes[0]} instead of {sizes[1]}" if sizes[0] != sizes[1] else ""
