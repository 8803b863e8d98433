"""Stroke lettering: a pen's single lines, from the Hershey roman simplex font.

The font data: A. V. Hershey (U.S. National Bureau of Standards), in the format of James Hurt
(Cognition, Inc.).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from cutfiles.core.outline import Path, Point, line

if TYPE_CHECKING:
    from HersheyFonts import HersheyFonts

# The font's own grid: capitals are 21 units high, which is 3/4 of its nominal height.
CAPITALS_OF_NOMINAL = 0.75
_NOMINAL_UNITS = 1000.0


@dataclass(frozen=True, slots=True)
class Text:
    """Written text: strokes with the lower left corner of their own bounds at the origin, mm."""

    strokes: tuple[Path, ...]
    width_mm: float
    height_mm: float


@cache
def _font() -> HersheyFonts:
    from HersheyFonts import HersheyFonts  # noqa: PLC0415  (0.1 s that `size` doesn't need)

    font = HersheyFonts()
    font.load_default_font("futural")  # unpacks an archive of all the faces: 30 ms, once
    font.normalize_rendering(_NOMINAL_UNITS)
    return font


@cache
def _strokes(text: str) -> tuple[tuple[Point, ...], ...]:
    """The strokes of a text whose nominal height is 1000."""
    strokes = (tuple((float(x), float(y)) for x, y in stroke) for stroke in _font().strokes_for_text(text))
    return tuple(stroke for stroke in strokes if len(stroke) > 1)


def written(text: str, *, capitals_mm: float) -> Text:
    """Return the strokes of a text whose capital letters are `capitals_mm` high.

    Args:
        text: letters, digits, space and `" / - . ( )`; the font has no ½.
        capitals_mm: above 0.
    """
    strokes = _strokes(text)
    if not strokes:
        return Text((), 0.0, 0.0)
    scale = capitals_mm / CAPITALS_OF_NOMINAL / _NOMINAL_UNITS
    left = min(x for stroke in strokes for x, _ in stroke)
    foot = min(y for stroke in strokes for _, y in stroke)
    right = max(x for stroke in strokes for x, _ in stroke)
    top = max(y for stroke in strokes for _, y in stroke)
    paths = tuple(line(*(((x - left) * scale, (y - foot) * scale) for x, y in stroke)) for stroke in strokes)
    return Text(paths, (right - left) * scale, (top - foot) * scale)
