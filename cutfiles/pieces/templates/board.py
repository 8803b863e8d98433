"""A template being drawn: what is cut, what is engraved on it, and where there is still room to write."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.core.tolerance import FLAT_ARC_MM
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Contour, Path, Point, Side, chords
from cutfiles.geometry.pose import Pose, placed
from cutfiles.pieces.lettering.label import FROM_EDGE_MM, FROM_LINE_MM, around, roomiest
from cutfiles.pieces.lettering.letters import Text, written
from cutfiles.pieces.shape import Mark, Shape

# Lettering grows up to this many times the least height where there is room.
_LARGER = (1.5, 1.25, 1.0)
# Signs that are no letter and its accent, as people write them on a machine that lacks them.
_SPELT = {
    "ß": "ss", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "đ": "d",
    "Đ": "D", "–": "-", "—": "-", "’": "'", "‘": "'", "“": '"', "”": '"', "×": "x", "°": " deg",
}  # fmt: skip
_HAIR_MM = 0.01  # lettering laid against a line by number keeps so much more off it


def ascii_of(text: str) -> str:
    """Return a text in the letters that the stroke font has: accents go, other signs are left out.

    >>> ascii_of("Fenêtre ½"), ascii_of("Größe")
    ('Fenetre 1/2', 'Grosse')
    """
    for sign, letters in _SPELT.items():
        text = text.replace(sign, letters)
    plain = unicodedata.normalize("NFKD", text).replace("\N{FRACTION SLASH}", "/")
    return " ".join("".join(sign for sign in plain if sign.isascii() and sign.isprintable()).split())


class Board:
    """Lines first, lettering after: what is written keeps off everything that is there already."""

    def __init__(self, cut: Contour, *, inner: Sequence[Contour] = (), capitals_mm: float) -> None:
        """Begin with a cut outline and holes, both closed and counter-clockwise."""
        self.cut = cut
        self.inner = list(inner)
        self.marks: list[Mark] = []
        self.capitals_mm = capitals_mm
        self.left_out: list[str] = []  # texts that found no room
        inside = shapely.Polygon(chords(cut, stray_mm=FLAT_ARC_MM, side=Side.INSIDE))
        self._free: BaseGeometry = inside.buffer(-FROM_EDGE_MM, join_style="mitre")
        for hole in inner:
            self._keep_off_hole(hole)

    def hole(self, hole: Contour) -> None:
        """Cut a hole."""
        self.inner.append(hole)
        self._keep_off_hole(hole)

    def _keep_off_hole(self, hole: Contour) -> None:
        outside = shapely.Polygon(chords(hole, stray_mm=FLAT_ARC_MM, side=Side.OUTSIDE))
        self._free = self._free.difference(outside.buffer(FROM_EDGE_MM))

    def engrave(self, kind: Drawn, paths: Iterable[Contour]) -> None:
        """Engrave lines."""
        paths = tuple(paths)
        self.marks += [Mark(kind, path) for path in paths]
        if paths:
            self._free = self._free.difference(around(paths, FROM_LINE_MM))

    def lettering(self, text: str) -> Text:
        """Return a text at the least height."""
        return written(ascii_of(text), capitals_mm=self.capitals_mm)

    def write_at(self, text: Text, corner: Point) -> None:
        """Engrave a text with its lower left corner there; `has_room` must have said so."""
        self._written(tuple(placed(stroke, Pose(*corner)) for stroke in text.strokes))

    def has_room(self, text: Text, corner: Point) -> bool:
        """Return whether a text may stand there."""
        x, y = corner
        return bool(self._free.covers(shapely.box(x, y, x + text.width_mm, y + text.height_mm)))

    def write(self, texts: Sequence[str], *, above_mm: float = -math.inf) -> None:
        """Engrave the first of the texts that has room, as large as fits, where there is most room.

        Args:
            texts: the best first.
            above_mm: write above this height alone.
        """
        wanted = [text for text in map(ascii_of, texts) if text]
        free = self._free
        if above_mm > -math.inf and not free.is_empty:
            left, _, right, high = free.bounds
            free = free.intersection(shapely.box(left, above_mm, right, max(high, above_mm)))
        for text in wanted:
            for larger in _LARGER:
                lettering = written(text, capitals_mm=larger * self.capitals_mm)
                pose = _spot(free, lettering)
                if pose is not None:
                    self._written(tuple(placed(stroke, pose) for stroke in lettering.strokes))
                    return
        self.left_out += wanted[:1]

    def write_name(self, name: str) -> None:
        """Engrave a name; in capitals, which have no descenders, where it has room so alone."""
        self.write((name, name.upper()))

    def _written(self, strokes: tuple[Path, ...]) -> None:
        self.marks += [Mark(Drawn.LABEL, stroke) for stroke in strokes]
        points = [vertex[:2] for stroke in strokes for vertex in stroke.vertices]
        box: BaseGeometry = shapely.MultiPoint(points).envelope
        # Two texts keep twice as far apart as a text from a line: they must not read as one.
        self._free = self._free.difference(box.buffer(2 * FROM_LINE_MM, join_style="mitre"))

    def roundest(self) -> tuple[Point, float]:
        """Return the middle and the radius of the largest free circle; radius 0 where nothing is free."""
        areas = [part for part in shapely.get_parts(self._free) if isinstance(part, shapely.Polygon)]
        if not areas:
            return (0.0, 0.0), 0.0
        spoke = shapely.maximum_inscribed_circle(shapely.MultiPolygon(areas), tolerance=_HAIR_MM)
        (x, y), (to_x, to_y) = spoke.coords[0], spoke.coords[-1]
        # To whole tenths: where it lies exactly is the library's choice.
        return (round(x, 1), round(y, 1)), math.dist((x, y), (to_x, to_y)) - 0.1

    def shape(self, name: str, *, mirrored: bool) -> Shape:
        """Return the template as a shape; mirrored, it is to be seen through from the other side."""
        flip = Pose(mirrored=mirrored)
        return Shape(
            name,
            placed(self.cut, flip),
            tuple(Mark(mark.kind, placed(mark.path, flip)) for mark in self.marks),
            # Stock has no wrong side: nothing ever mirrors it again, lettering least of all.
            symmetric=True,
            inner=tuple(placed(hole, flip) for hole in self.inner),
        )


def _spot(free: BaseGeometry, text: Text) -> Pose | None:
    level = roomiest(free, width_mm=text.width_mm, height_mm=text.height_mm)
    if level is not None:
        return Pose(*level)
    upright = roomiest(free, width_mm=text.height_mm, height_mm=text.width_mm)
    return None if upright is None else Pose(upright[0] + text.height_mm, upright[1], 90.0)
