"""Keys and choices of a job file as a person says them."""

from __future__ import annotations

import re

_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")
_CODE = re.compile(r"`([^`]*)`")
_KEY = re.compile(r"\[{0,2}[a-z]+(?:_[a-z]+)*\]{0,2}")


# Where capitals or whole words are usual.
_CHOICES = {
    "in": "Inches", "cm": "Centimetres", "mm": "Millimetres", "svg": "SVG", "dxf": "DXF",
    "dxf-r12": "DXF R12", "hpgl": "HP-GL", "sewn-dxf": "DXF for whole pieces", "pdf": "PDF, to print",
    "sew": "Sewing lines", "fold": "Folds", "notch": "Notches", "grain": "Grain", "label": "Labels",
}  # fmt: skip


def choice(word: str) -> str:
    """Return a choice in words.

    >>> choice("in"), choice("one-way")
    ('Inches', 'One way')
    """
    return _CHOICES.get(word) or label(word)


def label(key: str) -> str:
    """Return a key in words.

    >>> label("blade_length"), label("skew_deg"), label("blade-window")
    ('Blade length', 'Skew deg', 'Blade window')
    """
    text = key.replace("_", " ").replace("-", " ")
    return text[:1].upper() + text[1:]


def plain(says: str) -> str:
    """Return what the field table says without the marks of a text file, keys in words.

    >>> plain("a fan where it is below `blades`; see [Calibration](registration.md)")
    'A fan where it is below “Blades”; see Calibration.'
    """
    text = _CODE.sub(_said, _LINK.sub(r"\1", says)).strip().rstrip(".")
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _said(match: re.Match[str]) -> str:
    inside = match[1]
    if _KEY.fullmatch(inside):
        return f"“{label(inside.strip('[]'))}”"
    return f"“{inside.strip(chr(34))}”"
