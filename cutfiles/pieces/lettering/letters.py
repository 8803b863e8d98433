"""Stroke lettering: a pen's single lines, in the face that `roman_simplex.txt` holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources

from cutfiles.core.letters import nearest_letters
from cutfiles.geometry.outline import Bounds, Path, Point, bounds, line
from cutfiles.geometry.pose import Pose, Posed, all_placed

# On the face's own grid capitals stand 21 units high, from 12 above its zero to 9 below; tails hang to 16
# below. Its height from there to the capitals' top is its nominal one: capitals are 3/4 of it.
_ZERO = ord("R")
_BOTTOM = 16
CAPITALS_OF_NOMINAL = 0.75
_NOMINAL_UNITS = 1000.0
_SCALE = _NOMINAL_UNITS / 28


@dataclass(frozen=True, slots=True)
class Text:
    """Written text, the lower left corner of its strokes' bounds at the origin, mm."""

    glyphs: tuple[Posed, ...]
    width_mm: float
    height_mm: float

    @property
    def strokes(self) -> tuple[Path, ...]:
        """The strokes as they lie in the text."""
        return all_placed(self.glyphs)


@dataclass(frozen=True, slots=True)
class _Glyph:
    """One character: its strokes, seen from where it begins, and how far from there the next one does."""

    strokes: tuple[Path, ...]
    advance_mm: float
    box: Bounds | None  # of its strokes; a space has none


@dataclass(frozen=True, slots=True)
class _FaceCharacter:
    """A character as the face has it: from its left side, its foot up, in nominal units."""

    strokes: tuple[tuple[Point, ...], ...]
    advance: float


@cache
def _face() -> dict[str, _FaceCharacter]:
    """Return every character that the face has."""
    text = resources.files(__package__).joinpath("roman_simplex.txt").read_text(encoding="ascii")
    _acknowledged, _, lines = text.partition("\n\n")
    return {line[0]: _character(line[2:]) for line in lines.splitlines()}


def _character(coded: str) -> _FaceCharacter:
    left, right = (ord(side) - _ZERO for side in coded[:2])
    strokes = []
    for stroke in coded[2:].split(" R"):
        xs, ys = ([ord(letter) - _ZERO for letter in stroke[axis::2]] for axis in (0, 1))
        points = zip(xs, ys, strict=True)
        strokes.append(tuple(((x - left) * _SCALE, _BOTTOM * _SCALE - y * _SCALE) for x, y in points))
    return _FaceCharacter(tuple(stroke for stroke in strokes if len(stroke) > 1), (right - left) * _SCALE)


_NONE = _FaceCharacter((), 0.0)  # a character that the face lacks takes no room


@lru_cache(maxsize=1024)
def _glyph(character: str, capitals_mm: float) -> _Glyph:
    drawn = _face().get(character, _NONE)
    scale = capitals_mm / CAPITALS_OF_NOMINAL / _NOMINAL_UNITS
    strokes = tuple(line(*((x * scale, y * scale) for x, y in stroke)) for stroke in drawn.strokes)
    box = _box_around([bounds(stroke) for stroke in strokes]) if strokes else None
    return _Glyph(strokes, drawn.advance * scale, box)


def written(text: str, *, capitals_mm: float) -> Text:
    """Return the strokes of a text whose capital letters are `capitals_mm` high.

    Args:
        text: anything; letters that the face lacks are written as the nearest that it has, or left out.
        capitals_mm: above 0.
    """
    ahead = 0.0
    glyphs: list[tuple[float, _Glyph]] = []
    boxes: list[Bounds] = []
    for character in nearest_letters(text):
        glyph = _glyph(character, capitals_mm)
        if glyph.box is not None:
            left, foot, right, top = glyph.box
            glyphs.append((ahead, glyph))
            boxes.append((left + ahead, foot, right + ahead, top))
        ahead += glyph.advance_mm
    if not boxes:
        return Text((), 0.0, 0.0)
    left, foot, right, top = _box_around(boxes)
    posed = tuple(Posed(glyph.strokes, Pose(x - left, -foot)) for x, glyph in glyphs)
    return Text(posed, right - left, top - foot)


def _box_around(boxes: Sequence[Bounds]) -> Bounds:
    lefts, feet, rights, tops = zip(*boxes, strict=True)
    return (min(lefts), min(feet), max(rights), max(tops))
