"""Stroke lettering: a pen's single lines, from the Hershey roman simplex font.

The font data: A. V. Hershey (U.S. National Bureau of Standards), in the format of James Hurt
(Cognition, Inc.).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from cutfiles.geometry.outline import Bounds, Path, bounds, line
from cutfiles.geometry.pose import Pose, Posed, all_placed

if TYPE_CHECKING:
    from HersheyFonts import HersheyFonts

# The font's own grid: capitals are 21 units high, which is 3/4 of its nominal height.
CAPITALS_OF_NOMINAL = 0.75
_NOMINAL_UNITS = 1000.0


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


@cache
def _font() -> HersheyFonts:
    from HersheyFonts import HersheyFonts  # noqa: PLC0415  (0.1 s that `size` doesn't need)

    font = HersheyFonts()
    font.load_default_font("futural")  # unpacks an archive of all the faces: 30 ms, once
    font.normalize_rendering(_NOMINAL_UNITS)
    return font


@lru_cache(maxsize=1024)
def _glyph(character: str, capitals_mm: float) -> _Glyph:
    font = _font()
    scale = capitals_mm / CAPITALS_OF_NOMINAL / _NOMINAL_UNITS
    strokes = tuple(
        line(*((float(x) * scale, float(y) * scale) for x, y in stroke))
        for stroke in font.strokes_for_text(character)
        if len(stroke) > 1
    )
    known = font.all_glyphs.get(character)
    advance = 0.0 if known is None else float(known.char_width * font.render_options.scalex)
    box = _box_around([bounds(stroke) for stroke in strokes]) if strokes else None
    return _Glyph(strokes, advance * scale, box)


def written(text: str, *, capitals_mm: float) -> Text:
    """Return the strokes of a text whose capital letters are `capitals_mm` high.

    Args:
        text: letters, digits, space and `" / - . ( )`; the font has no ½.
        capitals_mm: above 0.
    """
    ahead = 0.0
    glyphs: list[tuple[float, _Glyph]] = []
    boxes: list[Bounds] = []
    for character in text:
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
