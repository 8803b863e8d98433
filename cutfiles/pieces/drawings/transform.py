"""Lengths, transforms and viewports of SVG (W3C SVG 1.1, chapter 7), in CSS pixels."""

from __future__ import annotations

import math
import re

from lxml import etree

from cutfiles.core.errors import GeometryError
from cutfiles.core.units import MM_PER_INCH
from cutfiles.formats.svg.path_data import NUMBER
from cutfiles.pieces.drawings.path_text import numbers_of
from cutfiles.pieces.drawings.strokes import Affine

_PX = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "mm": 96 / MM_PER_INCH,
    "cm": 960 / MM_PER_INCH,
    "q": 24 / MM_PER_INCH,  # a quarter of a mm
    "pt": 96 / 72,
    "pc": 16.0,
}
_STEPS = {
    "translate": (1, 2),
    "scale": (1, 2),
    "skewX": (1,),
    "skewY": (1,),
}  # and how many numbers each takes
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-zA-Z]*|%)\s*")
_STEP = re.compile(r"[\s,]*([a-zA-Z]+)\s*\(([^()]*)\)[\s,]*")


def length_px(text: str, key: str) -> float:
    """Return a length in CSS pixels.

    Raises:
        GeometryError: no length, or one that depends on something else (em, %).
    """
    match = _LENGTH.fullmatch(text)
    if match is None:
        shown = text[:20] if text.isprintable() else repr(text[:20])
        raise GeometryError(f'has {key} "{shown}", which is no length; export it anew')
    factor = _PX.get(match[2].lower())
    if factor is None:
        raise GeometryError(f"has {key} in {match[2][:10]}; write it in mm, cm, in, pt, pc or px")
    return float(match[1]) * factor


def affine_of(text: str) -> Affine:
    """Return the map of a `transform` attribute.

    Raises:
        GeometryError: an unknown transform, or the wrong number of numbers.
    """
    whole = Affine()
    place = 0
    while place < len(text.rstrip()):
        match = _STEP.match(text, place)
        step = None if match is None else _step(match[1], numbers_of(match[2], "a transform"))
        if match is None or step is None:
            shown = text[place : place + 20]
            shown = shown if shown.isprintable() else repr(shown)
            raise GeometryError(f'has a transform that can\'t be read at "{shown}"; export it anew')
        whole = whole.after(step)
        place = match.end()
    return whole


def _step(name: str, numbers: list[float]) -> Affine | None:
    count = len(numbers)
    if not all(math.isfinite(number) for number in numbers):
        return None
    if name == "matrix" and count == 6:
        return Affine(*numbers)
    if name == "rotate" and count in (1, 3):
        return _turned(*numbers)
    if count not in _STEPS.get(name, ()):
        return None
    x, y = numbers[0], numbers[-1]
    return {
        "translate": Affine(e=x, f=y if count == 2 else 0.0),
        "scale": Affine(a=x, d=y),
        "skewX": Affine(c=math.tan(math.radians(x))),
        "skewY": Affine(b=math.tan(math.radians(x))),
    }[name]


def _turned(turn_deg: float, x: float = 0.0, y: float = 0.0) -> Affine:
    turn = math.radians(turn_deg % 360)
    cos, sin = math.cos(turn), math.sin(turn)
    return Affine(cos, sin, -sin, cos, x - cos * x + sin * y, y - sin * x - cos * y)


def viewport(root: etree._Element) -> Affine:
    """Return the map from units of the drawing to pixels.

    Width and height fit the viewBox as preserveAspectRatio says; without either of them a unit is a pixel.
    Where the page lies does not matter to an outline, so it is left out.
    """
    box = numbers_of(root.get("viewBox") or "", "a viewBox")
    if not box:
        return Affine()
    if len(box) != 4 or not (0 < box[2] < math.inf and 0 < box[3] < math.inf):
        raise GeometryError("has a viewBox that is not four numbers with a size above 0; export it anew")
    scales = [_scale(root.get(key), key, size) for key, size in (("width", box[2]), ("height", box[3]))]
    across, up = scales
    if across is None or up is None:
        # Only one is given: the other follows the viewBox. None: a unit is a pixel.
        across = up = next((scale for scale in scales if scale is not None), 1.0)
    fit = (root.get("preserveAspectRatio") or "").split()
    if "none" not in fit:
        across = up = max(across, up) if "slice" in fit else min(across, up)
    return Affine(across, 0.0, 0.0, up)


def _scale(text: str | None, key: str, size: float) -> float | None:
    if text is None or text.strip().endswith("%") or text.strip() == "auto":
        return None  # as wide as the window that shows it: says nothing of the size
    length = length_px(text, key)
    if not length > 0:
        raise GeometryError(f'has {key} "{text.strip()[:20]}"; a size above 0 is allowed, export it anew')
    return length / size
